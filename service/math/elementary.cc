#define BRAKEWARD_ISA isa_base
#include "math/elementary.h"

#include "math/elementary.inl.h"

namespace brakeward::math {

double arctangent(double x) {
  return atan(x);
}
double sine(double x) {
  return sin(x);
}
double cosine(double x) {
  return cos(x);
}
double exponential(double x) {
  return exp(x);
}
double logarithm(double x) {
  return log(x);
}
double power(double x, double y) {
  return pow(x, y);
}

}  // namespace brakeward::math
