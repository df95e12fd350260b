# Writes the C++ that holds what the report embeds.
#   cmake -DHERE=folder of this file -DPLOT=folder of the plot library -DOUT=file.cc -P embed.cmake
foreach(asset PLOT_SCRIPT:${PLOT}/dist/uPlot.iife.min.js PLOT_STYLE:${PLOT}/dist/uPlot.min.css PLOT_NOTICE:${PLOT}/LICENSE
              SCHEME_SCRIPT:${HERE}/scheme.js REPORT_SCRIPT:${HERE}/report.js REPORT_STYLE:${HERE}/report.css)
  string(REGEX MATCH "^([A-Z_]+):(.+)$" matched ${asset})
  set(name ${CMAKE_MATCH_1})
  file(READ "${CMAKE_MATCH_2}" ${name})
  # What would end the literal, the element or the comment it is put in.
  if("${${name}}" STREQUAL "" OR "${${name}}" MATCHES "\\)asset\"|</script|</style" OR (name STREQUAL PLOT_NOTICE AND "${${name}}" MATCHES "\\*/"))
    message(FATAL_ERROR "${CMAKE_MATCH_2}: empty, or not fit to be embedded")
  endif()
endforeach()
configure_file(${HERE}/assets.cc.in ${OUT} @ONLY)
