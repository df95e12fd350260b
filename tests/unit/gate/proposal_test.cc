// A baseline's values against those of a check, and what keeps a proposal from being approved. On changed
// copies of the demo library.
#include "gate/proposal.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "document/print.h"
#include "end_to_end/library_copy.h"
#include "unit/gate/released_options.h"

namespace brakeward::gate {
namespace {

using end_to_end::LibraryCopy;

const verdict::MeasureResult* measure_of(const verdict::Run& run, const std::string& scenario,
                                         const std::string& name) {
  for (const auto& s : run.scenarios)
    for (const auto& m : s.measures)
      if (s.scenario == scenario && m.measure == name) return &m;
  return nullptr;
}

TEST(Propose, KeepsEveryMeasuredValueAndWhatMadeIt) {
  LibraryCopy copy;
  copy.keep({"saltmarsh_dry_100", "step_hand"});
  const auto proposal = propose({options_for(copy), "", {}});
  ASSERT_TRUE(proposal.ok()) << proposal.status();
  const v1::Baseline& baseline = proposal->baseline;
  EXPECT_EQ(baseline.numerics_version(), replay::kNumericsVersion);
  EXPECT_EQ(baseline.calibration_name(), "released");
  EXPECT_NE(baseline.event_build(), "") << "the calibration's";
  EXPECT_EQ(baseline.approved_by(), "");
  EXPECT_EQ(baseline.content_sha256(), baseline_content_sha256(baseline).value_or("?"));
  ASSERT_EQ(baseline.scenarios_size(), 2);
  EXPECT_NE(baseline.scenarios(0).recording_file_sha256(), "");
  EXPECT_EQ(baseline.scenarios(1).recording_file_sha256(), "") << "a synthetic input";
  const auto run = check(options_for(copy));
  ASSERT_TRUE(run.ok());
  EXPECT_EQ(baseline.calibration_sha256(), run->calibration_sha256);
  EXPECT_EQ(baseline.vehicle_sha256(), run->vehicle_sha256);
  for (const auto& s : baseline.scenarios())
    for (const auto& v : s.values()) {
      const auto* m = measure_of(*run, s.scenario(), v.measure());
      ASSERT_NE(m, nullptr) << v.measure();
      EXPECT_EQ(m->value.has_value(), !v.never_reached()) << v.measure();
      if (m->value) {
        EXPECT_EQ(*m->value, v.value()) << v.measure();
      }
    }
}

TEST(Propose, ListsWhatItCannotJudge) {
  LibraryCopy copy;
  copy.keep({"saltmarsh_dry_100", "step_hand"});
  copy.change<v1::Scenario>(copy.file("scenarios/saltmarsh_dry_100.textproto"),
                            [](v1::Scenario& s) { s.set_entry_point(v1::ENTRY_POINT_PRESSURE); });
  const auto proposal = propose({options_for(copy), "", {}});
  ASSERT_TRUE(proposal.ok()) << proposal.status();
  const auto& lines = proposal->baseline.not_judged();
  const auto has = [&](const std::string& line) { return std::count(lines.begin(), lines.end(), line) == 1; };
  EXPECT_TRUE(has("recorded line pressure bypasses the calibration: every measure in saltmarsh_dry_100"));
  EXPECT_TRUE(std::any_of(lines.begin(), lines.end(), [](const std::string& line) {
    return line.starts_with("no fault in this scenario: fault_detection_time, fault_recovery_time, ") &&
           line.ends_with(" in step_hand");
  }));
}

TEST(Propose, NamesEveryScenarioThatCannotBeCompiled) {
  LibraryCopy copy;
  copy.keep({"step_hand", "ramp_hand"});
  for (const char* name : {"step_hand", "ramp_hand"})
    copy.change<v1::Scenario>(copy.file(std::string("scenarios/") + name + ".textproto"),
                              [](v1::Scenario& s) { s.mutable_synthetic()->set_travel_mm(0); });
  const std::string said(propose({options_for(copy), "", {}}).status().message());
  for (const char* part :
       {"scenario step_hand: synthetic.travel_mm", "scenario ramp_hand: synthetic.travel_mm"})
    EXPECT_NE(said.find(part), std::string::npos) << said;
}

// Two scenarios, a baseline of the released calibration, and a proposal of another.
class Approve : public testing::Test {
 protected:
  void SetUp() override {
    copy.keep({"saltmarsh_dry_100", "step_hand"});
    copy.make_baseline();
    other = copy.file("calibrations/other.textproto");
    add([](v1::Calibration& c) {
      c.mutable_hand_control()->set_low_pass_hz(c.hand_control().low_pass_hz() + 0.5);
    });
  }
  // Makes the other calibration anew: the released one with this change.
  void add(const std::function<void(v1::Calibration&)>& change) {
    copy.change<v1::Calibration>(
        copy.released(),
        [&](v1::Calibration& c) {
          c.set_name("other");
          c.set_event_build("next");
          change(c);
        },
        other);
    copy.change<v1::Library>(copy.index(), [](v1::Library& l) {
      const auto& files = l.calibration_files();
      if (std::count(files.begin(), files.end(), "calibrations/other.textproto") == 0)
        l.add_calibration_files("calibrations/other.textproto");
    });
  }
  void write_proposal() {
    Options run = options_for(copy);
    run.calibration = other;
    const auto made = propose({run, "", {}});
    ASSERT_TRUE(made.ok()) << made.status();
    end_to_end::write_file(file(), document::to_text(made->baseline));
  }
  void change_proposal(const std::function<void(v1::Baseline&)>& alter) {
    copy.change<v1::Baseline>(file(), alter);
  }
  std::string file() const { return copy.beside("proposal.textproto"); }
  absl::StatusOr<Approval> approval(const std::string& accept_moves = "") {
    ApprovalOptions o;
    o.run = options_for(copy);
    o.run.calibration.clear();
    o.proposal = file();
    o.by = "lead";
    o.on = "2026-03-01";
    o.why = "because";
    o.accept_moves = accept_moves;
    return approve(o);
  }
  void expect_refused(const std::vector<std::string>& parts) {
    const auto refused = approval("whatever");
    ASSERT_FALSE(refused.ok());
    EXPECT_EQ(refused.status().code(), absl::StatusCode::kFailedPrecondition);
    for (const auto& part : parts)
      EXPECT_NE(refused.status().message().find(part), std::string::npos) << part << "\n" << refused.status();
  }

  LibraryCopy copy;
  std::string other;
};

TEST_F(Approve, SignsWhatPassesAndChecksAcceptIt) {
  write_proposal();
  const auto done = approval();
  ASSERT_TRUE(done.ok()) << done.status();
  ASSERT_TRUE(done->baseline.has_value()) << done->refusal;
  EXPECT_EQ(done->baseline->approved_by(), "lead");
  EXPECT_EQ(done->baseline->approved_on(), "2026-03-01");
  EXPECT_EQ(done->baseline->reason(), "because");
  EXPECT_EQ(done->baseline->accepted_moves(), "");
  EXPECT_EQ(done->baseline->compared_with(), "test");
  const std::string approved = copy.beside("approved.textproto");
  end_to_end::write_file(approved, document::to_text(*done->baseline));
  Options options = options_for(copy);
  options.calibration = other;
  options.load.baseline_file = approved;
  const auto run = check(options);
  ASSERT_TRUE(run.ok()) << run.status();
  EXPECT_EQ(run->verdict, verdict::Verdict::kPass);
}

TEST_F(Approve, RefusesAFailingRunUnlessItsMovesAreAccepted) {
  add([](v1::Calibration& c) { c.mutable_hand_control()->set_low_pass_hz(4); });
  write_proposal();
  const auto refused = approval();
  ASSERT_TRUE(refused.ok()) << refused.status();
  EXPECT_FALSE(refused->baseline.has_value());
  EXPECT_EQ(refused->made.present->verdict, verdict::Verdict::kFail);
  EXPECT_NE(refused->refusal.find("against test is fail"), std::string::npos) << refused->refusal;
  const auto accepted = approval("new filter");
  ASSERT_TRUE(accepted.ok() && accepted->baseline.has_value());
  EXPECT_EQ(accepted->baseline->accepted_moves(), "new filter");
}

TEST_F(Approve, RefusesAnEditUnderAKeptHashAndUnderANewOne) {
  write_proposal();
  const auto edit = [](v1::Baseline& b) {
    auto* v = b.mutable_scenarios(0)->mutable_values(0);
    v->set_value(v->value() * 1.0001);
  };
  change_proposal(edit);
  expect_refused({"content_sha256: the document says ", "something was changed after it was proposed",
                  "`brakeward baseline propose`"});
  write_proposal();
  change_proposal([&](v1::Baseline& b) {
    edit(b);
    b.set_content_sha256(*baseline_content_sha256(b));
  });
  expect_refused({"scenarios[\"saltmarsh_dry_100\"].values[\"stopping_distance\"].value: the proposal says ",
                  "made anew it is "});
}

TEST_F(Approve, NamesEveryDocumentThatMoved) {
  write_proposal();
  copy.change<v1::Vehicle>(
      copy.vehicle(), [](v1::Vehicle& v) { v.mutable_chassis()->set_mass_kg(v.chassis().mass_kg() + 1); });
  add([](v1::Calibration& c) { c.mutable_hand_control()->set_low_pass_hz(24); });
  copy.change<v1::Scenario>(copy.file("scenarios/step_hand.textproto"), [](v1::Scenario& s) {
    s.mutable_synthetic()->set_travel_mm(s.synthetic().travel_mm() + 0.1);
  });
  copy.change<v1::Library>(copy.index(), [](v1::Library& l) { l.set_provenance("Invented, too."); });
  v1::Library index;
  std::string tolerances, recording;
  copy.change<v1::Library>(copy.index(), [&](v1::Library& l) {
    tolerances = l.tolerances_file();
    recording = l.recording_files(0);
  });
  copy.change<v1::Recording>(copy.file(recording),
                             [](v1::Recording& r) { r.set_source(r.source() + " Again."); });
  expect_refused({"vehicle_sha256: " + copy.vehicle() + " has moved since it was proposed: ",
                  "library_sha256: " + copy.index() + " has moved",
                  "calibration_sha256: " + other + " has moved", "scenarios[\"step_hand\"].document_sha256: ",
                  "scenarios[\"saltmarsh_dry_100\"].recording_sha256: ", "... then, ", "... now; "});
}

TEST_F(Approve, RefusesAnotherNumericsAMissingAndAnExtraScenario) {
  write_proposal();
  change_proposal([](v1::Baseline& b) {
    b.set_numerics_version(b.numerics_version() + 1);
    b.mutable_scenarios(1)->set_scenario("step_foot");
  });
  expect_refused({"numerics_version: proposed by numerics ",
                  "scenarios[\"step_foot\"]: the library no longer has",
                  "scenarios[\"step_hand\"]: the proposal lacks this scenario"});
}

TEST_F(Approve, RefusesWhatIsApprovedAlreadyAndDaysThatAreNone) {
  write_proposal();
  change_proposal([](v1::Baseline& b) { b.set_approved_by("someone"); });
  expect_refused({"approved_by: already approved by someone"});
  for (const char* day : {"", "2026-02-30", "01.03.2026", "2026-3-1"}) {
    ApprovalOptions o;
    o.by = "lead";
    o.why = "because";
    o.on = day;
    const auto refused = approve(o);
    EXPECT_EQ(refused.status().code(), absl::StatusCode::kInvalidArgument) << day;
    EXPECT_NE(refused.status().message().find("--on"), std::string::npos) << day;
  }
}

TEST_F(Approve, OfAPresentBaselineThatDoesNotFitNeedsAReason) {
  copy.change<v1::Baseline>(copy.baseline(),
                            [](v1::Baseline& b) { b.set_numerics_version(b.numerics_version() + 1); });
  write_proposal();
  const auto refused = approval();
  EXPECT_EQ(refused.status().code(), absl::StatusCode::kFailedPrecondition);
  EXPECT_NE(refused.status().message().find("--accept-moves"), std::string::npos) << refused.status();
  const auto accepted = approval("new numerics");
  ASSERT_TRUE(accepted.ok() && accepted->baseline.has_value()) << accepted.status();
  EXPECT_EQ(accepted->baseline->accepted_moves(), "new numerics");
}

// Baselines a check must not take.
TEST_F(Approve, ChecksRefuseBaselinesChangedByHand) {
  write_proposal();
  const auto checked = [&] {
    Options options = options_for(copy);
    options.load.baseline_file = file();
    return std::string(check(options).status().message());
  };
  EXPECT_EQ(checked(), "");
  change_proposal([](v1::Baseline& b) { b.mutable_scenarios(0)->mutable_values(0)->set_value(1); });
  EXPECT_NE(checked().find("content_sha256: the document says "), std::string::npos) << checked();
  change_proposal([](v1::Baseline& b) {
    b.clear_content_sha256();
    b.mutable_scenarios(0)->mutable_values(0)->clear_value();
    *b.mutable_scenarios(1)->add_values() = b.scenarios(1).values(0);
    *b.add_scenarios() = b.scenarios(0);
  });
  for (const char* part :
       {"values[\"stopping_distance\"]: neither value nor never_reached", "]: there twice; keep one",
        "scenarios[\"saltmarsh_dry_100\"]: there twice; keep one"})
    EXPECT_NE(checked().find(part), std::string::npos) << part << "\n" << checked();
}

}  // namespace
}  // namespace brakeward::gate
