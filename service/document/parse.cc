#include "document/parse.h"

#include <google/protobuf/io/tokenizer.h>
#include <google/protobuf/text_format.h>
#include <google/protobuf/util/json_util.h>

#include <algorithm>
#include <map>

#include "absl/strings/ascii.h"
#include "absl/strings/match.h"
#include "absl/strings/str_cat.h"
#include "absl/strings/strip.h"
#include "document/check.h"
#include "document/describe.h"
#include "document/diagnose.h"
#include "document/outline.h"
#include "document/schema.h"
#include "document/text.h"

namespace brakeward::document {

using google::protobuf::Descriptor;
using google::protobuf::Message;

namespace {

constexpr int kMostRounds = 20;

// The first error of a parse; lines and columns from 0, tabs counted to the next multiple of 8.
class FirstError : public google::protobuf::io::ErrorCollector {
 public:
  void AddError(int line, google::protobuf::io::ColumnNumber column, const std::string& text) override {
    if (!text_.empty()) return;
    line_ = line;
    column_ = column;
    text_ = text;
  }
  void AddWarning(int line, google::protobuf::io::ColumnNumber column, const std::string& text) override {
    AddError(line, column, text);
  }

  int line() const { return line_; }
  int column() const { return column_; }
  const std::string& text() const { return text_; }

 private:
  int line_ = 0;
  int column_ = 0;
  std::string text_;
};

size_t offset_of(std::string_view text, int line, int column) {
  size_t at = 0;
  for (; line > 0 && at < text.size(); --line) at = std::min(text.find('\n', at), text.size() - 1) + 1;
  for (int c = 0; c < column && at < text.size() && text[at] != '\n'; ++at)
    c += text[at] == '\t' ? 8 - c % 8 : 1;
  return at;
}

int line_of(std::string_view text, size_t at) {
  return static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(at), '\n')) + 1;
}

// Spaces for everything but line ends, so that places stay true.
void blank(std::string* text, size_t begin, size_t end) {
  for (size_t i = begin; i < std::min(end, text->size()); ++i) {
    if ((*text)[i] != '\n') (*text)[i] = ' ';
  }
}

// What makes the bytes no text at all; empty when they are text.
std::string encoding_fault(std::string_view text, size_t* at) {
  const size_t nul = text.find('\0');
  size_t bad = text.size();
  if (is_utf8(text, &bad) && nul == std::string_view::npos) return "";
  *at = std::min(nul, bad);
  const std::string byte = absl::StrCat(absl::Hex(static_cast<unsigned char>(text[*at]), absl::kZeroPad2));
  return absl::StrCat("byte 0x", byte, " at offset ", *at,
                      " is not UTF-8 text; a document is plain text, is this the right file?");
}

// Name in the header comment "# proto-message: ..." and its line.
std::string header_message(std::string_view text, int* line) {
  *line = 0;
  while (!text.empty()) {
    ++*line;
    const size_t end = std::min(text.find('\n'), text.size());
    absl::string_view row = absl::StripAsciiWhitespace(absl::string_view(text.data(), end));
    text.remove_prefix(std::min(end + 1, text.size()));
    if (!row.empty() && row[0] != '#') return "";
    if (!absl::ConsumePrefix(&row, "#")) continue;
    row = absl::StripLeadingAsciiWhitespace(row);
    if (absl::ConsumePrefix(&row, "proto-message:")) return std::string(absl::StripAsciiWhitespace(row));
  }
  return "";
}

// The one document type whose fields the names all are, when `type` is not it; else nullptr.
const Descriptor* better_type(const Outline& outline, const Descriptor* type, bool is_json) {
  const auto knows_all = [&](const Descriptor* candidate) {
    return std::all_of(outline.entries.begin(), outline.entries.end(), [&](const Entry& entry) {
      return field_of(candidate, entry.name, is_json) != nullptr;
    });
  };
  if (outline.entries.empty() || knows_all(type)) return nullptr;
  const Descriptor* found = nullptr;
  for (const Descriptor* candidate : document_types()) {
    if (!knows_all(candidate)) continue;
    if (found != nullptr) return nullptr;
    found = candidate;
  }
  return found;
}

class Parsing {
 public:
  Parsing(std::string_view text, std::string_view file, Message* out)
      : text_(text),
        out_(out),
        is_json_(absl::EndsWith(absl::string_view(file.data(), file.size()), ".json")) {
    context_.file = std::string(file);
  }

  Faults run() {
    out_->Clear();
    if (!refused_outright()) {
      outline_ = outline_of(text_, is_json_);
      if (!wrong_document()) read();
    }
    faults_.sort();
    return std::move(faults_);
  }

 private:
  void add(int line, int column, std::string text) {
    faults_.add({context_.file, line, column, "", std::move(text)});
  }

  bool refused_outright() {
    if (text_.size() > kLargestDocument) {
      add(1, 1,
          absl::StrCat("the document holds ", text_.size(), " bytes; it may hold ", kLargestDocument,
                       " (8 MiB)."));
      return true;
    }
    size_t at = 0;
    std::string fault = encoding_fault(text_, &at);
    if (!fault.empty()) {
      add(line_of(text_, at), 1, std::move(fault));
      return true;
    }
    // Some editors put a byte order mark in front.
    if (text_.compare(0, 3, "\xEF\xBB\xBF") == 0) text_.remove_prefix(3);
    return false;
  }

  bool wrong_document() {
    const std::string& wanted = out_->GetDescriptor()->full_name();
    int line = 0;
    const std::string named = header_message(text_, &line);
    if (!named.empty() && named != wanted) {
      add(line, 1,
          absl::StrCat("the header says this is a ", named, ", but a ", wanted,
                       " is wanted here; name the right file, or correct the header."));
      return true;
    }
    if (outline_.entries.empty() && outline_.breaks.empty()) {
      add(1, 1, absl::StrCat("the document is empty; a ", wanted, " is wanted here."));
      return true;
    }
    const Descriptor* better =
        outline_.breaks.empty() ? better_type(outline_, out_->GetDescriptor(), is_json_) : nullptr;
    if (better == nullptr) return false;
    add(outline_.entries.front().line, outline_.entries.front().column,
        absl::StrCat("by its fields this is a ", better->full_name(), ", but a ", wanted,
                     " is wanted here; name the right file."));
    return true;
  }

  void read() {
    std::string rest(text_);
    FirstError error;
    // JSON's parser takes the last of two equal members without a word, so JSON is gone through always.
    bool good = !is_json_ && parse_text(rest, &error);
    if (!good) {
      explain(&rest);
      good = parse_rest(&rest);
    }
    context_.report_missing = good && outline_.breaks.empty();
    if (good) check_values();
  }

  // All that the outline and the schema tell about the faults; blanks the fields at fault.
  void explain(std::string* rest) {
    size_t end = text_.size();
    for (const Break& broken : outline_.breaks) {
      add(broken.line, broken.column,
          absl::StrCat(broken.text, " From line ", line_of(text_, broken.from), " on nothing is checked."));
      end = std::min(end, broken.from);
    }
    Diagnosis diagnosis = diagnose(outline_, end, out_->GetDescriptor(), context_.file, is_json_);
    faults_.append(diagnosis.faults);
    context_.excused = std::move(diagnosis.excused);
    for (const auto& [begin, stop] : diagnosis.blanks) blank(rest, begin, stop);
    if (!outline_.breaks.empty() && !is_json_) cut(rest, end);
  }

  // Drops everything from `end` on and closes the brackets that are open there.
  static void cut(std::string* rest, size_t end) {
    rest->resize(std::min(end, rest->size()));
    std::string closers;
    const std::string_view kept = *rest;
    for (Lexer lexer(kept); !lexer.done(); lexer.advance()) {
      for (const auto& [opener, closer] : {std::pair{'{', '}'}, std::pair{'<', '>'}, std::pair{'[', ']'}}) {
        if (lexer.at(opener)) closers.push_back(closer);
        if (lexer.at(closer) && !closers.empty()) closers.pop_back();
      }
    }
    rest->append(closers.rbegin(), closers.rend());
  }

  // What neither outline nor schema explain is told in the parser's own words.
  bool parse_rest(std::string* rest) {
    if (is_json_) return parse_json(*rest);
    for (int round = 0; round < kMostRounds; ++round) {
      FirstError error;
      if (parse_text(*rest, &error)) return true;
      const size_t at = offset_of(text_, error.line(), error.column());
      const Located located = locate(outline_, at, out_->GetDescriptor(), is_json_);
      faults_.add({context_.file, error.line() + 1, error.column() + 1, located.shown,
                   "cannot be read: " + error.text()});
      if (located.entry == nullptr) return false;
      context_.excused.insert(located.path);
      const std::string before = *rest;
      blank(rest, located.entry->begin, located.entry->end);
      if (*rest == before) return false;
    }
    return false;
  }

  bool parse_text(const std::string& text, FirstError* error) {
    google::protobuf::TextFormat::Parser parser;
    parser.RecordErrorsTo(error);
    parser.SetRecursionLimit(kDeepestNesting);
    const bool parsed = parser.ParseFromString(text, out_);
    if (!parsed && error->text().empty()) error->AddError(0, 0, "the text is no document.");
    return parsed && error->text().empty();
  }

  bool parse_json(const std::string& text) {
    // Protobuf reads no further than the brackets; once they are broken there is nothing more to learn.
    if (!outline_.breaks.empty()) return false;
    const auto status = google::protobuf::util::JsonStringToMessage(text, out_);
    if (status.ok()) return true;
    std::string reason(status.message());
    reason.resize(std::min(reason.size(), reason.find('\n')));
    add(1, 1, "cannot be read as JSON: " + reason);
    return false;
  }

  void check_values() {
    const Places places = places_of(outline_, out_->GetDescriptor(), is_json_);
    context_.place_of = [&places](const std::string& path) {
      const auto place = places.find(path);
      if (place == places.end()) return std::pair<int, int>{0, 0};
      return std::pair<int, int>{place->second.line, place->second.column};
    };
    faults_.append(check(*out_, context_));
  }

  std::string_view text_;
  Message* out_;
  bool is_json_;
  CheckContext context_;
  Outline outline_;
  Faults faults_;
};

}  // namespace

Faults parse(std::string_view text, std::string_view file, Message* out) {
  return Parsing(text, file, out).run();
}

}  // namespace brakeward::document
