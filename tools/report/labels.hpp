#pragma once
/// Where names stand in a drawing: around their points, never on one another and on nothing that must be seen.
///
/// Method:  point-feature label placement by candidates (Imhof's preferred places, to the right first), greedily by
///          priority: a name takes the first place that is free; places near other ellipses are tried last. A name that
///          finds none is left out.
/// Units:   millimetres, y downwards.
/// Threads: one board, one thread.
/// Errors:  none.

#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <vector>

#include "report/svg.hpp"

namespace stillpoint::report {

struct Box {
  double left = 0, top = 0, right = 0, bottom = 0;
  bool overlaps(const Box& other) const noexcept {
    return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
  }
  bool holds(const Box& other) const noexcept {
    return left <= other.left && top <= other.top && right >= other.right && bottom >= other.bottom;
  }
  double width() const noexcept { return right - left; }
  double height() const noexcept { return bottom - top; }
};

Box around(double x, double y, double half_width, double half_height);

/// How wide a text is in the drawings' face; an upper bound for what the face has no letter for.
double text_width(std::string_view text, double size, bool bold);

/// A name that wants a place.
struct Name {
  std::string text;
  double x = 0, y = 0;
  double clear = 1;    ///< so far from its point it begins
  double size = 2.75;  ///< of its letters
  bool bold = false;
  int priority = 0;  ///< the lowest goes first
};

/// Its place; `x` and `y` are where the text is drawn from.
struct Placed {
  std::size_t name = 0;  ///< which of the names
  Box box;
  double x = 0, y = 0;
  Anchor anchor = Anchor::start;
  bool far = false;  ///< a line leads from it to its point
};

class LabelBoard {
 public:
  explicit LabelBoard(const Box& paper) : paper_(paper) {}
  /// Nothing may stand here.
  void block(const Box& box);
  /// Names avoid it where they can.
  void shade(const Box& box);
  std::optional<Placed> place(const Name& name);
  /// By priority, equals in their order; those without a place are missing.
  std::vector<Placed> place_all(const std::vector<Name>& names);
  bool is_free(const Box& box) const { return paper_.holds(box) && !blocked_.hits(box); }

 private:
  /// Boxes by the cells of a mesh, so that a name looks only at its neighbours.
  class Mesh {
   public:
    void add(const Box& box);
    bool hits(const Box& box) const;

   private:
    std::unordered_map<long, std::vector<Box>> cells_;
  };
  std::optional<Placed> try_places(const Name& name, bool in_shade) const;
  Box paper_;
  Mesh blocked_, shaded_;
};

/// Draws them, with their lines, in the names' letters.
void draw(Svg& svg, const std::vector<Name>& names, const std::vector<Placed>& placed);

}  // namespace stillpoint::report
