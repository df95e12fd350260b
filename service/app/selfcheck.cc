#include <cstdio>

#include "app/command.h"
#include "replay/self_check.h"

namespace brakeward::app {
namespace {

int run_selfcheck() {
  const replay::SelfCheck check = replay::self_check();
  std::printf("brakeward %s, numerics %d\n", BRAKEWARD_VERSION, replay::kNumericsVersion);
  for (const auto& engine : check.engines)
    if (engine.ran)
      std::printf("%-16s %016llx\n", engine.name, static_cast<unsigned long long>(engine.digest));
    else
      std::printf("%-16s not run: this processor lacks the level\n", engine.name);
  std::printf("%s\n",
              check.agree ? "all engines agree to the bit" : "THE ENGINES DISAGREE: do not use this build");
  return check.agree ? kPass : kInternal;
}

}  // namespace

void add_selfcheck(CLI::App& app, int* exit_code) {
  auto* command =
      app.add_subcommand("selfcheck", "replay a fixed batch through every engine and print its digests");
  command->callback([exit_code] { *exit_code = run_selfcheck(); });
}

}  // namespace brakeward::app
