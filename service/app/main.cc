// The one program: reads the command line, runs one command, ends with its exit code.
#include <cstdio>
#include <exception>

#include "app/command.h"
#include "replay/replay.h"

namespace {

int run(int argc, char** argv) {
  using namespace brakeward;
  CLI::App app(
      "Checks brake-by-wire calibrations: replays a car's braking scenarios with a candidate calibration and "
      "compares "
      "the stops with a baseline.\nExit codes: 0 pass, 1 fail, 2 inconclusive, 3 error in a scenario, 64 "
      "usage, 65 bad "
      "data, 69 unavailable, 70 internal, 75 try again, 77 not allowed.",
      "brakeward");
  app.set_version_flag(
      "--version", "brakeward " BRAKEWARD_VERSION ", numerics " + std::to_string(replay::kNumericsVersion));
  app.require_subcommand(1);
  app.footer(verdict::caution());
  int exit_code = app::kPass;
  app::add_check(app, &exit_code);
  app::add_replay(app, &exit_code);
  app::add_baseline(app, &exit_code);
  app::add_import(app, &exit_code);
  app::add_describe(app, &exit_code);
  app::add_selfcheck(app, &exit_code);
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp& e) {
    return app.exit(e);
  } catch (const CLI::CallForVersion& e) {
    return app.exit(e);
  } catch (const CLI::ParseError& e) {
    std::fprintf(stderr, "brakeward: %s; see brakeward --help\n", e.what());
    return app::kUsage;
  }
  return exit_code;
}

}  // namespace

int main(int argc, char** argv) {
  if (const absl::Status machine = brakeward::replay::check_machine(); !machine.ok()) {
    brakeward::app::report_failure(machine);
    return brakeward::app::kUnavailable;
  }
  try {
    return run(argc, argv);
  } catch (const std::exception& e) {
    std::fprintf(stderr, "brakeward: internal error: %s\n", e.what());
    return brakeward::app::kInternal;
  }
}
