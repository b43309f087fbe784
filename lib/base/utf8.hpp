#pragma once
/// Whether bytes from outside are UTF-8 text. Everything past the readers counts on it: JSON takes no other.
///
/// Threads: plain functions.
/// Errors:  none.
/// Source:  RFC 3629, section 4: no overlong forms, no surrogates, nothing above U+10FFFF.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint {

/// Bytes of the character that starts at `at`, or 0 when none does.
std::size_t utf8_length(std::string_view text, std::size_t at) noexcept;

/// Where the first byte lies that is part of no character.
std::optional<std::size_t> first_not_utf8(std::string_view text) noexcept;

inline bool is_utf8(std::string_view text) noexcept {
  return !first_not_utf8(text);
}

/// As it may be shown: `?` for every byte that is part of no character, and for every character that cannot be seen.
std::string shown(std::string_view text);
/// The same, of whole characters and no more bytes than `most`.
std::string shown(std::string_view text, std::size_t most);

}  // namespace stillpoint
