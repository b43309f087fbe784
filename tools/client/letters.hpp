#pragma once
/// Letters and digits five rows high, made of `#`, to be read from a pole's length away.
///
/// Threads: pure.

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace stillpoint::client {

inline constexpr std::size_t kLetterRows = 5;

/// How wide a letter is: 5, 8, 10 or 15 columns.
enum class LetterSize : std::uint8_t { small, middle, wide, huge };

/// Knows the letters of the four verdicts, digits and the point; anything else is left out.
std::array<std::string, kLetterRows> block_letters(std::string_view text, LetterSize size);
std::size_t letters_width(std::string_view text, LetterSize size);

}  // namespace stillpoint::client
