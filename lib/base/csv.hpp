#pragma once
/// The lines and fields of a CSV text, as spreadsheets write it.
///
/// Errors: an open quote gives nothing; what the fields mean is the caller's. Reading gives what was written.
/// Source: RFC 4180, without line breaks inside a field.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint {

/// Takes the first line off `rest`, without its line end.
std::string_view next_line(std::string_view& rest) noexcept;

/// The text without the byte order mark that some programs write in front of UTF-8.
std::string_view without_byte_order_mark(std::string_view text) noexcept;

/// The fields of one line, or nothing when a quote is left open. The apostrophe of `csv_text` is taken off.
std::optional<std::vector<std::string>> csv_fields(std::string_view line);

/// One field, in quotes where it needs them.
std::string csv_field(std::string_view text);

/// A field of text: one that begins with `=`, `+`, `-` or `@` is a formula to a spreadsheet, so it gets an apostrophe
/// before it. Numbers are written by `csv_field`.
std::string csv_text(std::string_view text);

}  // namespace stillpoint
