// Names on drawings: none on another, none on a point, those that matter first.

#include "report/labels.hpp"

#include <doctest/doctest.h>

#include <cmath>

namespace stillpoint::report {
namespace {

/// Points of a mesh, so many millimetres apart, each with a name.
std::vector<Name> mesh(int side, double between) {
  std::vector<Name> out;
  for (int i = 0; i < side * side; ++i) {
    Name name;
    name.text = "CUL-" + std::to_string(i);
    name.x = 10 + between * (i % side);
    name.y = 10 + between * (i / side);
    name.priority = i % 7 == 0 ? 0 : 1;
    out.push_back(name);
  }
  return out;
}

std::size_t overlaps(const std::vector<Placed>& placed) {
  std::size_t count = 0;
  for (std::size_t i = 0; i < placed.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j) count += placed[i].box.overlaps(placed[j].box) ? 1U : 0U;
  }
  return count;
}

}  // namespace

TEST_CASE("names never overlap each other, their points or the paper's edge, however dense they are") {
  for (const double between : {3.0, 5.0, 9.0, 16.0}) {
    CAPTURE(between);
    const auto names = mesh(11, between);
    const Box paper{0, 0, 190, 190};
    LabelBoard board(paper);
    for (const Name& name : names) board.block(around(name.x, name.y, 0.8, 0.8));
    const auto placed = board.place_all(names);
    CHECK(overlaps(placed) == 0);
    for (const Placed& at : placed) {
      CHECK(paper.holds(at.box));
      for (const Name& name : names) CHECK_FALSE(at.box.overlaps(around(name.x, name.y, 0.8, 0.8)));
    }
    if (between > 15) CHECK(placed.size() == names.size());
    if (between < 4) CHECK(placed.size() < names.size());
  }
}

TEST_CASE("where there is no room for all, those of the lowest priority number are named") {
  const auto names = mesh(11, 5);
  LabelBoard board({0, 0, 190, 190});
  for (const Name& name : names) board.block(around(name.x, name.y, 0.8, 0.8));
  std::size_t first = 0, others = 0;
  for (const Placed& at : board.place_all(names)) ++(names[at.name].priority == 0 ? first : others);
  CHECK(first == 18);  // all of them
  CHECK(others < 103);
}

TEST_CASE("a lone name stands to the right of its point, at the right edge above or left of it") {
  LabelBoard board({0, 0, 100, 100});
  Name name{"CUL-1", 50, 50};
  auto at = board.place(name);
  REQUIRE(at);
  CHECK(at->anchor == Anchor::start);
  CHECK(at->box.left > 50);
  CHECK(at->box.top < 50);
  CHECK(at->box.bottom > 50);
  name.x = 98;
  at = board.place(name);
  REQUIRE(at);
  CHECK(at->box.right <= 100);
  CHECK(at->box.bottom < 50);
}

TEST_CASE("the width of a text is the sum of the face's own advances") {
  // DejaVu Sans Condensed 2.37: digits 572, capital W 890, bold 993 thousandths of an em (its hmtx table).
  CHECK(text_width("14", 10, false) == doctest::Approx(11.44));
  CHECK(text_width("W", 1, false) == doctest::Approx(0.890));
  CHECK(text_width("W", 1, true) == doctest::Approx(0.993));
  CHECK(text_width("\u00E9", 1, false) == doctest::Approx(1.0));  // one letter of two bytes: never too narrow
}

TEST_CASE("steps of scales are 1, 2 or 5 times a power of ten") {
  struct Row {
    double least, step;
  };
  for (const Row& row : {Row{0.9, 1}, Row{1, 1}, Row{1.1, 2}, Row{2.1, 5}, Row{5.1, 10}, Row{0.012, 0.02}, Row{0, 1}}) {
    CAPTURE(row.least);
    CHECK(step_not_below(row.least) == doctest::Approx(row.step));
  }
}

}  // namespace stillpoint::report
