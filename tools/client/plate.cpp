#include "client/plate.hpp"

#include <algorithm>
#include <array>

#include "client/letters.hpp"

namespace stillpoint::client {
namespace {

constexpr char kDark = '#', kLost = 'X', kWhite = ' ';

/// Line, sides, and what the left and the right half are filled with.
struct Dress {
  char line = '-';
  std::string side = "|";
  char left = kWhite, right = kWhite;
};

Dress dress_of(Filling filling) {
  switch (filling) {
    case Filling::ready:
      return {'-', " ", kWhite, kWhite};
    case Filling::counts:
      return {'-', "|", kWhite, kWhite};
    case Filling::late:
      return {'/', "/", kWhite, kWhite};
    case Filling::enough:
      return {'=', "|", kWhite, kWhite};
    case Filling::waits:
      return {'-', "|", kDark, kWhite};
    case Filling::wrong:
      return {kDark, "#", kDark, kDark};
    case Filling::lost:
      break;
  }
  return {kLost, "X", kLost, kLost};
}

using Rows = std::array<std::string, kLetterRows>;

/// White on dark: the strokes are left out of the filling.
void fill(Rows& rows, char filling) {
  if (filling == kWhite) return;
  for (std::string& row : rows) {
    for (char& c : row) c = c == kWhite ? filling : kWhite;
  }
}

/// The largest that leaves room for a figure of three digits and its unit; all of it for the word that takes the plate.
LetterSize size_of(const std::string& word, std::size_t inner) {
  constexpr std::size_t kMargins = 4, kFigure = 25;
  const std::size_t figure = word == "ENOUGH" ? 0 : kFigure;
  const std::string widest = word == "NO" ? "YES" : word;  // these two are of one size
  for (const LetterSize size : {LetterSize::huge, LetterSize::wide, LetterSize::middle}) {
    if (letters_width(widest, size) + figure + kMargins <= inner) return size;
  }
  return LetterSize::small;
}

/// The largest that has room, but none larger than the word; nothing: it has no room at all.
std::optional<LetterSize> figure_size(const Figure& figure, LetterSize word, std::size_t room) {
  for (const LetterSize size : {LetterSize::huge, LetterSize::wide, LetterSize::middle, LetterSize::small}) {
    if (size <= word && letters_width(figure.digits, size) <= room) return size;
  }
  return std::nullopt;
}

/// The figure at the right end of `room` columns, its unit on the baseline behind it.
struct Drawn {
  Rows rows;
  std::string meaning;
};

Drawn draw_figure(const Figure& figure, LetterSize word, std::size_t room, char filling) {
  const std::size_t unit = figure.unit.empty() ? 0 : figure.unit.size() + 1;
  const auto with_unit = room > unit ? figure_size(figure, word, room - unit) : std::nullopt;
  const auto size = with_unit ? with_unit : figure_size(figure, word, room);
  Drawn out;
  out.meaning = figure.of;
  if (figure.digits.empty() || !size) {
    out.rows.fill(std::string(room, filling));
    if (!figure.digits.empty()) out.meaning = figure.digits + (unit > 0 ? " " + figure.unit : "") + " " + figure.of;
    return out;
  }
  out.rows = block_letters(figure.digits, *size);
  fill(out.rows, filling);
  const bool has_unit = with_unit && unit > 0;
  if (!has_unit && unit > 0) out.meaning = figure.unit + " " + figure.of;
  for (std::size_t i = 0; i < kLetterRows; ++i) {
    std::string& row = out.rows[i];
    if (has_unit) row += i + 1 == kLetterRows ? " " + figure.unit : std::string(unit, filling);
    row.insert(0, room - std::min(room, row.size()), filling);
  }
  return out;
}

}  // namespace

std::string rule(char line, const std::string& left, const std::string& right, std::size_t columns) {
  std::string out(columns, line);
  if (columns < 8) return out;
  const std::string start = left.empty() ? "" : " " + cut(left, columns - 6) + " ";
  out.replace(2, start.size(), start);
  if (!right.empty() && start.size() + right.size() + 7 < columns) {
    out.replace(columns - right.size() - 4, right.size() + 2, " " + right + " ");
  }
  return out;
}

std::vector<std::string> plate_lines(const Answer& answer, const PlateWords& words, std::size_t columns) {
  const Dress dress = dress_of(answer.filling);
  const std::size_t inner = columns - 2, margin = columns < 60 ? 1 : 2;
  const LetterSize size = size_of(answer.word, inner);
  Rows word = block_letters(answer.word, size);
  fill(word, dress.left);
  const std::size_t used = word[0].size() + 2 * margin, room = inner - std::min(inner, used + margin);
  const Drawn figure = draw_figure(answer.figure, size, room, dress.right);
  std::vector<std::string> out{rule(words.training ? '~' : dress.line, words.upper_left, words.upper_right, columns)};
  for (std::size_t i = 0; i < kLetterRows; ++i) {
    std::string row = dress.side + std::string(margin, dress.left) + word[i] + std::string(margin, dress.left);
    row += figure.rows[i] + std::string(margin, dress.right);
    out.push_back(row.substr(0, columns - 1) + dress.side);
  }
  out.push_back(rule(dress.line, "", figure.meaning, columns));
  return out;
}

}  // namespace stillpoint::client
