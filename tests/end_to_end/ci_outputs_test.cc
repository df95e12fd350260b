// What a CI server and other tools read, read by programs that are not ours: junitparser and libxml2 for
// JUnit XML, the jsonschema package for JSON Schema (draft 2020-12). They win on disagreement.
#include <gmock/gmock.h>
#include <google/protobuf/text_format.h>
#include <google/protobuf/util/json_util.h>
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <regex>
#include <set>
#include <sstream>

#include "brakeward/v1/season.pb.h"
#include "brakeward/v1/stint.pb.h"
#include "brakeward/v1/tolerances.pb.h"
#include "end_to_end/library_copy.h"

namespace brakeward::end_to_end {
namespace {

namespace fs = std::filesystem;
using google::protobuf::Message;

// Debian's interpreter, for which its packages are installed; another one may stand first in PATH.
constexpr const char* kPython = "/usr/bin/python3";
const std::string kSource = BRAKEWARD_SOURCE_DIR;

std::string script(const std::string& name) {
  return kSource + "/tests/end_to_end/ci_outputs/" + name;
}

bool has_module(const std::string& name) {
  return fs::exists(kPython) && run_other({kPython, "-c", "import " + name}).exit_code == 0;
}

std::vector<std::vector<std::string>> table_of(const std::string& text) {
  std::vector<std::vector<std::string>> rows;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    std::istringstream cells(line);
    std::vector<std::string>& row = rows.emplace_back();
    for (std::string cell; std::getline(cells, cell, '\t');) row.push_back(cell);
  }
  return rows;
}

// A library with a failing, a passing and an inconclusive scenario.
class CiOutputs : public testing::Test {
 protected:
  void SetUp() override {
    library.keep({"step_hand", "ramp_hand", "corrie_dry_60"});
    library.change<v1::Scenario>(library.file("scenarios/corrie_dry_60.textproto"), [](v1::Scenario& s) {
      s.set_entry_point(v1::ENTRY_POINT_PRESSURE);
      s.clear_limits();
    });
    library.make_baseline();
    bad = library.candidate([](v1::Calibration& c) { c.mutable_hand_control()->set_low_pass_hz(2); });
    outcome = library.check(bad, run, {"--junit", junit()});
    ASSERT_EQ(outcome.exit_code, 1) << outcome.err;
  }
  std::string junit() const { return library.beside("run.xml"); }

  LibraryCopy library;
  std::string bad;
  Outcome outcome;
  v1::Run run;
};

struct Counts {
  int tests = 0, failures = 0, errors = 0, skipped = 0;

  void add(v1::Verdict v) {
    ++tests;
    failures += v == v1::VERDICT_FAIL;
    errors += v == v1::VERDICT_ERROR;
    skipped += v == v1::VERDICT_NONE || v == v1::VERDICT_INCONCLUSIVE;
  }
  std::vector<std::string> cells() const {
    return {std::to_string(tests), std::to_string(failures), std::to_string(errors), std::to_string(skipped)};
  }
};

std::string word_of(v1::Verdict v) {
  if (v == v1::VERDICT_PASS) return "passed";
  if (v == v1::VERDICT_FAIL) return "failure";
  return v == v1::VERDICT_ERROR ? "error" : "skipped";
}

// The facts junitparser must find, from the JSON of the same run. A scenario graver than its measures has a
// case of its own.
std::set<std::vector<std::string>> facts_of(const v1::Run& run) {
  std::set<std::vector<std::string>> facts;
  Counts total;
  for (const v1::ScenarioResult& s : run.scenarios()) {
    Counts counts;
    v1::Verdict gravest = v1::VERDICT_NONE;
    const auto add = [&](const std::string& name, v1::Verdict v, const std::string& reason) {
      const std::string lead = v == v1::VERDICT_INCONCLUSIVE ? "inconclusive: " : "";
      std::vector<std::string> fact = {"case", run.library_name() + "." + s.scenario(), name, word_of(v)};
      if (v != v1::VERDICT_PASS) fact.push_back(lead + reason);
      facts.insert(fact);
      counts.add(v);
      total.add(v);
    };
    for (const v1::MeasureResult& m : s.measures()) {
      add(m.measure(), m.verdict(), m.reason());
      gravest = std::max(gravest, m.verdict());
    }
    if (s.verdict() > gravest) add("scenario", s.verdict(), s.reason());
    std::vector<std::string> suite = counts.cells();
    suite.insert(suite.begin(), {"suite", s.scenario()});
    facts.insert(suite);
  }
  std::vector<std::string> all = total.cells();
  all.insert(all.begin(), "total");
  facts.insert(all);
  return facts;
}

TEST_F(CiOutputs, JUnitReadsTheSameInAnotherParser) {
  if (!has_module("junitparser")) GTEST_SKIP() << "python3-junitparser is not installed";
  const Outcome read = run_other({kPython, "-B", script("read_junit.py"), junit()});
  ASSERT_EQ(read.exit_code, 0) << read.err;
  const auto rows = table_of(read.out);
  const std::set<std::vector<std::string>> seen(rows.begin(), rows.end());
  EXPECT_EQ(seen.size(), rows.size()) << "no fact twice";
  EXPECT_EQ(seen, facts_of(run));
  std::set<v1::Verdict> verdicts;
  for (const auto& s : run.scenarios())
    for (const auto& m : s.measures()) verdicts.insert(m.verdict());
  EXPECT_THAT(verdicts, testing::IsSupersetOf({v1::VERDICT_NONE, v1::VERDICT_PASS, v1::VERDICT_FAIL}));
}

TEST_F(CiOutputs, JUnitFollowsTheSchema) {
  if (!is_installed("xmllint")) GTEST_SKIP() << "xmllint is not installed (package libxml2-utils)";
  const Outcome lint =
      run_other({"xmllint", "--noout", "--schema", kSource + "/tests/unit/report/junit.xsd", junit()});
  EXPECT_EQ(lint.exit_code, 0) << lint.err;
}

// Every "NAME VALUE UNIT" that the JUnit prints of a failing measure is the JSON's number, rounded.
TEST_F(CiOutputs, JUnitAndJsonHoldTheSameNumbers) {
  const std::string text = read_file(junit());
  int compared = 0;
  for (const v1::ScenarioResult& s : run.scenarios()) {
    for (const v1::MeasureResult& m : s.measures()) {
      if (m.verdict() != v1::VERDICT_FAIL || !m.has_value() || !m.has_baseline()) continue;
      const std::regex pattern("<testcase name=\"" + m.measure() + "\" classname=\"sorrel." + s.scenario() +
                               "\">\\s*<failure[^>]*>[^<]*value (-?[0-9.]+)[^<]*, baseline (-?[0-9.]+)");
      std::smatch found;
      ASSERT_TRUE(std::regex_search(text, found, pattern)) << s.scenario() << " " << m.measure();
      const auto agrees = [](const std::string& printed, double value) {
        const size_t point = printed.find('.');
        const int decimals = point == std::string::npos ? 0 : static_cast<int>(printed.size() - point - 1);
        char wanted[64];
        std::snprintf(wanted, sizeof wanted, "%.*f", decimals, value);
        EXPECT_EQ(printed, wanted);
      };
      agrees(found[1], m.value());
      agrees(found[2], m.baseline());
      ++compared;
    }
  }
  EXPECT_GT(compared, 0);
}

// The type that the header of a document names.
std::unique_ptr<Message> empty_document(const std::string& text) {
  // Naming the type of each file keeps its descriptor in the program.
  for (const auto* type : {v1::ToleranceSet::descriptor(), v1::ChannelMap::descriptor(),
                           v1::Season::descriptor(), v1::Stint::descriptor()})
    EXPECT_NE(type, nullptr);
  std::smatch named;
  if (!std::regex_search(text, named, std::regex("# proto-message: *(brakeward\\.v1\\.\\w+)")))
    return nullptr;
  const auto* type = google::protobuf::DescriptorPool::generated_pool()->FindMessageTypeByName(named[1]);
  if (type == nullptr) return nullptr;
  return std::unique_ptr<Message>(
      google::protobuf::MessageFactory::generated_factory()->GetPrototype(type)->New());
}

// "tolerance_set" of ToleranceSet.
std::string schema_file(const Message& message) {
  std::string name = std::regex_replace(message.GetDescriptor()->name(), std::regex("(.)([A-Z])"), "$1_$2");
  for (char& c : name) c = static_cast<char>(std::tolower(c));
  return kSource + "/proto/brakeward/schema/" + name + ".schema.json";
}

TEST_F(CiOutputs, EveryDocumentAndTheRunFollowTheirJsonSchema) {
  if (!has_module("jsonschema")) GTEST_SKIP() << "python3-jsonschema is not installed";
  std::vector<std::string> command = {kPython, "-B", script("check_schemas.py"), BRAKEWARD_PROGRAM};
  std::set<std::string> types;
  const fs::path folder = library.beside("json");
  fs::create_directory(folder);
  for (const auto& entry : fs::recursive_directory_iterator(kSource + "/scenarios/sorrel")) {
    if (entry.path().extension() != ".textproto") continue;
    const std::string text = read_file(entry.path());
    const std::unique_ptr<Message> message = empty_document(text);
    ASSERT_NE(message, nullptr) << entry.path();
    ASSERT_TRUE(google::protobuf::TextFormat::ParseFromString(text, message.get())) << entry.path();
    google::protobuf::util::JsonPrintOptions as_written;
    as_written.preserve_proto_field_names = true;
    std::string json;
    ASSERT_TRUE(google::protobuf::util::MessageToJsonString(*message, &json, as_written).ok());
    const fs::path file = folder / (std::to_string(command.size()) + ".json");
    write_file(file, json);
    command.push_back(schema_file(*message) + "=" + file.string());
    types.insert(message->GetDescriptor()->name());
  }
  EXPECT_THAT(types, testing::IsSupersetOf({"Vehicle", "Calibration", "Recording", "Scenario", "ToleranceSet",
                                            "Baseline", "Library", "Season"}));
  command.push_back(schema_file(run) + "=" + library.beside("run.json").string());
  const Outcome checked = run_other(command);
  EXPECT_EQ(checked.exit_code, 0) << checked.out << checked.err;
}

TEST(DescribeAsJsonSchema, PrintsWhatIsPublished) {
  for (const char* type : {"run", "calibration", "tolerance_set"}) {
    const Outcome outcome = run({"describe", type, "--json-schema"});
    EXPECT_EQ(outcome.exit_code, 0) << outcome.err;
    EXPECT_EQ(outcome.out, read_file(kSource + "/proto/brakeward/schema/" + type + ".schema.json"));
  }
  const Outcome measures = run({"describe", "measures", "--json-schema"});
  EXPECT_EQ(measures.exit_code, 64);
  EXPECT_THAT(measures.err, testing::HasSubstr("measures have no JSON Schema"));
}

}  // namespace
}  // namespace brakeward::end_to_end
