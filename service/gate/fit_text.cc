#include <cstdio>

#include "gate/fit.h"
#include "gate/put_line.h"

namespace brakeward::gate {
namespace {

constexpr double kPercent = 100;

void put_head(std::string& out, const FitReport& r) {
  put_line(out, "Brake gain on logged stops: library %s, %zu stops", r.library.c_str(), r.stops.size());
  out += '\n';
  put_line(out,
           "Only a factor on the pad friction of both axles is fitted; the rest of the car is estimated "
           "beforehand.");
  put_line(out, "Assumed lag from pressure to deceleration, as logged: %.0f ms.", r.lag_s * 1e3);
  put_line(out, "Gain on all stops %.4f, %.4f to %.4f with one group left out; speed residual %.2f m/s rms.",
           r.gain, r.gain_lowest, r.gain_highest, r.speed_residual);
  out += '\n';
  put_line(out,
           "Every stop is predicted by fits that never saw its group. Errors over the straight braked part, "
           "signed,");
  put_line(out, "in %% of the recorded: + drops too much speed, + travels too far.%s",
           r.lateral_logged ? "" : " No lateral acceleration is logged:");
  if (!r.lateral_logged) put_line(out, "the part is told by pressure within the scenario's stretch alone.");
  out += '\n';
}

void put_errors(std::string& out, const char* name, const char* facts, const double (&e)[6]) {
  put_line(out, "%-22s %36s %7.1f %7.1f %7.1f  %7.1f %7.1f %7.1f", name, facts, e[0], e[1], e[2], e[3], e[4],
           e[5]);
}

void put_stops(std::string& out, const FitReport& r) {
  put_line(out, "%-22s %36s %23s  %23s", "", "", "speed drop error, %", "distance error, %");
  put_line(out, "%-22s %36s %7s %7s %7s  %7s %7s %7s", "stop", "from    drop  distance   peak   gain",
           "engine", "line", "const", "engine", "line", "const");
  put_line(out, "%-22s %36s", "", "km/h    km/h         m    bar       ");
  for (const auto& s : r.stops) {
    char facts[64];
    std::snprintf(facts, sizeof facts, "%6.1f %7.1f %9.1f %6.1f %6.3f", s.entry_speed_mps * 3.6,
                  s.speed_drop_mps * 3.6, s.distance_m, s.peak_pressure_bar, s.gain);
    put_errors(out, s.scenario.substr(0, 22).c_str(), facts,
               {s.model.speed_drop_error * kPercent, s.line.speed_drop_error * kPercent,
                s.constant.speed_drop_error * kPercent, s.model.distance_error * kPercent,
                s.line.distance_error * kPercent, s.constant.distance_error * kPercent});
  }
  const PredictorSummary* who[] = {&r.model, &r.line, &r.constant};
  const auto row = [&](const char* name, auto drop, auto distance) {
    double e[6];
    for (int i = 0; i < 3; ++i) {
      e[i] = drop(*who[i]) * kPercent;
      e[3 + i] = distance(*who[i]) * kPercent;
    }
    put_errors(out, name, "", e);
  };
  row(
      "median of size", [](auto& p) { return p.speed_drop.median; },
      [](auto& p) { return p.distance.median; });
  row(
      "90th percentile", [](auto& p) { return p.speed_drop.p90; }, [](auto& p) { return p.distance.p90; });
  row(
      "mean, signed", [](auto& p) { return p.speed_drop_bias; }, [](auto& p) { return p.distance_bias; });
  out += '\n';
}

void put_claim(std::string& out, const char* what, const char* other, const PairedGain& g, size_t stops) {
  const char* verdict = g.proven()    ? "an improvement"
                        : g.refuted() ? "the engine is worse"
                                      : "no improvement is shown";
  put_line(out, "%-10s against the %-8s nearer by %+6.2f +- %4.2f points, in %d of %zu stops: %s.", what,
           other, g.mean * kPercent, g.standard_error * kPercent, g.stops_nearer, stops, verdict);
}

void put_claims(std::string& out, const FitReport& r) {
  const size_t n = r.stops.size();
  put_line(
      out,
      "Is the engine nearer? Mean paired difference of the sizes of the errors +- its standard error; only");
  put_line(out, "beyond %.0f standard errors is it called one (stops taken as independent, which flatters).",
           PairedGain::kProof);
  put_claim(out, "speed drop", "line", r.drop_over_line, n);
  put_claim(out, "speed drop", "constant", r.drop_over_constant, n);
  put_claim(out, "distance", "line", r.distance_over_line, n);
  put_claim(out, "distance", "constant", r.distance_over_constant, n);
}

constexpr char kRow[] = "%-18s %7s  %14s %13s  %14s %13s  %16s";

std::string sizes(const ErrorSummary& e) {
  char text[32];
  std::snprintf(text, sizeof text, "%.1f / %.1f", e.median * kPercent, e.p90 * kPercent);
  return text;
}

void put_sensitivity(std::string& out, const FitReport& r) {
  if (r.sensitivity.empty()) return;
  out += '\n';
  put_line(
      out,
      "Under other assumptions, all fits made again. Sizes of the errors in %%, median / 90th percentile;");
  put_line(out,
           "last, how much nearer than the line the engine's speed drop comes, in points +- standard error:");
  put_line(out, kRow, "", "", "engine,", "engine,", "line,", "line,", "engine nearer");
  put_line(out, kRow, "assumption", "gain", "speed drop", "distance", "speed drop", "distance",
           "than the line");
  for (const auto& s : r.sensitivity) {
    if (!s.fitted) {
      put_line(out, "%-18s no fit: %.80s", s.assumption.c_str(), s.reason.c_str());
      continue;
    }
    char gain[16], nearer[32];
    std::snprintf(gain, sizeof gain, "%.4f", s.gain);
    std::snprintf(nearer, sizeof nearer, "%+.2f +- %.2f", s.drop_over_line.mean * kPercent,
                  s.drop_over_line.standard_error * kPercent);
    put_line(out, kRow, s.assumption.c_str(), gain, sizes(s.model.speed_drop).c_str(),
             sizes(s.model.distance).c_str(), sizes(s.line.speed_drop).c_str(),
             sizes(s.line.distance).c_str(), nearer);
  }
}

}  // namespace

std::string render(const FitReport& report) {
  std::string out;
  put_head(out, report);
  put_stops(out, report);
  put_claims(out, report);
  put_sensitivity(out, report);
  return out;
}

}  // namespace brakeward::gate
