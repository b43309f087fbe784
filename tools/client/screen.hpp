#pragma once
/// A screen of plain ASCII lines. Colour adds nothing to the text.
///
/// Threads: plain value.

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace stillpoint::client {

/// What colour repeats: green counts, blue counts on late corrections, red is wrong.
enum class Tint : std::uint8_t { none, green, blue, red };

struct Screen {
  Tint tint = Tint::none;
  std::vector<std::string> lines;
  std::size_t tint_row = 0;  ///< a coloured cell stands at the left of these rows
  std::size_t tint_rows = 1;
};

}  // namespace stillpoint::client
