#pragma once
/// A condition that a fuzz target found broken ends the program, in every build type.

#include <cstdlib>
#include <iostream>
#include <string_view>

namespace stillpoint::fuzz {

inline void check(bool holds, const char* what) {
  if (holds) return;
  std::cerr << "broken: " << what << '\n';
  std::abort();
}

/// A sentence stands on one line, and a terminal can show it.
inline void check_shown(std::string_view text) {
  check(!text.empty(), "a sentence");
  for (const char c : text) check(static_cast<unsigned char>(c) >= 0x20 && c != 0x7F, "a control character");
}

}  // namespace stillpoint::fuzz
