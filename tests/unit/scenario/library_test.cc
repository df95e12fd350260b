// Loading a library: what resolves, and a fault for everything that does not. On changed copies of the demo
// library.
#include "scenario/library.h"

#include <gtest/gtest.h>

#include "document/sha256.h"
#include "end_to_end/library_copy.h"
#include "scenario/references.h"

namespace brakeward::scenario {
namespace {

using end_to_end::LibraryCopy;

std::string faults_of(const LibraryCopy& copy, const LoadOptions& options = {}) {
  document::Faults faults;
  load_library(copy.folder(), options, faults);
  return faults.render();
}

TEST(Library, LoadsWhatTheIndexNames) {
  LibraryCopy copy;
  copy.keep({"saltmarsh_dry_100", "step_hand"});
  document::Faults faults;
  const Library library = load_library(copy.folder(), {}, faults);
  ASSERT_TRUE(faults.empty()) << faults.render();
  ASSERT_EQ(library.scenarios.size(), 2u);
  EXPECT_EQ(library.scenarios[0].message.name(), "saltmarsh_dry_100") << "in the order of the index";
  EXPECT_FALSE(library.baseline.has_value());
  const LoadedRecording* recording = library.recording_named("saltmarsh_session");
  ASSERT_NE(recording, nullptr);
  EXPECT_GT(recording->log.time_s.size(), 100u);
  EXPECT_EQ(recording->file_sha256,
            document::sha256_hex(end_to_end::read_file(copy.file("recordings/saltmarsh_session.csv"))));
  EXPECT_EQ(library.recording_named("none"), nullptr);
  const auto* released = library.calibration_named("released");
  ASSERT_NE(released, nullptr);
  EXPECT_EQ(library.calibration_hashed(released->sha256), released);
  EXPECT_EQ(library.calibration_hashed(""), nullptr);
  EXPECT_EQ(library.calibration_named("none"), nullptr);
}

TEST(Library, HashesWhatADocumentSaysNotHowItIsWritten) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  document::Faults faults;
  const std::string before = load_document<v1::Calibration>(copy.released(), faults).sha256;
  // Written again without comments, and a default written out.
  copy.change<v1::Calibration>(copy.released(), [](v1::Calibration&) {});
  EXPECT_EQ(load_document<v1::Calibration>(copy.released(), faults).sha256, before);
  copy.change<v1::Vehicle>(copy.vehicle(),
                           [](v1::Vehicle& v) { v.mutable_aero()->clear_front_downforce_area_m2(); });
  const std::string unset = load_document<v1::Vehicle>(copy.vehicle(), faults).sha256;
  copy.change<v1::Vehicle>(copy.vehicle(),
                           [](v1::Vehicle& v) { v.mutable_aero()->set_front_downforce_area_m2(0); });
  EXPECT_EQ(load_document<v1::Vehicle>(copy.vehicle(), faults).sha256, unset);
  EXPECT_TRUE(faults.empty()) << faults.render();
}

TEST(Library, SwapsDocumentsOnRequest) {
  LibraryCopy copy;
  copy.keep({"step_hand"});
  copy.make_baseline();
  LoadOptions options;
  options.vehicle_file = copy.change<v1::Vehicle>(
      copy.vehicle(), [](v1::Vehicle& v) { v.set_provenance("another"); }, copy.beside("other.textproto"));
  document::Faults faults;
  Library library = load_library(copy.folder(), options, faults);
  EXPECT_EQ(library.vehicle.message.provenance(), "another");
  EXPECT_EQ(library.vehicle.file, options.vehicle_file);
  EXPECT_TRUE(library.baseline.has_value());
  options.without_baseline = true;
  EXPECT_FALSE(load_library(copy.folder(), options, faults).baseline.has_value());
  options = {};
  options.baseline_file = copy.beside("none");
  EXPECT_NE(faults_of(copy, options).find("none: there is no such file"), std::string::npos);
}

struct Misfit {
  const char* name;
  void (*make)(const LibraryCopy&);
  std::vector<std::string> says;
};

void alter_step(const LibraryCopy& copy, void (*alter)(v1::Scenario&)) {
  copy.change<v1::Scenario>(copy.file("scenarios/step_hand.textproto"), alter);
}

void alter_log(const LibraryCopy& copy, void (*alter)(v1::Recording&)) {
  copy.change<v1::Recording>(copy.file("recordings/saltmarsh_session.textproto"), alter);
}

const Misfit kMisfits[] = {
    {"scenario_name_twice",
     [](const LibraryCopy& c) { alter_step(c, [](auto& s) { s.set_name("saltmarsh_dry_100"); }); },
     {"step_hand.textproto: name: another scenario of the library is named \"saltmarsh_dry_100\" too"}},
    {"recording_name_twice",
     [](const LibraryCopy& c) {
       c.change<v1::Library>(c.index(), [](v1::Library& l) { l.add_recording_files(l.recording_files(0)); });
     },
     {"saltmarsh_session.textproto: name: another recording of the library is named \"saltmarsh_session\" "
      "too"}},
    {"calibration_name_twice",
     [](const LibraryCopy& c) {
       c.change<v1::Library>(c.index(),
                             [](v1::Library& l) { l.add_calibration_files(l.calibration_files(0)); });
     },
     {"released.textproto: name: another calibration of the library is named \"released\" too"}},
    {"unknown_recording",
     [](const LibraryCopy& c) {
       c.change<v1::Library>(c.index(), [](v1::Library& l) { l.clear_recording_files(); });
     },
     {"saltmarsh_dry_100.textproto: recorded.recording: no recording named \"saltmarsh_session\"",
      "recording_files"}},
    {"pressure_without_a_recording",
     [](const LibraryCopy& c) {
       alter_step(c, [](auto& s) { s.set_entry_point(v1::ENTRY_POINT_PRESSURE); });
     },
     {"step_hand.textproto: entry_point: a replay from pressure needs a recorded input"}},
    {"fault_ends_before_it_starts",
     [](const LibraryCopy& c) {
       alter_step(c, [](v1::Scenario& s) {
         auto* fault = s.add_faults();
         fault->set_kind(v1::FAULT_KIND_TRACK_OPEN);
         fault->set_track(v1::REQUEST_TRACK_HAND_A);
         fault->set_start_s(2);
         fault->set_end_s(1);
       });
     },
     {"step_hand.textproto: faults[0].end_s: the fault must end after it starts"}},
    {"stretch_ends_before_it_starts",
     [](const LibraryCopy& c) {
       c.change<v1::Scenario>(c.file("scenarios/saltmarsh_dry_100.textproto"), [](v1::Scenario& s) {
         s.mutable_recorded()->set_start_s(3);
         s.mutable_recorded()->set_end_s(2);
       });
     },
     {"saltmarsh_dry_100.textproto: recorded.end_s: the stretch must end after it starts"}},
    {"recorded_on_another_car",
     [](const LibraryCopy& c) { alter_log(c, [](auto& r) { r.set_vehicle("roan"); }); },
     {"saltmarsh_session.textproto: vehicle: recorded on \"roan\", the library's car is \"sorrel\"",
      "recording_files"}},
    {"recorded_under_an_unknown_calibration",
     [](const LibraryCopy& c) { alter_log(c, [](auto& r) { r.set_calibration("lost"); }); },
     {"saltmarsh_session.textproto: calibration: no calibration named \"lost\"", "calibration_files"}},
    {"no_channel_map",
     [](const LibraryCopy& c) { alter_log(c, [](auto& r) { r.clear_channel_map_file(); }); },
     {"saltmarsh_session.textproto: channel_map: no channel map; give channel_map or channel_map_file"}},
    {"two_channel_maps",
     [](const LibraryCopy& c) {
       alter_log(c, [](v1::Recording& r) {
         r.mutable_channel_map()->set_time_column("t");
         r.mutable_channel_map()->set_time_unit("s");
         auto* channel = r.mutable_channel_map()->add_channels();
         channel->set_signal(v1::RECORDED_SIGNAL_SPEED);
         channel->set_column("v");
         channel->set_unit("m/s");
       });
     },
     {"saltmarsh_session.textproto: channel_map_file: both channel_map and channel_map_file are given; keep "
      "one"}},
    {"fault_in_an_inner_channel_map",
     [](const LibraryCopy& c) {
       alter_log(c, [](v1::Recording& r) {
         r.clear_channel_map_file();
         r.mutable_channel_map()->set_time_column("t");
         r.mutable_channel_map()->set_time_unit("min");
         auto* channel = r.mutable_channel_map()->add_channels();
         channel->set_signal(v1::RECORDED_SIGNAL_SPEED);
         channel->set_column("v");
         channel->set_unit("knot");
       });
     },
     {"saltmarsh_session.textproto: channel_map: channel map: time_unit 'min'",
      "'knot' is not a unit of a speed"}},
    {"selected_step_does_not_exist",
     [](const LibraryCopy& c) {
       c.change<v1::Calibration>(c.released(),
                                 [](v1::Calibration& x) { x.mutable_balance()->set_step("+9"); });
     },
     {"released.textproto: balance.steps: balance.step chooses \"+9\", which this calibration lacks; it has "
      "\""}},
    {"selected_grade_does_not_exist",
     [](const LibraryCopy& c) {
       c.change<v1::Calibration>(
           c.released(), [](v1::Calibration& x) { x.mutable_hand_control()->set_effort_grade("soft"); });
     },
     {"released.textproto: hand_control.effort_grades: hand_control.effort_grade chooses \"soft\""}},
    {"scenario_chooses_a_grade_that_does_not_exist",
     [](const LibraryCopy& c) { alter_step(c, [](auto& s) { s.set_effort_grade("soft"); }); },
     {"released.textproto: hand_control.effort_grades: scenario step_hand chooses \"soft\""}},
};

class MisfitTest : public testing::TestWithParam<Misfit> {};

TEST_P(MisfitTest, IsTold) {
  LibraryCopy copy;
  copy.keep({"saltmarsh_dry_100", "step_hand"});
  ASSERT_EQ(faults_of(copy), "");
  GetParam().make(copy);
  const std::string said = faults_of(copy);
  for (const std::string& part : GetParam().says)
    EXPECT_NE(said.find(part), std::string::npos) << "missing: " << part << "\nin: " << said;
}

INSTANTIATE_TEST_SUITE_P(All, MisfitTest, testing::ValuesIn(kMisfits),
                         [](const auto& info) { return std::string(info.param.name); });

TEST(Library, CollectsMisfitsOfSeveralDocuments) {
  LibraryCopy copy;
  copy.keep({"saltmarsh_dry_100", "step_hand"});
  alter_log(copy, [](v1::Recording& r) { r.set_calibration("lost"); });
  alter_step(copy, [](v1::Scenario& s) { s.set_effort_grade("soft"); });
  const std::string said = faults_of(copy);
  EXPECT_NE(said.find("\"lost\""), std::string::npos) << said;
  EXPECT_NE(said.find("\"soft\""), std::string::npos) << said;
}

TEST(ChannelMap, CarriesEverySignal) {
  const auto* signals = v1::RecordedSignal_descriptor();
  for (int i = 1; i < signals->value_count(); ++i) {
    v1::ChannelMap map;
    auto* channel = map.add_channels();
    channel->set_signal(static_cast<v1::RecordedSignal>(signals->value(i)->number()));
    channel->set_delay_ms(4);
    map.set_longest_gap_ms(50);
    const recording::ChannelMap plain = channel_map_of(map);
    ASSERT_LT(plain.channels[0].signal, recording::Signal::kCount) << signals->value(i)->name();
    std::string word = signals->value(i)->name().substr(sizeof("RECORDED_SIGNAL_") - 1);
    for (char& c : word) c = static_cast<char>(std::tolower(c));
    EXPECT_EQ(recording::name(plain.channels[0].signal), word);
    EXPECT_DOUBLE_EQ(plain.channels[0].delay_s, 0.004);
    EXPECT_DOUBLE_EQ(plain.longest_gap_s, 0.05);
  }
  EXPECT_EQ(signals->value_count() - 1, static_cast<int>(recording::Signal::kCount));
}

TEST(ClassWord, IsTheEnumsInLowerCase) {
  EXPECT_EQ(class_word(v1::SCENARIO_CLASS_STRAIGHT_DRY), "straight_dry");
  EXPECT_EQ(class_word(v1::SCENARIO_CLASS_MEASURED_PRESSURE), "measured_pressure");
}

}  // namespace
}  // namespace brakeward::scenario
