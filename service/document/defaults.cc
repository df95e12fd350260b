#include "document/defaults.h"

#include "document/schema.h"

namespace brakeward::document {

using google::protobuf::FieldDescriptor;
using google::protobuf::Message;

namespace {

void set_number(Message* message, const FieldDescriptor* field, double value) {
  const auto* reflection = message->GetReflection();
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_DOUBLE:
      return reflection->SetDouble(message, field, value);
    case FieldDescriptor::CPPTYPE_FLOAT:
      return reflection->SetFloat(message, field, static_cast<float>(value));
    case FieldDescriptor::CPPTYPE_INT32:
      return reflection->SetInt32(message, field, static_cast<int32_t>(value));
    case FieldDescriptor::CPPTYPE_UINT32:
      return reflection->SetUInt32(message, field, static_cast<uint32_t>(value));
    case FieldDescriptor::CPPTYPE_INT64:
      return reflection->SetInt64(message, field, static_cast<int64_t>(value));
    default:
      return reflection->SetUInt64(message, field, static_cast<uint64_t>(value));
  }
}

}  // namespace

void resolve_defaults(Message* message) {
  const auto* reflection = message->GetReflection();
  const auto* type = message->GetDescriptor();
  for (int i = 0; i < type->field_count(); ++i) {
    const FieldDescriptor* field = type->field(i);
    if (field->cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE) {
      const int size = field->is_repeated() ? reflection->FieldSize(*message, field) : 0;
      for (int k = 0; k < size; ++k) resolve_defaults(reflection->MutableRepeatedMessage(message, field, k));
      if (!field->is_repeated() && reflection->HasField(*message, field)) {
        resolve_defaults(reflection->MutableMessage(message, field));
      }
      continue;
    }
    const v1::Quantity* quantity = is_numeric(field) && !field->is_repeated() ? quantity_of(field) : nullptr;
    if (quantity == nullptr || !quantity->has_default_value() || quantity->may_be_unset()) continue;
    if (!reflection->HasField(*message, field)) set_number(message, field, quantity->default_value());
  }
}

}  // namespace brakeward::document
