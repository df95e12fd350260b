// The seasons of the demo cars: Sorrel's drifts although every build passes against the one before it,
// Bracken's does not.
#include <gtest/gtest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "end_to_end/program.h"

namespace brakeward::demo {
namespace {

using end_to_end::Outcome;
using nlohmann::json;

struct Drift {
  Outcome outcome;
  json found;
  std::string markdown;
};

Drift drift(const std::string& car, std::vector<std::string> more = {}) {
  const end_to_end::TemporaryFolder home;
  const std::string library = std::string(BRAKEWARD_SOURCE_DIR) + "/scenarios/" + car + "/history",
                    file = home.path() / "drift.json", page = home.path() / "drift.md";
  std::vector<std::string> line = {
      "drift",  "--library", library,      "--season", library + "/season.textproto",
      "--json", file,        "--markdown", page};
  line.insert(line.end(), more.begin(), more.end());
  Drift out;
  out.outcome = end_to_end::run(line);
  out.found = json::parse(end_to_end::read_file(file), nullptr, false);
  out.markdown = end_to_end::read_file(page);
  return out;
}

TEST(Season, OfSorrelDriftsThoughEveryStepPasses) {
  const Drift d = drift("sorrel");
  EXPECT_EQ(d.outcome.exit_code, 1) << d.outcome.err;
  ASSERT_TRUE(d.found.is_object());
  EXPECT_EQ(d.found.at("verdict"), "VERDICT_FAIL");
  EXPECT_EQ(d.found.at("builds").size(), 6u);
  std::string furthest;
  double most = 0;
  for (const json& s : d.found.at("series")) {
    double sum = 0;
    for (const json& step : s.at("steps")) {
      if (!step.contains("step")) continue;
      const double share = step.at("step").get<double>();
      EXPECT_LE(s.value("two_sided", false) ? std::fabs(share) : share, 1) << s;
      sum += share;
      if (!s.value("two_sided", false)) sum = std::max(0.0, sum);
    }
    if (s.contains("sum")) {
      EXPECT_NEAR(s.at("sum").get<double>(), sum, 1e-9) << s;
    }
    const bool failed = s.at("verdict") == "VERDICT_FAIL";
    EXPECT_EQ(failed, s.value("drift_used", 0.0) > 1) << s;
    if (failed) {
      EXPECT_NE(s.at("reason").get<std::string>().find("most of it came with northmoor-"), std::string::npos)
          << s;
    }
    if (s.value("drift_used", 0.0) <= most) continue;
    most = s.at("drift_used").get<double>();
    furthest = s.at("measure").get<std::string>();
  }
  EXPECT_GT(most, 1);
  EXPECT_EQ(furthest, "front_share") << "as the dashboard shows";
  for (const std::string& said : {d.outcome.out, d.markdown})
    for (const char* part : {"northmoor-6", "front_share", "drift", "no release for road or track"})
      EXPECT_NE(said.find(part), std::string::npos) << part << "\n" << said;
}

TEST(Season, OfBrackenDoesNotDrift) {
  const Drift d = drift("bracken");
  EXPECT_EQ(d.outcome.exit_code, 0) << d.outcome.out << d.outcome.err;
  ASSERT_TRUE(d.found.is_object());
  for (const json& s : d.found.at("series")) {
    if (!s.contains("sum")) continue;
    // The last build is the first one again.
    EXPECT_EQ(s.at("steps").at(0).at("value"), s.at("steps").at(3).at("value")) << s;
  }
}

TEST(Season, IsTheSameForAnyNumberOfThreads) {
  const Drift one = drift("bracken", {"--threads", "1"}), two = drift("bracken", {"--threads", "2"});
  EXPECT_EQ(one.outcome.out, two.outcome.out);
  EXPECT_EQ(one.found, two.found);
}

TEST(Season, RefusesWhatDoesNotFit) {
  const end_to_end::TemporaryFolder home;
  const std::string season = home.path() / "season.textproto",
                    library = std::string(BRAKEWARD_SOURCE_DIR) + "/scenarios/sorrel/history";
  const auto said = [&](const std::string& text) {
    end_to_end::write_file(season, "name: \"s\"\nprovenance: \"Invented.\"\n" + text);
    const Outcome outcome = end_to_end::run({"drift", "--library", library, "--season", season});
    EXPECT_EQ(outcome.exit_code, 65) << outcome.err;
    EXPECT_EQ(outcome.out, "");
    return outcome.err;
  };
  const auto expect = [](const std::string& text, const std::vector<std::string>& parts) {
    for (const auto& part : parts) EXPECT_NE(text.find(part), std::string::npos) << part << "\n" << text;
  };
  const std::string good = "builds { name: \"a\" calibration: \"northmoor_1\" held_on: \"2025-03-08\" }\n";
  expect(said(good), {"season.textproto: builds: one build alone cannot drift"});
  expect(said(good + "builds { name: \"b\" calibration: \"northmoor_9\" held_on: \"2025-03-07\" }\n"
                     "builds { name: \"c\" calibration: \"northmoor_2\" held_on: \"8 March\" }\n"),
         {"no calibration named \"northmoor_9\"",
          ".held_on: 2025-03-07 comes before the build above, 2025-03-08",
          "\"8 March\" is no day of the calendar"});
  expect(said(good + good + "drift_factor: 0\n"),
         {"builds[1].name: \"a\" is already the name", "drift_factor: 0", "0.01 to 100"});
  expect(said(good + "builds { name: \"b\" calibration: \"northmoor_2\" held_on: \"2025-04-05\" }\n"
                     "drift { measure: \"front_shore\" factor: 2 source: \"s\" }\n"
                     "drift { measure: \"front_share\" source: \"s\" }\n"
                     "drift { measure: \"front_share\" factor: 2 amount: 1 source: \"s\" }\n"),
         {"drift[0].measure: no measure is named \"front_shore\"", "drift[1]: give a factor or an amount",
          "drift[2].measure: another drift tolerance is for front_share",
          "drift[2]: factor and amount are both"});
}

}  // namespace
}  // namespace brakeward::demo
