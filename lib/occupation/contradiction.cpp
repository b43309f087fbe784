#include "occupation/contradiction.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>

#include "base/number.hpp"
#include "geodesy/local.hpp"
#include "geodesy/usual_frames.hpp"
#include "occupation/place.hpp"
#include "occupation/sentences.hpp"

namespace stillpoint::occupation {
namespace {

constexpr double kPlanSquared = 11.829;  // chi-square of two axes that 3 sigma of one axis (99.73 %) belong to
constexpr double kHeightSigma = 3.0;
constexpr double kSameDate_years = 0.1;
constexpr std::size_t kMost = 16;  // visits looked at together, the newest

bool only_contradicted(const Point& point) {
  return point.status == PointStatus::held && point.reasons.size() == 1 &&
         point.reasons.front() == HoldReason::visits_disagree;
}

bool speaks(const Point& point) {
  return point.at && (point.status == PointStatus::accepted || only_contradicted(point));
}

bool comparable(const Point& a, const Point& b) {
  if (a.frame != b.frame) return false;
  const double years = std::abs(a.at->coordinate_epoch - b.at->coordinate_epoch);
  return !geodesy::is_global_frame(a.frame) || years <= kSameDate_years;
}

/// Empty: they agree, or cannot be compared.
std::optional<Contradicted> between(const Point& a, const Point& b) {
  if (!comparable(a, b)) return std::nullopt;
  const auto off = geodesy::LocalFrame(place_of(*a.at)).to_enu(place_of(*b.at));
  const auto& c = a.at->covariance_enu_m2;
  const auto& d = b.at->covariance_enu_m2;
  const double ee = c[0] + d[0], en = c[1] + d[1], nn = c[2] + d[2], uu = c[3] + d[3];
  const double det = ee * nn - en * en;
  if (!(det > 0) || !(uu > 0)) return std::nullopt;
  const double plan =
      (nn * off.east_m * off.east_m - 2 * en * off.east_m * off.north_m + ee * off.north_m * off.north_m) / det;
  if (plan <= kPlanSquared && std::abs(off.up_m) <= kHeightSigma * std::sqrt(uu)) return std::nullopt;
  return Contradicted{a.visit, b.visit, std::hypot(off.east_m, off.north_m), std::abs(off.up_m)};
}

using Group = std::uint32_t;  // a bit a visit

/// The largest group of visits that all agree with each other. Empty when no two agree, or when several groups are the
/// largest.
Group largest_agreeing(const std::vector<Group>& agrees) {
  const std::size_t count = agrees.size();
  Group best = 0;
  int size = 1;
  bool alone = true;
  for (Group group = 1; group < (Group{1} << count); ++group) {
    bool pairwise = true;
    int members = 0;
    for (std::size_t i = 0; i < count && pairwise; ++i) {
      if ((group >> i & 1U) == 0) continue;
      ++members;
      pairwise = (group & ~agrees[i]) == 0;
    }
    if (!pairwise || members < size) continue;
    alone = members > size;
    if (members > size) best = group;
    size = members;
  }
  return alone && size >= 2 ? best : 0;
}

}  // namespace

std::vector<Contradicted> contradicted_among(std::span<const Point* const> visits) {
  std::vector<const Point*> speaking;
  for (const Point* visit : visits) {
    if (speaks(*visit)) speaking.push_back(visit);
  }
  if (speaking.size() > kMost) speaking.erase(speaking.begin(), speaking.end() - kMost);
  std::vector<Group> agrees(speaking.size(), 0);
  std::vector<std::optional<Contradicted>> worst(speaking.size());
  for (std::size_t i = 0; i < speaking.size(); ++i) {
    for (std::size_t k = 0; k < speaking.size(); ++k) {
      const auto apart = i == k ? std::nullopt : between(*speaking[i], *speaking[k]);
      if (!apart) {
        agrees[i] |= Group{1} << k;
      } else if (!worst[i] || apart->apart_m > worst[i]->apart_m) {
        worst[i] = apart;
      }
    }
  }
  const Group stays = largest_agreeing(agrees);
  std::vector<Contradicted> out;
  for (std::size_t i = 0; i < speaking.size(); ++i) {
    if (worst[i] && (stays >> i & 1U) == 0) out.push_back(*worst[i]);
  }
  return out;
}

std::string sentence_of(const Contradicted& c) {
  return kSay.visits_disagree(std::to_string(c.by), fixed(c.apart_m, 2), fixed(c.apart_up_m, 2));
}

bool hold_contradicted(Point& point, const Contradicted* contradicted) {
  const auto at = std::find(point.reasons.begin(), point.reasons.end(), HoldReason::visits_disagree);
  if ((at != point.reasons.end()) == (contradicted != nullptr)) return false;
  if (contradicted != nullptr) {
    point.reasons.push_back(HoldReason::visits_disagree);
    point.reason_texts.push_back(sentence_of(*contradicted));
    if (point.status == PointStatus::accepted) point.status = PointStatus::held;
    return true;
  }
  const auto text = point.reason_texts.begin() + (at - point.reasons.begin());
  point.reason_texts.erase(text);
  point.reasons.erase(at);
  if (point.status == PointStatus::held && point.reasons.empty()) point.status = PointStatus::accepted;
  return true;
}

}  // namespace stillpoint::occupation
