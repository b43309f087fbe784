#include "base/quality.hpp"

namespace stillpoint {
namespace {
constexpr std::array<std::string_view, kQualityCount> kWords{
    "none", "autonomous", "differential", "pps", "rtk-fixed", "rtk-float", "estimated", "manual", "simulated", "sbas"};
// none, autonomous, differential, pps, fixed, float, estimated, manual, simulated, sbas
constexpr std::array<int, kQualityCount> kRanks{0, 1, 3, 2, 5, 4, 0, 0, 0, 3};
}  // namespace

std::string_view to_word(Quality quality) noexcept {
  return kWords[static_cast<std::size_t>(quality)];
}

std::optional<Quality> quality_from_word(std::string_view word) noexcept {
  for (std::size_t i = 0; i < kWords.size(); ++i) {
    if (kWords[i] == word) return static_cast<Quality>(i);
  }
  return std::nullopt;
}

int rank_of(Quality quality) noexcept {
  return kRanks[static_cast<std::size_t>(quality)];
}

}  // namespace stillpoint
