// Stays around their means: one small drawing each, one scale for each correction source.

#include <algorithm>
#include <cmath>
#include <numbers>
#include <unordered_set>

#include "base/number.hpp"
#include "estimate/average.hpp"
#include "geodesy/local.hpp"
#include "occupation/place.hpp"
#include "report/html.hpp"
#include "report/plots.hpp"
#include "report/sentences.hpp"
#include "report/words.hpp"

namespace stillpoint::report {
namespace {

constexpr double kSide = 200, kMiddle = kSide / 2, kReach = 92;  // pixels

enum class Mark : std::uint8_t { counted, refused, set_apart };

struct Dot {
  double east_m, north_m;
  Mark mark;
};

struct Cloud {
  const PointFact* fact = nullptr;
  std::vector<Dot> dots;
  double seconds_ee_m2 = 0, seconds_en_m2 = 0, seconds_nn_m2 = 0;  ///< of the counted ones
  std::size_t counted = 0, refused = 0, set_apart = 0, placeless = 0;
};

Mark mark_of(const occupation::EpochRecord& epoch) {
  using gate::Reason;
  if (epoch.accepted) return Mark::counted;
  for (const Reason reason : {Reason::outlier, Reason::jump, Reason::other_segment}) {
    if (epoch.reasons.test(static_cast<std::size_t>(reason))) return Mark::set_apart;
  }
  return Mark::refused;
}

void add_spread(Cloud& cloud) {
  double east_m = 0, north_m = 0;
  const auto n = static_cast<double>(cloud.counted);
  for (const Dot& dot : cloud.dots) {
    if (dot.mark != Mark::counted) continue;
    east_m += dot.east_m / n;
    north_m += dot.north_m / n;
  }
  for (const Dot& dot : cloud.dots) {
    if (dot.mark != Mark::counted || cloud.counted < 2) continue;
    cloud.seconds_ee_m2 += (dot.east_m - east_m) * (dot.east_m - east_m) / (n - 1);
    cloud.seconds_en_m2 += (dot.east_m - east_m) * (dot.north_m - north_m) / (n - 1);
    cloud.seconds_nn_m2 += (dot.north_m - north_m) * (dot.north_m - north_m) / (n - 1);
  }
}

Cloud cloud_of(const PointFact& fact) {
  Cloud cloud;
  cloud.fact = &fact;
  const occupation::Coordinates& at = *fact.newest.point.at;
  const geodesy::LocalFrame around(occupation::place_of(at));
  for (const occupation::EpochRecord& epoch : *fact.epochs) {
    const Mark mark = mark_of(epoch);
    ++(mark == Mark::counted ? cloud.counted : mark == Mark::refused ? cloud.refused : cloud.set_apart);
    if (!epoch.latitude_deg || !epoch.longitude_deg) {
      ++cloud.placeless;
      continue;
    }
    const geodesy::Enu off =
        around.to_enu({*epoch.latitude_deg, *epoch.longitude_deg, epoch.ellipsoid_height_m.value_or(0)});
    cloud.dots.push_back({off.east_m, off.north_m, mark});
  }
  add_spread(cloud);
  return cloud;
}

/// All dots of one kind as one path: a line of no length is a dot, others are drawn around each place.
std::string path_of(const Cloud& cloud, Mark mark, double px_per_m, std::size_t& outside) {
  std::string path;
  std::unordered_set<long> drawn;
  for (const Dot& dot : cloud.dots) {
    if (dot.mark != mark) continue;
    const long x = std::lround(kMiddle + dot.east_m * px_per_m), y = std::lround(kMiddle - dot.north_m * px_per_m);
    if (x < 2 || y < 2 || x > 198 || y > 198) {
      ++outside;
      continue;
    }
    if (!drawn.insert(x * 1000 + y).second) continue;
    if (mark == Mark::counted) path += "M" + std::to_string(x) + " " + std::to_string(y) + "h0";
    if (mark == Mark::refused) path += "M" + std::to_string(x - 3) + " " + std::to_string(y - 3) + "l6 6m0-6l-6 6";
    if (mark == Mark::set_apart) path += "M" + std::to_string(x - 3) + " " + std::to_string(y - 3) + "h6v6h-6z";
  }
  return path;
}

std::string ellipse(double ee_m2, double en_m2, double nn_m2, double px_per_m, const char* name) {
  constexpr double kTwoDimensions95 =
      2.4477;  // of the chi-square distribution with two degrees of freedom, square root
  const double middle = (ee_m2 + nn_m2) / 2, half = std::hypot((ee_m2 - nn_m2) / 2, en_m2);
  const double major = std::sqrt(middle + half) * kTwoDimensions95 * px_per_m;
  const double minor = std::sqrt(std::max(middle - half, 0.0)) * kTwoDimensions95 * px_per_m;
  const double turn_deg = std::atan2(2 * en_m2, ee_m2 - nn_m2) / 2 * 180 / std::numbers::pi;
  return "<ellipse class=\"" + std::string(name) + "\" rx=\"" + px(major) + "\" ry=\"" + px(minor) +
         "\" transform=\"translate(100 100)rotate(" + px(-turn_deg) + ")\"/>";
}

std::string drawing(const Cloud& cloud, double px_per_m, double square_m, std::size_t& outside) {
  const double step = square_m * px_per_m;
  std::string grid;
  for (double at = step; at < kReach; at += step) {
    for (const double side : {kMiddle - at, kMiddle + at}) grid += "M" + px(side) + " 8V192M8 " + px(side) + "H192";
  }
  std::string out = "<path class=\"g\" d=\"" + grid + "\"/><path class=\"x\" d=\"M100 8V192M8 100H192\"/>";
  const auto& c = cloud.fact->newest.point.at->covariance_enu_m2;
  if (cloud.counted > 2) out += ellipse(cloud.seconds_ee_m2, cloud.seconds_en_m2, cloud.seconds_nn_m2, px_per_m, "es");
  out += "<path class=\"d\" d=\"" + path_of(cloud, Mark::counted, px_per_m, outside) + "\"/>";
  out += "<path class=\"l\" d=\"" + path_of(cloud, Mark::refused, px_per_m, outside) + "\"/>";
  out += "<path class=\"l\" d=\"" + path_of(cloud, Mark::set_apart, px_per_m, outside) + "\"/>";
  return out + ellipse(c[0], c[1], c[2], px_per_m, "em");
}

std::string says(const Cloud& cloud, std::size_t outside) {
  const occupation::Coordinates& at = *cloud.fact->newest.point.at;
  std::string text = kSay.counted_refused(std::to_string(cloud.counted), std::to_string(cloud.refused),
                                          std::to_string(cloud.set_apart));
  if (outside > 0) text += kSay.and_outside(std::to_string(outside));
  if (cloud.placeless > 0) text += kSay.and_placeless(std::to_string(cloud.placeless));
  return kSay.plan_of_mean(text, metres(at.error95_horizontal_m));
}

/// Wide enough for 95 of 100 counted seconds and for every mean's ellipse.
double reach_of(const std::vector<Cloud>& clouds) {
  std::vector<double> far_m;
  double least_m = 0.001;
  for (const Cloud& cloud : clouds) {
    least_m = std::max(least_m, cloud.fact->newest.point.at->error95_horizontal_m * 1.1);
    for (const Dot& dot : cloud.dots) {
      if (dot.mark == Mark::counted) far_m.push_back(std::hypot(dot.east_m, dot.north_m));
    }
  }
  if (far_m.empty()) return least_m;
  const auto at = far_m.begin() + static_cast<std::ptrdiff_t>(static_cast<double>(far_m.size() - 1) * 0.99);
  std::nth_element(far_m.begin(), at, far_m.end());
  return std::max(least_m, *at * 1.1);
}

std::string group_html(const std::string& source, const std::vector<Cloud>& clouds) {
  const double square_m = step_not_below(reach_of(clouds) / 4.6);
  const double px_per_m = kReach / (square_m * 4.6);
  std::string out = "<h3>" + escaped(source.empty() ? "Without a source" : source) + "</h3>\n";
  out += paragraph(kSay.square_size(fixed(square_m, square_m < 0.001 ? 4 : 3)));
  out += "<div class=\"small\">\n";
  for (const Cloud& cloud : clouds) {
    std::size_t outside = 0;
    const std::string body = drawing(cloud, px_per_m, square_m, outside);
    const occupation::Point& point = cloud.fact->newest.point;
    out += figure(point_name(point.name, point.visit), says(cloud, outside), kSide, kSide, body);
  }
  return out + "</div>\n";
}

}  // namespace

std::string scatters(const Facts& facts) {
  std::map<std::string, std::vector<Cloud>> groups;
  for (const PointFact& fact : facts.points) {
    if (fact.epochs == nullptr || !fact.newest.point.at) continue;
    groups[fact.newest.point.source].push_back(cloud_of(fact));
  }
  std::string out = paragraph(kSay.drawing_explained());
  for (const auto& [source, clouds] : groups) out += group_html(source, clouds);
  return groups.empty() ? paragraph(kSay.no_places()) : out;
}

}  // namespace stillpoint::report
