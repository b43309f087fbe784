#include "gate/sources.hpp"

#include <algorithm>

namespace stillpoint::gate {
namespace {

bool takes_quality(const config::Match& match, Quality quality) noexcept {
  if (!may_have_source(quality)) return false;
  return match.quality.empty() || std::find(match.quality.begin(), match.quality.end(), quality) != match.quality.end();
}

}  // namespace

bool lists(const config::StationMatch& stations, std::optional<int> station) noexcept {
  if (!station) return stations.blank;
  return std::any_of(stations.ranges.begin(), stations.ranges.end(),
                     [id = *station](const auto& range) { return range.first <= id && id <= range.second; });
}

std::optional<int> Matcher::station_of(const epoch::Epoch& epoch) const noexcept {
  if (epoch.station || !kept_ || kept_->quality != epoch.quality || !epoch.stream_ms) return epoch.station;
  const double since_s = static_cast<double>(*epoch.stream_ms - kept_->printed_ms) / 1000.0;
  if (since_s < 0 || since_s > kept_->window_s) return std::nullopt;
  return kept_->station;
}

Match Matcher::match(const epoch::Epoch& epoch) noexcept {
  Match out;
  out.station = station_of(epoch);
  double widest_s = 0;
  for (std::size_t i = 0; i < sources_->size() && !out.source; ++i) {
    const config::Source& source = (*sources_)[i];
    if (!takes_quality(source.match, epoch.quality)) continue;
    out.quality_listed = true;
    widest_s = std::max(widest_s, source.gate.max_age_s);
    if (!source.match.station || lists(*source.match.station, out.station)) out.source = i;
  }
  // An unlisted station is kept as well; otherwise a blank one after it would match a source that lists "blank".
  if (epoch.station && epoch.stream_ms) {
    kept_ = Kept{*epoch.station, epoch.quality, *epoch.stream_ms,
                 out.source ? (*sources_)[*out.source].gate.max_age_s : widest_s};
  } else if (kept_ && kept_->quality != epoch.quality) {
    kept_.reset();
  }
  return out;
}

}  // namespace stillpoint::gate
