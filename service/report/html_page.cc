#include "report/html_page.h"

#include "absl/strings/escaping.h"
#include "document/sha256.h"
#include "report/html_text.h"
#include "verdict/concat.h"
#include "verdict/run.h"

namespace brakeward::report {
namespace {

using verdict::concat;

std::string policy(std::string_view script) {
  const std::string hash = absl::Base64Escape(absl::HexStringToBytes(document::sha256_hex(script)));
  return concat("default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src 'sha256-", hash,
                "'");
}

}  // namespace

std::string page_head(std::string_view title, std::string_view style, std::string_view script) {
  return concat(
      "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
      "<meta http-equiv=\"Content-Security-Policy\" content=\"",
      policy(script), "\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n",
      "<meta name=\"color-scheme\" content=\"light dark\">\n<title>", title,
      "</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>", style, "</style>\n</head>\n<body>\n");
}

std::string caution_box() {
  return concat("<p class=\"caution\"><strong>Caution.</strong> ", html(verdict::caution()), "</p>\n");
}

std::string page_foot(std::string_view script) {
  return concat("</main>\n<footer><p><strong>Caution.</strong> ", html(verdict::caution()),
                "</p></footer>\n<script>", script, "</script>\n</body>\n</html>\n");
}

}  // namespace brakeward::report
