#include "control/turn.hpp"

#include <cmath>
#include <numbers>

#include "base/number.hpp"
#include "control/sentences.hpp"

namespace stillpoint::control {
namespace {

constexpr double kChiSquare99Two = 9.2103;  // -2 ln 0.01, exact for two degrees of freedom
constexpr double kRad = std::numbers::pi / 180.0;

struct Sums {
  double n = 0, cos = 0, sin = 0;
  double east = 0, north = 0, right = 0, forward = 0;
  double variance = 0;
};

Sums sums_of(std::span<const TurnShot> shots) {
  Sums s;
  for (const TurnShot& shot : shots) {
    const double c = std::cos(shot.heading_deg * kRad), d = std::sin(shot.heading_deg * kRad);
    s.n += 1;
    s.cos += c;
    s.sin += d;
    s.east += shot.east_m;
    s.north += shot.north_m;
    // The transposed rotation brings each shot into the pole's axes.
    s.right += c * shot.east_m - d * shot.north_m;
    s.forward += d * shot.east_m + c * shot.north_m;
    s.variance += shot.sigma_m * shot.sigma_m;
  }
  return s;
}

}  // namespace

double Turn::lean_m() const noexcept {
  return std::hypot(right_m, forward_m);
}

std::array<double, 2> Turn::effect_m(double heading_deg) const noexcept {
  const double c = std::cos(heading_deg * kRad), d = std::sin(heading_deg * kRad);
  return {c * right_m + d * forward_m, -d * right_m + c * forward_m};
}

// The normal equations of two rotations: with equal weights they have a closed form.
Result<Turn> turn_test(std::span<const TurnShot> shots) {
  if (shots.size() < 2) return fail(kSay.too_few_headings());
  const Sums s = sums_of(shots);
  const double c = s.cos / s.n, d = s.sin / s.n;
  const double spread = s.n * (1 - c * c - d * d);
  if (spread < 0.5) return fail(kSay.headings_alike());
  Turn out;
  out.right_m = (s.right - (c * s.east - d * s.north)) / spread;
  out.forward_m = (s.forward - (d * s.east + c * s.north)) / spread;
  out.east_m = s.east / s.n - (c * out.right_m + d * out.forward_m);
  out.north_m = s.north / s.n - (-d * out.right_m + c * out.forward_m);
  double squares = 0;
  for (const TurnShot& shot : shots) {
    const auto lean = out.effect_m(shot.heading_deg);
    const double e = shot.east_m - out.east_m - lean[0], n = shot.north_m - out.north_m - lean[1];
    squares += e * e + n * n;
  }
  out.scatter_m = std::sqrt(squares / (2 * s.n));
  out.sigma_m = std::sqrt(s.variance / s.n / spread);
  out.leans = out.lean_m() * out.lean_m() > kChiSquare99Two * out.sigma_m * out.sigma_m;
  return out;
}

std::string turn_sentence(const std::string& mark, const Turn& turn) {
  const auto mm = [](double value_m) { return fixed(value_m * 1000, 1) + " mm"; };
  // The smallest lean that would have been told from noise.
  const double seen_m = std::sqrt(kChiSquare99Two) * turn.sigma_m;
  if (!turn.leans) {
    return kSay.bubble_good(mark, mm(turn.lean_m()), mm(seen_m));
  }
  const std::string sideways =
      mm(std::abs(turn.right_m)) + (turn.right_m < 0 ? kSay.to_its_left() : kSay.to_its_right());
  const std::string ahead = mm(std::abs(turn.forward_m)) + (turn.forward_m < 0 ? " backwards" : " forwards");
  return kSay.pole_leans(mark, mm(turn.lean_m()), sideways, ahead, mm(seen_m));
}

}  // namespace stillpoint::control
