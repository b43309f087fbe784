#include "control/statistics.hpp"

#include <cmath>

namespace stillpoint::control {
namespace {

constexpr double kTiny = 1e-300;
constexpr double kEnough = 1e-15;
constexpr int kMostSteps = 500;

// glibc's lgamma writes a global sign; the reentrant one does not.
double log_gamma(double x) noexcept {
  int sign = 0;
  return ::lgamma_r(x, &sign);
}

/// The regularized lower incomplete gamma function.
double gamma_p(double a, double x) noexcept {
  if (x <= 0) return 0;
  const double front = std::exp(a * std::log(x) - x - log_gamma(a));
  if (x < a + 1) {
    double term = 1 / a, sum = term;
    for (int n = 1; n < kMostSteps && term > sum * kEnough; ++n) sum += term *= x / (a + n);
    return front * sum;
  }
  double b = x + 1 - a, c = 1 / kTiny, d = 1 / b, h = d;
  for (int i = 1; i < kMostSteps; ++i) {
    const double an = -i * (i - a);
    b += 2;
    d = 1 / (an * d + b);
    c = b + an / c;
    h *= d * c;
    if (std::abs(d * c - 1) < kEnough) break;
  }
  return 1 - front * h;
}

double beta_fraction(double a, double b, double x) noexcept {
  double c = 1, d = 1 / (1 - (a + b) * x / (a + 1)), h = d;
  for (int m = 1; m < kMostSteps; ++m) {
    const double even = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 / (1 + even * d);
    c = 1 + even / c;
    h *= d * c;
    const double odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 / (1 + odd * d);
    c = 1 + odd / c;
    h *= d * c;
    if (std::abs(d * c - 1) < kEnough) break;
  }
  return h;
}

/// The regularized incomplete beta function.
double beta_i(double a, double b, double x) noexcept {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  const double front = std::exp(log_gamma(a + b) - log_gamma(a) - log_gamma(b) + a * std::log(x) + b * std::log1p(-x));
  if (x < (a + 1) / (a + b + 2)) return front * beta_fraction(a, b, x) / a;
  return 1 - front * beta_fraction(b, a, 1 - x) / b;
}

template <class Distribution>
double quantile(double p, Distribution&& distribution) noexcept {
  double low = 0, high = 1;
  while (distribution(high) < p && high < 1e12) high *= 2;
  for (int i = 0; i < 200 && high - low > 1e-14 * high; ++i) {
    const double middle = (low + high) / 2;
    (distribution(middle) < p ? low : high) = middle;
  }
  return (low + high) / 2;
}

}  // namespace

double chi_square_quantile(double p, double freedom) noexcept {
  return quantile(p, [=](double x) { return gamma_p(freedom / 2, x / 2); });
}

double f_quantile(double p, double freedom1, double freedom2) noexcept {
  return quantile(
      p, [=](double x) { return beta_i(freedom1 / 2, freedom2 / 2, freedom1 * x / (freedom1 * x + freedom2)); });
}

}  // namespace stillpoint::control
