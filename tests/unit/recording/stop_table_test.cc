#include "logs.h"

namespace brakeward::recording {
namespace {

Stop long_stop() {
  Stop stop;
  stop.start_s = 9.5;
  stop.onset_s = 10.5;
  stop.release_s = 14.25;
  stop.entry_speed_mps = 55;
  stop.exit_speed_mps = -0.001;
  stop.distance_m = 101.26;
  stop.peak_deceleration_mps2 = 12.345;
  stop.mean_deceleration_mps2 = 9.876;
  stop.peak_pressure_pa = 41.26e5;
  return stop;
}

Log logged(std::initializer_list<Signal> signals) {
  Log log;
  log.time_s = {0, 1};
  for (Signal s : signals) log.signals[static_cast<size_t>(s)] = {0, 0};
  return log;
}

TEST(StopTable, IsAlignedWithUnits) {
  Stop stop = long_stop();
  stop.onset_s = 123456.5;
  EXPECT_EQ(format_stops(logged({Signal::kSpeed, Signal::kDeceleration, Signal::kRearPressure}),
                         {long_stop(), stop}),
            "stop  start      onset  release  entry  exit   drop  distance   peak   mean  peak pressure\n"
            "          s          s        s   km/h  km/h   km/h         m  m/s^2  m/s^2            bar\n"
            "   1   9.50      10.50    14.25  198.0   0.0  198.0     101.3  12.35   9.88           41.3\n"
            "   2   9.50  123456.50    14.25  198.0   0.0  198.0     101.3  12.35   9.88           41.3\n");
}

TEST(StopTable, SaysWhatWasNotLogged) {
  EXPECT_EQ(format_stops(logged({Signal::kSpeed}), {long_stop()}),
            "stop  start  onset  release  entry  exit   drop  distance   peak   mean  peak pressure\n"
            "          s      s        s   km/h  km/h   km/h         m  m/s^2  m/s^2            bar\n"
            "   1   9.50  10.50    14.25  198.0   0.0  198.0     101.3  12.35   9.88              -\n"
            "Deceleration was not logged: it is the centred difference of speed over 0.4 s.\n");
}

}  // namespace
}  // namespace brakeward::recording
