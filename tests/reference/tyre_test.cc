// The tyre kernel against printed coefficient sets of the Magic Formula. The kernel has no shifts: a table
// with a horizontal shift is read at kappa + S_H.
#define BRAKEWARD_ISA isa_tyre_test
#include <cmath>

#include "compile/parts.h"
#include "gtest/gtest.h"
#include "reference/plant_run.h"

namespace brakeward::reference {
namespace {

struct Tyre {
  plant::TyreParams<double> params{};

  plant::TyreForces<double> at(double slip, double load) const {
    static const plant::PlantParams<double> sample = sample_plan().params.plant;
    plant::PlantParams<double> car = sample;
    car.tyre[0] = car.tyre[1] = params;
    plant::PlantStructure structure;
    structure.tick_s = 0.001;
    const auto constants = plant::constants_of(car, structure);
    const double slips[] = {slip, slip, slip, slip}, friction[] = {1, 1, 1, 1};
    const plant::WheelLoads<double> loads{{load, load, load, load}, {}};
    return plant::tyre_forces(car, constants, structure, slips, loads, friction);
  }
  double force(double slip, double load) const { return at(slip, load).force[0]; }
  // Slip of the greatest braking force, to 1e-5: the grid of 1e-3 that surrounds it, then one of 1e-5 within.
  double peak_slip(double load) const {
    const auto best_of = [&](double from, double to, double step) {
      double best = from;
      for (double s = from; s >= to; s -= step)
        if (force(s, load) < force(best, load)) best = s;
      return best;
    };
    const double rough = best_of(0, -1, 1e-3);
    return best_of(rough + 1e-3, rough - 1e-3, 1e-5);
  }
};

// 205/60 R15 91V at 2.2 bar: Pacejka, Tyre and Vehicle Dynamics, 2nd ed. 2006, Table A3.1 (coefficients
// verified in public codes; forces derived, printed to 0.1 N).
Tyre table_a31() {
  Tyre t;
  t.params.nominal_load = 4000;
  t.params.c = 1.685;
  t.params.d1 = 1.210;
  t.params.d2 = -.037;
  t.params.e1 = .344;
  t.params.e2 = .095;
  t.params.e3 = -.020;
  t.params.k1 = 21.51;
  t.params.k2 = -.163;
  t.params.k3 = .245;
  t.params.radius = .313;
  t.params.relaxation = .2;
  t.params.inertia = 1;
  return t;
}

// Its printed slip of the greatest force is where braking goes beyond the peak.
TEST(Tyre, BrakingGoesBeyondThePeakAtTheSlipOfTheGreatestForce) {
  const struct {
    double load, shift, peak;
  } rows[] = {{2000, -.003, -.1593}, {4000, -.002, -.1433}, {6000, -.001, -.1287}};
  const Tyre t = table_a31();
  for (const auto& row : rows) {
    const double peak = row.peak + row.shift;
    EXPECT_FALSE(t.at(peak + 5e-4, row.load).beyond[0]) << row.load;
    EXPECT_TRUE(t.at(peak - 5e-4, row.load).beyond[0]) << row.load;
    EXPECT_FALSE(t.at(-peak + 5e-4, row.load).beyond[0]) << "driving, " << row.load;
  }
}

TEST(Tyre, TableA31Forces) {
  const double kappa[] = {-.01, -.05, -.10, -.20, -.50, -1.0};
  const struct {
    double load, shift, peak, d, k, force[6];
  } rows[] = {{2000, -.003, -.1593, 2457, 38204.3, {-490.3, -1679.9, -2315.8, -2427.8, -1986.1, -1646.6}},
              {4000, -.002, -.1433, 4840, 86040.0, {-1017.5, -3553.5, -4681.1, -4727.0, -3828.8, -3190.9}},
              {6000, -.001, -.1287, 7149, 145326.3, {-1572.8, -5595.5, -7039.0, -6879.8, -5528.3, -4631.5}}};
  const Tyre t = table_a31();
  for (const auto& row : rows) {
    for (int i = 0; i < 6; ++i)
      EXPECT_NEAR(t.force(kappa[i] + row.shift, row.load), row.force[i], 0.06) << row.load << " " << kappa[i];
    EXPECT_NEAR(t.peak_slip(row.load), row.peak + row.shift, 6e-5) << row.load;
    EXPECT_NEAR(-t.force(t.peak_slip(row.load), row.load), row.d, 0.5) << row.load;
    EXPECT_NEAR(t.at(0, row.load).stiffness[0], row.k, 0.06) << row.load;
  }
}

// Bakker, Nyborg, Pacejka, SAE 870421 (1987), braking force: coefficients verified in several public codes;
// factors and forces derived from them, printed to 0.1 N, four digits of E and five of B. One document serves
// all loads, whatever its nominal load.
class Form1987 : public testing::TestWithParam<double> {
 protected:
  Tyre tyre() const {
    v1::Tyre doc;
    doc.set_nominal_load_n(GetParam());
    v1::MagicFormula1987& m = *doc.mutable_coefficients_1987();
    m.set_a1(-21.3);
    m.set_a2(1144);
    m.set_a3(49.6);
    m.set_a4(226);
    m.set_a5(0.069);
    m.set_a6(-0.006);
    m.set_a7(0.056);
    m.set_a8(0.486);
    m.set_c(1.65);
    Tyre t = table_a31();
    const plant::TyreParams<double> made = compile::tyre(doc);
    const double radius = t.params.radius, relaxation = t.params.relaxation, inertia = t.params.inertia;
    t.params = made;
    t.params.radius = radius;
    t.params.relaxation = relaxation;
    t.params.inertia = inertia;
    return t;
  }
};

TEST_P(Form1987, PassesThePublishedPoints) {
  const double kappa[] = {.02, .05, .10, .20, .50, 1.0};
  const struct {
    double load, b, d, e, slope, peak, force[6];
  } rows[] = {
      {2000, .15588, 2202.8, .5740, 566.56, .1186, {1037.5, 1878.1, 2191.8, 2121.4, 1779.0, 1530.8}},
      {4000, .18434, 4235.2, .6140, 1288.16, .1035, {2281.8, 3823.7, 4234.4, 4014.8, 3354.2, 2898.6}},
      {6000, .20641, 6097.2, .6060, 2076.60, .0918, {3580.8, 5687.1, 6090.6, 5667.0, 4691.8, 4071.7}},
      {8000, .22323, 7788.8, .5500, 2868.85, .0814, {4852.9, 7429.8, 7736.3, 7027.2, 5746.1, 5023.3}}};
  const Tyre t = tyre();
  for (const auto& row : rows) {
    const auto& p = t.params;
    const double df = row.load / p.nominal_load - 1;
    const double stiffness = t.at(0, row.load).stiffness[0];
    EXPECT_NEAR(row.load * (p.d1 + p.d2 * df), row.d, 0.05) << row.load;
    EXPECT_NEAR(p.e1 + p.e2 * df + p.e3 * df * df, row.e, 5e-5) << row.load;
    EXPECT_NEAR(stiffness / 100, row.slope, 0.005) << row.load;
    EXPECT_NEAR(stiffness / 100 / (p.c * row.d), row.b, 1e-5) << row.load;
    EXPECT_NEAR(-t.peak_slip(row.load), row.peak, 6e-5) << row.load;
    for (int i = 0; i < 6; ++i) {
      EXPECT_NEAR(t.force(kappa[i], row.load), row.force[i], 0.06) << row.load << " at " << kappa[i];
      EXPECT_EQ(t.force(-kappa[i], row.load), -t.force(kappa[i], row.load));
    }
  }
}

INSTANTIATE_TEST_SUITE_P(NominalLoad, Form1987, testing::Values(2500, 4000, 6500));

// Constant-coefficient sets used in teaching (memory; forces per load derived).
TEST(Tyre, TeachingSets) {
  const struct {
    double b, c, d, e, slip, friction;
  } rows[] = {{10, 1.9, 1, .97, .02, .36202}, {10, 1.9, 1, .97, .05, .73562}, {10, 1.9, 1, .97, .10, .95584},
              {10, 1.9, 1, .97, .20, .99918}, {10, 1.9, 1, .97, 1.0, .91452}, {12, 2.3, .82, 1, .20, .74831},
              {12, 2.3, .82, 1, 1.0, .63717}, {12, 2.3, .82, 1, .0882, .82},  {5, 2, .3, 1, .3115, .30},
              {5, 2, .3, 1, 1.0, .28551},     {4, 2, .1, 1, .3894, .10},      {4, 2, .1, 1, 1.0, .09615}};
  for (const auto& row : rows) {
    Tyre t = table_a31();
    t.params.c = row.c;
    t.params.d1 = row.d;
    t.params.e1 = row.e;
    t.params.k1 = row.b * row.c * row.d;
    EXPECT_NEAR(t.force(row.slip, 4000) / 4000, row.friction, 6e-6) << row.b << " at " << row.slip;
  }
}

// The secant stiffness is force over slip, and the slip stiffness where there is no slip to divide by.
TEST(Tyre, SecantStiffnessGoesOverIntoTheSlipStiffness) {
  const Tyre t = table_a31();
  for (double slip : {-0.9, -0.1, -1e-3, 1e-6, 0.05})
    EXPECT_DOUBLE_EQ(t.at(slip, 4000).stiffness[0], t.force(slip, 4000) / slip);
  EXPECT_NEAR(t.at(1e-7, 4000).stiffness[0], t.at(0, 4000).stiffness[0], 1e-4);
  EXPECT_EQ(t.at(1e-12, 4000).stiffness[0], t.at(0, 4000).stiffness[0]);
}

}  // namespace
}  // namespace brakeward::reference
