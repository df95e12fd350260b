#include "report/junit.h"

#include <vector>

#include "document/text.h"
#include "report/order.h"
#include "report/summary.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::MeasureResult;
using verdict::Run;
using verdict::ScenarioResult;
using verdict::Verdict;

struct Case {
  std::string name;
  Verdict verdict;
  std::string reason;
  std::string details;
};

struct Suite {
  std::string name;
  std::string scenario_class;
  std::vector<Case> cases;
};

struct Counts {
  int tests = 0, failures = 0, errors = 0, skipped = 0;

  void add(const Case& c) {
    ++tests;
    failures += c.verdict == Verdict::kFail;
    errors += c.verdict == Verdict::kError;
    skipped += c.verdict == Verdict::kNone || c.verdict == Verdict::kInconclusive;
  }
};

// Escapes for element text and for attributes alike; ']]>' needs no more than '>' escaped.
std::string escape(std::string_view text) {
  std::string result;
  for (const char c : document::clean(text, /*keep_space=*/true)) {
    switch (c) {
      case '&':
        result += "&amp;";
        break;
      case '<':
        result += "&lt;";
        break;
      case '>':
        result += "&gt;";
        break;
      case '"':
        result += "&quot;";
        break;
      case '\'':
        result += "&apos;";
        break;
      case '\t':
      case '\n':
      case '\r':
        verdict::append(result, "&#", static_cast<int>(c), ";");
        break;
      default:
        result += c;
    }
  }
  return result;
}

std::string attribute(std::string_view name, std::string_view value) {
  return verdict::concat(" ", name, "=\"", escape(value), "\"");
}

std::string counts_attributes(const Counts& c, bool with_skipped) {
  std::string text =
      verdict::concat(" tests=\"", c.tests, "\" failures=\"", c.failures, "\" errors=\"", c.errors, "\"");
  if (with_skipped) verdict::append(text, " skipped=\"", c.skipped, "\"");
  return text;
}

std::string details_of(const MeasureResult& m) {
  const MeasureForm form = form_of(m.measure);
  std::string text;
  const auto add = [&](std::string_view label, const std::optional<double>& x) {
    if (!x) return;
    verdict::append(text, text.empty() ? "" : ", ", label, " ",
                    verdict::with_unit(verdict::format_number(*x, form.decimals), form.unit));
  };
  add("value", m.value);
  add("baseline", m.baseline);
  if (m.tolerance_used) {
    verdict::append(text, text.empty() ? "" : ", ", "tolerance used ",
                    verdict::format_share(*m.tolerance_used));
  }
  return text;
}

// The fault's own, else those of its gravest measures.
std::string reason_of(const verdict::FaultResult& f) {
  std::string text = f.reason;
  for (const MeasureResult& m : f.measures)
    if (m.verdict == f.verdict && !m.reason.empty())
      verdict::append(text, text.empty() ? "" : "; ", m.reason);
  return text;
}

Suite suite_of(const ScenarioResult& s) {
  Suite suite{s.scenario, s.scenario_class, {}};
  for (const MeasureResult* m : ordered_measures(s)) {
    suite.cases.push_back({m->measure, m->verdict, m->reason, details_of(*m)});
  }
  if (s.campaign)
    for (const verdict::FaultResult& f : s.campaign->faults)
      suite.cases.push_back({verdict::concat("fault ", f.fault), f.verdict, reason_of(f),
                             verdict::concat(f.replays, " replays, the worst of them ", f.worst_replay)});
  if (is_graver_than_measures(s)) {
    suite.cases.insert(suite.cases.begin(), Case{"scenario", s.verdict, s.reason, ""});
  }
  return suite;
}

std::vector<Suite> suites_of(const Run& run) {
  std::vector<Suite> suites;
  Verdict gravest = Verdict::kNone;
  for (const ScenarioResult* s : ordered_scenarios(run)) {
    suites.push_back(suite_of(*s));
    gravest = worst(gravest, s->verdict);
  }
  if (run.verdict > gravest || run.scenarios.empty()) {
    const std::string reason =
        verdict::concat("the run was ", word(run.state), " with ", run.scenarios.size(), " scenarios");
    suites.insert(suites.begin(), Suite{"run", "", {Case{"run", run.verdict, reason, ""}}});
  }
  return suites;
}

std::string message_of(const Case& c) {
  const std::string reason = c.reason.empty() ? "no reason given" : c.reason;
  return c.verdict == Verdict::kInconclusive ? verdict::concat("inconclusive: ", reason) : reason;
}

std::string case_element(const Case& c, std::string_view classname) {
  const std::string opening =
      verdict::concat("    <testcase", attribute("name", c.name), attribute("classname", classname));
  if (c.verdict == Verdict::kPass) return verdict::concat(opening, "/>\n");
  const std::string message = attribute("message", message_of(c));
  if (c.verdict == Verdict::kNone || c.verdict == Verdict::kInconclusive) {
    return verdict::concat(opening, ">\n      <skipped", message, "/>\n    </testcase>\n");
  }
  const std::string_view tag = c.verdict == Verdict::kFail ? "failure" : "error";
  const std::string body =
      c.details.empty() ? message_of(c) : verdict::concat(message_of(c), "\n", c.details);
  return verdict::concat(opening, ">\n      <", tag, attribute("type", word(c.verdict)), message, ">",
                         escape(body), "</", tag, ">\n    </testcase>\n");
}

std::string property(std::string_view name, std::string_view value) {
  if (value.empty()) return "";
  return verdict::concat("      <property", attribute("name", name), attribute("value", value), "/>\n");
}

std::string properties_element(const Run& run, const Suite& suite) {
  return verdict::concat(
      "    <properties>\n", property("scenario_class", suite.scenario_class),
      property("calibration_name", run.calibration_name),
      property("calibration_sha256", run.calibration_sha256), property("vehicle_name", run.vehicle_name),
      property("vehicle_sha256", run.vehicle_sha256), property("library_name", run.library_name),
      property("tier", run.tier ? word(*run.tier) : ""),
      property("baseline_event_build", run.baseline_event_build),
      property("baseline_approval", run.baseline_proposed_only ? kProposedOnly : ""),
      property("numerics_version", verdict::concat(run.numerics_version)), property("state", word(run.state)),
      property("verdict", word(run.verdict)), property("result_sha256", run.result_sha256),
      property("caution", verdict::caution()), "    </properties>\n");
}

std::string suite_element(const Run& run, const Suite& suite, std::string_view timestamp) {
  Counts counts;
  for (const Case& c : suite.cases) counts.add(c);
  std::string text =
      verdict::concat("  <testsuite", attribute("name", suite.name), counts_attributes(counts, true));
  if (!timestamp.empty()) text += attribute("timestamp", timestamp);
  verdict::append(text, ">\n", properties_element(run, suite));
  const std::string classname = verdict::concat(run.library_name, ".", suite.name);
  for (const Case& c : suite.cases) text += case_element(c, classname);
  return text + "  </testsuite>\n";
}

}  // namespace

std::string render_junit(const Run& run, std::string_view timestamp) {
  const std::vector<Suite> suites = suites_of(run);
  Counts counts;
  for (const Suite& suite : suites) {
    for (const Case& c : suite.cases) counts.add(c);
  }
  std::string text = verdict::concat("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites",
                                     attribute("name", run.library_name), counts_attributes(counts, false),
                                     attribute("time", verdict::format_number(run.duration_s, 3)), ">\n");
  for (const Suite& suite : suites) text += suite_element(run, suite, timestamp);
  return text + "</testsuites>\n";
}

}  // namespace brakeward::report
