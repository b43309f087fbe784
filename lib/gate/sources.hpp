#pragma once
/// Finds the correction source an epoch belongs to: the first of the table that matches its quality and station.
///
/// A blank station keeps the last one printed while the quality class lasts and the coast window of its source is open.
///
/// Time:    epochs in the order received. Threads: one matcher, one thread. Errors: none.

#include <optional>
#include <vector>

#include "config/settings.hpp"
#include "epoch/epoch.hpp"

namespace stillpoint::gate {

struct Match {
  std::optional<std::size_t> source;  ///< index in the table
  std::optional<int> station;         ///< printed, or kept from before
  bool quality_listed = false;        ///< some source takes this quality: then it is the station that is unlisted
};

class Matcher {
 public:
  /// `sources` must outlive the matcher.
  explicit Matcher(const std::vector<config::Source>& sources) noexcept : sources_(&sources) {}
  Match match(const epoch::Epoch& epoch) noexcept;
  void cut() noexcept { kept_.reset(); }

 private:
  struct Kept {
    int station = 0;
    Quality quality = Quality::none;
    std::int64_t printed_ms = 0;
    double window_s = 0;
  };
  std::optional<int> station_of(const epoch::Epoch& epoch) const noexcept;
  const std::vector<config::Source>* sources_;
  std::optional<Kept> kept_;
};

/// Whether a station (empty: blank) is listed.
bool lists(const config::StationMatch& stations, std::optional<int> station) noexcept;

}  // namespace stillpoint::gate
