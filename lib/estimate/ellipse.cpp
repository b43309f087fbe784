#include "estimate/ellipse.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "estimate/average.hpp"

namespace stillpoint::estimate {
namespace {

/// Chebyshev coefficients of k95 on four equal panels of [0, 1], fitted to `k95_by_integral` (largest difference
/// 2e-11).
constexpr std::size_t kTerms = 14;
constexpr std::array<std::array<double, kTerms>, 4> kPanels{{
    {1.9661045665963193, 0.0082314103296267094, 0.0021243764152894251, 3.8896502246019149e-05, 5.5544918671074361e-06,
     2.3099777723967208e-07, 2.6523563553815244e-08, 1.8517217897917604e-09, 2.1407479955382058e-10,
     2.2313914604943363e-11, 2.9859448247293585e-12, 4.2112147102812969e-13, 6.8445249468140901e-14,
     1.2406742300186124e-14},
    {2.0026215782213321, 0.029417902163085735, 0.0035290574222954646, 0.00025644697508966918, 3.1607578300230088e-05,
     2.673288167984178e-06, -3.2839317262722822e-07, -2.0061071769050809e-07, -2.4718253402444823e-08,
     6.5212247546408975e-09, 2.1237019504072308e-09, -1.7531281981675306e-10, -1.2362127987941562e-10,
     7.7469558545928408e-12},
    {2.103265434872442, 0.074850732933154335, 0.0076245314557562838, 0.00011939674675331968, -6.0804331256381072e-05,
     1.616109323449022e-06, 1.1729707358465458e-06, -1.5004327875989265e-07, -1.3359299555482096e-08,
     5.394573940331604e-09, -3.0457728006361151e-10, -1.0226666735668744e-10, 2.0598286964990109e-11,
     5.5191962111678095e-14},
    {2.3108630056445558, 0.13118861669791892, 0.0059040613987872692, -0.00021685973560744976, 7.4981526023143452e-06,
     6.7752908597396022e-07, -1.8774278603972405e-07, 1.9748080254400335e-08, -9.5659222210109363e-10,
     -7.6982711871842469e-11, 2.4738724957451552e-11, -3.2120417436942716e-12, 2.3034352203410435e-13,
     2.7061686225238191e-15},
}};

struct Outside {
  double probability;  ///< of lying outside the circle
  double slope;        ///< its derivative by the radius, sign reversed
};

/// Whitened polar coordinates: at whitened angle φ the circle of radius r lies at r/√(cos²φ + c² sin²φ), and a standard
/// normal pair lies beyond ρ with probability exp(−ρ²/2). The mean over φ is the answer. No cancellation and no
/// division by c, so it holds down to c = 0; the integrand is periodic and smooth, so 64 midpoints of a quarter turn
/// give all digits.
Outside outside_circle(double radius, double ratio) noexcept {
  constexpr int kPoints = 64;
  Outside sum{0, 0};
  for (int i = 0; i < kPoints; ++i) {
    const double angle_rad = (i + 0.5) * (std::numbers::pi / 2 / kPoints);
    const double cosine = std::cos(angle_rad), sine = std::sin(angle_rad);
    const double squeeze = cosine * cosine + ratio * ratio * sine * sine;
    const double beyond = std::exp(-0.5 * radius * radius / squeeze);
    sum.probability += beyond;
    sum.slope += beyond * radius / squeeze;
  }
  return {sum.probability / kPoints, sum.slope / kPoints};
}

}  // namespace

double k95_by_integral(double ratio) noexcept {
  const double c = std::clamp(ratio, 0.0, 1.0);
  double radius = 1.960790 + c * (0.004071 + c * (0.114276 + c * 0.371625));  // within 0.0042
  for (int step = 0; step < 4; ++step) {
    const Outside at = outside_circle(radius, c);
    radius += (at.probability - 0.05) / at.slope;
  }
  return radius;
}

double k95(double ratio) noexcept {
  const double scaled = std::clamp(ratio, 0.0, 1.0) * static_cast<double>(kPanels.size());
  const std::size_t panel = std::min(static_cast<std::size_t>(scaled), kPanels.size() - 1);
  const double x = 2.0 * (scaled - static_cast<double>(panel)) - 1.0;
  const auto& terms = kPanels[panel];
  double next = 0, after = 0;
  for (std::size_t k = kTerms - 1; k > 0; --k) {
    const double current = 2.0 * x * next - after + terms[k];
    after = next;
    next = current;
  }
  return x * next - after + terms[0];
}

Ellipse ellipse95(double ee_m2, double en_m2, double nn_m2) noexcept {
  static const double kFactor = std::sqrt(-2.0 * std::log(0.05));
  const double middle_m2 = (ee_m2 + nn_m2) / 2;
  const double half_m2 = std::hypot((ee_m2 - nn_m2) / 2, en_m2);
  return {kFactor * std::sqrt(std::max(middle_m2 + half_m2, 0.0)),
          kFactor * std::sqrt(std::max(middle_m2 - half_m2, 0.0)),
          std::atan2(2 * en_m2, ee_m2 - nn_m2) / 2 * 180.0 / std::numbers::pi};
}

double radius95(double ee_m2, double en_m2, double nn_m2) noexcept {
  const double middle = 0.5 * (ee_m2 + nn_m2);
  const double spread = std::hypot(0.5 * (ee_m2 - nn_m2), en_m2);
  const double major_m2 = middle + spread;
  if (!(major_m2 > 0)) return 0;
  // det/λ1 instead of middle − spread: the small eigenvalue of a long ellipse keeps its digits.
  const double minor_m2 = std::max(0.0, (ee_m2 * nn_m2 - en_m2 * en_m2) / major_m2);
  return k95(std::sqrt(minor_m2 / major_m2)) * std::sqrt(major_m2);
}

}  // namespace stillpoint::estimate
