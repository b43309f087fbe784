#include "client/letters.hpp"

#include <algorithm>

namespace stillpoint::client {
namespace {

struct Shape {
  char letter = ' ';
  std::array<std::string_view, kLetterRows> rows;
};

constexpr std::array<Shape, 21> kShapes{{
    {'Y', {"#   #", " # # ", "  #  ", "  #  ", "  #  "}}, {'E', {"#####", "#    ", "#### ", "#    ", "#####"}},
    {'S', {" ####", "#    ", " ### ", "    #", "#### "}}, {'N', {"#   #", "##  #", "# # #", "#  ##", "#   #"}},
    {'O', {" ### ", "#   #", "#   #", "#   #", " ### "}}, {'R', {"#### ", "#   #", "#### ", "#  # ", "#   #"}},
    {'A', {" ### ", "#   #", "#####", "#   #", "#   #"}}, {'D', {"#### ", "#   #", "#   #", "#   #", "#### "}},
    {'U', {"#   #", "#   #", "#   #", "#   #", " ### "}}, {'G', {" ####", "#    ", "#  ##", "#   #", " ####"}},
    {'H', {"#   #", "#   #", "#####", "#   #", "#   #"}}, {'.', {" ", " ", " ", " ", "#"}},
    {'1', {"  #  ", " ##  ", "  #  ", "  #  ", " ### "}}, {'2', {"#### ", "    #", " ### ", "#    ", "#####"}},
    {'3', {"#### ", "    #", " ### ", "    #", "#### "}}, {'4', {"#  # ", "#  # ", "#####", "   # ", "   # "}},
    {'5', {"#####", "#    ", "#### ", "    #", "#### "}}, {'6', {" ### ", "#    ", "#### ", "#   #", " ### "}},
    {'7', {"#####", "    #", "   # ", "  #  ", "  #  "}}, {'8', {" ### ", "#   #", " ### ", "#   #", " ### "}},
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

/// Columns of the cells of a letter, from the left: strokes stand in the first, the middle and the last.
std::array<std::size_t, 5> columns_of(LetterSize size) {
  switch (size) {
    case LetterSize::small:
      return {1, 1, 1, 1, 1};
    case LetterSize::middle:
      return {2, 1, 2, 1, 2};
    case LetterSize::wide:
      return {2, 2, 2, 2, 2};
    case LetterSize::huge:
      break;
  }
  return {3, 3, 3, 3, 3};
}

}  // namespace

std::array<std::string, kLetterRows> block_letters(std::string_view text, LetterSize size) {
  const auto columns = columns_of(size);
  std::array<std::string, kLetterRows> out;
  for (const char letter : text) {
    const Shape* shape = shape_of(letter);
    if (shape == nullptr) continue;
    for (std::size_t row = 0; row < kLetterRows; ++row) {
      if (!out[row].empty()) out[row].append(columns[0], ' ');
      for (std::size_t cell = 0; cell < shape->rows[row].size(); ++cell)
        out[row].append(columns[cell], shape->rows[row][cell]);
    }
  }
  return out;
}

std::size_t letters_width(std::string_view text, LetterSize size) {
  return block_letters(text, size)[0].size();
}

}  // namespace stillpoint::client
