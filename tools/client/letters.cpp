#include "client/letters.hpp"

#include <algorithm>

namespace stillpoint::client {
namespace {

struct Shape {
  char letter = ' ';
  std::array<std::string_view, kLetterRows> rows;
};

constexpr std::array<Shape, 14> kShapes{{
    {'Y', {"#   #", " # # ", "  #  ", "  #  ", "  #  "}},
    {'E', {"#####", "#    ", "#### ", "#    ", "#####"}},
    {'S', {" ####", "#    ", " ### ", "    #", "#### "}},
    {'N', {"#   #", "##  #", "# # #", "#  ##", "#   #"}},
    {'O', {" ### ", "#   #", "#   #", "#   #", " ### "}},
    {'1', {"  #  ", " ##  ", "  #  ", "  #  ", " ### "}},
    {'2', {"#### ", "    #", " ### ", "#    ", "#####"}},
    {'3', {"#### ", "    #", " ### ", "    #", "#### "}},
    {'4', {"#  # ", "#  # ", "#####", "   # ", "   # "}},
    {'5', {"#####", "#    ", "#### ", "    #", "#### "}},
    {'6', {" ### ", "#    ", "#### ", "#   #", " ### "}},
    {'7', {"#####", "    #", "   # ", "  #  ", "  #  "}},
    {'8', {" ### ", "#   #", " ### ", "#   #", " ### "}},
    {'9', {" ### ", "#   #", " ####", "    #", " ### "}},
}};
// A nought with a stroke, so that it is not taken for the O of NO.
constexpr Shape kNought{'0', {" ### ", "#  ##", "# # #", "##  #", " ### "}};

const Shape* shape_of(char letter) {
  if (letter == kNought.letter) return &kNought;
  const auto at =
      std::find_if(kShapes.begin(), kShapes.end(), [&](const Shape& each) { return each.letter == letter; });
  return at == kShapes.end() ? nullptr : &*at;
}

}  // namespace

std::array<std::string, kLetterRows> block_letters(std::string_view text, std::size_t cell) {
  std::array<std::string, kLetterRows> out;
  for (const char letter : text) {
    const Shape* shape = shape_of(letter);
    if (shape == nullptr) continue;
    for (std::size_t row = 0; row < kLetterRows; ++row) {
      if (!out[row].empty()) out[row].append(cell, ' ');
      for (const char mark : shape->rows[row]) out[row].append(cell, mark);
    }
  }
  return out;
}

}  // namespace stillpoint::client
