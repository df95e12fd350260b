#include "document/lexer.h"

#include "absl/strings/ascii.h"

namespace brakeward::document {

namespace {

bool is_word_char(char c) {
  return absl::ascii_isalnum(static_cast<unsigned char>(c)) || c == '_';
}
bool is_digit(char c) {
  return c >= '0' && c <= '9';
}

}  // namespace

Lexer::Lexer(std::string_view text) : text_(text) {
  current_ = scan();
  following_ = scan();
}

void Lexer::advance() {
  current_ = following_;
  following_ = scan();
}

void Lexer::skip_blanks() {
  bool in_comment = false;
  for (; at_ < text_.size(); ++at_) {
    const char c = text_[at_];
    if (c == '\n') {
      ++line_;
      line_start_ = at_ + 1;
      in_comment = false;
    } else if (c == '#') {
      in_comment = true;
    } else if (!in_comment && !absl::ascii_isspace(static_cast<unsigned char>(c))) {
      return;
    }
  }
}

Token Lexer::scan() {
  skip_blanks();
  Token token;
  token.begin = at_;
  token.end = at_;
  token.line = line_;
  token.column = static_cast<int>(at_ - line_start_) + 1;
  if (at_ >= text_.size()) return token;
  const char c = text_[at_];
  const bool starts_number = is_digit(c) || (c == '.' && at_ + 1 < text_.size() && is_digit(text_[at_ + 1]));
  if (starts_number) {
    token.kind = Token::Kind::kNumber;
    token.end = end_of_number(at_);
  } else if (is_word_char(c)) {
    token.kind = Token::Kind::kWord;
    while (token.end < text_.size() && is_word_char(text_[token.end])) ++token.end;
  } else if (c == '"' || c == '\'') {
    token.end = end_of_string(at_, &token.kind);
  } else {
    token.kind = Token::Kind::kSymbol;
    token.end = at_ + 1;
  }
  at_ = token.end;
  return token;
}

size_t Lexer::end_of_number(size_t at) const {
  const auto peek = [this](size_t i) { return i < text_.size() ? text_[i] : '\0'; };
  if (peek(at) == '0' && (peek(at + 1) == 'x' || peek(at + 1) == 'X')) {
    at += 2;
    while (absl::ascii_isxdigit(static_cast<unsigned char>(peek(at)))) ++at;
    return at;
  }
  while (is_digit(peek(at)) || peek(at) == '.') ++at;
  if (peek(at) == 'e' || peek(at) == 'E') {
    const size_t sign = peek(at + 1) == '-' || peek(at + 1) == '+' ? 1 : 0;
    if (is_digit(peek(at + 1 + sign))) {
      at += 1 + sign;
      while (is_digit(peek(at))) ++at;
    }
  }
  // Text format lets a number end in f.
  if ((peek(at) == 'f' || peek(at) == 'F') && !is_word_char(peek(at + 1))) ++at;
  return at;
}

size_t Lexer::end_of_string(size_t at, Token::Kind* kind) const {
  const char quote = text_[at];
  *kind = Token::Kind::kString;
  for (++at; at < text_.size() && text_[at] != '\n'; ++at) {
    if (text_[at] == quote) return at + 1;
    if (text_[at] == '\\' && at + 1 < text_.size() && text_[at + 1] != '\n') ++at;
  }
  *kind = Token::Kind::kOpenString;
  return at;
}

}  // namespace brakeward::document
