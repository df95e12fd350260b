#include "absl/strings/escaping.h"
#include "absl/strings/str_cat.h"
#include "document/address.h"
#include "document/outline.h"

namespace brakeward::document {

using google::protobuf::Descriptor;
using google::protobuf::FieldDescriptor;

namespace {

void add_places(const std::vector<Entry>& entries, const Descriptor* message, bool is_json,
                const std::string& prefix, Places* out) {
  std::map<std::string, int> counts;
  const auto visit = [&](const FieldDescriptor* field, const Value& value, int line, int column) {
    std::string path = join_address(prefix, field->name());
    if (field->is_repeated()) absl::StrAppend(&path, "[", counts[field->name()]++, "]");
    out->emplace(path, Place{line, column});
    if (value.kind == Value::Kind::kBlock && field->message_type() != nullptr) {
      add_places(value.entries, field->message_type(), is_json, path, out);
    }
  };
  for (const Entry& entry : entries) {
    const FieldDescriptor* field = field_of(message, entry.name, is_json);
    if (field == nullptr) continue;
    if (!field->is_repeated() || entry.value.kind != Value::Kind::kList) {
      visit(field, entry.value, entry.line, entry.column);
      continue;
    }
    out->emplace(join_address(prefix, field->name()), Place{entry.line, entry.column});
    for (const Value& item : entry.value.items) visit(field, item, item.line, item.column);
  }
}

}  // namespace

const FieldDescriptor* field_of(const Descriptor* message, const std::string& name, bool is_json) {
  const FieldDescriptor* field = message->FindFieldByName(name);
  if (field == nullptr && is_json) field = message->FindFieldByCamelcaseName(name);
  return field;
}

Places places_of(const Outline& outline, const Descriptor* message, bool is_json) {
  Places places;
  add_places(outline.entries, message, is_json, "", &places);
  return places;
}

bool unquote(std::string_view written, std::string* out) {
  Lexer lexer(written);
  std::string whole;
  for (; !lexer.done(); lexer.advance()) {
    const std::string_view piece = lexer.text_of(lexer.current());
    if (lexer.current().kind != Token::Kind::kString || piece.size() < 2) return false;
    std::string part;
    if (!absl::CUnescape(absl::string_view(piece.data() + 1, piece.size() - 2), &part)) return false;
    whole += part;
  }
  *out = whole;
  return true;
}

}  // namespace brakeward::document
