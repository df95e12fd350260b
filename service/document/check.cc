#include "document/check.h"

#include <cmath>
#include <map>

#include "absl/strings/escaping.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "document/address.h"
#include "document/checker.h"
#include "document/text.h"

namespace brakeward::document {

using google::protobuf::Descriptor;
using google::protobuf::FieldDescriptor;
using google::protobuf::Message;
using google::protobuf::Reflection;

Address child_of(const Address& parent, const std::string& field) {
  return {join_address(parent.shown, field), join_address(parent.path, field)};
}

namespace {

// "a.b[2].c" -> "a.b[2]" -> "a.b" -> "a" -> "". Positions hold no dots or brackets.
std::string parent_path(const std::string& path) {
  const size_t cut = path.find_last_of(".[");
  return cut == std::string::npos ? "" : path.substr(0, cut);
}

std::string in_brackets(const std::string& meaning) {
  return meaning.empty() ? "" : " (" + meaning + ")";
}

double number_of(const Message& message, const FieldDescriptor* field) {
  const Reflection* reflection = message.GetReflection();
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_DOUBLE:
      return reflection->GetDouble(message, field);
    case FieldDescriptor::CPPTYPE_FLOAT:
      return reflection->GetFloat(message, field);
    case FieldDescriptor::CPPTYPE_INT32:
      return reflection->GetInt32(message, field);
    case FieldDescriptor::CPPTYPE_UINT32:
      return reflection->GetUInt32(message, field);
    case FieldDescriptor::CPPTYPE_INT64:
      return static_cast<double>(reflection->GetInt64(message, field));
    default:
      return static_cast<double>(reflection->GetUInt64(message, field));
  }
}

std::string missing_text(const FieldDescriptor* field) {
  const std::string meaning = in_brackets(meaning_of(field));
  if (const v1::Quantity* quantity = quantity_of(field)) {
    const std::string typical =
        quantity->has_typical() ? ", typically " + with_unit(quantity->typical(), quantity->unit()) : "";
    return absl::StrCat("is missing; set it to a value from ", range_text(*quantity), typical, ".", meaning);
  }
  if (field->is_repeated()) return absl::StrCat("is empty; give at least one.", meaning);
  if (field->enum_type() != nullptr) {
    return absl::StrCat("is missing; choose one of ", absl::StrJoin(enum_words(field->enum_type()), ", "),
                        ".", meaning);
  }
  if (field->message_type() != nullptr) return absl::StrCat("the block is missing; add it.", meaning);
  return absl::StrCat("is missing; give it a text.", meaning);
}

class Checker {
 public:
  explicit Checker(FaultSink* sink) : sink_(sink) {}

  void message(const Message& message, const Address& at) {
    const Descriptor* type = message.GetDescriptor();
    unknown_fields(message, at);
    for (int i = 0; i < type->field_count(); ++i)
      field(message, type->field(i), child_of(at, type->field(i)->name()));
    for (int i = 0; i < type->real_oneof_decl_count(); ++i) oneof(message, type->oneof_decl(i), at);
  }

 private:
  void unknown_fields(const Message& message, const Address& at) {
    const auto& unknown = message.GetReflection()->GetUnknownFields(message);
    for (int i = 0; i < unknown.field_count(); ++i) {
      sink_->add(at, absl::StrCat("carries field number ", unknown.field(i).number(), ", which ",
                                  message.GetDescriptor()->name(),
                                  " does not have; write the document for this version of the schema."));
    }
  }

  void field(const Message& message, const FieldDescriptor* field, const Address& at) {
    const Reflection* reflection = message.GetReflection();
    if (field->is_repeated()) {
      list(message, field, at);
      return;
    }
    if (!reflection->HasField(message, field)) {
      // Members of a oneof are demanded together, not one by one.
      if (is_required(field) && field->real_containing_oneof() == nullptr)
        sink_->add_missing(at, missing_text(field));
      return;
    }
    if (field->cpp_type() == FieldDescriptor::CPPTYPE_STRING) {
      text(reflection->GetString(message, field), at);
    } else if (field->cpp_type() == FieldDescriptor::CPPTYPE_ENUM) {
      word(reflection->GetEnumValue(message, field), field, at);
    } else if (field->cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE) {
      block(reflection->GetMessage(message, field), field, at);
    } else if (const v1::Quantity* quantity = quantity_of(field)) {
      std::string fault = number_fault(number_of(message, field), *quantity, quantity->meaning());
      if (!fault.empty()) sink_->add(at, std::move(fault));
    }
  }

  void block(const Message& block, const FieldDescriptor* field, const Address& at) {
    const v1::CurveAxes* axes = curve_of(field);
    if (axes == nullptr || block.GetDescriptor() != v1::Curve::descriptor()) {
      message(block, at);
      return;
    }
    v1::Curve curve;
    curve.CopyFrom(block);
    check_curve(curve, *axes, at, sink_);
    unknown_fields(curve, at);
    for (const v1::CurvePoint& point : curve.points()) unknown_fields(point, child_of(at, "points"));
  }

  void list(const Message& message, const FieldDescriptor* field, const Address& at) {
    const Reflection* reflection = message.GetReflection();
    const int size = reflection->FieldSize(message, field);
    if (size == 0 && is_required(field)) sink_->add_missing(at, missing_text(field));
    const std::vector<std::string> labels = item_labels(message, field);
    for (int i = 0; i < size; ++i) {
      const Address item{at.shown + labels[i], at.path + position_label(i)};
      if (field->cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE) {
        block(reflection->GetRepeatedMessage(message, field, i), field, item);
      } else if (field->cpp_type() == FieldDescriptor::CPPTYPE_STRING) {
        text(reflection->GetRepeatedString(message, field, i), item);
      } else if (field->cpp_type() == FieldDescriptor::CPPTYPE_ENUM) {
        word(reflection->GetRepeatedEnumValue(message, field, i), field, item);
      }
    }
    repeated_names(message, field, at);
  }

  void repeated_names(const Message& message, const FieldDescriptor* field, const Address& at) {
    const FieldDescriptor* key = field->message_type() == nullptr ? nullptr : key_of(field->message_type());
    if (key == nullptr || key->name() != "name") return;
    std::map<std::string, int> first;
    for (int i = 0; i < message.GetReflection()->FieldSize(message, field); ++i) {
      const Message& item = message.GetReflection()->GetRepeatedMessage(message, field, i);
      const std::string name = item.GetReflection()->GetString(item, key);
      const auto [known, is_new] = first.emplace(name, i);
      if (is_new || name.empty()) continue;
      const Address place{at.shown + position_label(i) + ".name", at.path + position_label(i) + ".name"};
      sink_->add(place,
                 absl::StrCat("\"", absl::Utf8SafeCEscape(name), "\" is already the name of ", at.shown,
                              position_label(known->second), "; give each item a name of its own."));
    }
  }

  void text(const std::string& value, const Address& at) {
    size_t bad_at = 0;
    if (!is_utf8(value, &bad_at)) {
      sink_->add(at, absl::StrCat("is not valid UTF-8 from byte ", bad_at, " on; write plain text."));
      return;
    }
    for (const char c : value) {
      const unsigned char byte = static_cast<unsigned char>(c);
      if ((byte >= 0x20 && byte != 0x7F) || c == '\t' || c == '\n') continue;
      sink_->add(at, absl::StrCat("\"", absl::Utf8SafeCEscape(value),
                                  "\" holds a control character; only tab and newline may stand in text."));
      return;
    }
  }

  void word(int number, const FieldDescriptor* field, const Address& at) {
    const auto* type = field->enum_type();
    if (type->FindValueByNumber(number) == nullptr) {
      sink_->add(at, absl::StrCat(number, " is no value of ", type->name(), "; choose one of ",
                                  absl::StrJoin(enum_words(type), ", "), "."));
    } else if (number == 0 && is_required(field)) {
      sink_->add(at, missing_text(field));
    }
  }

  void oneof(const Message& message, const google::protobuf::OneofDescriptor* oneof, const Address& at) {
    if (message.GetReflection()->HasOneof(message, oneof)) return;
    std::vector<std::string> names;
    Address place = at;
    for (int i = 0; i < oneof->field_count(); ++i) names.push_back(oneof->field(i)->name());
    sink_->add_missing(child_of(at, oneof->name()),
                       absl::StrCat("is missing; give one of ", absl::StrJoin(names, ", "), "."));
  }

  FaultSink* sink_;
};

}  // namespace

void FaultSink::add(const Address& address, std::string text) {
  Fault fault{context_.file, 0, 0, address.shown, std::move(text)};
  for (std::string path = address.path; context_.place_of && !path.empty(); path = parent_path(path)) {
    std::tie(fault.line, fault.column) = context_.place_of(path);
    if (fault.line > 0) break;
  }
  // A document always has a first line, whatever is missing in it.
  if (fault.line == 0 && context_.place_of) fault.line = fault.column = 1;
  faults_.add(std::move(fault));
}

void FaultSink::add_missing(const Address& address, std::string text) {
  if (!context_.report_missing) return;
  for (std::string path = address.path; !path.empty(); path = parent_path(path)) {
    if (context_.excused.count(path) > 0) return;
  }
  add(address, std::move(text));
}

std::string number_fault(double value, const v1::Quantity& quantity, const std::string& meaning) {
  const std::string shown = with_unit(value, quantity.unit());
  const std::string range = range_text(quantity);
  if (!std::isfinite(value)) {
    return absl::StrCat(format_number(value),
                        " is not a finite number, or the number is too large to hold; use a value from ",
                        range, ".", in_brackets(meaning));
  }
  if (value < quantity.minimum()) {
    return absl::StrCat(shown, " is below the allowed ", range, "; raise it to ",
                        with_unit(quantity.minimum(), quantity.unit()), " or more.", in_brackets(meaning));
  }
  if (value > quantity.maximum()) {
    return absl::StrCat(shown, " is above the allowed ", range, "; lower it to ",
                        with_unit(quantity.maximum(), quantity.unit()), " or less.", in_brackets(meaning));
  }
  return "";
}

Faults check(const Message& message, const CheckContext& context) {
  FaultSink sink(context);
  Checker(&sink).message(message, {});
  Faults faults = sink.take();
  faults.sort();
  return faults;
}

}  // namespace brakeward::document
