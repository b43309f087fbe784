#include "config/keys.hpp"

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <utility>
#include <vector>

#include "config/limits.hpp"
#include "config/sentences.hpp"

namespace stillpoint::config {
namespace {

using std::string_view;
template <std::size_t N>
using Keys = std::array<string_view, N>;

constexpr Keys<11> kTop{"project",     "feed",   "antenna", "source",  "occupation", "relay",
                        "corrections", "alerts", "page",    "control", "checks"};
constexpr Keys<16> kProject{"name",
                            "crew",
                            "frame",
                            "coordinate_epoch",
                            "site_velocity_mm_per_year",
                            "height",
                            "geoid",
                            "pointbook",
                            "record",
                            "wanted_error95_m",
                            "archive_dates",
                            "area_looked_at",
                            "local_time",
                            "units",
                            "plan",
                            "contact"};
constexpr Keys<3> kContact{"name", "organisation", "email"};
constexpr Keys<3> kVelocity{"east", "north", "up"};
constexpr Keys<5> kGeoid{"grid", "name", "frame", "sha256", "error_m"};
constexpr Keys<10> kFeed{"kind", "file", "pace", "device", "baud", "host", "address", "port", "from", "silence_s"};
constexpr Keys<5> kAntenna{"vertical_parts_m", "vertical_parts_ft", "slant_m", "also_measured_ft",
                           "already_reduced_by_receiver"};
constexpr Keys<3> kSlant{"length", "radius", "plane_to_phase_centre"};
constexpr Keys<12> kSource{"name",
                           "match",
                           "frame",
                           "coordinate_epoch",
                           "evidence",
                           "error_scale",
                           "error_floor_m",
                           "assumed_sigma_m",
                           "check_limit_m",
                           "unproven_margin",
                           "error_scale_evidence",
                           "gate"};
constexpr Keys<2> kScaleEvidence{"visits", "until"};
constexpr Keys<2> kMatch{"quality", "station"};
constexpr Keys<2> kPerAxis{"horizontal", "vertical"};
/// The keys that are no limits, then every limit.
constexpr auto kGate = [] {
  constexpr Keys<5> kBefore{"quality", "fresh_age_s", "max_age_s", "coast_growth_m_per_min", "age_missing"};
  Keys<kBefore.size() + kLimits.size()> keys;
  auto next = std::copy(kBefore.begin(), kBefore.end(), keys.begin());
  for (const Limit& limit : kLimits) *next++ = limit.key;
  return keys;
}();
constexpr Keys<4> kOccupation{"min_epochs", "min_duration_s", "max_duration_s", "finish_at_error95_m"};
constexpr Keys<6> kRelay{"listen", "terminal", "writers", "token", "silence_s", "beyond_this_machine"};
constexpr Keys<7> kCorrections{"caster", "mount", "version", "tls", "authority", "credentials", "send_position"};
constexpr Keys<2> kPage{"listen", "beyond_this_machine"};
constexpr Keys<3> kAlerts{"run", "check_due_min", "disk_free_mib"};
constexpr Keys<1> kControl{"socket"};
constexpr Keys<1> kChecks{"marks"};

// In the order of TableId.
constexpr std::array<KeyTable, 24> kTables{{{"", kTop},
                                            {"project", kProject},
                                            {"project.site_velocity_mm_per_year", kVelocity},
                                            {"project.geoid", kGeoid},
                                            {"feed", kFeed},
                                            {"antenna", kAntenna},
                                            {"antenna.slant_m", kSlant},
                                            {"source", kSource},
                                            {"source.match", kMatch},
                                            {"source.error_floor_m", kPerAxis},
                                            {"source.assumed_sigma_m", kPerAxis},
                                            {"source.gate", kGate},
                                            {"occupation", kOccupation},
                                            {"occupation.finish_at_error95_m", kPerAxis},
                                            {"relay", kRelay},
                                            {"alerts", kAlerts},
                                            {"page", kPage},
                                            {"control", kControl},
                                            {"checks", kChecks},
                                            {"source.check_limit_m", kPerAxis},
                                            {"source.error_scale_evidence", kScaleEvidence},
                                            {"project.wanted_error95_m", kPerAxis},
                                            {"corrections", kCorrections},
                                            {"project.contact", kContact}}};

/// Single-character edits, a swap of neighbours counted as one, that turn one word into the other.
std::size_t edit_distance(string_view a, string_view b) {
  std::vector<std::size_t> before, above(b.size() + 1), row(b.size() + 1);
  std::iota(above.begin(), above.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = above[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      row[j] = std::min({above[j] + 1, row[j - 1] + 1, change});
      const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
      if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
    }
    before = std::exchange(above, row);
  }
  return above[b.size()];
}

string_view nearest(string_view key, const KeyTable& table) {
  constexpr std::size_t kLongestGuess = 64;
  if (key.empty() || key.size() > kLongestGuess) return {};
  string_view best;
  std::size_t best_distance = std::max<std::size_t>(2, key.size() / 3) + 1;
  for (const string_view candidate : table.keys) {
    const std::size_t distance = edit_distance(key, candidate);
    if (distance < best_distance && distance < candidate.size()) {
      best = candidate;
      best_distance = distance;
    }
  }
  return best;
}

string_view home_of(string_view key) {
  for (const KeyTable& table : kTables) {
    const bool has = std::find(table.keys.begin(), table.keys.end(), key) != table.keys.end();
    if (has && !table.name.empty()) return table.name;
  }
  return {};
}

}  // namespace

const KeyTable& key_table(TableId id) noexcept {
  return kTables[static_cast<std::size_t>(id)];
}
std::span<const KeyTable> key_tables() noexcept {
  return kTables;
}

std::string advice_for_unknown(string_view key, const KeyTable& table) {
  const bool ours = &table >= kTables.data() && &table < kTables.data() + kTables.size();
  if (const string_view home = ours ? home_of(key) : string_view{}; !home.empty()) return kSay.belongs_in(home);
  if (const string_view guess = nearest(key, table); !guess.empty()) {
    return kSay.did_you_mean(guess);
  }
  std::string list;
  for (std::size_t i = 0; i < table.keys.size(); ++i) {
    if (i > 0) list += i + 1 == table.keys.size() ? " and " : ", ";
    list += table.keys[i];
  }
  return kSay.keys_here(list);
}

}  // namespace stillpoint::config
