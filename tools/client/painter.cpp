#include "client/painter.hpp"

#include <algorithm>
#include <ostream>

namespace stillpoint::client {

Painter::Painter(std::ostream& out, const Surroundings& around) : out_(out), around_(around) {}

Painter::~Painter() {
  if (!started_ || !around_.terminal) return;
  out_ << kTerminalBack << std::flush;
}

void Painter::resize(int columns, int rows) {
  around_.columns = columns;
  around_.rows = rows;
  if (started_ && around_.terminal) out_ << "\x1b[?25l\x1b[2J";
  shown_.clear();
}

void Painter::show(const Screen& screen) {
  if (around_.terminal) {
    repaint(screen);
  } else {
    print_changes(screen);
  }
  out_.flush();
}

/// One coloured cell at the left of the verdict; the line itself says the same without it.
std::string Painter::dressed(const Screen& screen, std::size_t row) const {
  std::string line = screen.lines[row].substr(0, static_cast<std::size_t>(std::max(around_.columns - 1, 1)));
  const bool tinted = row >= screen.tint_row && row < screen.tint_row + screen.tint_rows;
  if (!around_.colour || !tinted || screen.tint == Tint::none) return line;
  if (line.empty()) line = " ";
  const char* colour = screen.tint == Tint::green ? "\x1b[42m" : screen.tint == Tint::blue ? "\x1b[44m" : "\x1b[41m";
  return colour + line.substr(0, 1) + "\x1b[0m" + line.substr(1);
}

void Painter::repaint(const Screen& screen) {
  if (!started_) out_ << "\x1b[?1049h\x1b[?25l\x1b[2J";
  started_ = true;
  const auto rows = std::min(screen.lines.size(), static_cast<std::size_t>(std::max(around_.rows, 1)));
  shown_.resize(rows);
  for (std::size_t row = 0; row < rows; ++row) {
    std::string line = dressed(screen, row);
    if (line == shown_[row]) continue;
    out_ << "\x1b[" << row + 1 << ";1H" << line << "\x1b[K";
    shown_[row] = std::move(line);
  }
}

void Painter::print_changes(const Screen& screen) {
  shown_.resize(screen.lines.size());
  for (std::size_t row = 0; row < screen.lines.size(); ++row) {
    if (screen.lines[row] != shown_[row] && !screen.lines[row].empty()) out_ << screen.lines[row] << '\n';
    shown_[row] = screen.lines[row];
  }
  started_ = true;
}

}  // namespace stillpoint::client
