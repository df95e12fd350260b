#include "end_to_end/library_copy.h"

#include <google/protobuf/text_format.h>
#include <google/protobuf/util/json_util.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <regex>
#include <set>

namespace brakeward::end_to_end {

namespace fs = std::filesystem;
using google::protobuf::TextFormat;

LibraryCopy::LibraryCopy() {
  fs::copy(fs::path(BRAKEWARD_SOURCE_DIR) / "scenarios/sorrel", folder(), fs::copy_options::recursive);
  fs::permissions(home_.path(), fs::perms::others_all, fs::perm_options::add);
  change<v1::Library>(index(), [](v1::Library& l) {
    l.clear_baseline_file();
    l.clear_campaign_files();
    l.clear_stint_files();
  });
}

template <class Message>
std::string LibraryCopy::change(const std::string& document, const std::function<void(Message&)>& change,
                                std::string to) const {
  Message message;
  EXPECT_TRUE(TextFormat::ParseFromString(read_file(document), &message)) << document;
  change(message);
  std::string text;
  EXPECT_TRUE(TextFormat::PrintToString(message, &text));
  if (to.empty()) to = document;
  write_file(to, text);
  return to;
}

template std::string LibraryCopy::change(const std::string&, const std::function<void(v1::Baseline&)>&,
                                         std::string) const;
template std::string LibraryCopy::change(const std::string&, const std::function<void(v1::Vehicle&)>&,
                                         std::string) const;
template std::string LibraryCopy::change(const std::string&, const std::function<void(v1::Calibration&)>&,
                                         std::string) const;
template std::string LibraryCopy::change(const std::string&, const std::function<void(v1::Scenario&)>&,
                                         std::string) const;
template std::string LibraryCopy::change(const std::string&, const std::function<void(v1::Campaign&)>&,
                                         std::string) const;
template std::string LibraryCopy::change(const std::string&, const std::function<void(v1::Recording&)>&,
                                         std::string) const;
template std::string LibraryCopy::change(const std::string&, const std::function<void(v1::ChannelMap&)>&,
                                         std::string) const;
template std::string LibraryCopy::change(const std::string&, const std::function<void(v1::Library&)>&,
                                         std::string) const;

void LibraryCopy::make_baseline() {
  const Outcome made = run({"baseline", "propose", "--library", folder(), "--calibration", released(),
                            "--event-build", "test", "--out", baseline()});
  ASSERT_EQ(made.exit_code, 0) << made.err;
  // Without its content hash a test may change it.
  change<v1::Baseline>(baseline(), [](v1::Baseline& b) { b.clear_content_sha256(); });
  change<v1::Library>(index(), [](v1::Library& l) { l.set_baseline_file("baseline.textproto"); });
}

std::string LibraryCopy::candidate(const std::function<void(v1::Calibration&)>& alter) const {
  return change<v1::Calibration>(
      released(),
      [&](v1::Calibration& c) {
        c.set_name("candidate");
        alter(c);
      },
      beside("candidate.textproto"));
}

int LibraryCopy::set_value(const std::string& document, const std::string& field, const std::string& value,
                           int nth) const {
  const std::string text = read_file(document);
  const std::regex pattern("(\\b" + field + ":[ \t]*)(\"[^\"]*\"|[^ \t\n]+)");
  auto it = std::sregex_iterator(text.begin(), text.end(), pattern);
  for (; nth > 0 && it != std::sregex_iterator(); --nth) ++it;
  if (it == std::sregex_iterator()) {
    ADD_FAILURE() << field << " is not in " << document;
    return 0;
  }
  const auto at = static_cast<size_t>(it->position(2));
  write_file(document, text.substr(0, at) + value + text.substr(at + static_cast<size_t>(it->length(2))));
  return 1 + static_cast<int>(std::count(text.begin(), text.begin() + static_cast<long>(at), '\n'));
}

void LibraryCopy::keep(const std::vector<std::string>& scenarios) const {
  std::set<std::string> recordings;
  for (const std::string& name : scenarios)
    change<v1::Scenario>(file("scenarios/" + name + ".textproto"), [&](v1::Scenario& s) {
      if (s.has_recorded()) recordings.insert("recordings/" + s.recorded().recording() + ".textproto");
    });
  change<v1::Library>(index(), [&](v1::Library& l) {
    l.clear_scenario_files();
    for (const std::string& name : scenarios) l.add_scenario_files("scenarios/" + name + ".textproto");
    l.clear_recording_files();
    for (const std::string& name : recordings) l.add_recording_files(name);
  });
}

std::string LibraryCopy::add_campaign(const v1::Campaign& campaign) const {
  const std::string name = "campaigns/" + campaign.name() + ".textproto";
  std::string text;
  EXPECT_TRUE(TextFormat::PrintToString(campaign, &text));
  fs::create_directories(file("campaigns"));
  write_file(file(name), text);
  change<v1::Library>(index(), [&](v1::Library& l) { l.add_campaign_files(name); });
  return file(name);
}

std::string LibraryCopy::add_stint(const v1::Stint& stint) const {
  const std::string name = "stints/" + stint.name() + ".textproto";
  std::string text;
  EXPECT_TRUE(TextFormat::PrintToString(stint, &text));
  fs::create_directories(file("stints"));
  write_file(file(name), text);
  change<v1::Library>(index(), [&](v1::Library& l) { l.add_stint_files(name); });
  return file(name);
}

Outcome LibraryCopy::check(const std::string& calibration, std::vector<std::string> more,
                           const How& how) const {
  std::vector<std::string> arguments = {"check", "--library", folder(), "--calibration", calibration};
  arguments.insert(arguments.end(), more.begin(), more.end());
  return run(arguments, how);
}

Outcome LibraryCopy::check(const std::string& calibration, v1::Run& run,
                           std::vector<std::string> more) const {
  const std::string json = beside("run.json");
  more.insert(more.end(), {"--json", json});
  const Outcome outcome = check(calibration, more);
  EXPECT_TRUE(fs::exists(json)) << outcome.err;
  if (fs::exists(json)) run = run_from_json(read_file(json));
  return outcome;
}

v1::Run run_from_json(const std::string& text) {
  v1::Run run;
  google::protobuf::util::JsonParseOptions strict;
  strict.ignore_unknown_fields = false;
  const auto status = google::protobuf::util::JsonStringToMessage(text, &run, strict);
  EXPECT_TRUE(status.ok()) << status << "\n" << text.substr(0, 400);
  return run;
}

}  // namespace brakeward::end_to_end
