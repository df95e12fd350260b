// Exports as CSV. Reference: RFC 4180 (from memory) for quoting; which first characters a spreadsheet takes
// for a formula is common practice, no source. tests/end_to_end/export reads CSV and HDF5 with other
// programs.
#include "report/data.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "report/data_views.h"
#include "signal/observables.h"
#include "unit/report/sample_run.h"

namespace brakeward::report {
namespace {

std::string csv_of(const std::string& text) {
  const std::string csv = render_csv({{}, {{"x", "", "", Texts{text}}}});
  return csv.substr(2, csv.size() - 3);
}

TEST(Csv, HoldsNumbersThatReadBackAndEmptyCells) {
  const double third = 1.0 / 3, nan = std::nan(""), infinite = std::numeric_limits<double>::infinity();
  const Data data = {
      {},
      {{"a", "m/s", "", Numbers{third, std::nullopt, -2.5}}, {"b", "", "", Numbers{nan, -infinite, 1e300}}}};
  EXPECT_EQ(render_csv(data), "a (m/s),b\n0.3333333333333333,nan\n,-inf\n-2.5,1e+300\n");
  EXPECT_EQ(render_csv({}), "");
}

TEST(Csv, QuotesWhatPartsCells) {
  EXPECT_EQ(csv_of("plain text; 3 %"), "plain text; 3 %");
  EXPECT_EQ(csv_of("a,b"), "\"a,b\"");
  EXPECT_EQ(csv_of("say \"stop\""), "\"say \"\"stop\"\"\"");
  EXPECT_EQ(csv_of("two\nlines\rhere"), "two lines here");
  EXPECT_EQ(csv_of(std::string("a\0b", 3)),
            "a\xef\xbf\xbd"
            "b");
}

TEST(Csv, NoTextIsAFormula) {
  for (const std::string start : {"=", "+", "-", "@"}) {
    EXPECT_EQ(csv_of(start + "1+1"), "'" + start + "1+1");
    EXPECT_EQ(csv_of("  " + start + "1"), "'  " + start + "1") << "blanks may be dropped by a reader";
    EXPECT_EQ(csv_of("\t" + start + "1"), "' " + start + "1");
    EXPECT_EQ(csv_of("\r" + start + "1"), "' " + start + "1");
    EXPECT_EQ(csv_of("x" + start + "1"), "x" + start + "1");
  }
  EXPECT_EQ(csv_of("\tx"), " x") << "no tab or CR begins a cell";
  EXPECT_EQ(csv_of("\rx"), " x");
  EXPECT_EQ(csv_of("=cmd(\"a\",1)"), "\"'=cmd(\"\"a\"\",1)\"");
  EXPECT_EQ(render_csv({{}, {{"=1", "", "", Numbers{-1.5}}}}), "'=1\n-1.5\n") << "a number stays one";
}

TEST(Measures, HaveARowEach) {
  const verdict::Run run = sample_run();
  const Data data = measures_data(run);
  size_t wanted = 0;
  for (const auto& s : run.scenarios) wanted += std::max<size_t>(s.measures.size(), 1);
  for (const DataColumn& c : data.columns) {
    EXPECT_EQ(std::visit([](const auto& cells) { return cells.size(); }, c.cells), wanted) << c.name;
    EXPECT_NE(c.meaning, "") << c.name;
  }
}

TEST(Measures, OfAScenarioWithoutAnyHaveARowAllTheSame) {
  verdict::Run run;
  run.scenarios.emplace_back();
  run.scenarios[0].scenario = "broken";
  run.scenarios[0].verdict = verdict::Verdict::kError;
  run.scenarios[0].reason = "why";
  const std::string csv = render_csv(measures_data(run));
  EXPECT_NE(csv.find("\nbroken,,error,why,,,,,,,,\n"), std::string::npos) << csv;
}

TEST(Trace, IsEmptyWhereNothingWasRecorded) {
  std::vector<double> rows(2 * signal::kObservableCount, 1.0);
  rows[signal::kObservableCount - 1] = -1e21;
  rows.back() = std::nan("");
  const Data data = trace_data({}, {}, rows);
  ASSERT_EQ(data.columns.size(), static_cast<size_t>(signal::kObservableCount));
  const Numbers& last = std::get<Numbers>(data.columns.back().cells);
  ASSERT_EQ(last.size(), 2u);
  EXPECT_FALSE(last[0]);
  EXPECT_TRUE(std::isnan(last[1].value()));
}

TEST(Hdf5, IsTheSameBytesTwice) {
  const Data data = measures_data(sample_run());
  const std::string bytes = render_hdf5(data);
  EXPECT_EQ(bytes.substr(0, 8), "\x89HDF\r\n\x1a\n");  // HDF5 file format specification, II.A (from memory)
  EXPECT_EQ(bytes, render_hdf5(data));
  EXPECT_EQ(render_hdf5({}).substr(1, 3), "HDF");
}

}  // namespace
}  // namespace brakeward::report
