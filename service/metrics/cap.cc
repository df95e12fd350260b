#include "metrics/cap.h"

#include <algorithm>
#include <string_view>
#include <tuple>
#include <utility>

#include "metrics/declarations.h"
#include "metrics/text.h"

namespace brakeward::metrics {
namespace {

// One build with what is kept of it.
struct Choice {
  std::string_view library;
  int rank = 0;  // 0: the library's newest build
  const BuildSeries* build = nullptr;
  std::vector<const std::vector<Sample>*> kept;
};

std::vector<Choice> all_builds(const Libraries& libraries) {
  std::vector<Choice> choices;
  for (const auto& [name, library] : libraries) {
    int rank = 0;
    for (const auto& build : library.builds) choices.push_back({name, rank++, build.get(), {}});
  }
  return choices;
}

int kept_count(const Choice& choice) {
  size_t sum = 0;
  for (const auto* samples : choice.kept) sum += samples->size();
  return static_cast<int>(sum);
}

// Keeps what fits of the newest builds: verdicts and drift first, then scenarios, the worst verdict first.
void keep_pieces(std::vector<Choice*>& newest, int room) {
  struct Piece {
    int importance;  // lowest first
    size_t position;
    Choice* choice;
    const std::vector<Sample>* samples;
  };
  std::vector<Piece> pieces;
  for (Choice* choice : newest) {
    pieces.push_back({-1000, 0, choice, &choice->build->head});
    for (size_t i = 0; i < choice->build->scenarios.size(); ++i) {
      const ScenarioSeries& scenario = choice->build->scenarios[i];
      pieces.push_back({-static_cast<int>(scenario.verdict), i, choice, &scenario.samples});
    }
  }
  std::stable_sort(pieces.begin(), pieces.end(), [](const Piece& a, const Piece& b) {
    return std::tuple(a.importance, a.position, a.choice->library) <
           std::tuple(b.importance, b.position, b.choice->library);
  });
  for (const Piece& piece : pieces) {
    room -= static_cast<int>(piece.samples->size());
    if (room < 0) return;
    piece.choice->kept.push_back(piece.samples);
  }
}

void keep_whole(Choice& choice) {
  choice.kept.push_back(&choice.build->head);
  for (const ScenarioSeries& scenario : choice.build->scenarios) choice.kept.push_back(&scenario.samples);
}

// Fills in what is kept of each build.
void choose(std::vector<Choice>& choices, int room) {
  std::vector<Choice*> oldest_first;
  int total = 0;
  for (Choice& choice : choices) {
    oldest_first.push_back(&choice);
    total += choice.build->count();
  }
  std::sort(oldest_first.begin(), oldest_first.end(), [](const Choice* a, const Choice* b) {
    return std::tuple(b->rank, b->library) < std::tuple(a->rank, a->library);
  });
  auto first_kept = oldest_first.begin();
  while (total > room && first_kept != oldest_first.end() && (*first_kept)->rank > 0) {
    total -= (*first_kept)->build->count();
    ++first_kept;
  }
  std::vector<Choice*> rest(first_kept, oldest_first.end());
  if (total > room) return keep_pieces(rest, room);
  for (Choice* choice : rest) keep_whole(*choice);
}

class Families {
 public:
  void add(const Sample& sample) {
    prometheus::MetricFamily& family = by_name_[sample.family];
    if (family.name.empty()) {
      family.name = std::string(sample.family);
      family.help = std::string(declaration(sample.family).help);
      family.type = prometheus::MetricType::Gauge;
    }
    family.metric.push_back(sample.metric);
  }

  std::vector<prometheus::MetricFamily> sorted() && {
    std::vector<prometheus::MetricFamily> list;
    for (auto& [name, family] : by_name_) list.push_back(std::move(family));
    sort(list);
    return list;
  }

 private:
  std::map<std::string_view, prometheus::MetricFamily> by_name_;
};

}  // namespace

std::vector<prometheus::MetricFamily> families_within(const Libraries& libraries, int most) {
  std::vector<Choice> choices = all_builds(libraries);
  Families families;
  int room = most - static_cast<int>(choices.size());
  for (const auto& [name, library] : libraries) {
    room -= static_cast<int>(library.always.size());
    for (const Sample& always : library.always) families.add(always);
  }
  choose(choices, room);
  for (const Choice& choice : choices) {
    const int cut = choice.build->count() - kept_count(choice);
    families.add(
        sample("brakeward_result_series_cut", {std::string(choice.library), choice.build->build}, cut));
    for (const auto* samples : choice.kept) {
      for (const Sample& kept : *samples) families.add(kept);
    }
  }
  return std::move(families).sorted();
}

}  // namespace brakeward::metrics
