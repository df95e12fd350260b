#include "metrics/declarations.h"

#include <cstdlib>
#include <iterator>

#include "math/check.h"
#include "verdict/run.h"

namespace brakeward::metrics {
namespace {

using verdict::RunState;
using verdict::Verdict;

constexpr std::string_view kCodeWords[] = {
    "OK",        "CANCELLED",      "UNKNOWN",           "INVALID_ARGUMENT",   "DEADLINE_EXCEEDED",
    "NOT_FOUND", "ALREADY_EXISTS", "PERMISSION_DENIED", "RESOURCE_EXHAUSTED", "FAILED_PRECONDITION",
    "ABORTED",   "OUT_OF_RANGE",   "UNIMPLEMENTED",     "INTERNAL",           "UNAVAILABLE",
    "DATA_LOSS", "UNAUTHENTICATED"};

constexpr std::string_view kStoreOperations[] = {
    "open",         "put_run",        "get_run",   "list_runs",   "newest_of_builds",
    "anchor_build", "count_runs",     "put_event", "list_events", "put_baseline",
    "get_baseline", "list_baselines", "checkpoint"};

constexpr UnitFamily kUnitFamilies[] = {
    {"m", "brakeward_distance_meters", "brakeward_distance_meters_baseline", 1, 1},
    {"m/s", "brakeward_speed_meters_per_second", "brakeward_speed_meters_per_second_baseline", 1, 1},
    {"m/s^2", "brakeward_deceleration_meters_per_second_squared",
     "brakeward_deceleration_meters_per_second_squared_baseline", 1, 1},
    {"s", "brakeward_delay_seconds", "brakeward_delay_seconds_baseline", 1, 1},
    {"ms", "brakeward_delay_seconds", "brakeward_delay_seconds_baseline", 1, 1000},
    {"%", "brakeward_share_ratio", "brakeward_share_ratio_baseline", 1, 100},
    {"m/s^3", "brakeward_jerk_meters_per_second_cubed", "brakeward_jerk_meters_per_second_cubed_baseline", 1,
     1},
    {"bar/s", "brakeward_pressure_rate_pascals_per_second",
     "brakeward_pressure_rate_pascals_per_second_baseline", 1e5, 1},
    {"N m", "brakeward_moment_newton_meters", "brakeward_moment_newton_meters_baseline", 1, 1},
    {"bar", "brakeward_pressure_pascals", "brakeward_pressure_pascals_baseline", 1e5, 1},
    {"degC", "brakeward_temperature_celsius", "brakeward_temperature_celsius_baseline", 1, 1},
    {"mm", "brakeward_travel_meters", "brakeward_travel_meters_baseline", 1, 1000},
    {"N", "brakeward_force_newtons", "brakeward_force_newtons_baseline", 1, 1},
    {"mm s", "brakeward_accumulated_travel_meter_seconds",
     "brakeward_accumulated_travel_meter_seconds_baseline", 1, 1000},
    {"N s", "brakeward_accumulated_force_newton_seconds",
     "brakeward_accumulated_force_newton_seconds_baseline", 1, 1},
    {"mm s/MJ", "brakeward_travel_effort_seconds_per_newton",
     "brakeward_travel_effort_seconds_per_newton_baseline", 1, 1e9},
    {"N s/MJ", "brakeward_force_effort_seconds_per_meter",
     "brakeward_force_effort_seconds_per_meter_baseline", 1, 1e6},
    {"m/s^2/mm", "brakeward_travel_gain_per_second_squared",
     "brakeward_travel_gain_per_second_squared_baseline", 1000, 1},
    {"m/s^2/N", "brakeward_force_gain_per_gram", "brakeward_force_gain_per_gram_baseline", 1, 1000},
    {"K", "brakeward_temperature_margin_kelvins", "brakeward_temperature_margin_kelvins_baseline", 1, 1},
    {"kJ", "brakeward_work_joules", "brakeward_work_joules_baseline", 1e3, 1},
    {"mm^3", "brakeward_wear_cubic_meters", "brakeward_wear_cubic_meters_baseline", 1, 1e9},
};

using Words = std::vector<std::string_view>;

Words verdict_words() {
  return {word(Verdict::kNone), word(Verdict::kPass), word(Verdict::kInconclusive), word(Verdict::kFail),
          word(Verdict::kError)};
}

Words with_other(std::span<const std::string_view> words) {
  Words all(words.begin(), words.end());
  all.push_back(kOther);
  return all;
}

// One family per unit, of the builds and of their baselines alike.
MetricDeclaration measured(std::string_view name, std::string_view unit, std::string_view help) {
  return {name,
          MetricType::kGauge,
          unit,
          help,
          {{"library", {}}, {"build", {}}, {"scenario", {}}, {"measure", {}}},
          {}};
}

std::vector<MetricDeclaration> make_service() {
  // From a small call on a warm cache to a campaign.
  const std::vector<double> rpc_buckets = {0.001, 0.003, 0.01, 0.03, 0.1, 0.3, 1, 3, 10, 30, 100, 300};
  const std::vector<double> run_buckets = {0.03, 0.1, 0.3, 1, 3, 10, 30, 100, 300, 1000};
  const LabelDeclaration verdicts{"verdict", verdict_words()};
  const LabelDeclaration ends{
      "state", {word(RunState::kCompleted), word(RunState::kCancelled), word(RunState::kAborted)}};
  const LabelDeclaration method{"method", {}};
  return {
      {"brakeward_build_info",
       MetricType::kGauge,
       "",
       "Always 1; version of the program and of its numerics.",
       {{"version", {}}, {"numerics", {}}},
       {}},
      {"brakeward_replayed_seconds_total",
       MetricType::kCounter,
       "seconds",
       "Driving time that went through the model.",
       {},
       {}},
      {"brakeward_replays_total",
       MetricType::kCounter,
       "",
       "Scenarios replayed, by verdict.",
       {verdicts},
       {}},
      {"brakeward_rpc_duration_seconds",
       MetricType::kHistogram,
       "seconds",
       "Time from accepting a call to its final status.",
       {method},
       rpc_buckets},
      {"brakeward_rpc_requests_total",
       MetricType::kCounter,
       "",
       "Calls ended, by their final status.",
       {method, {"code", Words(std::begin(kCodeWords), std::end(kCodeWords))}},
       {}},
      {"brakeward_run_duration_seconds",
       MetricType::kHistogram,
       "seconds",
       "Time from starting a run to its end, waiting not counted.",
       {},
       run_buckets},
      {"brakeward_runs",
       MetricType::kGauge,
       "",
       "Runs waiting and runs being replayed.",
       {{"state", {"queued", "running"}}},
       {}},
      {"brakeward_runs_finished_total",
       MetricType::kCounter,
       "",
       "Runs ended, by the state of the machinery and the verdict on the brakes.",
       {ends, verdicts},
       {}},
      {"brakeward_store_errors_total",
       MetricType::kCounter,
       "",
       "Operations of the store that failed.",
       {{"operation", with_other(kStoreOperations)}},
       {}},
  };
}

std::vector<MetricDeclaration> make_results() {
  const LabelDeclaration library{"library", {}}, build{"build", {}}, measure{"measure", {}};
  return {
      measured("brakeward_accumulated_force_newton_seconds", "newton seconds",
               "Forces on the pedal over time of an event build."),
      measured("brakeward_accumulated_force_newton_seconds_baseline", "newton seconds",
               "Forces on the pedal over time of the baseline the build was compared with."),
      measured("brakeward_accumulated_travel_meter_seconds", "meter seconds",
               "Travels of the hand control over time of an event build."),
      measured("brakeward_accumulated_travel_meter_seconds_baseline", "meter seconds",
               "Travels of the hand control over time of the baseline the build was compared with."),
      measured("brakeward_deceleration_meters_per_second_squared", "meters per second squared",
               "Decelerations of an event build, positive when slowing."),
      measured("brakeward_deceleration_meters_per_second_squared_baseline", "meters per second squared",
               "Decelerations of the baseline the build was compared with."),
      measured("brakeward_delay_seconds", "seconds", "Delays and times of an event build."),
      measured("brakeward_delay_seconds_baseline", "seconds",
               "Delays and times of the baseline the build was compared with."),
      measured("brakeward_distance_meters", "meters", "Distances of an event build."),
      measured("brakeward_distance_meters_baseline", "meters",
               "Distances of the baseline the build was compared with."),
      {"brakeward_drift_builds_not_compared",
       MetricType::kGauge,
       "",
       "Event builds without a drift: made with another vehicle or numerics version than the oldest one.",
       {library},
       {}},
      {"brakeward_drift_ratio",
       MetricType::kGauge,
       "ratio",
       "Largest change for the worse since the oldest event build, over the change allowed to this build.",
       {library, build, measure},
       {}},
      measured("brakeward_force_effort_seconds_per_meter", "seconds per meter",
               "Forces on the pedal over time, per brake work, of an event build."),
      measured("brakeward_force_effort_seconds_per_meter_baseline", "seconds per meter",
               "Forces on the pedal over time, per brake work, of the baseline the build was compared with."),
      measured("brakeward_force_gain_per_gram", "per gram",
               "Decelerations over forces, as slopes, of an event build."),
      measured("brakeward_force_gain_per_gram_baseline", "per gram",
               "Decelerations over forces, as slopes, of the baseline the build was compared with."),
      measured("brakeward_force_newtons", "newtons", "Forces of an event build."),
      measured("brakeward_force_newtons_baseline", "newtons",
               "Forces of the baseline the build was compared with."),
      measured("brakeward_jerk_meters_per_second_cubed", "meters per second cubed",
               "Changes of deceleration over time of an event build."),
      measured("brakeward_jerk_meters_per_second_cubed_baseline", "meters per second cubed",
               "Changes of deceleration over time of the baseline the build was compared with."),
      measured("brakeward_moment_newton_meters", "newton meters", "Yaw moments of an event build."),
      measured("brakeward_moment_newton_meters_baseline", "newton meters",
               "Yaw moments of the baseline the build was compared with."),
      measured("brakeward_pressure_pascals", "pascals", "Brake pressures of an event build."),
      measured("brakeward_pressure_pascals_baseline", "pascals",
               "Brake pressures of the baseline the build was compared with."),
      measured("brakeward_pressure_rate_pascals_per_second", "pascals per second",
               "Pressures over time of an event build."),
      measured("brakeward_pressure_rate_pascals_per_second_baseline", "pascals per second",
               "Pressures over time of the baseline the build was compared with."),
      {"brakeward_result_series_cut",
       MetricType::kGauge,
       "",
       "Series of an event build that are not on this page because it holds as many as it may.",
       {library, build},
       {}},
      measured("brakeward_share_ratio", "ratio", "Shares of an event build."),
      measured("brakeward_share_ratio_baseline", "ratio",
               "Shares of the baseline the build was compared with."),
      measured("brakeward_speed_meters_per_second", "meters per second", "Speeds of an event build."),
      measured("brakeward_speed_meters_per_second_baseline", "meters per second",
               "Speeds of the baseline the build was compared with."),
      measured("brakeward_temperature_celsius", "celsius", "Temperatures of an event build."),
      measured("brakeward_temperature_celsius_baseline", "celsius",
               "Temperatures of the baseline the build was compared with."),
      measured("brakeward_temperature_margin_kelvins", "kelvins",
               "Margins of temperature of an event build."),
      measured("brakeward_temperature_margin_kelvins_baseline", "kelvins",
               "Margins of temperature of the baseline the build was compared with."),
      measured(
          "brakeward_tolerance_used_ratio", "ratio",
          "Change for the worse from the baseline over the allowed change; negative when better, 1e12 when "
          "nothing was allowed."),
      measured("brakeward_travel_effort_seconds_per_newton", "seconds per newton",
               "Travels of the hand control over time, per brake work, of an event build."),
      measured(
          "brakeward_travel_effort_seconds_per_newton_baseline", "seconds per newton",
          "Travels of the hand control over time, per brake work, of the baseline the build was compared "
          "with."),
      measured("brakeward_travel_gain_per_second_squared", "per second squared",
               "Decelerations over travels, as slopes, of an event build."),
      measured("brakeward_travel_gain_per_second_squared_baseline", "per second squared",
               "Decelerations over travels, as slopes, of the baseline the build was compared with."),
      measured("brakeward_travel_meters", "meters", "Travels of the hand control of an event build."),
      measured("brakeward_travel_meters_baseline", "meters",
               "Travels of the hand control of the baseline the build was compared with."),
      {"brakeward_verdict",
       MetricType::kStateSet,
       "",
       "1 for the verdict on an event build, 0 for the others.",
       {library, build, {"verdict", verdict_words()}},
       {}},
      measured("brakeward_wear_cubic_meters", "cubic meters", "Volumes worn off pads of an event build."),
      measured("brakeward_wear_cubic_meters_baseline", "cubic meters",
               "Volumes worn off pads of the baseline the build was compared with."),
      measured("brakeward_work_joules", "joules",
               "Work of the brakes, or energy recovered, of an event build."),
      measured("brakeward_work_joules_baseline", "joules",
               "Work of the brakes, or energy recovered, of the baseline the build was compared with."),
  };
}

}  // namespace

std::string_view word(MetricType type) {
  switch (type) {
    case MetricType::kCounter:
      return "counter";
    case MetricType::kGauge:
      return "gauge";
    case MetricType::kHistogram:
      return "histogram";
    case MetricType::kStateSet:
      return "state set";
  }
  return "";
}

const std::vector<MetricDeclaration>& service_declarations() {
  static const auto& list = *new std::vector<MetricDeclaration>(make_service());
  return list;
}

const std::vector<MetricDeclaration>& result_declarations() {
  static const auto& list = *new std::vector<MetricDeclaration>(make_results());
  return list;
}

const MetricDeclaration& declaration(std::string_view name) {
  for (const auto* list : {&service_declarations(), &result_declarations()}) {
    for (const MetricDeclaration& metric : *list) {
      if (metric.name == name) return metric;
    }
  }
  math::check(false, "a metric that is not declared was asked for");
  std::abort();
}

std::span<const UnitFamily> unit_families() {
  return kUnitFamilies;
}

const UnitFamily* find_unit_family(std::string_view unit) {
  for (const UnitFamily& family : kUnitFamilies) {
    if (family.unit == unit) return &family;
  }
  return nullptr;
}

std::span<const std::string_view> rpc_code_words() {
  return kCodeWords;
}

std::span<const std::string_view> store_operations() {
  return kStoreOperations;
}

}  // namespace brakeward::metrics
