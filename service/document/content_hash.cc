#include "document/content_hash.h"

#include <algorithm>
#include <cstring>
#include <vector>

#include "absl/strings/str_cat.h"
#include "document/address.h"
#include "document/sha256.h"

namespace brakeward::document {

using google::protobuf::FieldDescriptor;
using google::protobuf::Message;
using google::protobuf::Reflection;

namespace {

void append_bytes(uint64_t value, int count, std::string* out) {
  for (int i = 0; i < count; ++i) out->push_back(static_cast<char>((value >> (8 * i)) & 0xFF));
}

void append_text(const std::string& text, std::string* out) {
  append_bytes(text.size(), 8, out);
  out->append(text);
}

void append_integer(char tag, uint64_t value, std::string* out) {
  out->push_back(tag);
  append_bytes(value, 8, out);
}

absl::Status append_message(const Message& message, const std::string& address, std::string* out);

absl::Status not_a_number(const std::string& address) {
  return absl::InvalidArgumentError(address + ": nan has no content hash; give the field a number.");
}

absl::Status append_double(double value, const std::string& address, std::string* out) {
  if (value != value) return not_a_number(address);
  if (value == 0) value = 0;  // -0
  uint64_t bits = 0;
  std::memcpy(&bits, &value, sizeof(bits));
  append_integer('D', bits, out);
  return absl::OkStatus();
}

absl::Status append_float(float value, const std::string& address, std::string* out) {
  if (value != value) return not_a_number(address);
  if (value == 0) value = 0;  // -0
  uint32_t bits = 0;
  std::memcpy(&bits, &value, sizeof(bits));
  out->push_back('F');
  append_bytes(bits, 4, out);
  return absl::OkStatus();
}

// One value; `index` is -1 for a singular field.
absl::Status append_value(const Message& message, const FieldDescriptor* field, int index,
                          const std::string& address, std::string* out) {
  const Reflection* reflection = message.GetReflection();
  const auto get = [&](auto singular, auto repeated) {
    return index < 0 ? (reflection->*singular)(message, field)
                     : (reflection->*repeated)(message, field, index);
  };
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_DOUBLE:
      return append_double(get(&Reflection::GetDouble, &Reflection::GetRepeatedDouble), address, out);
    case FieldDescriptor::CPPTYPE_FLOAT:
      return append_float(get(&Reflection::GetFloat, &Reflection::GetRepeatedFloat), address, out);
    case FieldDescriptor::CPPTYPE_INT32:
      append_integer(
          'I', static_cast<uint64_t>(int64_t{get(&Reflection::GetInt32, &Reflection::GetRepeatedInt32)}),
          out);
      break;
    case FieldDescriptor::CPPTYPE_INT64:
      append_integer('I', static_cast<uint64_t>(get(&Reflection::GetInt64, &Reflection::GetRepeatedInt64)),
                     out);
      break;
    case FieldDescriptor::CPPTYPE_UINT32:
      append_integer('U', get(&Reflection::GetUInt32, &Reflection::GetRepeatedUInt32), out);
      break;
    case FieldDescriptor::CPPTYPE_UINT64:
      append_integer('U', get(&Reflection::GetUInt64, &Reflection::GetRepeatedUInt64), out);
      break;
    case FieldDescriptor::CPPTYPE_BOOL:
      out->push_back('B');
      out->push_back(get(&Reflection::GetBool, &Reflection::GetRepeatedBool) ? 1 : 0);
      break;
    case FieldDescriptor::CPPTYPE_ENUM:
      append_integer(
          'E',
          static_cast<uint64_t>(int64_t{get(&Reflection::GetEnumValue, &Reflection::GetRepeatedEnumValue)}),
          out);
      break;
    case FieldDescriptor::CPPTYPE_STRING:
      out->push_back('T');
      append_text(get(&Reflection::GetString, &Reflection::GetRepeatedString), out);
      break;
    case FieldDescriptor::CPPTYPE_MESSAGE:
      return append_message(index < 0 ? reflection->GetMessage(message, field)
                                      : reflection->GetRepeatedMessage(message, field, index),
                            address, out);
  }
  return absl::OkStatus();
}

absl::Status append_list(const Message& message, const FieldDescriptor* field, const std::string& address,
                         std::string* out) {
  const int size = message.GetReflection()->FieldSize(message, field);
  out->push_back('L');
  append_bytes(static_cast<uint64_t>(size), 8, out);
  std::vector<std::string> items(size);
  for (int i = 0; i < size; ++i) {
    absl::Status status = append_value(message, field, i, address + position_label(i), &items[i]);
    if (!status.ok()) return status;
  }
  if (field->is_map()) std::sort(items.begin(), items.end());
  for (const std::string& item : items) out->append(item);
  return absl::OkStatus();
}

absl::Status append_message(const Message& message, const std::string& address, std::string* out) {
  const Reflection* reflection = message.GetReflection();
  const std::string& type = message.GetDescriptor()->full_name();
  const auto& unknown = reflection->GetUnknownFields(message);
  if (!unknown.empty()) {
    return absl::InvalidArgumentError(absl::StrCat(address.empty() ? type : address, ": field number ",
                                                   unknown.field(0).number(), " is unknown to ", type,
                                                   "; what is not understood has no content hash."));
  }
  out->push_back('M');
  append_text(type, out);
  // ListFields gives what is present, in order of field number.
  std::vector<const FieldDescriptor*> fields;
  reflection->ListFields(message, &fields);
  for (const FieldDescriptor* field : fields) {
    append_bytes(static_cast<uint32_t>(field->number()), 4, out);
    const std::string at = join_address(address, field->name());
    absl::Status status = field->is_repeated() ? append_list(message, field, at, out)
                                               : append_value(message, field, -1, at, out);
    if (!status.ok()) return status;
  }
  append_bytes(0, 4, out);
  return absl::OkStatus();
}

}  // namespace

absl::StatusOr<std::string> canonical_bytes(const Message& message) {
  std::string out = "brakeward.document.1";
  const absl::Status status = append_message(message, "", &out);
  if (!status.ok()) return status;
  return out;
}

absl::StatusOr<std::string> content_sha256(const Message& message) {
  const absl::StatusOr<std::string> bytes = canonical_bytes(message);
  if (!bytes.ok()) return bytes.status();
  return sha256_hex(*bytes);
}

}  // namespace brakeward::document
