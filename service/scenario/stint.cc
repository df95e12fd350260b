#include "scenario/stint.h"

#include <algorithm>

#include "document/schema.h"
#include "math/random.h"
#include "signal/onset.h"

namespace brakeward::scenario {
namespace {

constexpr double kPercent = 0.01;
constexpr double kReleased_s = 1;  // the brakes of a car that has stopped are let go

constexpr double kOnset_mm = 1e3 * signal::kOnsetTravel;

using Kind = StintStretch::Kind;

const v1::SlowLaps* slow_laps_at(const v1::Stint& stint, int lap) {
  for (const v1::SlowLaps& slow : stint.slow_laps())
    if (lap >= slow.first_lap() && lap <= slow.last_lap()) return &slow;
  return nullptr;
}

// Lap by lap.
class Expansion {
 public:
  Expansion(const Library& library, const v1::Stint& stint)
      : library_(library), stint_(stint), draws_(math::seed_from(seed_of(stint))) {
    for (int lap = 1; lap <= stint.laps(); ++lap) {
      if (!compares(lap)) continue;
      if (first_ == 0) first_ = lap;
      last_ = lap;
    }
  }

  std::vector<StintStretch> run() {
    for (int lap = 1; lap <= stint_.laps(); ++lap) {
      drive_lap(lap);
      if (stint_.has_driver_change() && lap == stint_.driver_change().after_lap()) change_drivers(lap);
    }
    return std::move(out_);
  }

 private:
  static std::string seed_of(const v1::Stint& stint) {
    return "stint/" + stint.name() + "/" + std::to_string(stint.variation().seed());
  }

  bool by_second_driver(int lap) const {
    return stint_.has_driver_change() && lap > stint_.driver_change().after_lap();
  }

  // At pace and of the same lap as the first driver's.
  bool compares(int lap) const {
    return at_pace(stint_, lap) && !(by_second_driver(lap) && stint_.driver_change().lap_size() > 0);
  }

  StintStretch stretch(Kind kind, int lap) const {
    StintStretch s;
    s.kind = kind;
    s.lap = lap;
    s.by_second_driver = by_second_driver(lap);
    s.burnt_kg = (lap - 1) * stint_.fuel().kg_per_lap();
    const double start = stint_.ambient_celsius();
    const double end = stint_.has_ambient_end_celsius() ? stint_.ambient_end_celsius() : start;
    s.ambient_celsius = start + (end - start) * (lap - 1) / (stint_.laps() - 1);
    return s;
  }

  // Evenly between 1 less and 1 plus so many percent. Drawn whether it counts or not, so that a change of one
  // lap leaves the others alone.
  double draw(double percent, bool varies) {
    const double even = 2 * draws_.uniform() - 1;
    return varies ? 1 + percent * kPercent * even : 1;
  }

  void drive_lap(int lap) {
    const auto& parts = lap_of(stint_, by_second_driver(lap));
    const v1::SlowLaps* slow = slow_laps_at(stint_, lap);
    const double speed = slow ? slow->speed_percent() * kPercent : 1;
    const double request = slow ? slow->request_percent() * kPercent : 1;
    const bool varies = stint_.has_variation() && !slow && lap != first_ && lap != last_;
    for (int i = 0; i < parts.size(); ++i) {
      const v1::LapPart& part = parts[i];
      StintStretch s = stretch(Kind::kPart, lap);
      s.compares = lap == first_ || lap == last_;
      s.part = static_cast<size_t>(i);
      s.request_factor = request * draw(stint_.variation().request_percent(), varies);
      s.speed_factor = speed * draw(stint_.variation().speed_percent(), varies);
      out_.push_back(s);
      const auto* scenario = library_.scenario_named(part.scenario());
      if (scenario && scenario->message.end_rule() == v1::END_RULE_STANDSTILL) stand(lap, kReleased_s);
      const double gap = draw(stint_.variation().gap_percent(), varies);
      if (part.then_drive_s() <= 0) continue;
      StintStretch between = stretch(Kind::kDrive, lap);
      between.speed_kph = part.then_drive_kph();
      between.speed_factor = speed;
      between.seconds = part.then_drive_s() * gap / speed;
      out_.push_back(between);
    }
  }

  void stand(int lap, double seconds) {
    if (seconds <= 0) return;
    StintStretch s = stretch(Kind::kStand, lap);
    s.seconds = seconds;
    out_.push_back(s);
  }

  void change_drivers(int lap) {
    stand(lap, stint_.driver_change().standing_s());
    StintStretch s = stretch(Kind::kChangeOver, lap);
    s.speed_kph = stint_.driver_change().pit_speed_kph();
    out_.push_back(s);
    stand(lap, kReleased_s);
  }

  const Library& library_;
  const v1::Stint& stint_;
  math::Random draws_;
  int first_ = 0, last_ = 0;  // laps that compare
  std::vector<StintStretch> out_;
};

// One stint's faults of the document, collected under its file.
class StintCheck {
 public:
  StintCheck(const Library& library, const Loaded<v1::Stint>& stint, document::Faults& faults)
      : library_(library), stint_(stint.message), file_(stint.file.string()), faults_(faults) {}

  void run() {
    check_lap("lap", stint_.lap());
    for (int i = 0; i < stint_.slow_laps_size(); ++i) check_slow_laps(i);
    check_fuel();
    if (stint_.has_driver_change()) check_driver_change();
    check_count();
    check_pace();
  }

 private:
  void add(const std::string& at, const std::string& text) { faults_.add({file_, 0, 0, at, text}); }

  static std::string item(const std::string& list, int i) { return list + "[" + std::to_string(i) + "]"; }

  void check_lap(const std::string& list, const google::protobuf::RepeatedPtrField<v1::LapPart>& lap) {
    for (int i = 0; i < lap.size(); ++i) {
      const v1::LapPart& part = lap[i];
      check_scenario(item(list, i) + ".scenario", part.scenario());
      if (part.then_drive_kph() > 0 && part.then_drive_s() <= 0)
        add(item(list, i) + ".then_drive_s",
            "0 s, but then_drive_kph gives a speed; give the time it is held for, or leave the speed out");
    }
  }

  void check_scenario(const std::string& at, const std::string& name) {
    const auto* base = library_.scenario_named(name);
    if (base == nullptr)
      return add(at, "no scenario named \"" + name + "\" in the library; list its file under scenario_files");
    if (base->message.entry_point() != v1::ENTRY_POINT_REQUEST)
      add(at, "\"" + name +
                  "\" is replayed from line pressure, which does not follow the stint's heat; take one with "
                  "ENTRY_POINT_REQUEST");
    if (base->message.faults_size() > 0)
      add(at, "\"" + name + "\" has faults, which would come back every lap; take one without");
  }

  void check_slow_laps(int i) {
    const v1::SlowLaps& slow = stint_.slow_laps(i);
    const std::string at = item("slow_laps", i);
    if (slow.last_lap() < slow.first_lap())
      add(at + ".last_lap", std::to_string(slow.last_lap()) + " is before first_lap, " +
                                std::to_string(slow.first_lap()) + "; give the later lap");
    if (slow.last_lap() > stint_.laps())
      add(at + ".last_lap", std::to_string(slow.last_lap()) + ", of a stint of " +
                                std::to_string(stint_.laps()) + " laps; give a lap that is driven");
    for (int k = 0; k < i; ++k)
      if (slow.first_lap() <= stint_.slow_laps(k).last_lap() &&
          slow.last_lap() >= stint_.slow_laps(k).first_lap())
        add(at, "holds laps that " + item("slow_laps", k) + " holds too; a lap may be slow once");
  }

  void check_fuel() {
    if (!stint_.has_fuel()) return;
    for (const v1::MassPlace& place : library_.vehicle.message.places())
      if (place.name() == stint_.fuel().place()) return;
    std::string known;
    for (const v1::MassPlace& place : library_.vehicle.message.places())
      known += (known.empty() ? "\"" : ", \"") + place.name() + "\"";
    add("fuel.place", "vehicle \"" + library_.vehicle.message.name() + "\" has no place \"" +
                          stint_.fuel().place() + "\"; it has " + (known.empty() ? "none" : known) +
                          ". Name one of them, or add the place to the vehicle document");
  }

  void check_driver_change() {
    const v1::DriverChange& change = stint_.driver_change();
    if (change.after_lap() >= stint_.laps())
      add("driver_change.after_lap", std::to_string(change.after_lap()) + ", of a stint of " +
                                         std::to_string(stint_.laps()) +
                                         " laps; leave the second driver one lap at least");
    const auto from = stint_.selected_control() == v1::REQUEST_CONTROL_PEDAL ? v1::REQUEST_CONTROL_PEDAL
                                                                             : v1::REQUEST_CONTROL_HAND;
    if (change.to_control() == from)
      add("driver_change.to_control",
          v1::RequestControl_Name(from) + ", which selected_control says already; give the other control");
    if (change.held_travel_mm() <= kOnset_mm)
      add("driver_change.held_travel_mm",
          document::with_unit(change.held_travel_mm(), "mm") +
              "; beyond 2 mm a request counts as begun (SAE J299): give more");
    if (change.held_force_n() <= signal::kOnsetForce)
      add("driver_change.held_force_n", document::with_unit(change.held_force_n(), "N") +
                                            "; beyond 22 N a request counts as begun (SAE J299): give more");
    check_lap("driver_change.lap", change.lap());
  }

  // A part is a scenario, a release and a drive at most.
  void check_count() {
    const std::int64_t parts = std::max(stint_.lap_size(), stint_.driver_change().lap_size());
    const std::int64_t count = 3 * parts * stint_.laps() + 3;
    if (count > kMostStintStretches)
      add("laps", std::to_string(stint_.laps()) + " laps of " + std::to_string(parts) + " parts are up to " +
                      std::to_string(count) + " stretches, of which a stint may have " +
                      std::to_string(kMostStintStretches) + "; take fewer laps or parts");
  }

  void check_pace() {
    int count = 0;
    for (int lap = 1; lap <= stint_.laps(); ++lap) count += at_pace(stint_, lap);
    if (count == 0) add("slow_laps", "every lap is slow, so that none is at pace; leave one out at least");
  }

  const Library& library_;
  const v1::Stint& stint_;
  const std::string file_;
  document::Faults& faults_;
};

}  // namespace

bool at_pace(const v1::Stint& stint, int lap) {
  return slow_laps_at(stint, lap) == nullptr;
}

const google::protobuf::RepeatedPtrField<v1::LapPart>& lap_of(const v1::Stint& stint, bool second_driver) {
  return second_driver && stint.driver_change().lap_size() > 0 ? stint.driver_change().lap() : stint.lap();
}

std::vector<StintStretch> expand(const Library& library, const v1::Stint& stint) {
  return Expansion(library, stint).run();
}

void check_stint(const Library& library, const Loaded<v1::Stint>& stint, document::Faults& faults) {
  StintCheck(library, stint, faults).run();
}

}  // namespace brakeward::scenario
