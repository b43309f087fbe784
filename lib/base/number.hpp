#pragma once
/// Numbers as people read them, the same under every locale.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint {

/// Fixed decimals, `.` as the point, "-0.00" printed as "0.00". `value` must be finite.
std::string fixed(double value, int decimals);
/// Appends what `fixed` gives to `out`.
void append_fixed(std::string& out, double value, int decimals);

/// With one decimal, or with none where it is a whole number: a limit as people set it. `value` must be finite.
std::string in_few_digits(double value);

/// As `fixed`, for a value of any size that somebody typed: more than twelve digits are written as 1.00e+308.
std::string readable(double value, int decimals);

/// The same with a `+` before what is above zero as printed.
std::string with_sign(double value, int decimals);

/// Appends a whole number to `out`.
void append_count(std::string& out, std::uint64_t value);
void append_whole(std::string& out, std::int64_t value);

/// `1 point`, `2 points`; `many` where an `s` does not make it.
std::string counted(std::uint64_t number, std::string_view one, std::string_view many = {});

/// The whole text as a decimal number (no exponent, no sign but `-`), or nothing. Locale-free.
std::optional<double> parse_decimal(std::string_view text) noexcept;

/// The whole text as an integer, or nothing.
std::optional<long long> parse_integer(std::string_view text) noexcept;

}  // namespace stillpoint
