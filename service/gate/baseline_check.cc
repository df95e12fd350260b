#include <functional>
#include <map>
#include <set>

#include "gate/campaign.h"
#include "gate/proposal.h"
#include "gate/session.h"
#include "gate/stint.h"

namespace brakeward::gate {
namespace {

constexpr const char* kRemake = "propose the baseline again with `brakeward baseline propose`";

std::string numerics_fault(const v1::Baseline& b) {
  if (b.numerics_version() == replay::kNumericsVersion) return "";
  return "numerics_version: made by numerics " + std::to_string(b.numerics_version()) +
         ", this program has " + std::to_string(replay::kNumericsVersion) +
         "; values of different numerics are never compared: " + kRemake;
}

std::string vehicle_fault(const v1::Baseline& b, const scenario::Loaded<v1::Vehicle>& vehicle) {
  if (b.vehicle_sha256() == vehicle.sha256) return "";
  return "vehicle_sha256: made with another vehicle (" + short_hash(b.vehicle_sha256()) + ") than " +
         vehicle.file.string() + " (" + short_hash(vehicle.sha256) +
         "); check against the vehicle it was made with, or " + kRemake;
}

std::string calibration_fault(const v1::Baseline& b, bool found) {
  if (found) return "";
  return "calibration_sha256: no calibration of the library has the content " +
         short_hash(b.calibration_sha256()) + " of \"" + b.calibration_name() +
         "\"; list that calibration under calibration_files, or " + kRemake;
}

// What the baseline must hold for the library, by name, and from which content.
struct Wanted {
  std::string sha256;
  std::string file;
  const char* what;  // "the scenario or its recording"
};

std::map<std::string, Wanted> wanted_of(const scenario::Library& lib) {
  std::map<std::string, Wanted> out;
  for (const auto& s : lib.scenarios)
    out[s.message.name()] = {scenario_sha256(lib, s), s.file.string(), "the scenario or its recording"};
  for (const auto& c : lib.campaigns) {
    const Wanted wanted{campaign_sha256(lib, c), c.file.string(), "the campaign or one of its scenarios"};
    out[c.message.name()] = wanted;
    for (const auto& fault : c.message.faults()) out[baseline_name(c.message, fault)] = wanted;
  }
  for (const auto& s : lib.stints)
    out[s.message.name()] = {stint_sha256(lib, s), s.file.string(), "the stint or one of its scenarios"};
  return out;
}

// A document that was changed by hand after it was proposed.
std::string content_fault(const v1::Baseline& b) {
  if (b.content_sha256().empty()) return "";
  const auto content = baseline_content_sha256(b);
  if (!content.ok()) return "content_sha256: " + std::string(content.status().message());
  if (*content == b.content_sha256()) return "";
  return "content_sha256: the document says " + short_hash(b.content_sha256()) + ", its content has " +
         short_hash(*content) + ": something was changed after it was proposed; restore it, or " + kRemake;
}

// What is there twice, and values that are none.
void add_entry_faults(const v1::Baseline& b, const std::function<void(const std::string&)>& add) {
  std::set<std::string> scenarios;
  for (const auto& s : b.scenarios()) {
    const std::string at = "scenarios[\"" + s.scenario() + "\"]";
    if (!scenarios.insert(s.scenario()).second) add(at + ": there twice; keep one");
    std::set<std::string> measures;
    for (const auto& v : s.values()) {
      const std::string value = at + ".values[\"" + v.measure() + "\"]";
      if (!measures.insert(v.measure()).second) add(value + ": there twice; keep one");
      if (v.has_value() == v.never_reached())
        add(value + (v.has_value() ? ": has a value and never_reached; keep one"
                                   : ": neither value nor never_reached; give one"));
    }
  }
}

// Why something of the library is not in the baseline as it is now.
std::string scenario_fault(const scenario::Library& lib, const std::string& name, const Wanted& wanted) {
  const v1::BaselineScenario* b = baseline_scenario(lib, name);
  if (!b) return std::string("the baseline lacks this scenario; ") + kRemake;
  if (b->scenario_sha256() == wanted.sha256) return "";
  return std::string(wanted.what) + " has changed since the baseline was made (" + wanted.file +
         "); restore it, or " + kRemake;
}

}  // namespace

const v1::BaselineScenario* baseline_scenario(const scenario::Library& library, const std::string& name) {
  if (!library.baseline) return nullptr;
  for (const auto& b : library.baseline->message.scenarios())
    if (b.scenario() == name) return &b;
  return nullptr;
}

absl::Status check_approved(const verdict::Run& run, const std::string& library,
                            const std::string& baseline) {
  if (run.baseline_event_build.empty())
    return absl::FailedPreconditionError(
        library +
        ": baseline_file: empty, and an approved baseline is required; name one, or give it with --baseline");
  if (!run.baseline_proposed_only) return absl::OkStatus();
  return absl::FailedPreconditionError(baseline +
                                       ": approved_by: empty, the baseline is proposed only and an approved "
                                       "one is required; approve it with `brakeward baseline approve`");
}

absl::Status check_approved(const Session& s) {
  const auto& baseline = s.library->baseline;
  return check_approved(head_of(s), (s.library->folder / "library.textproto").string(),
                        baseline ? baseline->file.string() : "");
}

absl::Status check_baseline(const Session& s) {
  const auto& baseline = s.library->baseline;
  if (!baseline) return absl::OkStatus();
  const v1::Baseline& b = baseline->message;
  std::string faults;
  const auto add = [&](const std::string& text) {
    if (!text.empty()) faults += baseline->file.string() + ": " + text + "\n";
  };
  const auto add_scenario = [&](const std::string& name, const std::string& text) {
    if (!text.empty()) add("scenarios[\"" + name + "\"]: " + text);
  };
  add(content_fault(b));
  add_entry_faults(b, add);
  add(numerics_fault(b));
  add(vehicle_fault(b, s.library->vehicle));
  add(calibration_fault(b, s.reference != nullptr));
  const auto wanted = wanted_of(*s.library);
  for (const auto& scenario : s.library->scenarios) {
    const std::string& name = scenario.message.name();
    add_scenario(name, scenario_fault(*s.library, name, wanted.at(name)));
  }
  // A campaign that does not fit stands for its faults.
  for (const auto& campaign : s.library->campaigns) {
    const std::string& name = campaign.message.name();
    const std::string fault = scenario_fault(*s.library, name, wanted.at(name));
    add_scenario(name, fault);
    if (!fault.empty()) continue;
    for (const auto& f : campaign.message.faults()) {
      const std::string entry = baseline_name(campaign.message, f);
      add_scenario(entry, scenario_fault(*s.library, entry, wanted.at(entry)));
    }
  }
  for (const auto& stint : s.library->stints) {
    const std::string& name = stint.message.name();
    add_scenario(name, scenario_fault(*s.library, name, wanted.at(name)));
  }
  for (const auto& scenario : b.scenarios())
    if (!wanted.count(scenario.scenario()))
      add_scenario(
          scenario.scenario(),
          std::string("the library no longer has this scenario, so that nothing would judge it; list "
                      "its file under scenario_files, campaign_files or stint_files, or ") +
              kRemake);
  return faults.empty() ? absl::OkStatus() : absl::FailedPreconditionError(faults);
}

}  // namespace brakeward::gate
