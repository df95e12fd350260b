#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "compile/check_parts.h"
#include "compile/parts.h"
#include "document/schema.h"
#include "math/elementary.h"

namespace brakeward::compile {
namespace {

constexpr int kLoads = 64;  // at which a tyre is looked at

struct FormField {
  const char* name;
  bool is_set;
};

// What the form of 2006 cannot do without.
std::array<FormField, 5> form_of_2006(const v1::Tyre& t) {
  return {{{"p_cx1", t.has_p_cx1()},
           {"p_dx1", t.has_p_dx1()},
           {"p_dx2", t.has_p_dx2()},
           {"p_ex1", t.has_p_ex1()},
           {"p_kx1", t.has_p_kx1()}}};
}

bool is_given(const FormField& f) {
  return f.is_set;
}

void add_missing(const std::string& tyre, const char* field, const VehicleFaults& out) {
  const v1::Quantity& q = *document::quantity_of(v1::Tyre::descriptor()->FindFieldByName(field));
  out.add(tyre + "." + field, "is missing; set it to a value from " + document::range_text(q) +
                                  ", typically " + document::with_unit(q.typical(), q.unit()) +
                                  ", or give coefficients_1987 in place of p_cx1 to p_kx3. (" + q.meaning() +
                                  ")");
}

bool has_one_form(const v1::Tyre& t, const std::string& at, const VehicleFaults& out) {
  const auto demanded = form_of_2006(t);
  const bool any = std::any_of(demanded.begin(), demanded.end(), is_given) || t.p_ex2() != 0 ||
                   t.p_ex3() != 0 || t.p_kx2() != 0 || t.p_kx3() != 0;
  if (any && t.has_coefficients_1987()) {
    out.add(at, "gives both forms of the Magic Formula, p_cx1 to p_kx3 and coefficients_1987; keep one");
    return false;
  }
  if (t.has_coefficients_1987()) return true;
  if (!any) {
    out.add(at,
            "gives neither form of the Magic Formula; give p_cx1, p_dx1, p_dx2, p_ex1 and p_kx1, or "
            "coefficients_1987");
    return false;
  }
  for (const FormField& f : demanded)
    if (!f.is_set) add_missing(at, f.name, out);
  return std::all_of(demanded.begin(), demanded.end(), is_given);
}

struct AtLoad {
  double load, stiffness;  // N
  double peak, locked;     // friction
};

// The kernel's equations (model/plant/tyre.inl.h) on a road of factor 1.
AtLoad at_load(const plant::TyreParams<double>& t, double load) {
  const double df = load / t.nominal_load - 1;
  AtLoad out{load, load * (t.k1 + t.k2 * df) * math::exponential(t.k3 * df), t.d1 + t.d2 * df, 0};
  const double e = std::min(1.0, t.e1 + t.e2 * df + t.e3 * df * df);
  const double x = out.stiffness / (t.c * out.peak * load);
  out.locked = out.peak * math::sine(t.c * math::arctangent(x - e * (x - math::arctangent(x))));
  return out;
}

std::string shown(double value, const char* unit, double per_digit) {
  return document::with_unit(std::round(per_digit * value) / per_digit, unit);
}

std::string newton(double force) {
  return shown(force, "N", 1);
}

}  // namespace

void check_tyre(const v1::Tyre& t, const std::string& at, double weight, const VehicleFaults& out) {
  if (!has_one_form(t, at, out)) return;
  const plant::TyreParams<double> p = tyre(t);
  const std::string of_1987 = t.has_coefficients_1987() ? at + ".coefficients_1987." : "";
  const auto address = [&](const char* field, const char* coefficient) {
    return of_1987.empty() ? at + "." + field : of_1987 + coefficient;
  };
  const std::string up_to = " at every load up to " + newton(weight) + ", the car's weight on one wheel";
  std::vector<AtLoad> all;
  for (int i = 1; i <= kLoads; ++i) all.push_back(at_load(p, weight * i / kLoads));
  const auto first = [&](const auto& is_bad) { return std::find_if(all.begin(), all.end(), is_bad); };
  if (const auto i = first([](const AtLoad& x) { return x.peak <= 0; }); i != all.end()) {
    out.add(address("p_dx2", "a1"), "peak friction is " + shown(i->peak, "1", 1e3) + " at " +
                                        newton(i->load) + "; it must be above 0" + up_to +
                                        ": raise this value");
    return;
  }
  const auto falls = [](const AtLoad& a, const AtLoad& b) { return b.stiffness < a.stiffness; };
  if (all[0].stiffness <= 0) {
    out.add(address("p_kx1", "a4"), "slip stiffness is " + newton(all[0].stiffness) + " at " +
                                        newton(all[0].load) + "; it must be above 0 N" + up_to +
                                        ": raise this value");
  } else if (const auto i = std::adjacent_find(all.begin(), all.end(), falls); i != all.end()) {
    out.add(address("p_kx2", "a3"), "slip stiffness falls from " + newton(i->stiffness) + " at " +
                                        newton(i->load) + " to " + newton(i[1].stiffness) + " at " +
                                        newton(i[1].load) + "; it must rise" + up_to + ": raise this value");
  } else if (const auto j = first([](const AtLoad& x) { return x.locked <= 0; }); j != all.end()) {
    out.add(address("p_cx1", "c"), "friction of a locked wheel is " + shown(j->locked, "1", 1e3) + " at " +
                                       newton(j->load) + "; it must be above 0" + up_to +
                                       ": lower this value");
  }
}

}  // namespace brakeward::compile
