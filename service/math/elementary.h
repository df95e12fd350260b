// Elementary functions of double for code outside the engine: the bits a kernel gets, on every machine and
// with every compiler, which the C library does not promise. elementary.inl.h gives ranges and errors
// (about 2 ulp).
#pragma once

namespace brakeward::math {

double arctangent(double x);  // rad
double sine(double x);        // x in rad, |x| <= 1e5
double cosine(double x);      // x in rad, |x| <= 1e5
double exponential(double x);
double logarithm(double x);        // natural; x > 0 (0 gives -inf, x < 0 NaN)
double power(double x, double y);  // x > 0

}  // namespace brakeward::math
