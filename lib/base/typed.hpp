#pragma once
/// What people type as a name, a code, a note or a reason: the one place that says what may be in it.
///
/// A character that cannot be seen makes two names look the same, and one that turns the direction of writing makes a
/// name look like another. A name that begins with a sign is a formula to a spreadsheet.
///
/// Units:   lengths in bytes of UTF-8.
/// Threads: plain functions.
/// Errors:  empty, or one sentence that begins with `what`, e.g. "the name".
/// Source:  control characters: general category Cc of Unicode; unseen ones: the property Default_Ignorable_Code_Point
///          of its DerivedCoreProperties.txt, which includes Bidi_Control, and the line separators (from memory, and
///          held against the categories Cc and Cf of the database in Python: what is not listed of them can be seen).

#include <cstddef>
#include <string>
#include <string_view>

namespace stillpoint {

inline constexpr std::size_t kLongestName = 64;
inline constexpr std::size_t kLongestCode = 64;
inline constexpr std::size_t kLongestNote = 1000;
inline constexpr std::size_t kLongestReason = 2000;

/// A control character, or one that takes no place on a screen or changes that of others.
bool is_unseen(char32_t c) noexcept;
bool holds_unseen(std::string_view text) noexcept;

/// What is wrong with a text of any kind.
std::string typed_fault(std::string_view what, std::string_view text, std::size_t longest);
/// What is wrong with a new name or code, which must also begin with a letter or a digit. Names of earlier books and
/// journals are never checked by this.
std::string new_label_fault(std::string_view what, std::string_view text, std::size_t longest);

/// A name as it is read aloud: without its case (letters of ASCII and Latin-1), blanks, hyphens, dashes and
/// underscores.
std::string read_aloud(std::string_view name);
/// Two names that are not the same, and that people take for one: VM-11 and "vm 11".
bool reads_like(std::string_view a, std::string_view b);

/// JSON with every unseen character inside a string written as `\u202e`, so that it does nothing on a terminal.
std::string escape_unseen(std::string json);

}  // namespace stillpoint
