#include "occupation/point.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "geodesy/frames.hpp"
#include "occupation/sentences.hpp"

namespace stillpoint::occupation {
namespace {

constexpr std::array<std::string_view, 4> kStatus{"none", "held", "accepted", "rejected"};
constexpr std::array<std::string_view, 14> kHold{
    "too-few-epochs", "too-short",       "unresolved",    "interrupted",       "overlap-check-due",
    "check-failed",   "visits-disagree", "not-delivered", "drifting",          "geoid-contradicted",
    "pole-wrong",     "stay-held",       "base-changed",  "frame-contradicted"};

template <class Enum, std::size_t N>
std::optional<Enum> find(const std::array<std::string_view, N>& words, std::string_view word) {
  const auto at = std::find(words.begin(), words.end(), word);
  if (at == words.end()) return std::nullopt;
  return static_cast<Enum>(at - words.begin());
}

}  // namespace

std::string_view to_word(PointStatus status) noexcept {
  return kStatus[static_cast<std::size_t>(status)];
}
std::optional<PointStatus> point_status_from_word(std::string_view word) noexcept {
  return find<PointStatus>(kStatus, word);
}
std::string_view to_word(HoldReason reason) noexcept {
  return kHold[static_cast<std::size_t>(reason)];
}
std::optional<HoldReason> hold_reason_from_word(std::string_view word) noexcept {
  return find<HoldReason>(kHold, word);
}

void Coordinates::take(const geodesy::Delivered& delivered) {
  easting_m = delivered.easting_m;
  northing_m = delivered.northing_m;
  orthometric_height_m = delivered.orthometric_height_m;
  geoid = delivered.geoid;
}

bool is_by_hand(const Point& point) {
  const bool flagged = std::find(point.flags.begin(), point.flags.end(), kAcceptedByHand) != point.flags.end();
  return flagged && point.status == PointStatus::accepted;
}

bool has_other_antenna(const Point& point, double antenna_height_m, UtcTime since) {
  const bool counts = point.status == PointStatus::accepted || point.status == PointStatus::held;
  const bool then = point.finished_utc && *point.finished_utc >= since;
  return counts && then && point.measures.empty() &&
         std::abs(point.antenna_height_m - antenna_height_m) >= kSameAntennaM;
}

bool hold_for_antenna(Point& point, double antenna_height_m, UtcTime since) {
  if (!has_other_antenna(point, antenna_height_m, since)) return false;
  std::string text = kSay.pole_wrong(fixed(point.antenna_height_m, 3), fixed(antenna_height_m, 3));
  const auto at = std::find(point.reasons.begin(), point.reasons.end(), HoldReason::pole_wrong);
  if (at == point.reasons.end()) {
    point.reasons.push_back(HoldReason::pole_wrong);
    point.reason_texts.push_back(std::move(text));
  } else {
    std::string& before = point.reason_texts[static_cast<std::size_t>(at - point.reasons.begin())];
    if (point.status == PointStatus::held && before == text) return false;
    before = std::move(text);
  }
  point.status = PointStatus::held;
  std::erase(point.flags, kAcceptedByHand);
  return true;
}

}  // namespace stillpoint::occupation
