// Build sheets: into the run, through a message, and where a recording was made with something else.
#include "gate/build_sheet.h"

#include <gtest/gtest.h>

#include "end_to_end/library_copy.h"
#include "gate/run_message.h"
#include "unit/gate/released_options.h"

namespace brakeward::gate {
namespace {

using end_to_end::LibraryCopy;

class BuildSheets : public testing::Test {
 protected:
  void SetUp() override {
    copy_.keep({"saltmarsh_dry_140", "step_hand"});
    fit([](v1::BuildSheet&) {});
  }
  // What is on the car; starts with what the recording says.
  void fit(const std::function<void(v1::BuildSheet&)>& change) {
    v1::BuildSheet sheet;
    copy_.change<v1::Recording>(copy_.file("recordings/saltmarsh_dry_140.textproto"),
                                [&](v1::Recording& r) { sheet = r.build_sheet(); });
    change(sheet);
    copy_.change<v1::Vehicle>(copy_.vehicle(), [&](v1::Vehicle& v) { *v.mutable_build_sheet() = sheet; });
  }
  verdict::Run run() {
    auto made = check(options_for(copy_));
    EXPECT_TRUE(made.ok()) << made.status();
    return made.ok() ? *made : verdict::Run();
  }

  LibraryCopy copy_;
};

TEST_F(BuildSheets, AreInTheRunInSchemaOrder) {
  const verdict::Run made = run();
  ASSERT_GE(made.build_sheet.size(), 2u);
  EXPECT_EQ(made.build_sheet[0].field, "pads");
  EXPECT_EQ(made.build_sheet[1].field, "tyres");
  EXPECT_TRUE(made.build_sheet_differences.empty());
  const auto back = from_message(to_message(made));
  ASSERT_TRUE(back.ok()) << back.status();
  ASSERT_EQ(back->build_sheet.size(), made.build_sheet.size());
  EXPECT_EQ(back->build_sheet[0].value, made.build_sheet[0].value);
}

TEST_F(BuildSheets, TellWhichFieldDiffersWithBothValuesAndLeaveTheVerdictAlone) {
  const verdict::Run same = run();
  fit([](v1::BuildSheet& s) { s.set_pads("sintered, new"); });
  const verdict::Run made = run();
  ASSERT_EQ(made.build_sheet_differences.size(), 1u);
  const auto& d = made.build_sheet_differences[0];
  EXPECT_EQ(d.recording, "saltmarsh_dry_140");
  EXPECT_EQ(d.field, "pads");
  EXPECT_NE(d.recorded.find("race compound"), std::string::npos) << d.recorded;
  EXPECT_EQ(d.fitted, "sintered, new");
  EXPECT_EQ(made.verdict, same.verdict);
  const auto back = from_message(to_message(made));
  ASSERT_TRUE(back.ok()) << back.status();
  EXPECT_EQ(back->build_sheet_differences[0].recorded, d.recorded);
}

TEST_F(BuildSheets, SayNothingOfWhatOneOfThemLeavesOut) {
  fit([](v1::BuildSheet& s) { s.clear_pads(); });
  EXPECT_TRUE(run().build_sheet_differences.empty());
}

}  // namespace
}  // namespace brakeward::gate
