#pragma once
/// A piece of the plane on paper: what lies where, at which scale, with mesh, scale bar and north.
///
/// Units:   metres east and north; millimetres on paper, y downwards.
/// Threads: plain values. Errors: none.

#include <string>
#include <vector>

#include "report/drawings.hpp"
#include "report/labels.hpp"
#include "report/signs.hpp"

namespace stillpoint::report {

struct Plotted {
  const PointFact* fact = nullptr;
  PlanPlace at;
  Ring ring;
  Sign sign = Sign::accepted;
  std::string name;  ///< as it stands on the map; empty where an earlier visit has it already
};

struct PlottedMark {
  std::string name;
  PlanPlace at;
};

struct Bounds {
  double west = 0, south = 0, east = 0, north = 0;
  bool empty = true;
  void take(const PlanPlace& place);
  double wide() const noexcept { return east - west; }
  double high() const noexcept { return north - south; }
};

Bounds bounds_of(const std::vector<Plotted>& points);

/// What the day has to show, worked out once for map and sheets.
struct DayPlan {
  std::vector<Plotted> points;
  std::vector<PlottedMark> marks;  ///< those that lie near the points
  std::vector<std::string> far_marks;
  std::string prefix;  ///< what names that stand there as numbers begin with; empty: none does
  std::string example;
  Bounds bounds;
};
DayPlan plan_of(const Facts& facts);

class MapPaper {
 public:
  /// The bounds in the middle of `content`, as large as they fit.
  MapPaper(const Bounds& bounds, const Box& plot, const Box& content);
  double x(double east_m) const noexcept { return middle_x_ + (east_m - east_m_) * mm_per_m_; }
  double y(double north_m) const noexcept { return middle_y_ - (north_m - north_m_) * mm_per_m_; }
  double mm_per_m() const noexcept { return mm_per_m_; }
  const Box& plot() const noexcept { return plot_; }
  bool shows(const PlanPlace& at, double margin_mm) const noexcept;

 private:
  Box plot_;
  double middle_x_, middle_y_, east_m_, north_m_, mm_per_m_;
};

/// Ellipses are drawn so many times too large: 1, 2 or 4 times a power of ten, so that the median has about 2 mm.
double exaggeration(const std::vector<Plotted>& points, double mm_per_m);

/// Lines of round easts and norths, with their numbers; these are blocked for names.
void draw_mesh(Svg& svg, LabelBoard& board, const MapPaper& paper, const Measures& in);
/// Scale bar and north arrow in the corner with the fewest points.
void draw_scale(Svg& svg, LabelBoard& board, const MapPaper& paper, const DayPlan& plan, const Measures& in);

}  // namespace stillpoint::report
