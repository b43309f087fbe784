// The seconds of one stay about its average.

#include <algorithm>
#include <array>
#include <cmath>
#include <unordered_set>

#include "base/number.hpp"
#include "geodesy/local.hpp"
#include "occupation/place.hpp"
#include "report/drawings.hpp"
#include "report/labels.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"
#include "report/signs.hpp"

namespace stillpoint::report {
namespace {

constexpr double kSide = 54, kMiddle = kSide / 2, kContent = 21, kEdge = 1.6;  // millimetres

struct Dot {
  double east_m, north_m;
  Second second;
};

struct Cloud {
  std::vector<Dot> dots;
  std::array<std::size_t, 3> counts{};
  double ee_m2 = 0, en_m2 = 0, nn_m2 = 0;  ///< of the counted ones
};

void add_spread(Cloud& cloud) {
  const auto n = static_cast<double>(cloud.counts[0]);
  if (n < 3) return;
  double east_m = 0, north_m = 0;
  for (const Dot& dot : cloud.dots) {
    if (dot.second != Second::counted) continue;
    east_m += dot.east_m / n;
    north_m += dot.north_m / n;
  }
  for (const Dot& dot : cloud.dots) {
    if (dot.second != Second::counted) continue;
    cloud.ee_m2 += (dot.east_m - east_m) * (dot.east_m - east_m) / (n - 1);
    cloud.en_m2 += (dot.east_m - east_m) * (dot.north_m - north_m) / (n - 1);
    cloud.nn_m2 += (dot.north_m - north_m) * (dot.north_m - north_m) / (n - 1);
  }
}

Cloud cloud_of(const PointFact& fact) {
  Cloud cloud;
  const geodesy::LocalFrame around(occupation::place_of(*fact.newest.point.at));
  for (const occupation::EpochRecord& epoch : *fact.epochs) {
    if (!epoch.latitude_deg || !epoch.longitude_deg) continue;
    const geodesy::Enu off =
        around.to_enu({*epoch.latitude_deg, *epoch.longitude_deg, epoch.ellipsoid_height_m.value_or(0)});
    const Second second = second_of(epoch);
    ++cloud.counts[static_cast<std::size_t>(second)];
    cloud.dots.push_back({off.east_m, off.north_m, second});
  }
  add_spread(cloud);
  return cloud;
}

/// Wide enough for the average's ring, what was wanted, and 95 of 100 counted seconds.
double reach_of(const Facts& facts, const Cloud& cloud, const Ring& average) {
  double reach_m = std::max(average.major_m, 0.002);
  if (facts.wanted) reach_m = std::max(reach_m, facts.wanted->horizontal_m);
  std::vector<double> far_m;
  for (const Dot& dot : cloud.dots) {
    if (dot.second == Second::counted) far_m.push_back(std::hypot(dot.east_m, dot.north_m));
  }
  if (far_m.empty()) return reach_m;
  const auto at = far_m.begin() + static_cast<std::ptrdiff_t>(static_cast<double>(far_m.size() - 1) * 0.95);
  std::nth_element(far_m.begin(), at, far_m.end());
  return std::max(reach_m, *at);
}

class Plot {
 public:
  Plot(const Facts& facts, const PointFact& fact) : facts_(facts), cloud_(cloud_of(fact)), svg_(kSide, kSide) {
    const auto& c = fact.newest.point.at->covariance_enu_m2;
    average_ = ring95(c[0], c[1], c[2]);
    error_m_ = fact.newest.point.at->error95_horizontal_m;
    mm_per_m_ = kContent / reach_of(facts, cloud_, average_);
  }

  Svg drawn() {
    svg_.path("frame", "M.2 .2h53.6v53.6h-53.6z");
    if (facts_.wanted) svg_.circle("want", kMiddle, kMiddle, facts_.wanted->horizontal_m * mm_per_m_);
    draw_dots();
    if (const Ring ring = ring95(cloud_.ee_m2, cloud_.en_m2, cloud_.nn_m2); ring.major_m > 0) draw_ring("single", ring);
    draw_ring("mean", average_);
    draw_leaders();
    draw_scale();
    draw_apart();
    return svg_;
  }
  const Cloud& cloud() const noexcept { return cloud_; }

 private:
  bool is_inside(const Dot& dot) const {
    const double reach_m = (kMiddle - kEdge) / mm_per_m_;
    return std::abs(dot.east_m) < reach_m && std::abs(dot.north_m) < reach_m;
  }

  void draw_dots() {
    std::array<std::string, 3> paths;
    std::unordered_set<long> drawn;
    for (const Dot& dot : cloud_.dots) {
      if (!is_inside(dot)) continue;
      const double x = kMiddle + dot.east_m * mm_per_m_, y = kMiddle - dot.north_m * mm_per_m_;
      const auto kind = static_cast<std::size_t>(dot.second);
      const long place = (std::lround(x * 10) * 1000 + std::lround(y * 10)) * 3 + static_cast<long>(kind);
      if (drawn.insert(place).second) paths[kind] += second_path(dot.second, x, y);
    }
    svg_.path("dots", paths[0]).path("cross", paths[1]).path("apart", paths[2]);
  }

  void draw_ring(std::string_view name, const Ring& ring) {
    svg_.ellipse(name, kMiddle, kMiddle, ring.major_m * mm_per_m_, ring.minor_m * mm_per_m_, ring.turn_deg);
  }

  /// The edge of a ring in the direction up and to the left, or down and to the left.
  void lead(double x, double y, double radius_mm, double down) {
    svg_.line("ax", x, y, kMiddle - radius_mm * 0.6, kMiddle + down * radius_mm * 0.8);
  }

  void draw_leaders() {
    const double radius = (average_.major_m + average_.minor_m) / 2 * mm_per_m_;
    svg_.text("", 2, 4.4, kSay.average_of(facts_.measures.small_text(error_m_)));
    lead(12, 5.6, radius, -1);
    if (!facts_.wanted) return;
    svg_.text("", 2, 52, kSay.wanted_of(facts_.measures.small_text(facts_.wanted->horizontal_m)));
    lead(12, 49.2, facts_.wanted->horizontal_m * mm_per_m_, 1);
  }

  void draw_scale() {
    const double unit_m = 1 / facts_.measures.of(1);
    double length_m = step_not_below(7 / mm_per_m_ / unit_m) * unit_m;
    const double length = length_m * mm_per_m_, x = 52 - length;
    svg_.path("bar", step('M', x, 50.6) + "v1.2h" + mm(length) + "v-1.2");
    svg_.text("t", x - 1, 52, facts_.measures.small_text(length_m), Anchor::end);
  }

  /// Seconds set apart that lie outside: a square at the edge with an arrow, how many and how far.
  void draw_apart() {
    double east_m = 0, north_m = 0;
    std::size_t count = 0;
    for (const Dot& dot : cloud_.dots) {
      if (dot.second != Second::set_apart || is_inside(dot)) continue;
      east_m += dot.east_m, north_m += dot.north_m;
      ++count;
    }
    if (count == 0) return;
    const auto n = static_cast<double>(count);
    const double far_m = std::hypot(east_m, north_m) / n;
    const double ux = east_m / n / far_m, uy = -north_m / n / far_m;
    const double x = std::clamp(kMiddle + ux * 40, 4.0, kSide - 4), y = std::clamp(kMiddle + uy * 40, 12.0, 42.0);
    svg_.path("apart", second_path(Second::set_apart, x, y));
    svg_.line("arrow", x + ux, y + uy, x + 3.2 * ux, y + 3.2 * uy);
    const bool at_right = x > kMiddle;
    const double text_x = at_right ? x - 1.6 : x + 1.6;
    const Anchor anchor = at_right ? Anchor::end : Anchor::start;
    svg_.text("halo", text_x, y - 0.2, kSay.seconds_apart(std::to_string(count)), anchor);
    svg_.text("halo", text_x, y + 3.2, kSay.away(facts_.measures.distance_text(far_m)), anchor);
  }

  const Facts& facts_;
  Cloud cloud_;
  Svg svg_;
  Ring average_;
  double error_m_ = 0, mm_per_m_ = 1;
};

}  // namespace

std::string scatter(const Facts& facts, const PointFact& fact) {
  if (fact.epochs == nullptr || !fact.newest.point.at) return {};
  Plot plot(facts, fact);
  const auto& counts = plot.cloud().counts;
  const std::string says =
      kSay.scatter_says(name_of(fact), std::to_string(counts[0]), std::to_string(counts[1]), std::to_string(counts[2]));
  return figure(plot.drawn().html(says), "");
}

}  // namespace stillpoint::report
