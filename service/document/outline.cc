#include "document/outline.h"

#include <algorithm>

#include "absl/strings/ascii.h"
#include "absl/strings/str_cat.h"

namespace brakeward::document {

namespace {

using Kind = Token::Kind;

char closer_of(char opener) {
  return opener == '{' ? '}' : opener == '<' ? '>' : ']';
}

class Reader {
 public:
  Reader(std::string_view text, bool is_json) : text_(text), is_json_(is_json), lexer_(text) {}

  Outline read() {
    Outline outline;
    if (is_json_ && lexer_.at('{')) {
      Value top = block("the document", lexer_.current());
      outline.entries = std::move(top.entries);
      if (!lexer_.done() && breaks_.empty()) {
        add_break(lexer_.current(), lexer_.current().begin,
                  "text follows the closing brace of the document; remove it.");
      }
    } else {
      outline.entries = entries();
      if (!lexer_.done() && breaks_.empty()) {
        add_break(lexer_.current(), lexer_.current().begin,
                  absl::StrCat("the '", text_of(lexer_.current()), "' in line ", lexer_.current().line,
                               " closes nothing: no block is open there."));
      }
    }
    outline.breaks = std::move(breaks_);
    return outline;
  }

 private:
  // A block or list that is open.
  struct Frame {
    std::string name;
    Token name_token;
    Token opener;
    bool first_on_line = false;
  };

  static absl::string_view view(std::string_view text) { return {text.data(), text.size()}; }
  absl::string_view text_of(const Token& token) const { return view(lexer_.text_of(token)); }

  // `from` is where the trust ends; a guess from the indentation may put it, and the line, further up.
  void add_break(const Token& token, size_t from, const std::string& text) {
    if (suspect_.text.empty()) {
      breaks_.push_back({from, token.line, token.column, text});
    } else {
      breaks_.push_back({suspect_.from, suspect_.line, suspect_.column, text + " " + suspect_.text});
    }
  }

  bool at_closer() const { return lexer_.at('}') || lexer_.at('>') || lexer_.at(']'); }
  bool at_opener() const { return lexer_.at('{') || lexer_.at('<'); }
  bool names_a_field(const Token& token, const Token& next) const {
    if (token.kind == Kind::kString) return is_json_ && lexer_.is(next, ':');
    return token.kind == Kind::kWord &&
           (lexer_.is(next, ':') || lexer_.is(next, '{') || lexer_.is(next, '<'));
  }
  bool on_line(int line) const { return !lexer_.done() && lexer_.current().line == line; }

  // Entries up to a closing bracket or the end; nothing more once the brackets are broken.
  std::vector<Entry> entries() {
    std::vector<Entry> out;
    while (!lexer_.done() && breaks_.empty() && !at_closer()) out.push_back(entry());
    return out;
  }

  Entry entry() {
    Entry entry;
    const Token first = lexer_.current();
    entry.begin = first.begin;
    entry_begin_ = first.begin;
    // A field that starts no further in than the block around it: there a bracket was probably left out.
    if (!open_.empty() && open_.back().first_on_line && first.line != open_.back().opener.line &&
        first.column <= open_.back().name_token.column && is_first_on_line(first)) {
      suspect(open_.back(), first.begin);
    }
    entry.line = first.line;
    entry.column = first.column;
    const bool is_name = first.kind == Kind::kWord || (is_json_ && first.kind == Kind::kString);
    if (!is_name) {
      entry.stray = stray_from(first.begin, first.line, true);
    } else {
      entry.name = std::string(lexer_.text_of(first));
      if (first.kind == Kind::kString) unquote(lexer_.text_of(first), &entry.name);
      lexer_.advance();
      if (lexer_.at(':')) {
        entry.has_colon = true;
        lexer_.advance();
      }
      read_value(first, &entry);
    }
    entry.end = last_end_;
    if (entry.stray.empty() && (lexer_.at(',') || lexer_.at(';'))) {
      entry.has_separator = true;
      entry.end = lexer_.current().end;
      lexer_.advance();
    }
    entry.end = std::max(entry.end, entry.begin + 1);
    return entry;
  }

  void read_value(const Token& name, Entry* entry) {
    last_end_ = entry->has_colon ? name.end + 1 : name.end;
    const bool new_field =
        lexer_.current().line != name.line && names_a_field(lexer_.current(), lexer_.following());
    if (lexer_.done() || at_closer() || new_field) return;
    if (entry->has_colon || at_opener()) entry->value = value(entry->name, name);
    if (!breaks_.empty()) return;
    const bool is_scalar = entry->value.kind == Value::Kind::kScalar;
    if (entry->value.kind == Value::Kind::kBlock || entry->value.kind == Value::Kind::kList) return;
    // "1500,5": a comma glued between two numbers is a decimal comma, not a separator.
    const bool decimal_comma = is_scalar && lexer_.at(',') && lexer_.current().begin == last_end_ &&
                               lexer_.following().kind == Kind::kNumber &&
                               lexer_.following().begin == lexer_.current().end;
    const int line = entry->value.kind == Value::Kind::kNone ? name.line : last_line_;
    entry->stray = stray_from(lexer_.current().begin, line, decimal_comma);
  }

  // The rest of the line up to whatever can end a value or start a field.
  std::string_view stray_from(size_t begin, int line, bool take_first) {
    size_t end = begin;
    while (on_line(line) && !(at_closer() && !take_first)) {
      const bool ends =
          lexer_.at(',') || lexer_.at(';') || names_a_field(lexer_.current(), lexer_.following());
      if (ends && !take_first) break;
      end = lexer_.current().end;
      take_first = false;
      lexer_.advance();
    }
    if (end > begin) last_end_ = end;
    return text_.substr(begin, end - begin);
  }

  // Depth is broken where it stands, whatever the indentation says.
  void break_here(const std::string& text) {
    breaks_.push_back({entry_begin_, lexer_.current().line, lexer_.current().column, text});
  }
  Value value(const std::string& name, const Token& name_token) {
    if (at_opener()) return block(name, name_token);
    if (lexer_.at('[')) return list(name, name_token);
    Value out;
    const Token first = lexer_.current();
    out.line = first.line;
    out.column = first.column;
    if (first.kind == Kind::kOpenString) {
      out.kind = Value::Kind::kString;
      out.is_open = true;
      take();
    } else if (first.kind == Kind::kString) {
      out.kind = Value::Kind::kString;
      do {
        take();
      } while (lexer_.current().kind == Kind::kString &&
               !(is_json_ && names_a_field(lexer_.current(), lexer_.following())));
    } else if (first.kind == Kind::kWord || first.kind == Kind::kNumber) {
      out.kind = Value::Kind::kScalar;
      take();
    } else if (lexer_.at('-') &&
               (lexer_.following().kind == Kind::kWord || lexer_.following().kind == Kind::kNumber)) {
      out.kind = Value::Kind::kScalar;
      take();
      take();
    } else {
      return out;
    }
    out.text = text_.substr(first.begin, last_end_ - first.begin);
    return out;
  }

  void take() {
    last_end_ = lexer_.current().end;
    last_line_ = lexer_.current().line;
    lexer_.advance();
  }

  Value block(const std::string& name, const Token& name_token) {
    Value out = opened(Value::Kind::kBlock, name, name_token);
    if (!breaks_.empty()) return out;
    out.entries = entries();
    closed(&out);
    return out;
  }

  Value list(const std::string& name, const Token& name_token) {
    Value out = opened(Value::Kind::kList, name, name_token);
    while (!lexer_.done() && breaks_.empty() && !at_closer()) {
      Value item = value(name, lexer_.current());
      // Whatever is no value is stepped over; protobuf's parser will refuse the list.
      if (item.kind == Value::Kind::kNone && breaks_.empty()) take();
      if (item.kind != Value::Kind::kNone) out.items.push_back(std::move(item));
      if (breaks_.empty() && lexer_.at(',')) take();
    }
    closed(&out);
    return out;
  }

  // Takes the opening bracket of a block or list.
  Value opened(Value::Kind kind, const std::string& name, const Token& name_token) {
    Value out;
    out.kind = kind;
    out.line = lexer_.current().line;
    out.column = lexer_.current().column;
    const Frame frame{name, name_token, lexer_.current(), is_first_on_line(name_token)};
    open_.push_back(frame);
    if (open_.size() > kDeepestNesting) {
      break_here(absl::StrCat("blocks and lists are nested more than ", kDeepestNesting,
                              " deep; no document needs that."));
    } else {
      take();
    }
    return out;
  }

  // Takes the closing bracket of the innermost block or list, or says that it is missing.
  void closed(Value* value) {
    const Frame frame = open_.back();
    open_.pop_back();
    const char closer = closer_of(text_[frame.opener.begin]);
    if (!breaks_.empty()) {
      // Broken further in.
    } else if (lexer_.done()) {
      add_break(frame.opener, frame.name_token.begin,
                absl::StrCat("the '", text_of(frame.opener), "' of ", frame.name, " in line ",
                             frame.opener.line, " is not closed; add '", std::string(1, closer), "'."));
    } else if (!lexer_.at(closer)) {
      add_break(lexer_.current(), frame.name_token.begin,
                absl::StrCat("'", text_of(lexer_.current()), "' in line ", lexer_.current().line,
                             " stands where '", std::string(1, closer), "' should close ", frame.name,
                             ", opened in line ", frame.opener.line, "."));
    } else {
      const Token& token = lexer_.current();
      const bool is_aligned = token.column == frame.name_token.column || token.line == frame.name_token.line;
      if (!is_aligned && frame.first_on_line && is_first_on_line(token))
        suspect(frame, frame.name_token.begin);
      take();
    }
    const size_t begin = frame.opener.begin;
    value->text = text_.substr(begin, std::max(last_end_, frame.opener.end) - begin);
  }

  // Keeps the first guess where a bracket is missing or one too many, should the count be off in the end.
  void suspect(const Frame& frame, size_t from) {
    if (!suspect_.text.empty()) return;
    suspect_ = {from, frame.opener.line, frame.opener.column,
                absl::StrCat("By the indentation, look at ", frame.name, ", opened in line ",
                             frame.opener.line, ".")};
  }

  bool is_first_on_line(const Token& token) const {
    const size_t indent = static_cast<size_t>(token.column - 1);
    return absl::StripAsciiWhitespace(view(text_.substr(token.begin - indent, indent))).empty();
  }

  std::string_view text_;
  bool is_json_;
  Lexer lexer_;
  std::vector<Frame> open_;
  size_t last_end_ = 0;
  int last_line_ = 1;
  Break suspect_;
  size_t entry_begin_ = 0;
  std::vector<Break> breaks_;
};

}  // namespace

Outline outline_of(std::string_view text, bool is_json) {
  return Reader(text, is_json).read();
}

}  // namespace brakeward::document
