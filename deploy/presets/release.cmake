# The shipped build.
set(CMAKE_BUILD_TYPE Release CACHE STRING "")
