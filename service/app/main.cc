// The one program: reads the command line, runs one command, ends with its exit code.
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <exception>

#include "app/command.h"
#include "replay/replay.h"

namespace {

// What a command line lacks: a command, or one that exists.
std::string command_fault(const CLI::App& app, int argc, char** argv) {
  const std::string first = argc > 1 ? argv[1] : "";
  std::string names;
  for (const CLI::App* command : app.get_subcommands([](const CLI::App*) { return true; })) {
    names += (names.empty() ? "" : ", ") + command->get_name();
    if (first == command->get_name()) return "";
  }
  if (argc < 2) return "no command given; commands are " + names;
  if (first.starts_with("-")) return "";
  return "there is no command \"" + first + "\"; commands are " + names;
}

// A report that did not arrive whole must not look like one that did.
int finish(int exit_code) {
  errno = 0;
  if (std::fflush(stdout) == 0 && std::ferror(stdout) == 0) return exit_code;
  const std::string why = errno == 0 ? "" : std::string(": ") + std::strerror(errno);
  std::fprintf(stderr, "brakeward: standard output cannot be written%s; what was printed is not complete\n",
               why.c_str());
  return brakeward::app::kTryAgain;
}

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
  app::add_export(app, &exit_code);
  app::add_baseline(app, &exit_code);
  app::add_drift(app, &exit_code);
  app::add_compare(app, &exit_code);
  app::add_import(app, &exit_code);
  app::add_fit(app, &exit_code);
  app::add_diff(app, &exit_code);
  app::add_describe(app, &exit_code);
  app::add_serve(app, &exit_code);
  app::add_runs(app, &exit_code);
  app::add_selfcheck(app, &exit_code);
  app::add_completion(app, &exit_code);
  app::add_manual(app, &exit_code);
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp& e) {
    return app.exit(e);
  } catch (const CLI::CallForVersion& e) {
    return app.exit(e);
  } catch (const CLI::ParseError& e) {
    const std::string fault = command_fault(app, argc, argv);
    std::fprintf(stderr, "brakeward: %s; see brakeward --help\n", fault.empty() ? e.what() : fault.c_str());
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
    return finish(run(argc, argv));
  } catch (const std::exception& e) {
    std::fprintf(stderr, "brakeward: internal error: %s\n", e.what());
    return brakeward::app::kInternal;
  }
}
