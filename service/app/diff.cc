#include "document/diff.h"

#include <google/protobuf/message.h>

#include <array>
#include <cstdio>
#include <memory>

#include "app/command.h"
#include "document/describe.h"
#include "document/parse.h"
#include "report/changes.h"

namespace brakeward::app {
namespace {

constexpr const char* kUsualType = "brakeward.v1.Calibration";

struct DiffOptions {
  std::string before, after, type;
  bool markdown = false;
};

// The name in the header comment "# proto-message: NAME" of a regular file; empty when there is none.
std::string declared_type(const std::string& path) {
  std::error_code ignored;
  if (!std::filesystem::is_regular_file(path, ignored)) return "";
  const std::unique_ptr<std::FILE, int (*)(std::FILE*)> file(std::fopen(path.c_str(), "rb"), &std::fclose);
  if (file == nullptr) return "";
  constexpr std::string_view kMark = "proto-message:";
  constexpr const char* kBlanks = " \t\r\n";
  std::array<char, 512> line;
  while (std::fgets(line.data(), static_cast<int>(line.size()), file.get()) != nullptr) {
    std::string_view text = line.data();
    const size_t first = text.find_first_not_of(kBlanks);
    if (first == std::string_view::npos) continue;
    if (text[first] != '#') return "";
    const size_t at = text.find(kMark);
    if (at == std::string_view::npos) continue;
    text.remove_prefix(at + kMark.size());
    const size_t begin = text.find_first_not_of(kBlanks);
    if (begin == std::string_view::npos) return "";
    return std::string(text.substr(begin, text.find_last_not_of(kBlanks) + 1 - begin));
  }
  return "";
}

std::string type_of(const DiffOptions& o) {
  for (const std::string& type : {o.type, declared_type(o.before), declared_type(o.after)})
    if (!type.empty()) return type;
  return kUsualType;
}

int compare(const DiffOptions& o, const google::protobuf::Descriptor* type) {
  const auto* prototype = google::protobuf::MessageFactory::generated_factory()->GetPrototype(type);
  const std::unique_ptr<google::protobuf::Message> before(prototype->New()), after(prototype->New());
  document::Faults faults = document::load(o.before, before.get());
  faults.append(document::load(o.after, after.get()));
  if (!faults.empty()) return report_failure(faults.status());
  const auto differences = document::diff(*before, *after);
  if (!differences.ok()) return report_failure(differences.status());
  std::vector<verdict::CalibrationChange> changes;
  for (const document::Difference& d : *differences) changes.push_back({d.address, d.before, d.after});
  if (changes.empty()) {
    print("no value differs\n");
  } else {
    print(o.markdown ? report::render_changes_markdown(changes, changes.size())
                     : report::render_changes(changes));
  }
  return changes.empty() ? kPass : kFail;
}

int run_diff(const DiffOptions& o) {
  const auto type = document::find_type(type_of(o));
  if (type.ok()) return compare(o, *type);
  // A type on the command line is the command's fault, one in a file the file's.
  const std::string where = !o.type.empty() ? "--type" : declared_type(o.before).empty() ? o.after : o.before;
  report_failure(absl::InvalidArgumentError(where + ": " + std::string(type.status().message())));
  return o.type.empty() ? kBadData : kUsage;
}

}  // namespace

void add_diff(CLI::App& app, int* exit_code) {
  auto* command = app.add_subcommand(
      "diff",
      "print the values in which two documents differ, with address and unit\nBoth files are checked first. "
      "Exit codes: 0 no value differs, 1 some do, 64 usage, 65 bad data.");
  auto o = std::make_shared<DiffOptions>();
  command->add_option("before", o->before, "document, for example a released calibration")
      ->required()
      ->check(a_name());
  command->add_option("after", o->after, "document of the same type, for example a candidate")
      ->required()
      ->check(a_name());
  command
      ->add_option("--type", o->type,
                   "type of both; by default as their \"# proto-message:\" header says, else Calibration")
      ->check(a_name());
  command->add_flag("--markdown", o->markdown, "a Markdown table");
  command->callback([o, exit_code] { *exit_code = run_diff(*o); });
}

}  // namespace brakeward::app
