#include "report/labels.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

namespace stillpoint::report {
namespace {

// Advance widths of DejaVu Sans Condensed, blank to tilde, thousandths of an em, from the font's own table (release
// 2.37); the other faces of the drawings are narrower.
constexpr std::array<int, 95> kRegular{286, 360, 414, 754, 572, 855, 702, 247, 351, 351, 450, 754, 286, 325, 286, 303,
                                       572, 572, 572, 572, 572, 572, 572, 572, 572, 572, 303, 303, 754, 754, 754, 478,
                                       900, 615, 617, 628, 693, 568, 518, 697, 677, 265, 265, 590, 501, 776, 673, 708,
                                       542, 708, 625, 571, 549, 659, 615, 890, 616, 549, 616, 351, 303, 351, 754, 450,
                                       450, 551, 571, 495, 571, 554, 316, 571, 570, 250, 250, 521, 250, 876, 570, 550,
                                       571, 571, 370, 469, 353, 570, 532, 736, 532, 532, 472, 572, 303, 572, 754};
constexpr std::array<int, 95> kBold{313, 410, 469, 754, 626, 901, 785, 275, 411, 411, 470, 754, 342, 374, 342, 329,
                                    626, 626, 626, 626, 626, 626, 626, 626, 626, 626, 360, 360, 754, 754, 754, 522,
                                    900, 696, 686, 660, 747, 615, 615, 738, 753, 334, 334, 697, 573, 896, 753, 765,
                                    659, 765, 693, 648, 614, 730, 696, 993, 694, 651, 652, 411, 329, 411, 754, 450,
                                    450, 607, 644, 533, 644, 610, 391, 644, 641, 308, 308, 598, 308, 938, 641, 618,
                                    644, 644, 444, 536, 430, 641, 586, 831, 580, 586, 523, 641, 329, 641, 754};
constexpr int kWidest = 1000;  // of a letter that is in neither table

constexpr double kAscent = 0.78, kDescent = 0.24;  // of the letters' size
constexpr double kCell = 6;
constexpr double kGap = 0.5;   // between a sign and its name
constexpr double kAir = 0.35;  // around a name

struct Direction {
  double x, y;
};
// To the right, then above; y downwards.
constexpr std::array<Direction, 8> kAround{
    {{1, 0}, {0.7, -0.7}, {0, -1}, {-0.7, -0.7}, {-1, 0}, {0.7, 0.7}, {0, 1}, {-0.7, 0.7}}};
constexpr std::array<double, 3> kFarther{0, 1.6, 4.2};

Placed placed_at(const Name& name, const Direction& to, double farther) {
  const double width = text_width(name.text, name.size, name.bold);
  const double up = kAscent * name.size, down = kDescent * name.size;
  const double away = name.clear + kGap + farther;
  Placed out;
  out.x = name.x + to.x * away;
  const double edge = name.y + to.y * away;
  out.y = to.y < -0.1 ? edge - down : to.y > 0.1 ? edge + up : edge + (up - down) / 2;
  out.anchor = to.x > 0.1 ? Anchor::start : to.x < -0.1 ? Anchor::end : Anchor::middle;
  const double left = out.anchor == Anchor::start ? out.x
                      : out.anchor == Anchor::end ? out.x - width
                                                  : out.x - width / 2;
  out.box = {left - kAir, out.y - up, left + width + kAir, out.y + down};
  out.far = farther > 3;
  return out;
}

template <class Do>
void each_cell(const Box& box, Do act) {
  const auto cell = [](double at) { return static_cast<long>(std::floor(at / kCell)); };
  for (long x = cell(box.left); x <= cell(box.right); ++x) {
    for (long y = cell(box.top); y <= cell(box.bottom); ++y) act(x * 100'000 + y);
  }
}

}  // namespace

Box around(double x, double y, double half_width, double half_height) {
  return {x - half_width, y - half_height, x + half_width, y + half_height};
}

double text_width(std::string_view text, double size, bool bold) {
  int sum = 0;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte >= ' ' && byte <= '~') {
      sum += (bold ? kBold : kRegular)[byte - ' '];
    } else if (byte >= 0xC0 || byte < ' ') {
      sum += kWidest;
    }
  }
  return size * sum / 1000;
}

void LabelBoard::Mesh::add(const Box& box) {
  each_cell(box, [&](long cell) { cells_[cell].push_back(box); });
}

bool LabelBoard::Mesh::hits(const Box& box) const {
  bool hit = false;
  each_cell(box, [&](long cell) {
    const auto found = cells_.find(cell);
    if (hit || found == cells_.end()) return;
    hit = std::any_of(found->second.begin(), found->second.end(), [&](const Box& each) { return each.overlaps(box); });
  });
  return hit;
}

void LabelBoard::block(const Box& box) {
  blocked_.add(box);
}

void LabelBoard::shade(const Box& box) {
  shaded_.add(box);
}

std::optional<Placed> LabelBoard::try_places(const Name& name, bool in_shade) const {
  for (const double farther : kFarther) {
    for (const Direction& to : kAround) {
      const Placed at = placed_at(name, to, farther);
      if (is_free(at.box) && (in_shade || !shaded_.hits(at.box))) return at;
    }
  }
  return std::nullopt;
}

std::optional<Placed> LabelBoard::place(const Name& name) {
  auto at = try_places(name, false);
  if (!at) at = try_places(name, true);
  if (at) block(at->box);
  return at;
}

std::vector<Placed> LabelBoard::place_all(const std::vector<Name>& names) {
  std::vector<std::size_t> order(names.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return names[a].priority < names[b].priority; });
  std::vector<Placed> out;
  for (const std::size_t i : order) {
    if (auto at = place(names[i])) {
      at->name = i;
      out.push_back(*at);
    }
  }
  return out;
}

void draw(Svg& svg, const std::vector<Name>& names, const std::vector<Placed>& placed) {
  for (const Placed& at : placed) {
    const Name& name = names[at.name];
    if (at.far) {
      const double y = std::clamp(name.y, at.box.top, at.box.bottom);
      const double x = std::clamp(name.x, at.box.left, at.box.right);
      svg.line("thin", x, y, name.x, name.y);
    }
    svg.text(name.bold ? "b halo" : "halo", at.x, at.y, name.text, at.anchor);
  }
}

}  // namespace stillpoint::report
