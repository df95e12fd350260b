// A library as large as a real one: a copy of the demo's in which every scenario stands several times.
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "benchmark/service_load.h"
#include "benchmark/service_load_service.h"
#include "document/fault.h"
#include "files.h"
#include "scenario/library.h"

namespace brakeward::benchmark {
namespace {

std::string in_quotes(const std::filesystem::path& path) {
  return "'" + path.string() + "'";
}

}  // namespace

std::string enlarged_library(const std::string& program, const TemporaryFolder& folder, int times) {
  namespace fs = std::filesystem;
  const fs::path home = folder.file("enlarged");
  fs::copy(demo_folder(), home, fs::copy_options::recursive);
  document::Faults faults;
  const scenario::Library library = scenario::load_library(home, {}, faults);
  if (!faults.empty()) return {};
  std::ofstream index(home / "library.textproto", std::ios::app);
  for (const auto& s : library.scenarios) {
    const std::string line = "\nname: \"" + s.message.name() + "\"", text = tests::read_file(s.file);
    const size_t at = text.find(line);
    if (at == std::string::npos) return {};
    for (int copy = 2; copy <= times; ++copy) {
      const std::string name = s.message.name() + "_" + std::to_string(copy);
      std::string changed = text;
      changed.replace(at, line.size(), "\nname: \"" + name + "\"");
      tests::write_file(home / "scenarios" / (name + ".textproto"), changed);
      index << "scenario_files: \"scenarios/" << name << ".textproto\"\n";
    }
  }
  index.close();
  // The copies are no part of the demo's baseline.
  const std::string command = in_quotes(program) + " baseline --library " + in_quotes(home) +
                              " --calibration " + in_quotes(home / "calibrations/released.textproto") +
                              " --event-build corrie-r1 --out " +
                              in_quotes(home / "baselines/corrie-r1.textproto");
  return std::system(command.c_str()) == 0 ? home.string() : std::string();
}

}  // namespace brakeward::benchmark
