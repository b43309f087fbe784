#pragma once
/// The words and numbers people read: short, plain ASCII, always with their unit.
///
/// Units:   in the names.
/// Threads: pure.

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "wire/fields.hpp"

namespace stillpoint::wire {

/// Printable ASCII: other characters become `?`, line ends and tabs a blank.
std::string ascii(std::string_view text);
/// At most `width` characters; a cut text ends in `..`.
std::string cut(const std::string& text, std::size_t width);
/// Broken at blanks into at most `rows` lines of at most `width`; what does not fit is cut.
std::vector<std::string> wrap(const std::string& text, std::size_t width, std::size_t rows);
std::string padded(const std::string& text, std::size_t width);
/// First letter large, a full stop at the end.
std::string sentence(const std::string& text);

/// The project and whose crew works on it: "Harrowfen culverts, crew A".
std::string work_of(const Json& status);
/// `11 mm`, `0.52 m`, `--` when not known.
std::string length_text(std::optional<double> length_m);
/// `48.0 s`, `1200 s`, `--` when not known.
std::string seconds_text(std::optional<double> time_s);
/// `10:41:44` of `2026-06-03T10:41:44Z`, else `--:--:--`.
std::string clock_of(const std::string& utc);
/// When an alert began; by the receiver's time of day where it gives no date.
std::string since_of(const Json& alert);

/// What it told of has ended.
bool is_gone(const Json& alert);
bool has_flag(const Json& point, std::string_view flag);

/// `rtk-fixed` is "fixed", `autonomous` "without corrections" …
std::string quality_words(const std::string& code);
/// A refusal in two or three words: `correction-age` is "corrections too old".
std::string refusal_words(const std::string& code);
/// Why a point is not accepted, in its own sentences or else in the words of its reasons; empty: nothing says why.
std::string reasons_of(const Json& point);
/// `stop-work` is "STOP MEASURING" …
std::string severity_words(const std::string& code);
/// Methods and verbs of the client: how they were called before, and how they are called now.
inline constexpr std::array<std::pair<std::string_view, std::string_view>, 2> kRenamed{
    {{"occupy", "begin"}, {"drop", "discard"}}};
/// Empty: nothing was called so before.
std::string_view newer_name(std::string_view old) noexcept;

}  // namespace stillpoint::wire
