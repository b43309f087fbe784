#include "redo_stays.hpp"

#include <algorithm>

#include "report/system_zone.hpp"
#include "sentences.hpp"

namespace stillpoint::office {
namespace {

/// The moment at which clocks of the zone show a time.
Result<std::optional<UtcTime>> moment_of(const std::optional<UtcTime>& local, const report::DayClock& clock,
                                         const std::string& where) {
  if (!local) return std::nullopt;
  const auto moments = clock.moments(*local);
  if (moments.size() == 1) return moments.front();
  const std::string text = to_text(*local).substr(0, 19);
  return fail(moments.empty() ? kSay.no_such_local_time(where, clock.zone(), text)
                              : kSay.local_time_twice(where, text, clock.zone(), to_text(moments.front()),
                                                      to_text(moments.back())));
}

/// The stay in the record of the point that is or was called so.
std::optional<StayName> stay_of(const StayName& called, const std::vector<pointbook::Versions>& points) {
  for (const pointbook::Versions& point : points) {
    for (const occupation::StoredPoint* stored : point) {
      if (StayName{stored->point.name, stored->point.visit} == called)
        return StayName{point.front()->point.name, point.front()->point.visit};
    }
  }
  return std::nullopt;
}

}  // namespace

bool has_local_times(const config::Redo& redo) {
  return std::any_of(redo.antennas.begin(), redo.antennas.end(),
                     [](const auto& given) { return given.from_local || given.until_local; });
}

Result<void> resolve_times(config::Redo& redo, const std::string& zone) {
  if (!has_local_times(redo)) return {};
  const auto clock = zone.empty() ? std::nullopt : report::clock_of_zone(zone);
  for (config::AntennaCorrection& given : redo.antennas) {
    if (!given.from_local && !given.until_local) continue;
    const std::string where = kSay.at_line(redo.path, std::to_string(given.line));
    if (!clock) return fail(zone.empty() ? kSay.no_zone(where) : kSay.unknown_zone(where, zone));
    auto from = moment_of(given.from_local, *clock, where);
    if (!from) return tl::unexpected(from.error());
    auto until = moment_of(given.until_local, *clock, where);
    if (!until) return tl::unexpected(until.error());
    given.from = *from, given.until = *until;
    if (given.from && given.until && *given.until <= *given.from) return fail(kSay.local_not_after(where));
  }
  return {};
}

Result<void> resolve_names(config::Redo& redo, const std::vector<pointbook::Versions>& points) {
  for (config::AntennaCorrection& given : redo.antennas) {
    for (auto& called : given.points) {
      const auto stay = stay_of(called, points);
      if (!stay)
        return fail(kSay.no_such_point(kSay.at_line(redo.path, std::to_string(given.line)), called.first,
                                       std::to_string(called.second)));
      called = *stay;
    }
  }
  return {};
}

}  // namespace stillpoint::office
