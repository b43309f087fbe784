#include "gate/consistency.hpp"

#include <algorithm>
#include <cmath>

#include "gate/sentences.hpp"

namespace stillpoint::gate {
namespace {

// DOPs are printed to a tenth at worst: each square may be off by this share of the DOP.
constexpr double kDopRounding = 0.1;
// Receivers print 99.9 or 99.99 for "larger than we can print".
constexpr double kLargestPrinted = 99.9;

/// What a mode letter claims: 0 nothing, 1 a position, 2 code corrections, 3 float, 4 fixed; -1: not a letter we know.
int claim_of(char mode) noexcept {
  switch (mode) {
    case 'N':
    case 'E':
    case 'M':
    case 'S':
      return 0;
    case 'A':
      return 1;
    case 'D':
    case 'P':
      return 2;
    case 'F':
      return 3;
    case 'R':
      return 4;
    default:
      return -1;
  }
}

/// True when a mode claims less than a healthy receiver would beside this quality.
bool claims_less(int claim, Quality quality) noexcept {
  if (claim < 0) return false;
  if (claim == 0) return true;
  if (quality == Quality::rtk_fixed) return claim == 1 || claim == 3;
  return quality == Quality::rtk_float && claim == 1;
}

int best_claim(const std::array<char, 8>& modes) noexcept {
  int best = -1;
  for (const char mode : modes) {
    if (mode == '\0') break;
    best = std::max(best, claim_of(mode));
  }
  return best;
}

bool dops_contradict(const epoch::Epoch& epoch) noexcept {
  if (!epoch.pdop || !epoch.vdop || !epoch.gsa_hdop) return false;
  const double p = *epoch.pdop, h = *epoch.gsa_hdop, v = *epoch.vdop;
  if (std::max({p, h, v}) >= kLargestPrinted) return false;
  return h * h + v * v - p * p > kDopRounding * (p + h + v);
}

}  // namespace

std::string_view conflict_in(const epoch::Epoch& epoch) noexcept {
  if (epoch.conflicting) return kSay.two_positions.words();
  if (!may_have_source(epoch.quality)) return {};
  if (epoch.rmc_valid && !*epoch.rmc_valid) return kSay.void_position.words();
  if (claims_less(claim_of(epoch.rmc_mode), epoch.quality)) {
    return kSay.rmc_claims_less.words();
  }
  if (claims_less(best_claim(epoch.gns_modes), epoch.quality)) {
    return kSay.gns_claims_less.words();
  }
  if (dops_contradict(epoch)) return kSay.pdop_below_parts.words();
  return {};
}

}  // namespace stillpoint::gate
