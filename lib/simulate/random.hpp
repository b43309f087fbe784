#pragma once
/// Random numbers that are the same for a seed with every compiler and on every processor.
///
/// Integers come from xoshiro256++ (Blackman and Vigna, public domain), seeded by splitmix64. Normals need a logarithm
/// and a root: the root is exact by IEEE 754, the logarithm is computed here, not by the C library.
///
/// Threads: one generator, one thread. Errors: none.

#include <array>
#include <cstdint>
#include <string_view>

namespace stillpoint::simulate {

class Random {
 public:
  /// Streams of one seed with different `purpose` are independent of each other: what one part of a scenario draws
  /// does not move what another part gets.
  Random(std::uint64_t seed, std::string_view purpose) noexcept;

  std::uint64_t next() noexcept;
  double uniform() noexcept;  ///< above 0, below 1
  double normal() noexcept;   ///< mean 0, variance 1
  /// Student's t with `freedom` degrees, at least 3, scaled to variance 1.
  double tailed(int freedom) noexcept;
  /// 0 to `below` - 1
  std::uint64_t below(std::uint64_t below) noexcept;

 private:
  std::array<std::uint64_t, 4> state_{};
  double spare_ = 0;
  bool has_spare_ = false;
};

/// Natural logarithm of a positive normal number, within 4e-16 relative or absolute, by additions and multiplications
/// only.
double own_log(double x) noexcept;

}  // namespace stillpoint::simulate
