// Hold at standstill, accelerator overlap and power-up from their documents to the controller.
#include "gtest/gtest.h"
#include "unit/compile/demo_sources.h"

namespace brakeward::compile {
namespace {

class Standstill : public DemoSources {
 protected:
  control::ControlParams<double> controller() { return good().plan.params.control; }
};

TEST_F(Standstill, WithoutAnyTheControllerHasNoneOfThem) {
  calibration.clear_standstill_hold();
  const control::ControlStructure st = good().plan.structure.control;
  EXPECT_FALSE(st.holds || st.overlaps || st.powers_up);
  EXPECT_FALSE(good().plan.structure.fault.accelerator);
}

TEST_F(Standstill, TheHoldIsInTicksPascalAndMetresPerSecond) {
  document::parse(
      "standing_below_kph: 0.72 standing_ms: 100 share_percent: 90 limit_bar: 40 longest_ms: 2000 "
      "rolls_above_kph: 1.8 launch_accelerator_percent: 5 release_rate_bar_per_s: 150",
      "made", calibration.mutable_standstill_hold());
  EXPECT_TRUE(good().plan.structure.control.holds);
  const control::HoldParams<double> h = controller().hold;
  EXPECT_NEAR(h.standing_below, 0.2, 1e-12);
  EXPECT_NEAR(h.standing_ticks, 100, 1e-9);
  EXPECT_NEAR(h.share, 0.9, 1e-12);
  EXPECT_NEAR(h.limit, 40e5, 1e-6);
  EXPECT_NEAR(h.longest_ticks, 2000, 1e-9);
  EXPECT_NEAR(h.rolls_above, 0.5, 1e-12);
  EXPECT_NEAR(h.launch_accelerator, 0.05, 1e-12);
  EXPECT_NEAR(h.release_per_tick, 0.15e5, 1e-6);
}

TEST_F(Standstill, TheOverlapIsInShares) {
  document::parse(
      "accelerator_percent: 10 request_bar: 5 plausible_ms: 300 kept_percent: 20 change_rate_per_s: 4 "
      "released_below_percent: 6",
      "made", calibration.mutable_accelerator_overlap());
  EXPECT_TRUE(good().plan.structure.control.overlaps);
  const control::OverlapParams<double> o = controller().overlap;
  EXPECT_NEAR(o.accelerator, 0.1, 1e-12);
  EXPECT_NEAR(o.request, 5e5, 1e-6);
  EXPECT_NEAR(o.plausible_ticks, 300, 1e-9);
  EXPECT_NEAR(o.kept_share, 0.2, 1e-12);
  EXPECT_NEAR(o.change_per_tick, 0.004, 1e-12);
  EXPECT_NEAR(o.released_below, 0.06, 1e-12);
}

TEST_F(Standstill, ThePowerUpIsInTicks) {
  document::parse("running_above_volts: 6.5 self_test_ms: 400 moving_self_test_ms: 30 moving_above_kph: 3.6",
                  "made", calibration.mutable_power_up());
  EXPECT_TRUE(good().plan.structure.control.powers_up);
  const control::PowerParams<double> p = controller().power;
  EXPECT_EQ(p.running_above, 6.5);
  EXPECT_NEAR(p.test_ticks, 400, 1e-9);
  EXPECT_NEAR(p.moving_test_ticks, 30, 1e-9);
  EXPECT_NEAR(p.moving_above, 1, 1e-12);
  EXPECT_EQ(p.foot_pushes, 1);
  vehicle.clear_pedal_path();
  EXPECT_EQ(controller().power.foot_pushes, 0);
}

}  // namespace
}  // namespace brakeward::compile
