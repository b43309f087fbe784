#pragma once
/// Finds letters beyond ASCII where TOML has no place for them: outside quotes and comments, or behind a backslash.
///
/// Such a letter is an error of the file in any case, and toml++ 3.3 must not see it: its table of blanks beyond ASCII
/// runs into code that it declares unreachable.
///
/// Threads: pure.
/// Errors:  none; text that is no TOML for another reason is left for the parser to report.

#include <cstddef>
#include <optional>
#include <string_view>

namespace stillpoint::config {

/// The offset of the first such letter in UTF-8 text, or nothing.
std::optional<std::size_t> first_stray(std::string_view toml_text) noexcept;

}  // namespace stillpoint::config
