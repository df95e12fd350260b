// Words, numbers, strings and symbols of a text-format or JSON document, with their places. Tolerant: every
// byte sequence yields tokens. What is accepted is decided by protobuf's own parsers (parse.cc); this only
// serves to say where and what is wrong.
#pragma once

#include <string_view>

namespace brakeward::document {

struct Token {
  enum class Kind { kEnd, kWord, kNumber, kString, kOpenString, kSymbol };
  Kind kind = Kind::kEnd;  // kOpenString: the closing quote is missing on its line
  size_t begin = 0;        // byte offsets into the text
  size_t end = 0;
  int line = 1;  // from 1
  int column = 1;
};

// Walks once over the text, one token of look-ahead. Holds a view: the text must outlive it.
class Lexer {
 public:
  explicit Lexer(std::string_view text);

  const Token& current() const { return current_; }
  const Token& following() const { return following_; }
  void advance();

  std::string_view text_of(const Token& token) const {
    return text_.substr(token.begin, token.end - token.begin);
  }
  bool at(char symbol) const { return is(current_, symbol); }
  bool is(const Token& token, char symbol) const {
    return token.kind == Token::Kind::kSymbol && text_[token.begin] == symbol;
  }
  bool done() const { return current_.kind == Token::Kind::kEnd; }

 private:
  Token scan();
  void skip_blanks();
  size_t end_of_number(size_t at) const;
  size_t end_of_string(size_t at, Token::Kind* kind) const;

  std::string_view text_;
  size_t at_ = 0;
  size_t line_start_ = 0;
  int line_ = 1;
  Token current_;
  Token following_;
};

}  // namespace brakeward::document
