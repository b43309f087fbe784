#pragma once
/// A condition that a fuzz target found broken ends the program, in every build type.

#include <cstdlib>
#include <iostream>

namespace stillpoint::fuzz {

inline void check(bool holds, const char* what) {
  if (holds) return;
  std::cerr << "broken: " << what << '\n';
  std::abort();
}

}  // namespace stillpoint::fuzz
