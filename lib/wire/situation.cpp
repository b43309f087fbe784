#include "wire/situation.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include "base/number.hpp"
#include "gate/verdict.hpp"
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
  return reason ? std::string(gate::words_of(*reason).advice) : kSay.wait();
}

Situation no(std::string what, std::string act) {
  return {Tone::refused, std::move(what), std::move(act), {}};
}

/// States of the feed in which no second can count, whatever was last heard.
std::optional<Situation> feed_situation(const Json& status, bool open_stay) {
  const Json& feed = member(status, "feed");
  const std::string state = text_of(feed, "state");
  const std::string name = ascii(text_of(feed, "what"));
  const std::string kept = open_stay ? kSay.kept() : std::string();
  if (const std::string why = ascii(text_of(feed, "standstill")); !why.empty()) {
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

Situation refused(const Json& status, bool open_stay) {
  std::vector<std::pair<std::string, std::string>> reasons;  // code, text
  for (const Json& each : list_of(member(status, "verdict"), "reasons")) {
    reasons.emplace_back(text_of(each, "code"), text_of(each, "text"));
  }
  std::stable_sort(reasons.begin(), reasons.end(),
                   [](const auto& a, const auto& b) { return turn_of(a.first) < turn_of(b.first); });
  if (reasons.empty()) return no(kSay.nothing_heard(), kSay.nothing_heard_act());
  const auto words = [](const auto& reason) {
    return sentence(reason.second.empty() ? refusal_words(reason.first) : reason.second);
  };
  Situation out = no(words(reasons.front()), act_for(reasons.front().first, open_stay));
  for (std::size_t i = 1; i < reasons.size(); ++i) out.also.push_back(words(reasons[i]));
  return out;
}

/// What a stay is kept as.
std::string kept_as(const Json& status) {
  return flag_of(member(status, "occupation"), "check") ? "check" : "point";
}

/// True when the point would be held for a reason that a longer stay cannot mend.
bool is_spoilt(const Json& stay) {
  static constexpr std::array<std::string_view, 7> kSpoilt{
      "unresolved",         "interrupted",        "drifting",    "visits-disagree",
      "geoid-contradicted", "frame-contradicted", "base-changed"};
  for (const Json& code : list_of(stay, "keep_why")) {
    if (code.is_string() && std::find(kSpoilt.begin(), kSpoilt.end(), code.get<std::string>()) != kSpoilt.end())
      return true;
  }
  return false;
}

/// The first sentence on why the point would be held.
std::string first_hold(const Json& stay) {
  const Json& texts = list_of(stay, "keep_texts");
  return texts.empty() || !texts[0].is_string() ? std::string() : ascii(texts[0].get<std::string>());
}

/// The second counts, and yet the point will be held whatever comes: no longer stay changes that.
Situation spoilt(const Json& stay, bool coasts, bool keys) {
  Situation out;
  out.tone = coasts ? Tone::coasting : Tone::counts;
  const auto apart_m = number_of(stay, "apart_m");
  out.what = apart_m ? kSay.two_places(fixed(*apart_m, 2)) : kSay.will_be_held(first_hold(stay));
  out.act = keys ? kSay.spoilt_act_keys() : kSay.spoilt_act();
  return out;
}

/// True when enough was collected and the point is held for a reason outside the stay.
bool is_held_beside(const Json& stay) {
  return flag_of(stay, "enough") && text_of(stay, "keep_gives") == "held";
}

Situation coasting(const Json& status, bool open_stay, bool enough) {
  Situation out;
  out.tone = Tone::coasting;
  const auto left_s = number_of(member(status, "correction"), "coast_left_s");
  // Rounded down: the screen must not promise a second that is not there.
  const std::string left =
      left_s ? std::to_string(static_cast<long long>(std::clamp(*left_s, 0.0, 1e9))) + " s" : "a while";
  const bool by_our_clock = text_of(member(status, "correction"), "from") == "own-clock";
  out.what = (by_our_clock ? kSay.unproven : kSay.coasting)(left);
  out.act = kSay.coasting_act();
  if (open_stay) out.act = kSay.coasting_act_open();
  if (enough) out.act = kSay.coasting_act_enough(kept_as(status));
  return out;
}

Situation fresh(const Json& status, bool open_stay, bool enough, bool above_wanted, bool keys) {
  const std::string kept = kept_as(status);
  const bool unknown = text_of(member(status, "correction"), "state") == "unknown";
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
double error_part(const Json& stay, std::string_view error, std::string_view wanted) {
  const auto is_m = number_of(stay, error), wanted_m = number_of(stay, wanted);
  if (!wanted_m) return 1;
  if (!is_m || !(*is_m > 0)) return 0;
  return std::min(1.0, (*wanted_m / *is_m) * (*wanted_m / *is_m));
}

}  // namespace

int percent_done(const Json& occupation) {
  double part = std::min(error_part(occupation, "error95_horizontal_m", "wanted_error95_horizontal_m"),
                         error_part(occupation, "error95_vertical_m", "wanted_error95_vertical_m"));
  if (is_spoilt(occupation)) part = std::min(part, 0.99);
  if (flag_of(occupation, "enough")) return part < 1 ? std::clamp(static_cast<int>(part * 100), 0, 99) : 100;
  const double needed_epochs = number_of(occupation, "needed_epochs").value_or(0);
  if (needed_epochs > 0) part = std::min(part, number_of(occupation, "accepted").value_or(0) / needed_epochs);
  const double needed_s = number_of(occupation, "needed_s").value_or(0);
  if (needed_s > 0) part = std::min(part, number_of(occupation, "counted_s").value_or(needed_s) / needed_s);
  if (!std::isfinite(part)) return 0;
  return std::clamp(static_cast<int>(part * 100), 0, 99);
}

namespace {

/// Of a receiver that is heard.
Situation heard_situation(const Json& status, bool keys) {
  const Json& stay = member(status, "occupation");
  const bool open_stay = stay.is_object();
  const bool accepted = flag_of(member(status, "verdict"), "accepted");
  const bool frozen = text_of(member(status, "feed"), "state") == "frozen";
  if (frozen && accepted) return no(kSay.frozen(), act_for("frozen", open_stay));
  if (!accepted) return refused(status, open_stay);
  const bool above_wanted = flag_of(stay, "enough") && percent_done(stay) < 100;
  const bool enough = flag_of(stay, "enough") && !above_wanted;
  const bool coasts = text_of(member(status, "correction"), "state") == "coasting";
  if (open_stay && is_spoilt(stay)) return spoilt(stay, coasts, keys);
  Situation out = coasts ? coasting(status, open_stay, enough) : fresh(status, open_stay, enough, above_wanted, keys);
  if (is_held_beside(stay) && !above_wanted) out.what = kSay.enough_but_held(first_hold(stay));
  return out;
}

/// Why averaging gains nothing yet, in one line.
std::string unproven_text(const Json& stay) {
  std::string out;
  for (const Json& text : list_of(stay, "unproven")) {
    if (text.is_string()) out += (out.empty() ? "" : " ") + ascii(text.get<std::string>());
  }
  return out;
}

}  // namespace

Situation situation_of(const Json& status, bool lost, bool keys) {
  if (lost) {
    return no(kSay.daemon_lost(), kSay.daemon_lost_act());
  }
  const Json& stay = member(status, "occupation");
  if (auto by_feed = feed_situation(status, stay.is_object())) return *std::move(by_feed);
  Situation out = heard_situation(status, keys);
  if (std::string unproven = unproven_text(stay); !unproven.empty()) out.also.push_back(std::move(unproven));
  // Seconds that changed sides are told before anything else beside the verdict.
  if (const std::string recounted = ascii(text_of(stay, "recounted")); !recounted.empty())
    out.also.insert(out.also.begin(), sentence(recounted));
  return out;
}

}  // namespace stillpoint::wire
