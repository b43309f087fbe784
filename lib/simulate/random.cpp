#include "simulate/random.hpp"

#include <bit>
#include <cmath>

namespace stillpoint::simulate {
namespace {

std::uint64_t split(std::uint64_t& state) noexcept {
  std::uint64_t z = (state += 0x9E3779B97F4A7C15ULL);
  z = (z ^ (z >> 30U)) * 0xBF58476D1CE4E5B9ULL;
  z = (z ^ (z >> 27U)) * 0x94D049BB133111EBULL;
  return z ^ (z >> 31U);
}

}  // namespace

double own_log(double x) noexcept {
  const auto bits = std::bit_cast<std::uint64_t>(x);
  int exponent = static_cast<int>(bits >> 52U) - 1023;
  double m = std::bit_cast<double>((bits & 0x000FFFFFFFFFFFFFULL) | 0x3FF0000000000000ULL);
  if (m > 1.4142135623730951) {
    m *= 0.5;
    ++exponent;
  }
  // ln m = 2 artanh((m-1)/(m+1)); the argument is at most 0.172, so eleven odd powers are enough.
  const double s = (m - 1.0) / (m + 1.0);
  const double s2 = s * s;
  double sum = 0;
  for (int k = 21; k >= 1; k -= 2) sum = sum * s2 + 1.0 / k;
  return 2.0 * s * sum + exponent * 0.6931471805599453;
}

Random::Random(std::uint64_t seed, std::string_view purpose) noexcept {
  std::uint64_t mixed = seed;
  for (const char c : purpose) mixed = (mixed ^ static_cast<unsigned char>(c)) * 0x100000001B3ULL;
  for (auto& word : state_) word = split(mixed);
}

std::uint64_t Random::next() noexcept {
  auto& s = state_;
  const std::uint64_t out = std::rotl(s[0] + s[3], 23) + s[0];
  const std::uint64_t t = s[1] << 17U;
  s[2] ^= s[0];
  s[3] ^= s[1];
  s[1] ^= s[2];
  s[0] ^= s[3];
  s[2] ^= t;
  s[3] = std::rotl(s[3], 45);
  return out;
}

double Random::uniform() noexcept {
  return (static_cast<double>(next() >> 12U) + 0.5) * 0x1.0p-52;
}

// Marsaglia's polar method.
double Random::normal() noexcept {
  if (has_spare_) {
    has_spare_ = false;
    return spare_;
  }
  for (;;) {
    const double a = 2.0 * uniform() - 1.0, b = 2.0 * uniform() - 1.0;
    const double r = a * a + b * b;
    if (r >= 1.0 || r == 0.0) continue;
    const double scale = std::sqrt(-2.0 * own_log(r) / r);
    spare_ = b * scale;
    has_spare_ = true;
    return a * scale;
  }
}

double Random::tailed(int freedom) noexcept {
  double chi_square = 0;
  for (int i = 0; i < freedom; ++i) {
    const double z = normal();
    chi_square += z * z;
  }
  return normal() * std::sqrt((freedom - 2) / chi_square);
}

std::uint64_t Random::below(std::uint64_t below) noexcept {
  return below == 0 ? 0 : next() % below;
}

}  // namespace stillpoint::simulate
