#include "report/figure_json.h"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "document/text.h"
#include "report/order.h"

namespace brakeward::report {
namespace {

using Json = nlohmann::ordered_json;

constexpr double kLargest = 1e15;  // whole numbers beyond it are no longer exact in a script

constexpr std::string_view kKinds[] = {"input", "reference", "target", "candidate", "baseline", "recording"};

Json differences(const std::vector<double>& values, double step) {
  Json out = Json::array();
  long long before = 0;
  for (const double v : values) {
    const double scaled = v / step;
    if (!(std::fabs(scaled) < kLargest)) {
      out.push_back(nullptr);
      continue;
    }
    const long long now = std::llround(scaled);
    out.push_back(now - before);
    before = now;
  }
  return out;
}

Json times(const std::vector<size_t>& ticks) {
  std::vector<double> rows;
  for (const size_t t : ticks) rows.push_back(static_cast<double>(t + 1));
  return differences(rows, 1);
}

Json panel_json(const Panel& panel) {
  Json json = {{"title", panel.title}, {"unit", panel.unit}, {"step", panel.resolution}};
  if (panel.steps) json["holds"] = true;
  json["lines"] = Json::array();
  for (const Line& line : panel.lines) {
    Json entry = {{"kind", kKinds[static_cast<size_t>(line.kind)]}};
    if (!line.side.empty()) entry["side"] = line.side;
    entry["values"] = differences(line.values, panel.resolution);
    json["lines"].push_back(std::move(entry));
  }
  return json;
}

// When a calibration passed a level: the reference's time and the measured delay.
Json crossing(double reference_s, const std::optional<double>& delay_ms) {
  if (!delay_ms || !std::isfinite(*delay_ms)) return nullptr;
  return std::round((reference_s * 1e3 + *delay_ms) * 10) / 1e4;
}

Json response_json(const Figure& figure, const ResponseLevels& levels,
                   const verdict::ScenarioResult& result) {
  Json json = {{"times", times(figure.response_ticks)}, {"panel", panel_json(figure.response_panel)}};
  json["marks"] = Json::array();
  for (size_t i = 0; i < std::size(kLevelDelays); ++i) {
    const double reference_s = levels.reference_s[i];
    Json mark = {{"percent", kLevelDelays[i].percent},
                 {"level", std::round(levels.level_bar[i] * 1e3) / 1e3}};
    if (reference_s >= 0) {
      mark["reference"] = std::round(reference_s * 1e4) / 1e4;
      if (const auto* m = measure_named(result.measures, kLevelDelays[i].measure); m != nullptr) {
        mark["candidate"] = crossing(reference_s, m->value);
        mark["baseline"] = crossing(reference_s, m->baseline);
      }
    }
    json["marks"].push_back(std::move(mark));
  }
  return json;
}

}  // namespace

std::string figure_json(const Figure& figure, const verdict::ScenarioResult& result) {
  Json json = {{"scenario", document::clean(figure.scenario)},
               {"tick", figure.tick_s},
               {"times", times(figure.ticks)}};
  json["panels"] = Json::array();
  for (const Panel& panel : figure.panels) json["panels"].push_back(panel_json(panel));
  json["faults"] = Json::array();
  for (const FaultSpan& f : figure.faults)
    json["faults"].push_back({{"what", document::clean(f.what)}, {"start", f.start_s}, {"end", f.end_s}});
  if (figure.response) json["response"] = response_json(figure, *figure.response, result);
  return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace brakeward::report
