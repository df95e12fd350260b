// Everything a kernel over Real may use. Qualified calls (math::sqrt) and using-declarations find only what
// is declared before them, so a kernel header includes this one rather than a part.
#pragma once

#include "math/counting.inl.h"
#include "math/curve.inl.h"
#include "math/elementary.inl.h"
#include "math/pack.inl.h"
#include "math/random.inl.h"
#include "math/scalar.inl.h"
