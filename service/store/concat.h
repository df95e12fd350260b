// absl::StrCat that also takes std::string_view, which Debian's Abseil does not take for its own.
#pragma once

#include <string>
#include <string_view>

#include "absl/strings/str_cat.h"

namespace brakeward::store {

template <class T>
const T& concat_part(const T& part) {
  return part;
}

inline absl::string_view concat_part(std::string_view part) {
  return {part.data(), part.size()};
}

template <class... Parts>
std::string concat(const Parts&... parts) {
  return absl::StrCat(concat_part(parts)...);
}

}  // namespace brakeward::store
