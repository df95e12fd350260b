#include <cstdio>

#include "app/command.h"
#include "document/fault.h"
#include "recording/recording.h"
#include "scenario/library.h"

namespace brakeward::app {
namespace {

struct ImportOptions {
  std::string file, map;
  std::optional<double> deceleration_mps2, pressure_bar, pedal_n, hand_mm;
  recording::StopRule rule;
};

int run_import(const ImportOptions& o) {
  document::Faults faults;
  const auto map = scenario::load_document<v1::ChannelMap>(o.map, faults);
  if (faults.empty()) scenario::check_channel_map(map.message, o.map, "", faults);
  if (!faults.empty()) return report_failure(faults.status());
  const auto log = recording::read_csv(o.file, scenario::channel_map_of(map.message));
  if (!log.ok()) return report_failure(log.status());
  for (const auto& repair : log->repairs) std::fprintf(stderr, "note: %s\n", repair.text.c_str());
  recording::StopRule rule = o.rule;
  const auto scaled = [](const std::optional<double>& x, double factor) {
    return x ? std::optional<double>(*x * factor) : std::nullopt;
  };
  rule.deceleration_mps2 = o.deceleration_mps2;
  rule.pressure_pa = scaled(o.pressure_bar, 1e5);
  rule.pedal_n = o.pedal_n;
  rule.hand_m = scaled(o.hand_mm, 1e-3);
  const bool none = !rule.deceleration_mps2 && !rule.pressure_pa && !rule.pedal_n && !rule.hand_m;
  if (none) rule.deceleration_mps2 = 2.0;
  const auto stops = recording::find_stops(*log, rule);
  if (!stops.ok()) return report_failure(stops.status());
  print(recording::format_stops(*log, *stops));
  return kPass;
}

}  // namespace

void add_import(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand("import", "read a log through a channel map and cut it into stops");
  auto o = std::make_shared<ImportOptions>();
  command->add_option("file", o->file, "CSV log")->required()->check(a_name());
  command->add_option("--map", o->map, "ChannelMap document: their columns to our signals")
      ->required()
      ->check(a_name());
  command->add_option("--deceleration", o->deceleration_mps2,
                      "a stop is where deceleration exceeds this, m/s^2 (2 when no threshold is given)");
  command->add_option("--pressure", o->pressure_bar, "or front pressure exceeds this, bar");
  command->add_option("--pedal", o->pedal_n, "or pedal force exceeds this, N");
  command->add_option("--hand", o->hand_mm, "or hand control travel exceeds this, mm");
  command->add_option("--shortest", o->rule.shortest_s, "drop shorter stops, s")->capture_default_str();
  command->add_option("--merge", o->rule.merge_s, "join stops closer than this, s")->capture_default_str();
  command->add_option("--padding", o->rule.padding_s, "time kept before and after, s")->capture_default_str();
  command->callback([o, exit_code] { *exit_code = run_import(*o); });
}

}  // namespace brakeward::app
