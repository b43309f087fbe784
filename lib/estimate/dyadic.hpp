#pragma once
/// How uncertain the mean of a correlated series is, asked at every time scale at once.
///
/// A value goes into level 0; each pair of values of a level becomes one value (their mean) of the next. If the series
/// is correlated over k values, the levels above log2 k see nearly independent ones, and their scatter over their count
/// is the variance of the mean that was seen. The largest answer over the levels is used.
///
/// Units:   the caller's, relative to a nearby origin, or squares lose their digits.
/// Time:    values in order of time; no clock.
/// Threads: one object, one thread. Fixed size, O(1) amortised a value, no allocation.
/// Errors:  none.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>

namespace stillpoint::estimate {

template <std::size_t Dim>
class Dyadic {
 public:
  using Value = std::array<double, Dim>;
  static constexpr std::size_t kLevels = 36;   ///< 2^36 epochs at 20 Hz are a century
  static constexpr std::uint64_t kFewest = 4;  ///< values a level needs before its scatter says anything
  static constexpr std::size_t kPairs = Dim * (Dim + 1) / 2;

  static Value middle(const Value& a, const Value& b) noexcept {
    Value mean;
    for (std::size_t i = 0; i < Dim; ++i) mean[i] = 0.5 * (a[i] + b[i]);
    return mean;
  }

  struct Level {
    std::uint64_t count = 0;
    Value mean{};
    std::array<double, kPairs> comoment{};  ///< Σ (u−mean)(u−mean)ᵀ, lower triangle by rows
    Value waiting{};                        ///< valid while `count` is odd

    void add(const Value& value) noexcept {
      ++count;
      const double n = static_cast<double>(count);
      const double share = 1.0 / n;
      const double keep = (n - 1.0) * share;
      Value off;
      for (std::size_t i = 0; i < Dim; ++i) off[i] = value[i] - mean[i];
      for (std::size_t i = 0, at = 0; i < Dim; ++i)
        for (std::size_t j = 0; j <= i; ++j, ++at) comoment[at] += keep * off[i] * off[j];
      for (std::size_t i = 0; i < Dim; ++i) mean[i] += share * off[i];
    }

    /// Adds a value; true when it made a pair, whose mean it then holds, for the next level.
    bool take(Value& value) noexcept {
      add(value);
      if (count % 2 == 1) {
        waiting = value;
        return false;
      }
      value = middle(waiting, value);
      return true;
    }

    /// As if the other's values had been added here; which values wait is the caller's to settle.
    void merge(const Level& other) noexcept {
      if (other.count == 0) return;
      const double a = static_cast<double>(count), b = static_cast<double>(other.count);
      const double share = b / (a + b);
      Value off;
      for (std::size_t i = 0; i < Dim; ++i) off[i] = other.mean[i] - mean[i];
      for (std::size_t i = 0, at = 0; i < Dim; ++i)
        for (std::size_t j = 0; j <= i; ++j, ++at) comoment[at] += other.comoment[at] + a * share * off[i] * off[j];
      for (std::size_t i = 0; i < Dim; ++i) mean[i] += share * off[i];
      count += other.count;
    }

    /// directionᵀ · comoment · direction
    double along(const Value& direction) const noexcept {
      double sum = 0;
      for (std::size_t i = 0, at = 0; i < Dim; ++i) {
        for (std::size_t j = 0; j < i; ++j, ++at) sum += 2.0 * direction[i] * direction[j] * comoment[at];
        sum += direction[i] * direction[i] * comoment[at++];
      }
      return sum;
    }
  };

  void add(Value value) noexcept {
    for (Level& level : levels_)
      if (!level.take(value)) return;
  }

  /// A second run of values about the same origin: level by level, as numbers are added digit by digit.
  void merge(const Dyadic& other) noexcept {
    std::optional<Value> carry;
    for (std::size_t i = 0; i < kLevels; ++i) {
      Level& mine = levels_[i];
      const Level& theirs = other.levels_[i];
      const bool i_wait = mine.count % 2 == 1, they_wait = theirs.count % 2 == 1;
      std::optional<Value> next;
      mine.merge(theirs);
      if (i_wait && they_wait) next = middle(mine.waiting, theirs.waiting);
      if (!i_wait && they_wait) mine.waiting = theirs.waiting;
      if (carry && mine.take(*carry)) next = carry;  // never both: after a pair of waiting ones nothing waits here
      carry = next;
    }
  }

  /// The largest of `of(level) / (count (count − 1))` over the levels with enough values; 0 when there is none.
  template <class Of>
  double largest(const Of& of) const noexcept {
    double most = 0;
    for (const Level& level : levels_) {
      if (level.count < kFewest) break;  // counts halve from level to level
      const double n = static_cast<double>(level.count);
      const double seen = of(level) / (n * (n - 1.0));
      if (seen > most) most = seen;
    }
    return most;
  }

 private:
  std::array<Level, kLevels> levels_{};
};

}  // namespace stillpoint::estimate
