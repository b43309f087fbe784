#pragma once
/// Every sentence of the catalogues, made with the longest values that the program lets in. For the tests of what is said
/// and of what screens show.
///
/// Threads: pure. Errors: a kind of place that has no longest value is thrown as a text.

#include <map>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::test {

struct Room {
  const char* name;
  std::vector<std::string_view> sentences;
  std::size_t longest;    ///< characters that are shown of one
  bool laid_out = false;  ///< its blanks are columns
};

std::vector<Room> rooms();

/// The longest value of each kind of place. `name`: the longest of those that people choose.
using Longest = std::map<std::string_view, std::string>;
Longest longest_values(const std::string& name);

/// The kinds of the places of a sentence, from the left.
std::vector<std::string_view> kinds_of(std::string_view text);
std::string made(std::string_view text, const Longest& longest);

}  // namespace stillpoint::test
