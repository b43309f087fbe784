#include "wire/situation.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "base/number.hpp"
#include "gate/verdict.hpp"
#include "wire/decimals.hpp"
#include "wire/sentences.hpp"
#include "wire/words.hpp"

namespace stillpoint::wire {
namespace {

int turn_of(const std::string& code) {
  const auto reason = gate::reason_from_word(code);
  return reason ? gate::words_of(*reason).turn : std::numeric_limits<int>::max();
}

std::string act_for(const std::string& code, bool open_stay) {
  const auto reason = gate::reason_from_word(code);
  const bool corrections = code == "correction-age" || code == "corrections-stale";
  if (corrections && open_stay) return kSay.wait_here();
  if (code == "moving" && !open_stay) return kSay.walk_on();
  return reason ? std::string(gate::words_of(*reason).advice) : kSay.wait();
}

Situation no(std::string what, std::string act) {
  return {Tone::refused, std::move(what), std::move(act), {}};
}

/// States of the feed in which no second can count, whatever was last heard.
std::optional<Situation> feed_situation(const StatusFacts& status, bool open_stay) {
  const std::string& state = status.feed_state;
  const std::string name = ascii(status.feed_what);
  const std::string kept = open_stay ? kSay.kept() : std::string();
  if (const std::string why = ascii(status.standstill); !why.empty()) {
    return no(kSay.standstill(why), kSay.standstill_act(kept));
  }
  if (state == "waiting") {
    return no(name.empty() ? kSay.waiting() : kSay.waiting_for(name), kSay.waiting_act(kept));
  }
  if (state == "silent") return no(kSay.silent(), kSay.silent_act(kept));
  if (state == "ended")
    return no(name.empty() ? kSay.ended() : kSay.ended_at(name), open_stay ? kSay.ended_act_open() : kSay.ended_act());
  return std::nullopt;
}

Situation refused(const StatusFacts& status, bool open_stay) {
  std::vector<StatusFacts::Reason> reasons = status.reasons;
  std::stable_sort(reasons.begin(), reasons.end(),
                   [](const auto& a, const auto& b) { return turn_of(a.code) < turn_of(b.code); });
  if (reasons.empty()) return no(kSay.nothing_heard(), kSay.nothing_heard_act());
  const auto words = [](const auto& reason) {
    return sentence(reason.text.empty() ? refusal_words(reason.code) : reason.text);
  };
  Situation out = no(words(reasons.front()), act_for(reasons.front().code, open_stay));
  for (std::size_t i = 1; i < reasons.size(); ++i) out.also.push_back(words(reasons[i]));
  return out;
}

/// What a stay is kept as.
std::string kept_as(const StatusFacts& status) {
  return status.stay && status.stay->check ? "check" : "point";
}

/// True when the point would be held for a reason that a longer stay cannot mend.
bool is_spoilt(const StayFacts& stay) {
  static constexpr std::array<std::string_view, 7> kSpoilt{
      "unresolved",         "interrupted",        "drifting",    "visits-disagree",
      "geoid-contradicted", "frame-contradicted", "base-changed"};
  return std::any_of(stay.keep_why.begin(), stay.keep_why.end(), [](const std::string& code) {
    return std::find(kSpoilt.begin(), kSpoilt.end(), code) != kSpoilt.end();
  });
}

/// The first sentence on why the point would be held.
std::string first_hold(const StayFacts& stay) {
  return stay.keep_texts.empty() ? std::string() : ascii(stay.keep_texts.front());
}

/// The second counts, and yet the point will be held whatever comes: no longer stay changes that.
Situation spoilt(const StayFacts& stay, bool coasts, bool keys) {
  Situation out;
  out.tone = coasts ? Tone::coasting : Tone::counts;
  out.what = stay.apart_m ? kSay.two_places(fixed(*stay.apart_m, 2)) : kSay.will_be_held(first_hold(stay));
  out.act = keys ? kSay.spoilt_act_keys() : kSay.spoilt_act();
  return out;
}

/// True when enough was collected and the point is held for a reason outside the stay.
bool is_held_beside(const StayFacts& stay) {
  return stay.enough && stay.keep_gives == "held";
}

Situation coasting(const StatusFacts& status, bool open_stay, bool enough) {
  Situation out;
  out.tone = Tone::coasting;
  const auto& left_s = status.coast_left_s;
  // Rounded down: the screen must not promise a second that is not there.
  const std::string left =
      left_s ? std::to_string(static_cast<long long>(std::clamp(*left_s, 0.0, 1e9))) + " s" : "a while";
  const bool by_our_clock = status.correction_from == "own-clock";
  out.what = (by_our_clock ? kSay.unproven : kSay.coasting)(left);
  out.act = kSay.coasting_act();
  if (open_stay) out.act = kSay.coasting_act_open();
  if (enough) out.act = kSay.coasting_act_enough(kept_as(status));
  return out;
}

Situation fresh(const StatusFacts& status, bool open_stay, bool enough, bool above_wanted, bool keys) {
  const std::string kept = kept_as(status);
  const bool unknown = status.correction_state == "unknown";
  Situation out;
  out.tone = Tone::counts;
  if (above_wanted) {
    out.what = kSay.above_wanted();
    out.act = keys ? kSay.above_wanted_act_keys(kept) : kSay.above_wanted_act();
  } else if (enough) {
    out.what = unknown ? kSay.enough_unknown() : kSay.enough();
    out.act = keys ? kSay.enough_act_keys(kept) : kSay.enough_act(kept);
  } else if (open_stay) {
    out.what = unknown ? kSay.averaging_unknown() : kSay.averaging();
    out.act = kSay.averaging_act();
  } else {
    out.what = unknown ? kSay.ready_unknown() : kSay.ready();
    out.act = keys ? kSay.ready_act_keys() : kSay.ready_act();
  }
  return out;
}

/// The variance shrinks in step with the number of seconds, so the squared ratio of the errors is the share of the
/// seconds already there.
double error_part(const std::optional<double>& is_m, const std::optional<double>& wanted_m) {
  if (!wanted_m) return 1;
  if (!is_m || !(*is_m > 0)) return 0;
  return std::min(1.0, (*wanted_m / *is_m) * (*wanted_m / *is_m));
}

}  // namespace

int percent_done(const StayFacts& stay) {
  double part = std::min(error_part(stay.error95_horizontal_m, stay.wanted_error95_horizontal_m),
                         error_part(stay.error95_vertical_m, stay.wanted_error95_vertical_m));
  if (is_spoilt(stay)) part = std::min(part, 0.99);
  if (stay.enough) return part < 1 ? std::clamp(static_cast<int>(part * 100), 0, 99) : 100;
  const double needed_epochs = stay.needed_epochs.value_or(0);
  if (needed_epochs > 0) part = std::min(part, stay.accepted.value_or(0) / needed_epochs);
  const double needed_s = stay.needed_s.value_or(0);
  if (needed_s > 0) part = std::min(part, stay.counted_s.value_or(needed_s) / needed_s);
  if (!std::isfinite(part)) return 0;
  return std::clamp(static_cast<int>(part * 100), 0, 99);
}

namespace {

/// Of a receiver that is heard.
Situation heard_situation(const StatusFacts& status, const StayFacts& stay, bool keys) {
  const bool open_stay = status.stay.has_value();
  const bool frozen = status.feed_state == "frozen";
  if (frozen && status.accepted) return no(kSay.frozen(), act_for("frozen", open_stay));
  if (!status.accepted) return refused(status, open_stay);
  const bool above_wanted = stay.enough && percent_done(stay) < 100;
  const bool enough = stay.enough && !above_wanted;
  const bool coasts = status.correction_state == "coasting";
  if (open_stay && is_spoilt(stay)) return spoilt(stay, coasts, keys);
  Situation out = coasts ? coasting(status, open_stay, enough) : fresh(status, open_stay, enough, above_wanted, keys);
  if (is_held_beside(stay) && !above_wanted) out.what = kSay.enough_but_held(first_hold(stay));
  return out;
}

/// Why averaging gains nothing yet, in one line.
std::string unproven_text(const StayFacts& stay) {
  std::string out;
  for (const std::string& text : stay.unproven) out += (out.empty() ? "" : " ") + ascii(text);
  return out;
}

/// The number that whoever reads the JSON gets.
std::optional<double> as_told(const std::optional<double>& value, int decimals) {
  if (!value || !std::isfinite(*value)) return std::nullopt;
  return parse_decimal(fixed(*value, decimals));
}

std::vector<std::string> texts_of(const Json& object, std::string_view key) {
  std::vector<std::string> out;
  for (const Json& each : list_of(object, key)) {
    if (each.is_string()) out.push_back(each.get<std::string>());
  }
  return out;
}

StayFacts facts_of_stay(const session::OccupationStatus& stay) {
  StayFacts out{stay.check, stay.enough, std::string(to_word(stay.keep_gives))};
  for (const occupation::HoldReason reason : stay.keep_why) out.keep_why.emplace_back(to_word(reason));
  out.keep_texts = stay.keep_texts;
  out.unproven = stay.unproven;
  out.recounted = stay.recounted;
  out.apart_m = as_told(stay.apart_m, kMetreDecimals);
  out.error95_horizontal_m = as_told(stay.error95_horizontal_m, kMetreDecimals);
  out.error95_vertical_m = as_told(stay.error95_vertical_m, kMetreDecimals);
  out.wanted_error95_horizontal_m = as_told(stay.wanted_error95_horizontal_m, kMetreDecimals);
  out.wanted_error95_vertical_m = as_told(stay.wanted_error95_vertical_m, kMetreDecimals);
  out.needed_epochs = stay.needed_epochs;
  out.accepted = static_cast<double>(stay.accepted);
  out.needed_s = as_told(stay.needed_s, kAgeDecimals);
  out.counted_s = as_told(stay.counted_s, kAgeDecimals);
  return out;
}

StayFacts facts_of_stay(const Json& stay) {
  StayFacts out{flag_of(stay, "check"), flag_of(stay, "enough"), text_of(stay, "keep_gives")};
  out.keep_why = texts_of(stay, "keep_why");
  out.keep_texts = texts_of(stay, "keep_texts");
  out.unproven = texts_of(stay, "unproven");
  out.recounted = text_of(stay, "recounted");
  out.apart_m = number_of(stay, "apart_m");
  out.error95_horizontal_m = number_of(stay, "error95_horizontal_m");
  out.error95_vertical_m = number_of(stay, "error95_vertical_m");
  out.wanted_error95_horizontal_m = number_of(stay, "wanted_error95_horizontal_m");
  out.wanted_error95_vertical_m = number_of(stay, "wanted_error95_vertical_m");
  out.needed_epochs = number_of(stay, "needed_epochs");
  out.accepted = number_of(stay, "accepted");
  out.needed_s = number_of(stay, "needed_s");
  out.counted_s = number_of(stay, "counted_s");
  return out;
}

}  // namespace

StatusFacts facts_of(const session::Status& status) {
  const auto& correction = status.correction;
  StatusFacts out;
  out.feed_state = to_word(status.feed);
  out.feed_what = status.feed_what;
  out.standstill = status.standstill;
  out.accepted = status.accepted;
  for (const auto& each : status.reasons) out.reasons.push_back({std::string(gate::to_word(each.reason)), each.text});
  out.correction_state = to_word(correction.state);
  if (is_told_from(correction)) out.correction_from = to_word(correction.from);
  out.coast_left_s = as_told(correction.coast_left_s, kAgeDecimals);
  if (status.occupation) out.stay = facts_of_stay(*status.occupation);
  return out;
}

StatusFacts facts_of(const Json& status) {
  const Json &feed = member(status, "feed"), &correction = member(status, "correction");
  const Json &verdict = member(status, "verdict"), &stay = member(status, "occupation");
  StatusFacts out{text_of(feed, "state"), text_of(feed, "what"), text_of(feed, "standstill")};
  out.accepted = flag_of(verdict, "accepted");
  for (const Json& each : list_of(verdict, "reasons")) {
    out.reasons.push_back({text_of(each, "code"), text_of(each, "text")});
  }
  out.correction_state = text_of(correction, "state");
  out.correction_from = text_of(correction, "from");
  out.coast_left_s = number_of(correction, "coast_left_s");
  if (stay.is_object()) out.stay = facts_of_stay(stay);
  return out;
}

Situation situation_of(const StatusFacts& status, bool keys) {
  if (auto by_feed = feed_situation(status, status.stay.has_value())) return *std::move(by_feed);
  const StayFacts stay = status.stay.value_or(StayFacts());
  Situation out = heard_situation(status, stay, keys);
  if (std::string unproven = unproven_text(stay); !unproven.empty()) out.also.push_back(std::move(unproven));
  // Seconds that changed sides are told before anything else beside the verdict.
  if (const std::string recounted = ascii(stay.recounted); !recounted.empty())
    out.also.insert(out.also.begin(), sentence(recounted));
  return out;
}

Situation situation_of(const Json& status, bool lost, bool keys) {
  return lost ? no(kSay.daemon_lost(), kSay.daemon_lost_act()) : situation_of(facts_of(status), keys);
}

int percent_done(const Json& occupation) {
  return percent_done(facts_of_stay(occupation));
}

}  // namespace stillpoint::wire
