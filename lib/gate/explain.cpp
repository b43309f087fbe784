#include <algorithm>
#include <string>

#include "base/number.hpp"
#include "gate/consistency.hpp"
#include "gate/judge.hpp"
#include "gate/limits.hpp"

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

/// A value beside its limit. `bound` is the limit as it is told, behind its comma.
std::string measured(const Wording& wording, const std::optional<double>& value, const std::optional<double>& limit,
                     std::string_view unit, const std::string& bound) {
  if (!value) return std::string(wording.name) + " is not given" + bound;
  // Never let rounding print a refused value as equal to its limit.
  std::string text = shown(*value, wording.decimals);
  for (int more = wording.decimals + 1; limit && text == shown(*limit, wording.decimals) && more <= 9; ++more)
    text = shown(*value, more);
  std::string out(wording.phrase);
  return out.replace(out.find('#'), 1, text + std::string(unit)) + bound;
}

std::string limit_text(const Limit& limit, const Judged& j, const config::Gate& gate) {
  const std::string_view unit = limit.setting->shown_unit;
  const auto bound = config::value_of(gate, *limit.setting);
  std::string told;
  if (bound) told = shown(*bound, limit.wording.decimals) + std::string(unit);
  if (bound) told = limit.is_least() ? ", at least " + told + " wanted" : ", limit " + told;
  return measured(limit.wording, limit.value(j), bound, unit, told);
}

std::string age_text(const Wording& wording, const Judged& j, double max_age_s) {
  return measured(wording, j.freshness.age_s, max_age_s, " s", ", limit " + shown(max_age_s, wording.decimals) + " s");
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

constexpr Wording kReceiversAge{"correction age", "correction age #", 1};
constexpr Wording kOwnAge{"no proof of corrections for", "no proof of corrections for #", 1};

/// Reasons that have to do with the source's gate.
std::string gate_text(Reason reason, const Judged& j, const config::Gate& gate) {
  switch (reason) {
    case Reason::correction_age:
      return age_text(kReceiversAge, j, gate.max_age_s);
    case Reason::corrections_stale:
      return age_text(kOwnAge, j, gate.max_age_s);
    case Reason::correction_age_missing:
      return "the receiver gives no correction age, and the source wants one";
    case Reason::settling:
      return "settling: corrections are good again, counts in " + shown(j.freshness.settle_left_s, 1) + " s";
    case Reason::error_missing:
      return "the receiver gives no error of its own (GST) for this second";
    default:
      break;
  }
  const auto* limit =
      std::find_if(kLimits.begin(), kLimits.end(), [reason](const Limit& each) { return each.reason == reason; });
  return limit == kLimits.end() ? plain_text(reason, j) : limit_text(*limit, j, gate);
}

}  // namespace

std::vector<ReasonText> explain(const Judged& judged, const std::vector<config::Source>& sources) {
  std::vector<ReasonText> out;
  const config::Source* source = judged.match.source ? &sources[*judged.match.source] : nullptr;
  for (std::size_t i = 0; i < kReasonCount; ++i) {
    if (!judged.reasons.test(i)) continue;
    const auto reason = static_cast<Reason>(i);
    std::string text = reason == Reason::quality ? quality_text(judged, source)
                       : source != nullptr       ? gate_text(reason, judged, source->gate)
                                                 : plain_text(reason, judged);
    out.push_back({reason, std::move(text)});
  }
  return out;
}

}  // namespace stillpoint::gate
