#include "document/diff.h"

#include <algorithm>
#include <map>
#include <memory>

#include "absl/strings/escaping.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/str_join.h"
#include "document/address.h"
#include "document/schema.h"

namespace brakeward::document {

using google::protobuf::Descriptor;
using google::protobuf::FieldDescriptor;
using google::protobuf::Message;
using google::protobuf::Reflection;

namespace {

// One value as text, with its unit; the axis of a curve gives the unit of a point.
std::string value_text(const Message& message, const FieldDescriptor* field, int index,
                       const std::string& unit) {
  const Reflection* reflection = message.GetReflection();
  const auto get = [&](auto singular, auto repeated) {
    return index < 0 ? (reflection->*singular)(message, field)
                     : (reflection->*repeated)(message, field, index);
  };
  const std::string tail = unit.empty() || unit == "1" ? "" : " " + unit;
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_DOUBLE: {
      const double value = get(&Reflection::GetDouble, &Reflection::GetRepeatedDouble);
      return with_unit(value == 0 ? 0 : value, unit);
    }
    case FieldDescriptor::CPPTYPE_FLOAT: {
      const float value = get(&Reflection::GetFloat, &Reflection::GetRepeatedFloat);
      return with_unit(value == 0 ? 0 : value, unit);
    }
    case FieldDescriptor::CPPTYPE_INT32:
      return absl::StrCat(get(&Reflection::GetInt32, &Reflection::GetRepeatedInt32), tail);
    case FieldDescriptor::CPPTYPE_INT64:
      return absl::StrCat(get(&Reflection::GetInt64, &Reflection::GetRepeatedInt64), tail);
    case FieldDescriptor::CPPTYPE_UINT32:
      return absl::StrCat(get(&Reflection::GetUInt32, &Reflection::GetRepeatedUInt32), tail);
    case FieldDescriptor::CPPTYPE_UINT64:
      return absl::StrCat(get(&Reflection::GetUInt64, &Reflection::GetRepeatedUInt64), tail);
    case FieldDescriptor::CPPTYPE_BOOL:
      return get(&Reflection::GetBool, &Reflection::GetRepeatedBool) ? "true" : "false";
    case FieldDescriptor::CPPTYPE_ENUM: {
      const int number = get(&Reflection::GetEnumValue, &Reflection::GetRepeatedEnumValue);
      const auto* word = field->enum_type()->FindValueByNumber(number);
      return word == nullptr ? absl::StrCat(number) : word->name();
    }
    case FieldDescriptor::CPPTYPE_STRING:
      return absl::StrCat(
          "\"", absl::Utf8SafeCEscape(get(&Reflection::GetString, &Reflection::GetRepeatedString)), "\"");
    case FieldDescriptor::CPPTYPE_MESSAGE:
      return "set";
  }
  return "";
}

std::string unset_text(const FieldDescriptor* field) {
  const v1::Quantity* quantity = quantity_of(field);
  if (quantity == nullptr || !quantity->has_default_value()) return "unset";
  return absl::StrCat("unset (", with_unit(quantity->default_value(), quantity->unit()), ")");
}

class Comparer {
 public:
  // Either side may be absent (nullptr).
  void blocks(const Message* a, const Message* b, const v1::CurveAxes* axes, const std::string& at) {
    const Descriptor* type = (a != nullptr ? a : b)->GetDescriptor();
    for (int i = 0; i < type->field_count(); ++i) {
      const FieldDescriptor* field = type->field(i);
      const std::string address = join_address(at, field->name());
      if (field->is_repeated()) {
        lists(a, b, field, axes, address);
      } else if (field->cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE) {
        single_blocks(block_of(a, field), block_of(b, field), field, address);
      } else {
        values(a, b, field, unit_of(field, axes), address);
      }
    }
  }

  std::vector<Difference> take() { return std::move(out_); }

 private:
  static const Message* block_of(const Message* holder, const FieldDescriptor* field) {
    if (holder == nullptr || !holder->GetReflection()->HasField(*holder, field)) return nullptr;
    return &holder->GetReflection()->GetMessage(*holder, field);
  }

  static std::string unit_of(const FieldDescriptor* field, const v1::CurveAxes* axes) {
    if (const v1::Quantity* quantity = quantity_of(field)) return quantity->unit();
    if (axes == nullptr) return "";
    return field->name() == "x" ? axes->x().unit() : field->name() == "y" ? axes->y().unit() : "";
  }

  void single_blocks(const Message* a, const Message* b, const FieldDescriptor* field,
                     const std::string& address) {
    if (a == nullptr && b == nullptr) return;
    const size_t before = out_.size();
    blocks(a, b, curve_of(field), address);
    // An empty block that comes or goes has no values to show.
    if ((a == nullptr) != (b == nullptr) && out_.size() == before) presence(a != nullptr, address);
  }

  void presence(bool was_set, const std::string& address) {
    out_.push_back({address, was_set ? "set, empty" : "unset", was_set ? "unset" : "set, empty"});
  }

  void values(const Message* a, const Message* b, const FieldDescriptor* field, const std::string& unit,
              const std::string& address) {
    const auto text = [&](const Message* side) {
      const bool is_set = side != nullptr && side->GetReflection()->HasField(*side, field);
      return is_set ? value_text(*side, field, -1, unit) : unset_text(field);
    };
    const std::string before = text(a);
    const std::string after = text(b);
    if (before != after) out_.push_back({address, before, after});
  }

  static int size_of(const Message* side, const FieldDescriptor* field) {
    return side == nullptr ? 0 : side->GetReflection()->FieldSize(*side, field);
  }

  static std::vector<std::string> labels_of(const Message* side, const FieldDescriptor* field) {
    return side == nullptr ? std::vector<std::string>{} : item_labels(*side, field);
  }

  static bool all_named(const std::vector<std::string>& labels) {
    return std::all_of(labels.begin(), labels.end(),
                       [](const std::string& label) { return label[1] == '"'; });
  }

  void lists(const Message* a, const Message* b, const FieldDescriptor* field, const v1::CurveAxes* axes,
             const std::string& address) {
    if (field->cpp_type() != FieldDescriptor::CPPTYPE_MESSAGE) {
      scalar_lists(a, b, field, address);
      return;
    }
    const std::vector<std::string> left = labels_of(a, field);
    const std::vector<std::string> right = labels_of(b, field);
    if (all_named(left) && all_named(right)) {
      named_lists(a, b, field, axes, left, right, address);
      return;
    }
    const int size = std::max(size_of(a, field), size_of(b, field));
    for (int i = 0; i < size; ++i) items(a, i, b, i, field, axes, address + position_label(i));
  }

  void named_lists(const Message* a, const Message* b, const FieldDescriptor* field,
                   const v1::CurveAxes* axes, const std::vector<std::string>& left,
                   const std::vector<std::string>& right, const std::string& address) {
    std::map<std::string, int> place;
    for (size_t i = 0; i < right.size(); ++i) place[right[i]] = static_cast<int>(i);
    std::vector<std::string> common_left;
    for (size_t i = 0; i < left.size(); ++i) {
      const auto found = place.find(left[i]);
      const int other = found == place.end() ? size_of(b, field) : found->second;
      if (found != place.end()) common_left.push_back(left[i]);
      items(a, static_cast<int>(i), b, other, field, axes, address + left[i]);
    }
    std::vector<std::string> common_right;
    for (size_t i = 0; i < right.size(); ++i) {
      const bool is_common = std::find(left.begin(), left.end(), right[i]) != left.end();
      if (is_common) common_right.push_back(right[i]);
      if (!is_common) items(a, size_of(a, field), b, static_cast<int>(i), field, axes, address + right[i]);
    }
    // The place of an added or removed item matters only where the rest keeps its order; then nothing is lost
    // by leaving it out, as the item itself is listed.
    if (common_left == common_right) return;
    out_.push_back(
        {address, "order " + absl::StrJoin(common_left, " "), "order " + absl::StrJoin(common_right, " ")});
  }

  // Item `i` of one side against item `j` of the other; a position past the end is an item that is not there.
  void items(const Message* a, int i, const Message* b, int j, const FieldDescriptor* field,
             const v1::CurveAxes* axes, const std::string& address) {
    const auto item = [field](const Message* side, int k) {
      return k < size_of(side, field) ? &side->GetReflection()->GetRepeatedMessage(*side, field, k) : nullptr;
    };
    const Message* left = item(a, i);
    const Message* right = item(b, j);
    const size_t before = out_.size();
    blocks(left, right, axes, address);
    if ((left == nullptr) != (right == nullptr) && out_.size() == before) presence(left != nullptr, address);
  }

  void scalar_lists(const Message* a, const Message* b, const FieldDescriptor* field,
                    const std::string& address) {
    const int size = std::max(size_of(a, field), size_of(b, field));
    const std::string unit = unit_of(field, nullptr);
    for (int i = 0; i < size; ++i) {
      const std::string before = i < size_of(a, field) ? value_text(*a, field, i, unit) : "unset";
      const std::string after = i < size_of(b, field) ? value_text(*b, field, i, unit) : "unset";
      if (before != after) out_.push_back({address + position_label(i), before, after});
    }
  }

  std::vector<Difference> out_;
};

}  // namespace

absl::StatusOr<std::vector<Difference>> diff(const Message& before, const Message& after) {
  if (before.GetDescriptor() != after.GetDescriptor()) {
    return absl::InvalidArgumentError(absl::StrCat("a ", before.GetDescriptor()->full_name(), " and a ",
                                                   after.GetDescriptor()->full_name(),
                                                   " cannot be compared; give two documents of one type."));
  }
  Comparer comparer;
  comparer.blocks(&before, &after, nullptr, "");
  return comparer.take();
}

}  // namespace brakeward::document
