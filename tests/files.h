// Whole files, read and written. What cannot be is an exception, which fails the test with the file's name.
#pragma once

#include <filesystem>
#include <fstream>
#include <iterator>
#include <stdexcept>
#include <string>

namespace brakeward::tests {

inline std::string read_file(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  if (!in) throw std::runtime_error(file.string() + " cannot be read");
  return {std::istreambuf_iterator<char>(in), {}};
}

inline void write_file(const std::filesystem::path& file, const std::string& text) {
  std::ofstream out(file, std::ios::binary | std::ios::trunc);
  out << text;
  if (!out.flush()) throw std::runtime_error(file.string() + " cannot be written");
}

}  // namespace brakeward::tests
