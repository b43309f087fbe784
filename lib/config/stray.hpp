#pragma once
/// Finds what TOML has no place for and toml++ 3.3 must not see.
///
/// Letters beyond ASCII outside quotes and comments, or behind a backslash: its table of blanks beyond ASCII runs into
/// code that it declares unreachable. And the header of a table that does not begin with a name, `[` at the end of a
/// line or `[=`: it presumes that one follows.
///
/// Threads: pure.
/// Errors:  none; text that is no TOML for another reason is left for the parser to report.

#include <cstddef>
#include <optional>
#include <string_view>

namespace stillpoint::config {

struct Stray {
  std::size_t at = 0;      ///< offset in the text
  bool in_header = false;  ///< where the name of a table should be
};

/// The first of them in UTF-8 text, or nothing.
std::optional<Stray> first_stray(std::string_view toml_text) noexcept;

}  // namespace stillpoint::config
