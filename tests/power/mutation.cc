#include "power/mutation.h"

#include <cmath>
#include <cstring>

#include "document/document.h"

namespace brakeward::power {
namespace {

using google::protobuf::FieldDescriptor;
using google::protobuf::Message;

// Effect sizes, stated before anything was run: the smallest change of a field that a check should not let
// pass, by the unit of the field, and by its name where that says more. What a calibration engineer would
// call a change worth a remark in the log (common practice, no source).
struct Effect {
  const char* name;  // of the field, or null for every field of the unit
  const char* unit;
  double relative, absolute;
};
constexpr Effect kEffects[] = {
    {"zero_volts", "V", 0, 0.08},    // 0.8 to 1 mm of travel, 16 to 20 N
    {"front_percent", "%", 0, 1.5},  // one and a half steps of the selector
    {"speed_trim", "%", 0, 1.5},     //
    {"demand_trim", "%", 0, 1.5},    //
    {"least_factor_percent", "%", 0, 20},
    {"limited_demand_percent", "%", 0, 15},
    {"demand_limit_bar", "bar", 0.15, 0},
    {"feel", "bar", 0.10, 0},     // of the pressure at a point of the curve
    {nullptr, "%", 0, 4},         // slip
    {nullptr, "V", 0, 0.2},       // voltages out of range
    {nullptr, "mm/V", 0.05, 0},   //
    {nullptr, "N/V", 0.05, 0},    //
    {nullptr, "mm", 0, 0.8},      //
    {nullptr, "N", 0, 12},        //
    {nullptr, "Hz", 0.40, 0},     //
    {nullptr, "bar/s", 0.25, 0},  //
    {nullptr, "bar", 0.50, 0},    // prefill, integral limit
    {nullptr, "ms", 0.50, 0},     //
    {nullptr, "1", 0.50, 0},      // gains
    {nullptr, "1/s", 0.50, 0},    //
    {nullptr, "km/h", 0.50, 0},   //
    {nullptr, "m/s^2", 0.30, 0},  //
};
constexpr double kAnyOther = 0.40;  // relative

double effect_of(const FieldDescriptor* field, const std::string& unit, double value) {
  for (const Effect& e : kEffects)
    if (unit == e.unit && (e.name == nullptr || field->name() == e.name))
      return e.absolute > 0 ? e.absolute : e.relative * std::fabs(value);
  return kAnyOther * std::fabs(value);
}

struct Number {
  std::string address;
  double value, effect;
};

void add_numbers(const Message& message, const std::string& prefix, std::vector<Number>& out);

void add_curve(const Message& curve, const FieldDescriptor* field, const std::string& prefix,
               std::vector<Number>& out) {
  const auto& points = dynamic_cast<const v1::Curve&>(curve).points();
  for (int i = 0; i < points.size(); ++i)
    out.push_back({prefix + ".points[" + std::to_string(i) + "].y", points[i].y(),
                   effect_of(field, document::curve_of(field)->y().unit(), points[i].y())});
}

void add_block(const Message& block, const FieldDescriptor* field, const std::string& address,
               std::vector<Number>& out) {
  if (document::curve_of(field))
    add_curve(block, field, address, out);
  else
    add_numbers(block, address, out);
}

void add_numbers(const Message& message, const std::string& prefix, std::vector<Number>& out) {
  const auto* reflection = message.GetReflection();
  for (int f = 0; f < message.GetDescriptor()->field_count(); ++f) {
    const FieldDescriptor* field = message.GetDescriptor()->field(f);
    const std::string address = document::join_address(prefix, field->name());
    const bool block = field->cpp_type() == FieldDescriptor::CPPTYPE_MESSAGE;
    if (field->is_repeated() && block) {
      const auto labels = document::item_labels(message, field);
      for (size_t i = 0; i < labels.size(); ++i)
        add_block(reflection->GetRepeatedMessage(message, field, static_cast<int>(i)), field,
                  address + labels[i], out);
    } else if (!field->is_repeated() && reflection->HasField(message, field)) {
      if (block) {
        add_block(reflection->GetMessage(message, field), field, address, out);
      } else if (field->cpp_type() == FieldDescriptor::CPPTYPE_DOUBLE) {
        const double value = reflection->GetDouble(message, field);
        const auto* quantity = document::quantity_of(field);
        out.push_back({address, value, effect_of(field, quantity ? quantity->unit() : "", value)});
      }
    }
  }
}

Mutation mutated(const v1::Calibration& calibration, const Number& number, double change) {
  Mutation m{number.address, number.value, number.value + change, "", calibration};
  const auto spot = document::find_spot(&m.calibration, number.address);
  if (!spot.ok()) {
    m.refused = std::string(spot.status().message());
    return m;
  }
  spot->holder->GetReflection()->SetDouble(spot->holder, spot->field, m.after);
  m.refused = document::check(m.calibration).render();
  return m;
}

}  // namespace

std::vector<Mutation> mutations_of(const v1::Calibration& calibration, double share) {
  std::vector<Number> numbers;
  add_numbers(calibration, "", numbers);
  std::vector<Mutation> out;
  for (const Number& n : numbers) {
    if (n.effect == 0) continue;
    for (const double sign : {1.0, -1.0}) out.push_back(mutated(calibration, n, sign * share * n.effect));
  }
  return out;
}

}  // namespace brakeward::power
