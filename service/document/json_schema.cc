#include "document/json_schema.h"

#include <cmath>
#include <nlohmann/json.hpp>
#include <set>

#include "brakeward/v1/run.pb.h"
#include "document/schema.h"

namespace brakeward::document {

using google::protobuf::Descriptor;
using google::protobuf::EnumDescriptor;
using google::protobuf::FieldDescriptor;

namespace {

using Json = nlohmann::ordered_json;

constexpr int kMostCurvePoints = 16;                // check_curve.cc refuses more
constexpr double kLargestWhole = 9007199254740992;  // 2^53: whole numbers up to it are exact as doubles

// A whole number without ".0".
Json number(double value) {
  if (std::floor(value) == value && std::fabs(value) <= kLargestWhole) return static_cast<int64_t>(value);
  return value;
}

Json object_of(Json properties, Json required) {
  Json out = {{"type", "object"}, {"properties", std::move(properties)}};
  if (!required.empty()) out["required"] = std::move(required);
  out["additionalProperties"] = false;
  return out;
}

Json any_of(Json one, Json other) {
  Json out = Json::object();
  out["anyOf"].push_back(std::move(one));
  out["anyOf"].push_back(std::move(other));
  return out;
}

void describe_with(Json& out, const std::string& meaning) {
  if (!meaning.empty()) out["description"] = meaning;
}

class Writer {
 public:
  Json document(const Descriptor* type) {
    Json out = {{"$schema", "https://json-schema.org/draft/2020-12/schema"}, {"title", type->full_name()}};
    out.update(block(type));
    if (!definitions_.empty()) out["$defs"] = std::move(definitions_);
    return out;
  }

 private:
  Json block(const Descriptor* type) {
    Json properties = Json::object();
    Json required = Json::array();
    for (int i = 0; i < type->field_count(); ++i) {
      const FieldDescriptor* field = type->field(i);
      properties[field->name()] = field->is_repeated() ? list(field) : single(field);
      if (is_required(field) && field->real_containing_oneof() == nullptr) required.push_back(field->name());
    }
    Json out = object_of(std::move(properties), std::move(required));
    for (int i = 0; i < type->real_oneof_decl_count(); ++i) {
      Json choices = Json::array();
      const auto* choice = type->oneof_decl(i);
      for (int k = 0; k < choice->field_count(); ++k)
        choices.push_back(Json{{"required", Json::array({choice->field(k)->name()})}});
      out["allOf"].push_back(Json{{"oneOf", std::move(choices)}});
    }
    return out;
  }

  Json list(const FieldDescriptor* field) {
    Json out = {{"type", "array"}};
    describe_with(out, meaning_of(field));
    if (is_required(field)) out["minItems"] = 1;
    Json items = single(field);
    items.erase("description");
    items.erase("minLength");  // what is required is the list
    out["items"] = std::move(items);
    return out;
  }

  Json single(const FieldDescriptor* field) {
    if (const v1::CurveAxes* axes = curve_of(field)) return curve(*axes);
    Json out = field->message_type() != nullptr ? reference(field->message_type())
               : field->enum_type() != nullptr  ? words(field->enum_type(), is_required(field))
                                                : plain(field);
    describe_with(out, meaning_of(field));
    if (const v1::Quantity* quantity = quantity_of(field)) unit(out, *quantity);
    return out;
  }

  Json reference(const Descriptor* type) {
    if (seen_.insert(type).second) {
      definitions_[type->name()] = nullptr;  // keeps its place before the blocks within
      definitions_[type->name()] = block(type);
    }
    return {{"$ref", "#/$defs/" + type->name()}};
  }

  static Json words(const EnumDescriptor* type, bool required) {
    Json names = Json::array();
    if (!required) names.push_back(type->FindValueByNumber(0)->name());
    for (const std::string& word : enum_words(type)) names.push_back(word);
    return {{"enum", std::move(names)}};
  }

  static Json plain(const FieldDescriptor* field) {
    switch (field->type()) {
      case FieldDescriptor::TYPE_BOOL:
        return {{"type", "boolean"}, {"default", false}};
      case FieldDescriptor::TYPE_STRING: {
        Json out = {{"type", "string"}};
        if (is_required(field)) out["minLength"] = 1;
        return out;
      }
      case FieldDescriptor::TYPE_BYTES:
        return {{"type", "string"}, {"contentEncoding", "base64"}};
      default:
        return numeric(field);
    }
  }

  static Json numeric(const FieldDescriptor* field) {
    const auto kind = field->cpp_type();
    const bool is_real = kind == FieldDescriptor::CPPTYPE_DOUBLE || kind == FieldDescriptor::CPPTYPE_FLOAT;
    const bool is_long = kind == FieldDescriptor::CPPTYPE_INT64 || kind == FieldDescriptor::CPPTYPE_UINT64;
    Json out = {{"type", is_real ? "number" : "integer"}};
    if (const v1::Quantity* quantity = quantity_of(field)) range(out, *quantity);
    if (is_long) return any_of(std::move(out), {{"type", "string"}, {"pattern", "^-?[0-9]+$"}});
    const bool is_result = field->file() == v1::Run::descriptor()->file();
    if (!is_real || !is_result) return out;
    return any_of(std::move(out), {{"enum", Json::array({"NaN", "Infinity", "-Infinity"})}});
  }

  static void range(Json& out, const v1::Quantity& quantity) {
    out["minimum"] = number(quantity.minimum());
    out["maximum"] = number(quantity.maximum());
  }

  static void unit(Json& out, const v1::Quantity& quantity) {
    out["x-unit"] = quantity.unit();
    if (quantity.has_default_value()) out["default"] = number(quantity.default_value());
    if (quantity.has_typical()) out["examples"] = Json::array({number(quantity.typical())});
  }

  static Json axis(const v1::Quantity& quantity) {
    Json out = {{"type", "number"}};
    range(out, quantity);
    unit(out, quantity);
    return out;
  }

  static Json curve(const v1::CurveAxes& axes) {
    Json point = object_of({{"x", axis(axes.x())}, {"y", axis(axes.y())}}, Json::array({"x", "y"}));
    Json points = {{"type", "array"}, {"description", "Support points in strictly rising x."}};
    points["minItems"] = 1;
    points["maxItems"] = kMostCurvePoints;
    points["items"] = std::move(point);
    Json out = object_of({{"points", std::move(points)}}, Json::array({"points"}));
    describe_with(out, axes.meaning());
    if (axes.monotonicity() == v1::MONOTONICITY_NON_DECREASING) out["x-order"] = "y must not fall";
    if (axes.monotonicity() == v1::MONOTONICITY_NON_INCREASING) out["x-order"] = "y must not rise";
    return out;
  }

  Json definitions_ = Json::object();
  std::set<const Descriptor*> seen_;
};

}  // namespace

std::string json_schema(const Descriptor* type) {
  return Writer().document(type).dump(2) + "\n";
}

}  // namespace brakeward::document
