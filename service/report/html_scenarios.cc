#include <algorithm>
#include <map>
#include <set>

#include "report/cells.h"
#include "report/figure_json.h"
#include "report/html_parts.h"
#include "report/html_text.h"
#include "report/order.h"
#include "report/summary.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;
using verdict::MeasureResult;
using verdict::Run;
using verdict::ScenarioResult;
using verdict::Verdict;

constexpr size_t kMostOptions = 200;  // more than there are measures or classes
constexpr double kTableShare = 0.7;   // of the room, at most, for tables

std::string options_of(const std::set<std::string>& names) {
  std::string text = "<option value=\"\">all</option>";
  size_t count = 0;
  for (const std::string& name : names)
    if (++count <= kMostOptions)
      append(text, "<option value=\"", html(name, 240), "\">", html(name, 240), "</option>");
  return text;
}

std::string tier_of(const ScenarioResult& s) {
  return s.tier ? word(*s.tier) : "not told";
}

// Shown by the script, without which nothing would be filtered.
std::string filters(const Run& run) {
  std::set<std::string> tiers, classes, measures;
  for (const ScenarioResult& s : run.scenarios) {
    tiers.insert(tier_of(s));
    classes.insert(s.scenario_class);
    for (const MeasureResult& m : s.measures) measures.insert(m.measure);
  }
  std::string text = "<form id=\"filter\" hidden><fieldset><legend>verdict</legend>";
  for (const Verdict v : kGravestFirst)
    append(text, "<label><input type=\"checkbox\" name=\"verdict\" value=\"", word(v), "\" checked> ",
           badge(v), "</label>");
  return concat(text, "</fieldset><label>tier <select name=\"tier\">", options_of(tiers),
                "</select></label><label>class <select name=\"class\">", options_of(classes),
                "</select></label><label>measure <select name=\"measure\">", options_of(measures),
                "</select></label><button type=\"reset\">Show all</button>"
                "<button type=\"button\" id=\"open-all\">Open all shown</button>"
                "<output id=\"shown\"></output></form>\n");
}

std::string measure_row(const MeasureResult& m) {
  const MeasureCells cells = cells_of(m);
  return concat("<tr data-v=\"", word(m.verdict), "\" data-m=\"", html(m.measure, 240), "\"><td>",
                badge(m.verdict), "</td><th scope=\"row\"><code>", html(m.measure, 240),
                "</code></th><td class=\"n\">", cells.value, "</td><td class=\"n\">", cells.baseline,
                "</td><td>", cells.unit, "</td><td class=\"n\">", cells.change, "</td><td class=\"n\">",
                cells.allowed, "</td>", used_cell(m, cells.used), "<td class=\"why\">", html(m.reason),
                "</td></tr>\n");
}

std::string measure_table(const ScenarioResult& s) {
  if (s.measures.empty()) return "<p>No measure could be read.</p>\n";
  std::string text = concat(
      "<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"Measures of ", html(s.scenario, 240),
      "\"><table class=\"measures\"><thead><tr><th scope=\"col\">verdict</th><th scope=\"col\">measure</th>"
      "<th scope=\"col\" class=\"n\">value</th><th scope=\"col\" class=\"n\">baseline</th>"
      "<th scope=\"col\">unit</th><th scope=\"col\" class=\"n\">change</th>"
      "<th scope=\"col\" class=\"n\">allowed</th><th scope=\"col\">tolerance used</th>"
      "<th scope=\"col\">why</th></tr></thead><tbody>\n");
  for (const MeasureResult* m : ordered_measures(s)) text += measure_row(*m);
  return text + "</tbody></table></div>\n";
}

std::string rating_row(const verdict::ChannelRating& c) {
  const auto cell = [](std::string_view text) { return concat("<td class=\"n\">", text, "</td>"); };
  std::string row = concat("<tr><th scope=\"row\">", html(c.channel, 240), "</th>");
  for (const double part : {c.rating.value_or(0), c.corridor, c.phase, c.magnitude, c.slope})
    row += cell(c.rating ? verdict::format_number(part, 2) : "-");
  for (const double error : {c.rms_error, c.peak_error})
    row += cell(html(verdict::with_unit(verdict::format_number(error, 2), c.unit), 240));
  return concat(row, "<td class=\"why\">", html(c.reason), "</td></tr>\n");
}

// Every recorded channel rated after ISO/TS 18571.
std::string rating_table(const verdict::Reproduction& r) {
  if (r.channels.empty()) return "";
  std::string rows;
  for (const verdict::ChannelRating& c : r.channels) rows += rating_row(c);
  std::string head;
  for (const char* name : {"rating", "corridor", "phase", "magnitude", "slope", "rms error", "peak error"})
    append(head, "<th scope=\"col\" class=\"n\">", name, "</th>");
  return concat(
      "<table class=\"marks\"><caption>Replay against recording, rated after ISO/TS 18571: 1 is best"
      "</caption><thead><tr><th scope=\"col\">channel</th>",
      head, "<th scope=\"col\">why not</th></tr></thead><tbody>\n", rows, "</tbody></table>\n");
}

std::string reproduction(const ScenarioResult& s) {
  if (!s.reproduction) return "";
  const verdict::Reproduction& r = *s.reproduction;
  std::string text = concat(
      "<p class=\"note\">With the calibration that was on the car (", html(r.calibration_name),
      ") the replay is ", verdict::format_number(r.deceleration_rms_mps2, 2), " m/s^2 rms off the recording");
  if (r.pressure_rms_bar) append(text, " and ", verdict::format_number(*r.pressure_rms_bar, 1), " bar rms");
  return concat(text, ", more than 0.5 m/s^2 apart for at most ",
                verdict::format_number(r.longest_departure_s, 2), " s at a time.</p>\n", rating_table(r));
}

// The thresholds of the response as numbers, from the measures.
std::string response_table(const Figure& figure, const ScenarioResult& s) {
  if (!figure.response) return "";
  std::string rows;
  for (size_t i = 0; i < std::size(kLevelDelays); ++i) {
    const verdict::MeasureResult* m = measure_named(s.measures, kLevelDelays[i].measure);
    if (m == nullptr) continue;
    const MeasureCells cells = cells_of(*m);
    append(rows, "<tr><th scope=\"row\">", kLevelDelays[i].percent, " %</th><td class=\"n\">",
           verdict::format_number(figure.response->level_bar[i], 1), "</td><td class=\"n\">", cells.value,
           "</td><td class=\"n\">", cells.baseline, "</td><td class=\"n\">", cells.change, "</td></tr>\n");
  }
  return concat(
      "<table class=\"marks\"><caption>Delay behind the demand, ms</caption><thead><tr><th scope=\"col\">of "
      "demand</th><th scope=\"col\" class=\"n\">bar</th><th scope=\"col\" class=\"n\">candidate</th>"
      "<th scope=\"col\" class=\"n\">baseline</th><th scope=\"col\" "
      "class=\"n\">change</th></tr></thead><tbody>\n",
      rows, "</tbody></table>\n");
}

std::string figure_of(const Figure& figure, const ScenarioResult& s) {
  std::string text = concat("<div class=\"figure\"><script type=\"application/json\">",
                            script_data(figure_json(figure, s)), "</script>\n", response_table(figure, s));
  for (const FaultSpan& f : figure.faults)
    append(text, "<p class=\"note\">Fault from ", verdict::format_number(f.start_s, 2), " s to ",
           verdict::format_number(f.end_s, 2), " s: ", html(f.what), ".</p>\n");
  if (!figure.quiet.empty()) {
    std::string list;
    for (const std::string& q : figure.quiet) append(list, list.empty() ? "" : ", ", html(q));
    append(text, "<p class=\"note quiet\">Not drawn: ", list, ".</p>\n");
  }
  return text + "</div>\n";
}

std::string summary_of(const ScenarioResult& s) {
  const auto measures = ordered_measures(s);
  std::string text = concat("<summary>", badge(s.verdict), " <span class=\"name\">", html(s.scenario, 240),
                            "</span> <span class=\"class\">", html(s.scenario_class, 240),
                            s.tier ? concat(", ", word(*s.tier)) : "", "</span>");
  if (!measures.empty() && measures.front()->tolerance_used)
    append(text, " <span class=\"worst\">tolerance used: ", html(measures.front()->measure, 240), " ",
           cells_of(*measures.front()).used, "</span>");
  return text + "</summary>\n";
}

// Which sections below draw the scenario.
std::string drawn_below(const ScenarioResult& s) {
  std::string links;
  const auto add = [&](bool drawn, std::string_view id, std::string_view words) {
    if (drawn) append(links, links.empty() ? "" : ", ", "<a href=\"#", id, "\">", words, "</a>");
  };
  add(!s.feel.empty(), "feel", "its feel");
  add(!s.repetitions.empty(), "repeatability", "its replays beside one another");
  add(s.stint.has_value(), "stints", "its laps");
  add(s.campaign.has_value(), "campaigns", "its faults");
  return links.empty() ? "" : concat("<p class=\"note\">Below: ", links, ".</p>\n");
}

std::string head_of(const Run& run, const ScenarioResult& s, bool open) {
  std::string text =
      concat("<details class=\"scenario\" data-v=\"", word(s.verdict), "\" data-t=\"", tier_of(s),
             "\" data-c=\"", html(s.scenario_class, 240), "\"", open ? " open" : "", ">", summary_of(s),
             "<div id=\"", anchor_of(run, s), "\">\n");
  if (!s.reason.empty()) append(text, "<p class=\"reason\">", html(s.reason), "</p>\n");
  return concat(text, drawn_below(s), reproduction(s));
}

// A scenario; its figure comes between the two parts.
struct Entry {
  const ScenarioResult* scenario;
  std::string head, table;

  // With room for the sentence that stands where a figure is left out.
  size_t bytes() const { return head.size() + table.size() + 250; }
};

// The first ones in order, as many as their share of the room takes.
std::vector<Entry> entries_within(const Run& run, const std::vector<const ScenarioResult*>& scenarios,
                                  size_t most_bytes, size_t taken) {
  std::vector<Entry> out;
  const double room = kTableShare * static_cast<double>(most_bytes);
  for (const ScenarioResult* s : scenarios) {
    Entry e{s, head_of(run, *s, out.empty()), measure_table(*s)};
    taken += e.bytes();
    if (static_cast<double>(taken) > room) break;
    out.push_back(std::move(e));
  }
  return out;
}

// Figures in the order they are asked for, while there is room.
class Figures {
 public:
  Figures(const HtmlExtras& extras, size_t room) : room_(room) {
    for (const Figure& f : extras.figures) by_scenario_[f.scenario] = &f;
  }

  std::string of(const ScenarioResult& s) {
    if (by_scenario_.empty()) return "";
    const auto found = by_scenario_.find(s.scenario);
    if (found == by_scenario_.end())
      return left_out("not drawn: it passes, and twenty others use more of their tolerance");
    std::string figure = figure_of(*found->second, s);
    if (figure.size() > room_) return left_out("left out to keep this file small");
    room_ -= figure.size();
    return figure;
  }

 private:
  static std::string left_out(std::string_view why) {
    return concat("<p class=\"note\">Its traces are ", why, "; `brakeward export trace` writes them.</p>\n");
  }

  std::map<std::string_view, const Figure*> by_scenario_;
  size_t room_;
};

}  // namespace

std::string scenarios_section(const Run& run, const HtmlExtras& extras, size_t most_bytes) {
  std::string text = concat("<section id=\"scenarios\"><h2>Scenarios</h2>\n", filters(run));
  if (!extras.why_no_figures.empty())
    append(text, "<p class=\"note\">No traces are drawn: ", html(extras.why_no_figures), ".</p>\n");
  if (!extras.figures.empty())
    text +=
        "<noscript><p class=\"note\">The traces need scripts to be drawn; the tables do "
        "not.</p></noscript>\n";
  const auto scenarios = ordered_scenarios(run);
  const std::vector<Entry> entries = entries_within(run, scenarios, most_bytes, text.size());
  size_t bytes = text.size();
  for (const Entry& e : entries) bytes += e.bytes();
  Figures figures(extras, most_bytes - std::min(bytes, most_bytes));
  for (const Entry& e : entries) append(text, e.head, figures.of(*e.scenario), e.table, "</div></details>\n");
  if (entries.size() < scenarios.size())
    append(text, "<p class=\"note\">", counted(scenarios.size() - entries.size(), "more scenario"),
           ", none graver than those above, left out to keep this file small; the JSON has them all.</p>\n");
  return text + "</section>\n";
}

}  // namespace brakeward::report
