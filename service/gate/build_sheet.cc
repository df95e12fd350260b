#include "gate/build_sheet.h"

#include <set>

namespace brakeward::gate {
namespace {

template <class Each>
void each_field(const Each& each) {
  const auto* type = v1::BuildSheet::descriptor();
  for (int i = 0; i < type->field_count(); ++i) each(type->field(i));
}

std::string value_of(const v1::BuildSheet& sheet, const google::protobuf::FieldDescriptor* field) {
  return sheet.GetReflection()->GetString(sheet, field);
}

}  // namespace

std::vector<verdict::BuildSheetLine> lines_of(const v1::BuildSheet& sheet) {
  std::vector<verdict::BuildSheetLine> out;
  each_field([&](const auto* field) {
    std::string value = value_of(sheet, field);
    if (!value.empty()) out.push_back({field->name(), std::move(value)});
  });
  return out;
}

v1::BuildSheet to_message(const std::vector<verdict::BuildSheetLine>& lines) {
  v1::BuildSheet out;
  for (const verdict::BuildSheetLine& line : lines)
    if (const auto* field = v1::BuildSheet::descriptor()->FindFieldByName(line.field))
      out.GetReflection()->SetString(&out, field, line.value);
  return out;
}

std::vector<verdict::BuildSheetDifference> differences_of(const Session& session) {
  const v1::BuildSheet& fitted = session.library->vehicle.message.build_sheet();
  std::vector<verdict::BuildSheetDifference> out;
  std::set<std::string> seen;
  for (const auto* scenario : scenarios_of(session)) {
    const std::string& name = scenario->message.recorded().recording();
    const auto* recording = session.library->recording_named(name);
    if (recording == nullptr || !seen.insert(name).second) continue;
    each_field([&](const auto* field) {
      std::string then = value_of(recording->message.build_sheet(), field), now = value_of(fitted, field);
      if (!then.empty() && !now.empty() && then != now)
        out.push_back({name, field->name(), std::move(then), std::move(now)});
    });
  }
  return out;
}

}  // namespace brakeward::gate
