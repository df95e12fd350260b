# AddressSanitizer and UndefinedBehaviorSanitizer, lightly optimised so that the tests stay quick.
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
set(CMAKE_CXX_FLAGS_DEBUG "-O1 -g1" CACHE STRING "")
set(BRAKEWARD_SANITIZE ON CACHE BOOL "")
set(BRAKEWARD_BENCHMARKS OFF CACHE BOOL "")
