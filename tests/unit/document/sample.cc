#include "unit/document/sample.h"

#include <gtest/gtest.h>

#include "brakeward/v1/common.pb.h"

namespace brakeward::document {

using google::protobuf::FieldDescriptor;
using google::protobuf::Message;

std::string replaced(std::string text, const std::string& from, const std::string& to) {
  const size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return at == std::string::npos ? text : text.replace(at, from.size(), to);
}

std::unique_ptr<Message> new_message(const google::protobuf::Descriptor* type) {
  return std::unique_ptr<Message>(
      google::protobuf::MessageFactory::generated_factory()->GetPrototype(type)->New());
}

namespace {

// A third of the way up the range, where every range of the schema has room on both sides.
double inside(const v1::Quantity& quantity) {
  return quantity.minimum() + (quantity.maximum() - quantity.minimum()) / 3;
}

void fill_curve(Message* message, const v1::CurveAxes& axes) {
  v1::Curve curve;
  for (int i = 0; i < 2; ++i) {
    auto* point = curve.add_points();
    point->set_x(inside(axes.x()) + i * (axes.x().maximum() - axes.x().minimum()) / 8);
    point->set_y(inside(axes.y()));
  }
  message->CopyFrom(curve);
}

void fill_block(Message* block, const FieldDescriptor* field) {
  if (curve_of(field) != nullptr) {
    fill_curve(block, *curve_of(field));
  } else {
    fill(block);
  }
}

void fill_scalar(Message* message, const FieldDescriptor* field) {
  const auto* reflection = message->GetReflection();
  switch (field->cpp_type()) {
    case FieldDescriptor::CPPTYPE_DOUBLE:
      return reflection->SetDouble(message, field, inside(*quantity_of(field)));
    case FieldDescriptor::CPPTYPE_INT32:
      return reflection->SetInt32(message, field, static_cast<int>(inside(*quantity_of(field))));
    case FieldDescriptor::CPPTYPE_BOOL:
      return reflection->SetBool(message, field, true);
    case FieldDescriptor::CPPTYPE_ENUM:
      return reflection->SetEnumValue(message, field, 1);
    case FieldDescriptor::CPPTYPE_STRING:
      return reflection->SetString(message, field, "text of " + field->name());
    default:
      FAIL() << field->full_name() << " has a type the tests do not know";
  }
}

}  // namespace

void fill(Message* message) {
  const auto* reflection = message->GetReflection();
  const auto* type = message->GetDescriptor();
  for (int i = 0; i < type->field_count(); ++i) {
    const FieldDescriptor* field = type->field(i);
    for (int k = 0; field->is_repeated() && k < 2; ++k) {
      if (field->cpp_type() == FieldDescriptor::CPPTYPE_STRING) {
        reflection->AddString(message, field, "item " + std::to_string(k));
        continue;
      }
      Message* item = reflection->AddMessage(message, field);
      fill_block(item, field);
      const FieldDescriptor* key = key_of(item->GetDescriptor());
      if (key != nullptr) item->GetReflection()->SetString(item, key, "item " + std::to_string(k));
    }
    if (field->is_repeated()) continue;
    if (field->cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE) {
      fill_block(reflection->MutableMessage(message, field), field);
    } else {
      fill_scalar(message, field);
    }
  }
}

}  // namespace brakeward::document
