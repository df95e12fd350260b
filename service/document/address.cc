#include "document/address.h"

#include <cmath>
#include <map>

#include "absl/strings/ascii.h"
#include "absl/strings/escaping.h"
#include "absl/strings/numbers.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "document/schema.h"

namespace brakeward::document {

using google::protobuf::FieldDescriptor;
using google::protobuf::Message;

namespace {

// One step of an address: a field name and what stands in brackets behind it.
struct Step {
  std::string field;
  std::string label;  // with its brackets; empty when there is none
};

// End of the bracketed label that starts at `at`: quotes may hold brackets and dots.
size_t end_of_label(std::string_view address, size_t at) {
  bool in_quotes = false;
  for (size_t i = at; i < address.size(); ++i) {
    if (in_quotes && address[i] == '\\') {
      ++i;
    } else if (address[i] == '"') {
      in_quotes = !in_quotes;
    } else if (address[i] == ']' && !in_quotes) {
      return i + 1;
    }
  }
  return std::string_view::npos;
}

absl::StatusOr<std::vector<Step>> split(std::string_view address) {
  const std::string whole(address);
  std::vector<Step> steps;
  for (size_t at = 0; at < address.size();) {
    const size_t name_end = std::min(address.find_first_of(".[", at), address.size());
    Step step{std::string(address.substr(at, name_end - at)), ""};
    at = name_end;
    if (at < address.size() && address[at] == '[') {
      const size_t end = end_of_label(address, at);
      if (end == std::string_view::npos)
        return absl::InvalidArgumentError(whole + ": a bracket is not closed");
      step.label = std::string(address.substr(at, end - at));
      at = end;
    }
    const bool ends_well = at == address.size() || (address[at] == '.' && at + 1 < address.size());
    if (step.field.empty() || !ends_well) {
      return absl::InvalidArgumentError(
          whole + ": is no address; one reads like balance.steps[\"+2\"].front_percent");
    }
    steps.push_back(std::move(step));
    ++at;
  }
  if (steps.empty()) return absl::InvalidArgumentError("the address is empty; name a field");
  return steps;
}

absl::StatusOr<int> position_of(const Message& holder, const FieldDescriptor* field, const std::string& label,
                                const std::string& address) {
  const int size = holder.GetReflection()->FieldSize(holder, field);
  const std::vector<std::string> labels = item_labels(holder, field);
  int position = -1;
  if (label.size() > 2 && absl::SimpleAtoi(label.substr(1, label.size() - 2), &position)) {
    if (position >= 0 && position < size) return position;
  }
  for (int i = 0; i < size; ++i) {
    if (labels[i] == label) return i;
  }
  const std::string known = size == 0 ? "the list is empty" : "it has " + absl::StrJoin(labels, ", ");
  return absl::InvalidArgumentError(
      absl::StrCat(address, ": ", field->name(), label, " does not exist; ", known));
}

}  // namespace

std::string join_address(const std::string& prefix, const std::string& field) {
  return prefix.empty() ? field : prefix + "." + field;
}

std::string position_label(int position) {
  return absl::StrCat("[", position, "]");
}

std::string name_label(const std::string& name) {
  return absl::StrCat("[\"", absl::Utf8SafeCEscape(name), "\"]");
}

std::vector<std::string> labels_from_names(const std::vector<std::string>& names) {
  std::map<std::string, int> counts;
  for (const std::string& name : names) ++counts[name];
  std::vector<std::string> labels;
  for (size_t i = 0; i < names.size(); ++i) {
    const bool unique = !names[i].empty() && counts[names[i]] == 1;
    labels.push_back(unique ? name_label(names[i]) : position_label(static_cast<int>(i)));
  }
  return labels;
}

std::vector<std::string> item_labels(const Message& message, const FieldDescriptor* field) {
  const auto* reflection = message.GetReflection();
  std::vector<std::string> names(reflection->FieldSize(message, field));
  const FieldDescriptor* key = field->message_type() == nullptr ? nullptr : key_of(field->message_type());
  for (size_t i = 0; key != nullptr && i < names.size(); ++i) {
    const Message& item = reflection->GetRepeatedMessage(message, field, static_cast<int>(i));
    names[i] = item.GetReflection()->GetString(item, key);
  }
  return labels_from_names(names);
}

absl::StatusOr<Spot> find_spot(Message* root, std::string_view address) {
  const absl::StatusOr<std::vector<Step>> steps = split(address);
  if (!steps.ok()) return steps.status();
  const std::string whole(address);
  Spot spot{root, nullptr, -1};
  for (size_t i = 0; i < steps->size(); ++i) {
    const Step& step = (*steps)[i];
    const auto* type = spot.holder->GetDescriptor();
    spot.field = type->FindFieldByName(step.field);
    if (spot.field == nullptr) {
      const std::string near = nearest_word(step.field, field_names(type));
      return absl::InvalidArgumentError(absl::StrCat(whole, ": ", type->name(), " has no field ", step.field,
                                                     near.empty() ? "" : "; did you mean " + near + "?"));
    }
    if (spot.field->is_repeated() == step.label.empty()) {
      return absl::InvalidArgumentError(
          absl::StrCat(whole, ": ", step.field,
                       step.label.empty() ? " is a list; say which item in brackets" : " is no list"));
    }
    spot.index = -1;
    if (!step.label.empty()) {
      const absl::StatusOr<int> position = position_of(*spot.holder, spot.field, step.label, whole);
      if (!position.ok()) return position.status();
      spot.index = *position;
    }
    if (i + 1 == steps->size()) return spot;
    const auto* reflection = spot.holder->GetReflection();
    if (spot.field->message_type() == nullptr) {
      return absl::InvalidArgumentError(absl::StrCat(whole, ": ", step.field, " holds no fields"));
    }
    if (spot.index < 0 && !reflection->HasField(*spot.holder, spot.field)) {
      return absl::InvalidArgumentError(
          absl::StrCat(whole, ": ", step.field, " is not set in this document"));
    }
    spot.holder = spot.index < 0 ? reflection->MutableMessage(spot.holder, spot.field)
                                 : reflection->MutableRepeatedMessage(spot.holder, spot.field, spot.index);
  }
  return spot;
}

absl::StatusOr<double> number_at(const Message& root, std::string_view address) {
  // The walk changes nothing: it enters only blocks that are set.
  const absl::StatusOr<Spot> spot = find_spot(const_cast<Message*>(&root), address);
  if (!spot.ok()) return spot.status();
  const auto* reflection = spot->holder->GetReflection();
  const std::string whole(address);
  if (spot->index >= 0 || !is_numeric(spot->field))
    return absl::InvalidArgumentError(whole + ": is no number");
  if (!reflection->HasField(*spot->holder, spot->field)) {
    return absl::InvalidArgumentError(whole + ": is not set in this document");
  }
  if (spot->field->cpp_type() == FieldDescriptor::CPPTYPE_INT32) {
    return reflection->GetInt32(*spot->holder, spot->field);
  }
  if (spot->field->cpp_type() == FieldDescriptor::CPPTYPE_DOUBLE) {
    return reflection->GetDouble(*spot->holder, spot->field);
  }
  return absl::UnimplementedError(whole + ": only double and int32 numbers have addresses");
}

absl::Status set_number_at(Message* root, std::string_view address, double value) {
  const absl::StatusOr<Spot> spot = find_spot(root, address);
  if (!spot.ok()) return spot.status();
  const auto* reflection = spot->holder->GetReflection();
  const std::string whole(address);
  if (spot->index >= 0 || !is_numeric(spot->field))
    return absl::InvalidArgumentError(whole + ": is no number");
  if (spot->field->cpp_type() == FieldDescriptor::CPPTYPE_DOUBLE) {
    reflection->SetDouble(spot->holder, spot->field, value);
    return absl::OkStatus();
  }
  if (spot->field->cpp_type() != FieldDescriptor::CPPTYPE_INT32) {
    return absl::UnimplementedError(whole + ": only double and int32 numbers have addresses");
  }
  if (!(value >= -2147483648.0 && value <= 2147483647.0) || std::floor(value) != value) {
    return absl::InvalidArgumentError(
        absl::StrCat(whole, ": takes a whole number, not ", format_number(value)));
  }
  reflection->SetInt32(spot->holder, spot->field, static_cast<int>(value));
  return absl::OkStatus();
}

}  // namespace brakeward::document
