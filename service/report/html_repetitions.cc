#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "report/html_parts.h"
#include "report/html_text.h"
#include "report/order.h"
#include "report/svg.h"
#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::report {
namespace {

using verdict::append;
using verdict::concat;
using verdict::Repetition;

constexpr size_t kMostBytes = 600000;
constexpr size_t kMostRows = 200;
constexpr int kWidth = 430, kHeight = 300;

// What is compared of the replays.
struct Respect {
  std::string_view title, unit;
  int decimals;
  std::optional<double> (*of)(const Repetition&);
};
constexpr Respect kRespects[] = {
    {"Distance", "m", 2, [](const Repetition& r) { return std::optional<double>(r.distance_m); }},
    {"Delay at 90 %", "ms", 1, [](const Repetition& r) { return r.delay_ms; }},
    {"Deceleration", "m/s^2", 2, [](const Repetition& r) { return r.deceleration_mps2; }},
};

struct KindWords {
  std::string_view kind, words;
};
constexpr KindWords kKinds[] = {{"itself", "itself"},
                                {"repeat", "repeats"},
                                {"step", "steps"},
                                {"mirrored", "mirrored"},
                                {"corner", "corners"}};

// Replays of one kind side by side; places are along the horizontal axis.
struct Group {
  std::string_view words;
  std::vector<const Repetition*> replays;
  double begin = 0, width = 1;

  double middle() const { return begin + width / 2; }
  double place(size_t i) const {
    if (replays.size() < 2) return middle();
    return begin + width * (0.15 + 0.7 * static_cast<double>(i) / static_cast<double>(replays.size() - 1));
  }
};

// The more there are the wider, within reason.
double width_of(size_t replays) {
  return replays < 5 ? 1 : replays < 21 ? 1.6 : 2.4;
}

std::vector<Group> groups_of(const std::vector<Repetition>& repetitions) {
  std::vector<Group> out;
  double begin = 0;
  for (const KindWords& k : kKinds) {
    Group group{k.words, {}, begin, 1};
    for (const Repetition& r : repetitions)
      if (r.kind == k.kind) group.replays.push_back(&r);
    if (group.replays.empty()) continue;
    group.width = width_of(group.replays.size());
    begin += group.width;
    out.push_back(std::move(group));
  }
  return out;
}

// "corner@grip_low,load" of the scenario's replay of that name.
std::string short_name(const Repetition& r, const std::string& scenario) {
  return r.replay.starts_with(scenario + "/") ? r.replay.substr(scenario.size() + 1) : r.kind;
}

std::string told(const Respect& respect, const std::optional<double>& value) {
  return value ? verdict::format_number(*value, respect.decimals) : "-";
}

using ByName = std::map<std::string_view, const Repetition*>;

ByName by_name(const verdict::ScenarioResult* s) {
  ByName out;
  if (s != nullptr)
    for (const Repetition& r : s->repetitions) out[r.replay] = &r;
  return out;
}

std::string drawing_of(const verdict::ScenarioResult& s, const std::vector<Group>& groups,
                       const ByName& baseline, const Respect& respect) {
  std::vector<SvgDot> ours, theirs;
  std::vector<double> values;
  const auto add = [&](const Repetition& r, double at, std::string_view who, std::vector<SvgDot>& dots) {
    const std::optional<double> value = respect.of(r);
    if (!value) return;
    values.push_back(*value);
    dots.push_back({at, *value,
                    concat(short_name(r, s.scenario), ", ", who, ": ",
                           verdict::with_unit(told(respect, value), respect.unit))});
  };
  for (const Group& g : groups)
    for (size_t i = 0; i < g.replays.size(); ++i) {
      add(*g.replays[i], g.place(i), "candidate", ours);
      if (const auto found = baseline.find(g.replays[i]->replay); found != baseline.end())
        add(*found->second, g.place(i), "baseline", theirs);
    }
  if (ours.empty() && theirs.empty()) return "<p class=\"note\">No replay has a value.</p>";
  const double end = groups.back().begin + groups.back().width;
  Svg drawing({0, end, end, 0, "kind of replay"}, axis_over(values, std::string(respect.unit), false), kWidth,
              kHeight);
  for (size_t i = 1; i < groups.size(); i += 2)
    drawing.band(groups[i].begin, groups[i].begin + groups[i].width);
  drawing.axes(false);
  for (const Group& g : groups) drawing.under(g.middle(), g.words);
  drawing.dots("baseline", theirs, Marker::kSquare);
  drawing.dots("candidate", ours, Marker::kCircle);
  return drawing.svg(concat(respect.title, " of every replay of ", s.scenario,
                            theirs.empty() ? "" : ", candidate and baseline",
                            "; the numbers are in the table below"));
}

std::string keys_of(const verdict::Run& run, bool with_baseline) {
  return concat("<ul class=\"keys\">", svg_key("dot candidate", candidate_words(run), Marker::kCircle),
                with_baseline ? svg_key("dot baseline", baseline_words(run), Marker::kSquare) : "", "</ul>");
}

std::string cells_of(const Repetition* r) {
  std::string text;
  for (const Respect& respect : kRespects)
    append(text, "<td class=\"n\">", r != nullptr ? told(respect, respect.of(*r)) : "-", "</td>");
  return text;
}

std::string table_of(const verdict::ScenarioResult& s, const std::vector<Group>& groups,
                     const ByName& baseline) {
  std::string text = concat(
      "<details><summary>The numbers</summary><div class=\"wide\" tabindex=\"0\" role=\"group\" "
      "aria-label=\"Replays of ",
      html(s.scenario, 240), "\"><table class=\"repetitions\"><thead><tr><th scope=\"col\">replay</th>");
  for (const char* who : {"candidate", "baseline"})
    for (const Respect& r : kRespects)
      if (!baseline.empty() || who[0] == 'c')
        append(text, "<th scope=\"col\" class=\"n\">", std::string_view(who), ", ", r.unit, "</th>");
  text += "</tr></thead><tbody>\n";
  size_t shown = 0, all = 0;
  for (const Group& g : groups)
    for (const Repetition* r : g.replays) {
      if (++all > kMostRows) continue;
      ++shown;
      append(text, "<tr><th scope=\"row\"><code>", html(short_name(*r, s.scenario), 240), "</code></th>",
             cells_of(r));
      if (!baseline.empty()) {
        const auto found = baseline.find(r->replay);
        text += cells_of(found == baseline.end() ? nullptr : found->second);
      }
      text += "</tr>\n";
    }
  text += "</tbody></table></div>";
  if (all > shown) append(text, "<p class=\"note\">And ", all - shown, " more; the JSON has them all.</p>");
  return text + "</details>\n";
}

std::string entry_of(const verdict::Run& run, const HtmlExtras& extras, const verdict::ScenarioResult& s) {
  const std::vector<Group> groups = groups_of(s.repetitions);
  if (groups.empty()) return "";
  const ByName baseline = by_name(under_baseline(extras, s.scenario));
  std::string counts;
  for (const Group& g : groups)
    if (g.words != "itself") append(counts, ", ", g.replays.size(), " ", g.words);
  std::string text =
      concat("<h3>", link_to(run, s), " ", badge(s.verdict), counts, "</h3>\n<div class=\"trio\">");
  for (const Respect& respect : kRespects)
    append(text, "<figure><figcaption>", respect.title, ", ", respect.unit, "</figcaption>",
           drawing_of(s, groups, baseline, respect), "</figure>");
  return concat(text, "</div>", keys_of(run, !baseline.empty()), table_of(s, groups, baseline));
}

}  // namespace

std::string repetitions_section(const verdict::Run& run, const HtmlExtras& extras) {
  std::vector<std::string> entries;
  for (const auto* s : ordered_scenarios(run))
    if (!s->repetitions.empty()) entries.push_back(entry_of(run, extras, *s));
  if (entries.empty()) return "";
  return concat(
      "<section id=\"repeatability\"><h2>Repeatability</h2>\n<p class=\"note\">One mark a replay: the "
      "scenario "
      "itself, with noise on its request, in each step of the balance, with left and right exchanged, in "
      "each "
      "corner of its matrix; pointing at a mark names it. Distance is from the start to the end of the "
      "replay, "
      "deceleration the mean fully developed one of a stop, else the peak.",
      without_baseline(extras), "</p>\n", fitting(entries, "scenario", kMostBytes), "</section>\n");
}

}  // namespace brakeward::report
