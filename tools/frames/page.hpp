#pragma once
/// Plain text for a terminal of 80 columns.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::frames {

inline constexpr std::size_t kColumns = 80;

/// Characters that a reader sees, not bytes.
std::size_t width_of(std::string_view text);

/// Padded with blanks, or cut with a final "~" when longer.
std::string left(std::string_view text, std::size_t columns);
std::string right(std::string_view text, std::size_t columns);

/// Broken at blanks so that no line is wider than the terminal; every line starts with `indent`.
std::string wrapped(std::string_view text, std::string_view indent = "");

}  // namespace stillpoint::frames
