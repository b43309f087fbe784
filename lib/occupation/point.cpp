#include "occupation/point.hpp"

#include <algorithm>

#include "geodesy/frames.hpp"

namespace stillpoint::occupation {
namespace {

constexpr std::array<std::string_view, 4> kStatus{"none", "held", "accepted", "rejected"};
constexpr std::array<std::string_view, 10> kHold{
    "too-few-epochs", "too-short",       "unresolved",    "interrupted", "overlap-check-due",
    "check-failed",   "visits-disagree", "not-delivered", "drifting",    "geoid-contradicted"};

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

}  // namespace stillpoint::occupation
