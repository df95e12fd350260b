# Fetches what package-lock.json names, by npm, into the build folder.
#   cmake -DNPM=npm -DHERE=folder of this file -DINTO=folder -P fetch.cmake
file(MAKE_DIRECTORY ${INTO})
configure_file(${HERE}/package.json ${INTO}/package.json COPYONLY)
configure_file(${HERE}/package-lock.json ${INTO}/package-lock.json COPYONLY)
execute_process(COMMAND ${NPM} ci --ignore-scripts --no-audit --no-fund --loglevel=error WORKING_DIRECTORY ${INTO}
                RESULT_VARIABLE status OUTPUT_VARIABLE said ERROR_VARIABLE said)
if(NOT status EQUAL 0)
  message(FATAL_ERROR "npm could not fetch the plot library that the HTML report embeds:\n${said}\n"
                      "With a network, run the build again (npm comes with deploy/install.sh build). Without one, fetch "
                      "it elsewhere with `npm ci` in a copy of service/report/html and configure with "
                      "-DBRAKEWARD_PLOT_LIBRARY=that folder/node_modules/uplot.")
endif()
