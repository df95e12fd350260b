#include <cerrno>
#include <cstdio>
#include <cstring>
#include <memory>
#include <system_error>

#include "absl/strings/str_cat.h"
#include "document/parse.h"

namespace brakeward::document {

namespace {

namespace fs = std::filesystem;

// Empty when the path is a regular file of bearable size.
std::string status_fault(const fs::path& path) {
  std::error_code error;
  const fs::file_status status = fs::status(path, error);
  if (status.type() == fs::file_type::not_found) return "there is no such file; check the path.";
  if (error) return "cannot be looked up: " + error.message() + "; check the path and its permissions.";
  if (status.type() == fs::file_type::directory) return "is a directory; name the document file in it.";
  if (status.type() != fs::file_type::regular)
    return "is not a regular file; save the document to a file first.";
  const std::uintmax_t size = fs::file_size(path, error);
  if (error) return "has no readable size: " + error.message() + "; check the file system.";
  if (size > kLargestDocument) {
    return absl::StrCat("holds ", size, " bytes; a document may hold ", kLargestDocument,
                        " bytes (8 MiB). Is this the right file?");
  }
  return "";
}

std::string read_fault(int error) {
  return absl::StrCat("cannot be read: ", std::generic_category().message(error), "; check its permissions.");
}

}  // namespace

Faults load(const fs::path& path, google::protobuf::Message* out) {
  Faults faults;
  std::string fault = status_fault(path);
  std::string text;
  if (fault.empty()) {
    std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"), &std::fclose);
    if (file == nullptr) {
      fault = read_fault(errno);
    } else {
      // One byte more than allowed, should the file grow while it is read.
      text.resize(kLargestDocument + 1);
      text.resize(std::fread(text.data(), 1, text.size(), file.get()));
      if (std::ferror(file.get()) != 0) fault = read_fault(errno);
      if (text.size() > kLargestDocument)
        fault = "grew beyond 8 MiB while it was read; try again once it is written.";
    }
  }
  if (fault.empty()) return parse(text, path.string(), out);
  faults.add({path.string(), 0, 0, "", std::move(fault)});
  return faults;
}

}  // namespace brakeward::document
