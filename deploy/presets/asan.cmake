# AddressSanitizer and UndefinedBehaviorSanitizer. Not optimised, but for the engines: building takes longer than the
# tests do.
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
set(CMAKE_CXX_FLAGS_DEBUG "-O0 -g1" CACHE STRING "")
set(BRAKEWARD_SANITIZE ON CACHE BOOL "")
set(BRAKEWARD_BENCHMARKS OFF CACHE BOOL "")
