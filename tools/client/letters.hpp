#pragma once
/// Letters and digits five rows high, made of `#`, to be read from a pole's length away.
///
/// Threads: pure.

#include <array>
#include <string>
#include <string_view>

namespace stillpoint::client {

inline constexpr std::size_t kLetterRows = 5;

/// `cell`: characters to one cell; a letter is five cells wide, one cell apart from the next. Knows Y E S N O and
/// digits; anything else is left out.
std::array<std::string, kLetterRows> block_letters(std::string_view text, std::size_t cell);

}  // namespace stillpoint::client
