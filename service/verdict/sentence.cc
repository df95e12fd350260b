#include "verdict/sentence.h"

#include <algorithm>
#include <cmath>

#include "verdict/concat.h"
#include "verdict/number.h"

namespace brakeward::verdict {
namespace {

std::string quantity(const measure::MeasureInfo& info, double value) {
  return with_unit(format_number(value, info.decimals), info.unit);
}

// A source as part of a sentence: without the full stop of its own.
std::string_view cited(std::string_view source, std::string_view otherwise) {
  while (!source.empty() && source.back() == '.') source.remove_suffix(1);
  return source.empty() ? otherwise : source;
}

std::string limit_clause(std::string_view bound, std::string_view side, std::string_view source) {
  return concat("the limit is ", side, " ", bound, " (", cited(source, "no source given"), ")");
}

}  // namespace

std::string spoken(std::string_view name) {
  std::string words(name);
  std::replace(words.begin(), words.end(), '_', ' ');
  return words;
}

std::string_view why_not_shown(const measure::MeasureValue& value) {
  return value.reason.empty() ? "the replay does not show it" : value.reason;
}

std::string change_sentence(const measure::MeasureInfo& info, double change, double allowed, bool both_ways) {
  const NumberPair printed = format_apart(std::fabs(change), allowed, info.decimals);
  std::string text = concat(spoken(info.name), change > 0 ? " grew by " : " fell by ",
                            with_unit_of_change(printed.value, info.unit), "; ");
  if (allowed == 0) return text + (both_ways ? "no change is allowed" : "no change for the worse is allowed");
  append(text, "allowed ", with_unit_of_change(printed.bound, info.unit));
  if (both_ways) text += " either way";
  return text;
}

std::string limit_sentence(const measure::MeasureInfo& info, double value, double bound,
                           std::string_view side, std::string_view source) {
  const NumberPair printed = format_apart(value, bound, info.decimals);
  return concat(spoken(info.name), " is ", with_unit(printed.value, info.unit), "; ",
                limit_clause(with_unit(printed.bound, info.unit), side, source));
}

std::string not_judged_sentence(std::string_view source) {
  return concat("shown but not judged in this class of scenario: ", cited(source, "no reason given"));
}

std::string never_within_limit_sentence(const measure::MeasureInfo& info, double bound, std::string_view side,
                                        std::string_view source) {
  return concat(spoken(info.name), " never came; ", limit_clause(quantity(info, bound), side, source));
}

std::string lost_sentence(const measure::MeasureInfo& info, double baseline) {
  return concat(spoken(info.name), " never came; the baseline had ", quantity(info, baseline));
}

std::string gained_sentence(const measure::MeasureInfo& info, double value) {
  return concat(spoken(info.name), " is ", quantity(info, value),
                " but never came in the baseline; approve a new baseline to have it judged");
}

}  // namespace brakeward::verdict
