#include "document/print.h"

#include <google/protobuf/text_format.h>
#include <google/protobuf/util/json_util.h>

#include "absl/strings/escaping.h"
#include "absl/strings/str_cat.h"
#include "document/schema.h"

namespace brakeward::document {

using google::protobuf::Message;
using google::protobuf::TextFormat;

namespace {

class PlainValues : public TextFormat::FastFieldValuePrinter {
 public:
  void PrintDouble(double value, TextFormat::BaseTextGenerator* generator) const override {
    generator->PrintString(format_number(value));
  }
  void PrintString(const std::string& value, TextFormat::BaseTextGenerator* generator) const override {
    generator->PrintString("\"" + absl::Utf8SafeCEscape(value) + "\"");
  }
};

}  // namespace

std::string to_text(const Message& message) {
  TextFormat::Printer printer;
  printer.SetDefaultFieldValuePrinter(new PlainValues);  // the printer owns it
  std::string body;
  printer.PrintToString(message, &body);
  const auto* type = message.GetDescriptor();
  return absl::StrCat("# proto-file: ", type->file()->name(), "\n# proto-message: ", type->full_name(),
                      "\n\n", body);
}

absl::StatusOr<std::string> to_json(const Message& message) {
  google::protobuf::util::JsonPrintOptions options;
  options.add_whitespace = true;
  options.preserve_proto_field_names = true;
  std::string out;
  const auto status = google::protobuf::util::MessageToJsonString(message, &out, options);
  if (!status.ok())
    return absl::InvalidArgumentError("cannot be written as JSON: " + std::string(status.message()));
  return out;
}

}  // namespace brakeward::document
