#pragma once
/// Reads members of the daemon's answers. A member that is absent or of another type reads as "not known".
///
/// Threads: pure.
/// Errors:  none; nothing throws.

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint::wire {

using Json = nlohmann::ordered_json;

/// The member, or null.
const Json& member(const Json& object, std::string_view key) noexcept;
/// The text, or an empty one.
std::string text_of(const Json& object, std::string_view key);
std::optional<double> number_of(const Json& object, std::string_view key) noexcept;
/// The number as a whole one, or 0.
long long count_of(const Json& object, std::string_view key) noexcept;
bool flag_of(const Json& object, std::string_view key) noexcept;
/// The elements of a member that is an array, or of an empty one.
const Json& list_of(const Json& object, std::string_view key) noexcept;

/// On one line; bytes that are not UTF-8 become U+FFFD.
std::string line_of(const Json& json);

/// The bytes of a top-level member's value, exactly as they stand in the line; empty when there is none.
std::string_view raw_member(std::string_view line, std::string_view key) noexcept;

}  // namespace stillpoint::wire
