#include <algorithm>
#include <cstdlib>
#include <string>

#include "base/number.hpp"
#include "gate/consistency.hpp"
#include "gate/judge.hpp"
#include "gate/limits.hpp"
#include "gate/sentences.hpp"

namespace stillpoint::gate {
namespace {

constexpr std::size_t kDateLength = 10;

/// A number as short as it is exact enough for people: at most `decimals`, no trailing zeros.
std::string shown(double value, int decimals) {
  std::string text = fixed(value, decimals);
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

/// A value, beside its limit if there is one.
std::string measured(const Wording& wording, const std::optional<double>& value, const std::optional<double>& limit,
                     std::string_view unit, const Sentence<2>& beside, std::string_view since = {}) {
  const std::string bound = limit ? shown(*limit, wording.decimals) : std::string();
  std::string told = kSay.not_given(wording.name);
  if (value) {
    std::string text = shown(*value, wording.decimals);
    // Never let rounding print a refused value as equal to its limit.
    for (int more = wording.decimals + 1; limit && text == bound && more <= 9; ++more) text = shown(*value, more);
    told = wording.phrase(text + std::string(unit));
    if (!since.empty()) told = kSay.unproven(told, since);
  }
  return limit ? beside(told, bound + std::string(unit)) : told;
}

std::string limit_text(const Limit& limit, const Judged& j, const config::Gate& gate) {
  return measured(limit.wording, limit.value(j), config::value_of(gate, *limit.setting), limit.setting->shown_unit,
                  limit.is_least() ? kSay.below : kSay.above);
}

/// With our own clock also since when it runs, for that may be no more than the start of the program.
std::string age_text(const Wording& wording, const Judged& j, double max_age_s) {
  return measured(wording, j.freshness.age_s, max_age_s, " s", kSay.above, since_text(j.freshness));
}

std::string station_text(const std::optional<int>& station) {
  return station ? kSay.printed_station(std::to_string(*station)) : kSay.blank_station();
}

std::string list_of(const std::vector<Quality>& words) {
  std::string out;
  for (const Quality q : words) out += (out.empty() ? "" : " or ") + std::string(to_word(q));
  return out;
}

std::string quality_text(const Judged& j, const config::Source* source) {
  const std::string_view quality = to_word(j.epoch.quality);
  if (source != nullptr) return kSay.quality_not_wanted(quality, source->name, list_of(source->gate.quality));
  return j.epoch.quality == Quality::none ? kSay.no_position_at_all() : kSay.no_corrections(quality);
}

std::string date_text(const epoch::Epoch& epoch) {
  const std::string date = epoch.utc ? to_text(*epoch.utc).substr(0, kDateLength) : std::string();
  const std::int32_t after = epoch.clock_days.value_or(0);
  if (after > 0) return kSay.date_after_clock(date, counted(static_cast<std::uint64_t>(after), "day"));
  const auto days = static_cast<std::uint64_t>(std::abs(epoch.jumped_days));
  return kSay.date_jumped(date, counted(days, "day"), epoch.jumped_days > 0 ? "after" : "before");
}

std::string frame_text(const Judged& j) {
  if (!j.frame_fault.empty()) return j.frame_fault;
  return kSay.datum_shifted();
}

/// Reasons that need no source to be told.
std::string plain_text(Reason reason, const Judged& j) {
  switch (reason) {
    case Reason::unknown_source:
      return kSay.no_source(to_word(j.epoch.quality));
    case Reason::unlisted_station:
      return kSay.unlisted_station(station_text(j.match.station));
    case Reason::no_date:
      return kSay.no_date();
    case Reason::no_position:
      return kSay.no_position();
    case Reason::no_height:
      return kSay.no_height();
    case Reason::conflict:
      return std::string(conflict_in(j.epoch));
    case Reason::time_repeated:
      return kSay.time_repeated();
    case Reason::late:
      return kSay.late(fixed(j.epoch.late_s, 1));
    case Reason::date_contradicted:
      return date_text(j.epoch);
    case Reason::jump:
      return kSay.jump();
    case Reason::outlier:
      return kSay.outlier();
    case Reason::other_segment:
      return kSay.other_segment();
    case Reason::frozen:
      return kSay.frozen();
    case Reason::frame:
      return frame_text(j);
    default:
      return {};
  }
}

/// Reasons that have to do with the source's gate.
std::string gate_text(Reason reason, const Judged& j, const config::Gate& gate) {
  switch (reason) {
    case Reason::correction_age:
      return age_text(kReceiversAge, j, gate.max_age_s);
    case Reason::corrections_stale:
      return age_text(kOwnAge, j, gate.max_age_s);
    case Reason::correction_age_missing:
      return kSay.correction_age_missing();
    case Reason::settling:
      return kSay.settling(shown(j.freshness.settle_left_s, 1));
    case Reason::error_missing:
      return kSay.error_missing();
    default:
      break;
  }
  const auto* limit =
      std::find_if(kLimits.begin(), kLimits.end(), [reason](const Limit& each) { return each.reason == reason; });
  return limit == kLimits.end() ? plain_text(reason, j) : limit_text(*limit, j, gate);
}

}  // namespace

std::string since_text(const corrections::Freshness& freshness) {
  if (freshness.from != corrections::AgeFrom::own_clock || !freshness.age_s) return {};
  const std::string clock = clock_text(UtcTime{freshness.proof_ms});
  switch (freshness.proof) {
    case corrections::Proof::class_gained:
      return kSay.since_class(clock);
    case corrections::Proof::fresh_age:
      return kSay.since_fresh(clock);
    case corrections::Proof::listening_began:
      break;
  }
  return kSay.since_listening(clock);
}

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
