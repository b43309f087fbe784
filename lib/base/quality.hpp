#pragma once
/// The fix quality of a position report, 0 to 9, and its words. The numbers are those of GGA field 6.

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

namespace stillpoint {

enum class Quality : std::uint8_t {
  none = 0,
  autonomous = 1,
  differential = 2,
  pps = 3,
  rtk_fixed = 4,
  rtk_float = 5,
  estimated = 6,
  manual = 7,
  simulated = 8,
  sbas = 9,
};
inline constexpr int kQualityCount = 10;

/// `none` `autonomous` `differential` `pps` `rtk-fixed` `rtk-float` `estimated` `manual` `simulated` `sbas`
std::string_view to_word(Quality quality) noexcept;
std::optional<Quality> quality_from_word(std::string_view word) noexcept;

/// True for the qualities that rest on corrections and may therefore belong to a correction source.
constexpr bool may_have_source(Quality q) noexcept {
  return q == Quality::differential || q == Quality::pps || q == Quality::rtk_fixed || q == Quality::rtk_float ||
         q == Quality::sbas;
}

/// Higher is better: the order in which segments of one occupation are preferred.
int rank_of(Quality quality) noexcept;

}  // namespace stillpoint
