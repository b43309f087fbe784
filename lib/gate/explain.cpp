#include <algorithm>
#include <string>

#include "base/number.hpp"
#include "gate/consistency.hpp"
#include "gate/judge.hpp"

namespace stillpoint::gate {
namespace {

/// A number as short as it is exact enough for people: at most `decimals`, no trailing zeros.
std::string shown(double value, int decimals) {
  std::string text = fixed(value, decimals);
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string against(const std::string& what, const std::optional<double>& value, const std::optional<double>& limit,
                    const std::string& unit, int decimals) {
  const std::string bound = limit ? ", limit " + shown(*limit, decimals) + unit : std::string();
  if (!value) return what + " is not given" + bound;
  // Never let rounding print a refused value as equal to its limit.
  std::string text = shown(*value, decimals);
  for (int more = decimals + 1; limit && text == shown(*limit, decimals) && more <= 9; ++more)
    text = shown(*value, more);
  return what + " " + text + unit + bound;
}

std::string station_text(const std::optional<int>& station) {
  return station ? "station " + std::to_string(*station) : std::string("a blank station");
}

std::string list_of(const std::vector<Quality>& words) {
  std::string out;
  for (const Quality q : words) out += (out.empty() ? "" : " or ") + std::string(to_word(q));
  return out;
}

std::string quality_text(const Judged& j, const config::Source* source) {
  if (source != nullptr) {
    return "quality " + std::string(to_word(j.epoch.quality)) + ", source \"" + source->name + "\" wants " +
           list_of(source->gate.quality);
  }
  if (j.epoch.quality == Quality::none) return "the receiver has no position";
  return "quality " + std::string(to_word(j.epoch.quality)) + ": no corrections in use";
}

std::string frame_text(const Judged& j) {
  if (!j.frame_fault.empty()) return j.frame_fault;
  return "the receiver says (DTM) that it shifts its output to another datum than the source's frame";
}

std::string coarse_text(const Judged& j, const config::Gate& gate) {
  return "coordinates have " + std::to_string(j.epoch.position ? j.epoch.position->minute_decimals : 0) +
         " decimals of a minute, at least " + std::to_string(gate.min_minute_decimals.value_or(0)) + " wanted";
}

/// Reasons that need no source to be told.
std::string plain_text(Reason reason, const Judged& j) {
  switch (reason) {
    case Reason::unknown_source:
      return "no source takes quality " + std::string(to_word(j.epoch.quality));
    case Reason::unlisted_station:
      return station_text(j.match.station) + " is not in your configuration (station in [source] match)";
    case Reason::no_date:
      return "no date from the receiver yet (RMC or ZDA)";
    case Reason::no_position:
      return "no position in this epoch";
    case Reason::no_height:
      return "no height: altitude or geoid separation is missing";
    case Reason::conflict:
      return std::string(conflict_in(j.epoch));
    case Reason::time_repeated:
      return "the receiver printed this time twice";
    case Reason::jump:
      return "the position jumped while the pole stood still";
    case Reason::outlier:
      return "too far from the other seconds of this stay";
    case Reason::other_segment:
      return "belongs to a part of the stay that was not kept";
    case Reason::frozen:
      return "the receiver repeats itself: everything it says but its time stands still";
    case Reason::frame:
      return frame_text(j);
    default:
      return {};
  }
}

std::string limit_text(Reason reason, const Judged& j, const config::Source& source) {
  const config::Gate& g = source.gate;
  const auto radius = [&](bool vertical) -> std::optional<double> {
    if (!j.error) return std::nullopt;
    return vertical ? j.error->error95_vertical_m : j.error->error95_horizontal_m;
  };
  switch (reason) {
    case Reason::correction_age:
      return against("correction age", j.freshness.age_s, g.max_age_s, " s", 1);
    case Reason::corrections_stale:
      return against("no proof of corrections for", j.freshness.age_s, g.max_age_s, " s", 1);
    case Reason::correction_age_missing:
      return "the receiver gives no correction age, and the source wants one";
    case Reason::settling:
      return "settling: corrections are good again, counts in " + shown(j.freshness.settle_left_s, 1) + " s";
    case Reason::hdop:
      return against("HDOP", j.epoch.hdop, g.max_hdop, "", 2);
    case Reason::pdop:
      return against("PDOP", j.epoch.pdop, g.max_pdop, "", 2);
    case Reason::satellites: {
      const std::string least = ", at least " + std::to_string(g.min_satellites.value_or(0)) + " wanted";
      if (!j.epoch.satellites) return "the number of satellites is not given" + least;
      return std::to_string(*j.epoch.satellites) + " satellites" + least;
    }
    case Reason::horizontal_error:
      return against("horizontal error at 95 %", radius(false), g.max_error95_horizontal_m, " m", 3);
    case Reason::vertical_error:
      return against("vertical error at 95 %", radius(true), g.max_error95_vertical_m, " m", 3);
    case Reason::error_missing:
      return "the receiver gives no error of its own (GST) for this second";
    case Reason::moving:
      return against("moving: speed", j.speed_mps, g.max_speed_mps, " m/s", 2);
    case Reason::coarse_coordinates:
      return coarse_text(j, g);
    default:
      return plain_text(reason, j);
  }
}

}  // namespace

std::vector<ReasonText> explain(const Judged& judged, const std::vector<config::Source>& sources) {
  std::vector<ReasonText> out;
  const config::Source* source = judged.match.source ? &sources[*judged.match.source] : nullptr;
  for (std::size_t i = 0; i < kReasonCount; ++i) {
    if (!judged.reasons.test(i)) continue;
    const auto reason = static_cast<Reason>(i);
    std::string text = reason == Reason::quality ? quality_text(judged, source)
                       : source != nullptr       ? limit_text(reason, judged, *source)
                                                 : plain_text(reason, judged);
    out.push_back({reason, std::move(text)});
  }
  return out;
}

}  // namespace stillpoint::gate
