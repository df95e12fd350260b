# For a debugger: no optimisation, full symbols.
set(CMAKE_BUILD_TYPE Debug CACHE STRING "")
