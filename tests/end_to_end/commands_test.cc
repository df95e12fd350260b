// replay, export, import and describe. References: the trace's own columns against each other
// (distance = integral of speed by the trapezoidal rule), and logs whose numbers follow from a closed form.
#include <google/protobuf/text_format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <sstream>

#include "end_to_end/library_copy.h"
#include "measure/catalogue.h"
#include "signal/observables.h"

namespace brakeward::end_to_end {
namespace {

namespace fs = std::filesystem;

using Table = std::vector<std::vector<std::string>>;

Table table_of(const std::string& csv) {
  Table table;
  std::istringstream lines(csv);
  for (std::string line; std::getline(lines, line);) {
    std::vector<std::string> cells(1);
    for (const char c : line) {
      if (c == ',')
        cells.emplace_back();
      else
        cells.back() += c;
    }
    table.push_back(std::move(cells));
  }
  return table;
}

size_t column(const Table& table, const std::string& name) {
  for (size_t i = 0; i < table.front().size(); ++i)
    if (table.front()[i].rfind(name + " (", 0) == 0) return i;
  ADD_FAILURE() << "no column " << name;
  return 0;
}

Outcome replay(const LibraryCopy& library, const std::string& scenario) {
  return run({"replay", scenario, "--library", library.folder(), "--calibration", library.released()});
}

Outcome export_trace(const LibraryCopy& library, const std::string& scenario, const std::string& csv) {
  return run({"export", "trace", scenario, "--library", library.folder(), "--calibration", library.released(),
              "--csv", csv});
}

TEST(ExportTrace, HasEverySignalAtEveryTick) {
  LibraryCopy library;
  library.keep({"step_hand"});
  const std::string trace = library.beside("trace.csv");
  double hold_s = 0, onset_s = 0;
  library.change<v1::Scenario>(library.file("scenarios/step_hand.textproto"), [&](v1::Scenario& s) {
    hold_s = s.synthetic().hold_s();
    onset_s = s.synthetic().onset_s();
  });
  ASSERT_EQ(export_trace(library, "step_hand", trace).exit_code, 0);
  const Table table = table_of(read_file(trace));
  ASSERT_EQ(table.front().size(), static_cast<size_t>(signal::kObservableCount));
  for (size_t i = 0; i < table.front().size(); ++i) {
    const signal::Observable& o = signal::kObservables[i];
    EXPECT_EQ(table.front()[i], std::string(o.name) + " (" + o.unit + ")");
  }
  for (size_t row = 0; row < table.size(); ++row) ASSERT_EQ(table[row].size(), table.front().size()) << row;
  // A synthetic input is replayed for a second after its request ends, at a tick of 1 ms.
  const size_t ticks = static_cast<size_t>(std::llround((onset_s + hold_s + 1) * 1000));
  EXPECT_EQ(table.size() - 1, ticks);
  for (size_t row = 1; row < table.size(); ++row)
    ASSERT_NEAR(std::stod(table[row][0]), 1e-3 * static_cast<double>(row), 1e-9) << row;
}

TEST(ExportTrace, SpeedIntegratesToDistance) {
  LibraryCopy library;
  library.keep({"saltmarsh_dry_100"});
  const std::string trace = library.beside("trace.csv");
  ASSERT_EQ(export_trace(library, "saltmarsh_dry_100", trace).exit_code, 0);
  const Table table = table_of(read_file(trace));
  const size_t time = column(table, "time"), speed = column(table, "speed"),
               distance = column(table, "distance"), deceleration = column(table, "deceleration");
  const auto at = [&](size_t row, size_t c) { return std::stod(table[row][c]); };
  double sum = at(1, distance);
  for (size_t row = 2; row < table.size(); ++row) {
    const double dt = at(row, time) - at(row - 1, time);
    sum += 0.5 * dt * (at(row, speed) + at(row - 1, speed));
    ASSERT_NEAR(at(row, deceleration), (at(row - 1, speed) - at(row, speed)) / dt, 1e-6) << row;
    ASSERT_LE(at(row, distance), at(row - 1, distance) + 100 * dt);
  }
  // One plant step a tick: the plant integrates by the same rule, so that only rounding is left.
  EXPECT_NEAR(sum, at(table.size() - 1, distance), 1e-9 * static_cast<double>(table.size()));
  EXPECT_LT(at(table.size() - 1, speed), 0.1) << "the stop ends standing";
}

TEST(Replay, PrintsTheMeasuresACheckPrints) {
  LibraryCopy library;
  library.keep({"saltmarsh_dry_100"});
  library.make_baseline();
  v1::Run checked;
  library.check(library.released(), checked);
  const Outcome outcome = replay(library, "saltmarsh_dry_100");
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  std::istringstream lines(outcome.out);
  int measured = 0;
  for (const auto& m : checked.scenarios(0).measures()) {
    std::string line, name, value;
    ASSERT_TRUE(std::getline(lines, line));
    std::istringstream(line) >> name >> value;
    EXPECT_EQ(name, m.measure());
    if (!m.has_value()) {
      EXPECT_EQ(value, "-") << line;
      continue;
    }
    const auto index = measure::find_measure(name);
    ASSERT_TRUE(index.has_value()) << name;
    const auto& info = measure::catalogue()[static_cast<size_t>(*index)];
    EXPECT_NEAR(std::stod(value), m.value(), 0.5000001 * std::pow(10.0, -info.decimals)) << line;
    ++measured;
  }
  EXPECT_GT(measured, 5);
}

TEST(Replay, ListsTheScenariosItKnows) {
  LibraryCopy library;
  for (const Outcome& outcome :
       {replay(library, "step_foot"), export_trace(library, "step_foot", library.beside("t.csv"))}) {
    EXPECT_EQ(outcome.exit_code, 65);
    for (const char* part : {"\"step_foot\"", "step_hand", "ramp_hand", "saltmarsh_dry_100"})
      EXPECT_NE(outcome.err.find(part), std::string::npos) << outcome.err;
  }
  EXPECT_FALSE(fs::exists(library.beside("t.csv")));
}

// A log at 100 Hz that coasts at 72 km/h for 2 s, slows with 5 m/s^2 for 2 s and coasts at 36 km/h.
std::string constant_stop() {
  std::string csv = "t,v,ax\n";
  for (int i = 0; i <= 600; ++i) {
    const double t = 0.01 * i;
    const double braked = std::min(std::max(t - 2, 0.0), 2.0);
    char line[96];
    std::snprintf(line, sizeof line, "%.2f,%.6f,%.2f\n", t, 3.6 * (20 - 5 * braked),
                  t > 2 && t <= 4 ? -5.0 : 0.0);
    csv += line;
  }
  return csv;
}

constexpr const char* kMap =
    "# proto-message: brakeward.v1.ChannelMap\n"
    "time_column: \"t\" time_unit: \"s\"\n"
    "channels { signal: RECORDED_SIGNAL_SPEED column: \"v\" unit: \"km/h\" }\n"
    "channels { signal: RECORDED_SIGNAL_DECELERATION column: \"ax\" unit: \"m/s^2\" scale: -1 }\n";

TEST(Import, CutsALogIntoStops) {
  const TemporaryFolder folder;
  const std::string log = folder.path() / "log.csv", map = folder.path() / "map.textproto";
  write_file(log, constant_stop());
  write_file(map, kMap);
  const Outcome outcome = run({"import", log, "--map", map});
  ASSERT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_EQ(outcome.err, "") << "nothing to repair";
  std::istringstream lines(outcome.out);
  std::vector<std::string> rows;
  for (std::string line; std::getline(lines, line);)
    if (line.find_first_of("0123456789") == line.find_first_not_of(' ')) rows.push_back(line);
  ASSERT_EQ(rows.size(), 1u) << outcome.out;
  // v^2 - u^2 = 2 a s: 30 m from 72 to 36 km/h at 5 m/s^2.
  std::istringstream cells(rows[0]);
  std::vector<double> numbers;
  for (double x; cells >> x;) numbers.push_back(x);
  const auto holds = [&](double wanted, double within) {
    return std::any_of(numbers.begin(), numbers.end(),
                       [&](double x) { return std::fabs(x - wanted) <= within; });
  };
  EXPECT_TRUE(holds(30, 0.2)) << outcome.out;
  EXPECT_TRUE(holds(5, 0.05)) << outcome.out;
}

TEST(Import, TellsWhatItRepaired) {
  const TemporaryFolder folder;
  const std::string log = folder.path() / "log.csv", map = folder.path() / "map.textproto";
  std::string csv = constant_stop();
  const size_t line = csv.find("\n1.00,");
  ASSERT_NE(line, std::string::npos);
  csv.replace(csv.find(',', line) + 1, 9, "nan");  // one missing speed
  csv.insert(0, "\xEF\xBB\xBF");                   // a byte order mark
  write_file(log, csv);
  write_file(map, kMap);
  const Outcome outcome = run({"import", log, "--map", map});
  EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
  EXPECT_NE(outcome.err.find("note: "), std::string::npos);
  EXPECT_NE(outcome.err.find("byte order mark"), std::string::npos) << outcome.err;
  EXPECT_NE(outcome.err.find("line 102, column 'v' (2)"), std::string::npos) << outcome.err;
  EXPECT_EQ(outcome.out.find("note"), std::string::npos) << "the table stays clean";
}

TEST(Import, NamesTheFaultsOfAChannelMapInTheMap) {
  const TemporaryFolder folder;
  const std::string log = folder.path() / "log.csv", map = folder.path() / "map.textproto";
  write_file(log, constant_stop());
  std::string text = kMap;
  text.replace(text.find("km/h"), 4, "bar");
  text.replace(text.find("m/s^2"), 5, "furlong");
  write_file(map, text);
  const Outcome outcome = run({"import", log, "--map", map});
  EXPECT_EQ(outcome.exit_code, 65);
  for (const char* part : {"map.textproto: ", "'bar' is not a unit of a speed; accepted: m/s, km/h",
                           "'furlong' is not a unit of an acceleration; accepted: "})
    EXPECT_NE(outcome.err.find(part), std::string::npos) << part << ": " << outcome.err;
}

TEST(Describe, KnowsEveryDocumentType) {
  for (const char* type : {"vehicle", "calibration", "recording", "channelmap", "scenario", "toleranceset",
                           "baseline", "library", "run", "season", "drift", "Vehicle", "Calibration"}) {
    const Outcome outcome = run({"describe", type});
    EXPECT_EQ(outcome.exit_code, 0) << type << ": " << outcome.err;
    EXPECT_EQ(outcome.err, "");
    EXPECT_GT(outcome.out.size(), 400u) << type;
  }
  const std::string calibration = run({"describe", "calibration"}).out;
  for (const char* part : {"front_percent", "20 to 95", "rise_limit_bar_per_s", "bar/s"})
    EXPECT_NE(calibration.find(part), std::string::npos) << part;
}

TEST(Describe, ListsEveryMeasure) {
  const Outcome outcome = run({"describe", "measures"});
  EXPECT_EQ(outcome.exit_code, 0);
  for (const auto& info : measure::catalogue())
    EXPECT_NE(outcome.out.find(std::string(info.name)), std::string::npos) << info.name;
}

}  // namespace
}  // namespace brakeward::end_to_end
