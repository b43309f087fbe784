#pragma once
/// The values: one row a fact, always in this order, each said in several ways for the room there is.
///
/// Threads: pure.

#include <string>
#include <vector>

#include "client/day.hpp"

namespace stillpoint::client {

struct Value {
  std::string label;
  std::vector<std::string> ways;  ///< the fullest first: the first one that fits is shown
  enum class Scale : std::uint8_t { none, age, error } scale = Scale::none;
  std::optional<double> part;   ///< of the limit: where the value stands
  std::optional<double> fresh;  ///< of the limit: where late begins
};

std::vector<Value> values_of(const Day& day, const Now& now);
/// The first way that `width` holds, else the last one, cut.
std::string fitting(const std::vector<std::string>& ways, std::size_t width);
/// `width` cells; the limit stands at the same place in all of the same width, and left of it is good.
std::string scale_text(const Value& value, std::size_t width);
/// Where in them.
std::size_t limit_cell(std::size_t width);

}  // namespace stillpoint::client
