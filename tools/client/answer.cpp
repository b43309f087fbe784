#include "client/answer.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/number.hpp"
#include "client/screen_sentences.hpp"

namespace stillpoint::client {
namespace {

constexpr std::size_t kLongestNamed = 10;  ///< beside a percentage
constexpr double kLongest_s = 3.5e6;       ///< three digits of hours

/// True when the second does not count, and nothing is wrong.
bool is_waiting(const Json& status) {
  static constexpr std::array<std::string_view, 3> kAllIsWell{"moving", "settling", "time-repeated"};
  const Json& reasons = list_of(member(status, "verdict"), "reasons");
  if (text_of(member(status, "feed"), "state") != "open" || reasons.empty()) return false;
  return std::all_of(reasons.begin(), reasons.end(), [](const Json& each) {
    return std::find(kAllIsWell.begin(), kAllIsWell.end(), text_of(each, "code")) != kAllIsWell.end();
  });
}

bool is_late(const Json& status) {
  const std::string state = text_of(member(status, "correction"), "state");
  return state == "coasting" || state == "unknown";
}

/// Keeping now gives an accepted point, and all that was wanted is there.
bool has_enough(const Day& day) {
  const Json& stay = open_point(day);
  return text_of(stay, "keep_gives") == "accepted" && percent_done(stay) == 100;
}

/// Rounded down: the screen must not promise a second that is not there.
Figure time_figure(double time_s, const std::string& of) {
  const int shown_s = static_cast<int>(std::isfinite(time_s) ? std::clamp(time_s, 0.0, kLongest_s) : 0);
  if (shown_s < 1000) return {std::to_string(shown_s), "s", of};
  if (shown_s < 60'000) return {std::to_string(shown_s / 60), "min", of};
  return {std::to_string(shown_s / 3600), "h", of};
}

Figure apart_figure(double apart_m) {
  const std::string length = length_text(apart_m);
  const auto blank = length.find(' ');
  if (blank == std::string::npos) return {"", "", kSayOnScreen.between_places()};
  return {length.substr(0, blank), length.substr(blank + 1), kSayOnScreen.between_places()};
}

Figure to_decide(std::size_t held) {
  return {std::to_string(held), "", held == 1 ? kSayOnScreen.point_to_decide() : kSayOnScreen.points_to_decide()};
}

/// How long late corrections still count.
std::optional<double> late_left_s(const Json& status) {
  const Json& correction = member(status, "correction");
  return text_of(correction, "state") == "coasting" ? number_of(correction, "coast_left_s") : std::nullopt;
}

Figure figure_ready(const Day& day) {
  const Json& check = member(day.status, "check");
  if (const auto left_s = late_left_s(day.status)) return time_figure(*left_s, kSayOnScreen.until_it_stops());
  const std::size_t held = held_points(day).size();
  if (!day.closing.empty() && held > 0) return to_decide(held);
  if (flag_of(check, "due")) return {"", "", kSayOnScreen.check_due()};
  const auto due_in_s = number_of(check, "due_in_s");
  if (due_in_s && day.closing.empty()) {
    const double minutes = std::clamp(*due_in_s / 60, 0.0, 999.0);
    return {std::to_string(static_cast<int>(minutes)), "min", kSayOnScreen.until_check()};
  }
  return held > 0 ? to_decide(held) : Figure{};
}

std::string whole(const Json& stay) {
  if (flag_of(stay, "check")) return kSayOnScreen.of_check();
  const std::string name = ascii(text_of(stay, "name"));
  return name.empty() || name.size() > kLongestNamed ? kSayOnScreen.of_point() : kSayOnScreen.of_named(name);
}

Figure figure_yes(const Day& day, const Json& stay, bool enough) {
  const auto left_s = late_left_s(day.status);
  if (enough && left_s) {
    const Figure left = time_figure(*left_s, kSayOnScreen.until_it_stops());
    return {"", "", left.digits + " " + left.unit + " " + left.of};
  }
  if (enough) return {"", "", "100 % " + whole(stay)};
  if (const auto apart_m = number_of(stay, "apart_m")) return apart_figure(*apart_m);
  if (left_s) return time_figure(*left_s, kSayOnScreen.until_it_stops());
  // What will be held never has all of what it needs.
  if (flag_of(stay, "enough") && text_of(stay, "keep_gives") == "held") return {"", "", kSayOnScreen.will_be_held()};
  return {std::to_string(percent_done(stay)), "%", whole(stay)};
}

Figure figure_no(const Day& day, const Json& stay, const Now& now) {
  const auto apart_m = number_of(stay, "apart_m"), speed_mps = number_of(member(day.status, "epoch"), "speed_mps");
  if (apart_m) return apart_figure(*apart_m);
  if (has_reason(day.status, "moving") && speed_mps && is_waiting(day.status)) {
    return {fixed(std::clamp(*speed_mps, 0.0, 99.0), 1), "m/s", kSayOnScreen.pole_moves()};
  }
  const auto settle_s = number_of(member(day.status, "correction"), "settle_left_s");
  if (is_waiting(day.status) && has_reason(day.status, "settling") && settle_s) {
    return time_figure(*settle_s, kSayOnScreen.until_it_counts());
  }
  if (!day.counted_ms) return {};
  return time_figure(static_cast<double>(now.ms - *day.counted_ms) / 1000, kSayOnScreen.since_counted());
}

Figure figure_of(const Day& day, const Now& now, bool counts, bool enough) {
  const Json& stay = open_point(day);
  if (now.lost) return time_figure(now.heard_s, kSayOnScreen.without_answer());
  if (!counts) return figure_no(day, stay, now);
  return stay.is_object() ? figure_yes(day, stay, enough) : figure_ready(day);
}

std::string also_of(const Day& day, const Situation& situation, bool enough) {
  if (!situation.also.empty()) {
    const std::size_t more = situation.also.size() - 1;
    return situation.also.front() + (more == 0 ? "" : " (+" + std::to_string(more) + " more)");
  }
  const Json& stay = open_point(day);
  const auto counted_s = number_of(stay, "counted_s"), needed_s = number_of(stay, "needed_s");
  if (enough || !counted_s || !needed_s) return sentence(text_of(stay, "advice"));
  return kSayOnScreen.collected(fixed(std::clamp(*counted_s, 0.0, 1e9), 0), fixed(std::clamp(*needed_s, 0.0, 1e9), 0));
}

Filling filling_of(const Day& day, const Now& now, bool counts, bool enough) {
  if (now.lost) return Filling::lost;
  if (!counts) return is_waiting(day.status) ? Filling::waits : Filling::wrong;
  if (is_late(day.status)) return Filling::late;
  if (!open_point(day).is_object()) return Filling::ready;
  return enough ? Filling::enough : Filling::counts;
}

std::string word_of(const Day& day, bool counts, bool enough) {
  if (!counts) return "NO";
  if (!open_point(day).is_object()) return "READY";
  return enough ? "ENOUGH" : "YES";
}

}  // namespace

bool has_reason(const Json& status, std::string_view code) {
  const Json& reasons = list_of(member(status, "verdict"), "reasons");
  return std::any_of(reasons.begin(), reasons.end(), [&](const Json& each) { return text_of(each, "code") == code; });
}

bool is_enough(const Day& day, const Now& now) {
  return has_enough(day) && situation_of(day.status, now.lost).counts();
}

std::string title_of(const Day& day) {
  const Json& stay = open_point(day);
  if (!stay.is_object()) return kSayOnScreen.no_point_open();
  const std::string name = ascii(text_of(stay, "name"));
  if (flag_of(stay, "check")) return kSayOnScreen.check_on(cut(name, 17));
  const long long visit = count_of(stay, "visit");
  return visit > 1 ? kSayOnScreen.on_visit(cut(name, 15), std::to_string(visit)) : cut(name, 26);
}

Answer answer_of(const Day& day, const Now& now) {
  const Situation situation = situation_of(day.status, now.lost, true);
  const bool counts = situation.counts(), enough = counts && has_enough(day);
  Answer out;
  out.word = word_of(day, counts, enough);
  out.filling = filling_of(day, now, counts, enough);
  out.figure = figure_of(day, now, counts, enough);
  out.question = open_point(day).is_object() ? kSayOnScreen.does_it_count() : kSayOnScreen.ready_to_measure();
  out.what = situation.what;
  out.act = situation.act;
  if (!now.lost) out.also = also_of(day, situation, enough);
  return out;
}

}  // namespace stillpoint::client
