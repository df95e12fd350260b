// Writes a demo car's logs.
//   make_recordings LIBRARY_FOLDER [OUTPUT_FOLDER]
// LIBRARY_FOLDER holds library.textproto, vehicle/, calibrations/ and scenarios/; the logs go to
// OUTPUT_FOLDER, its recordings/ when not said. Running it again gives the same bytes. Exit codes: 0, 64
// usage, 65 bad data, 70 a file cannot be written.
#include <cstdio>
#include <filesystem>
#include <fstream>

#include "document/sha256.h"
#include "generator/generator.h"

namespace {

namespace fs = std::filesystem;
using namespace brakeward;

int write_all(const fs::path& library, const fs::path& output) {
  const auto logs = generator::make_logs(library);
  if (!logs.ok()) {
    std::fprintf(stderr, "%s\n", std::string(logs.status().message()).c_str());
    return 65;
  }
  for (const generator::NamedLog& log : *logs) {
    const fs::path file = output / (log.name + ".csv");
    std::ofstream out(file, std::ios::binary);
    out << log.csv;
    if (!out.flush()) {
      std::fprintf(stderr, "%s: cannot be written\n", file.c_str());
      return 70;
    }
    std::printf("%s  %s  %zu bytes\n", document::sha256_hex(log.csv).c_str(), file.c_str(), log.csv.size());
  }
  return 0;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2 || argc > 3) {
    std::fprintf(stderr, "usage: make_recordings LIBRARY_FOLDER [OUTPUT_FOLDER]\n");
    return 64;
  }
  const fs::path library = argv[1];
  return write_all(library, argc == 3 ? fs::path(argv[2]) : library / "recordings");
}
