#pragma once
/// The plate: the word in block letters and the figure beside it. Its edge and filling carry the state: `-` counts, `/`
/// counts on late corrections, `=` enough, `~` training, half dark waits, dark (`#`) is wrong, `X` nobody answers.
///
/// Threads: pure.

#include <string>
#include <vector>

#include "client/answer.hpp"

namespace stillpoint::client {

inline constexpr std::size_t kPlateRows = 7;

struct PlateWords {
  std::string upper_left, upper_right;  ///< in its upper edge
  bool training = false;
};
/// `kPlateRows` lines of `columns`.
std::vector<std::string> plate_lines(const Answer& answer, const PlateWords& words, std::size_t columns);

/// A line across with words near its start and its end.
std::string rule(char line, const std::string& left, const std::string& right, std::size_t columns);

}  // namespace stillpoint::client
