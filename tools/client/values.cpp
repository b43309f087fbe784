#include "client/values.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "client/answer.hpp"
#include "client/screen_sentences.hpp"

namespace stillpoint::client {
namespace {

std::string whole(double value) {
  return fixed(std::clamp(std::isfinite(value) ? value : 0, -1e9, 1e9), 0);
}

constexpr std::size_t kClockAt = 11, kClockLength = 8;  // in "2026-06-03T14:05:10.000Z"

std::string limit_text(double time_s) {
  return time_s == std::floor(time_s) ? whole(time_s) : fixed(std::clamp(time_s, 0.0, 1e9), 1);
}

Value average(const Json& stay) {
  Value out{"Average", {}, Value::Scale::none, {}, {}};
  if (!stay.is_object()) {
    out.ways = {kSayOnScreen.none_is_open()};
    return out;
  }
  const std::string is = whole(number_of(stay, "counted_s").value_or(0)),
                    needed = whole(number_of(stay, "needed_s").value_or(0));
  const long long refused = count_of(stay, "refused");
  if (refused > 0) out.ways.push_back(kSayOnScreen.average_refused(is, needed, std::to_string(refused)));
  out.ways.push_back(kSayOnScreen.average(is, needed));
  out.ways.push_back(kSayOnScreen.average_brief(is, needed));
  return out;
}

/// Fresh, late or too old, with the limit and without.
std::pair<std::string, std::string> age_words(const std::string& state, const std::string& limit) {
  if (state == "coasting") return {limit.empty() ? "late" : kSayOnScreen.late(limit), "late"};
  if (state == "stale") {
    return {limit.empty() ? kSayOnScreen.too_old() : kSayOnScreen.beyond(limit), kSayOnScreen.too_old()};
  }
  return {limit.empty() ? "fresh" : kSayOnScreen.fresh(limit), "fresh"};
}

/// While the stream to the receiver has stopped, since when; the alert beside it says why.
std::vector<std::string> stopped_ways(const Json& delivery) {
  const auto age_s = number_of(delivery, "age_s");
  if (!age_s) return {kSayOnScreen.none_so_far()};
  const std::string age = seconds_text(age_s);
  const std::string at = text_of(delivery, "last_frame_utc");
  if (at.size() < kClockAt + kClockLength) return {kSayOnScreen.none_for(age)};
  return {kSayOnScreen.none_for_since(age, at.substr(kClockAt, kClockLength)), kSayOnScreen.none_for(age)};
}

Value corrections(const Json& status) {
  Value out{"Corrections", {}, Value::Scale::age, {}, {}};
  const Json& correction = member(status, "correction");
  const std::string state = text_of(correction, "state");
  const auto age_s = number_of(correction, "age_s"), limit_s = number_of(correction, "age_limit_s"),
             fresh_s = number_of(correction, "fresh_limit_s");
  if (limit_s && *limit_s > 0 && fresh_s) out.fresh = *fresh_s / *limit_s;
  if (const Json& delivery = member(status, "delivery"); text_of(delivery, "state") == "stopped" && state != "fresh") {
    out.ways = stopped_ways(delivery);
    if (age_s && limit_s && *limit_s > 0) out.part = *age_s / *limit_s;
    return out;
  }
  if (state == "unknown") {
    out.ways = {kSayOnScreen.age_not_told(), kSayOnScreen.not_told()};
    return out;
  }
  if (state.empty() || state == "none") {
    out.ways = {kSayOnScreen.none_in_use()};
    return out;
  }
  const auto [words, brief] = age_words(state, limit_s ? limit_text(*limit_s) : "");
  if (!age_s) {
    out.ways = {brief};
    return out;
  }
  const std::string age = seconds_text(age_s);
  const bool by_our_clock = text_of(correction, "from") == "own-clock";
  out.ways = by_our_clock ? std::vector{kSayOnScreen.no_proof(age, words), kSayOnScreen.no_proof(age, brief)}
                          : std::vector{age + " " + words, age + " " + brief};
  if (limit_s && *limit_s > 0) out.part = *age_s / *limit_s;
  return out;
}

Value error(const std::string& label, const Json& stay, const std::string& way, std::optional<double> wanted_m) {
  Value out{label, {}, Value::Scale::none, {}, {}};
  const auto is_m = number_of(stay, "error95_" + way + "_m");
  const std::string is = length_text(is_m), wanted = length_text(wanted_m);
  if (wanted_m) out.scale = Value::Scale::error;
  if (is_m && wanted_m) {
    out.ways = {kSayOnScreen.error(is, wanted), kSayOnScreen.error_brief(is, wanted), is};
    if (*wanted_m > 0) out.part = *is_m / *wanted_m;
  } else if (is_m) {
    out.ways = {kSayOnScreen.error_alone(is), is};
  } else {
    if (wanted_m) out.ways.push_back(kSayOnScreen.error_wanted(wanted));
    out.ways.push_back(kSayOnScreen.not_known());
  }
  return out;
}

std::string check_text(const Day& day, const Now& now) {
  const Json& check = member(day.status, "check");
  const std::string last = text_of(check, "last_utc");
  const std::string at = local_short(last, now);
  if (!day.closing.empty()) return kSayOnScreen.closing(day.closing);
  if (!flag_of(check, "configured")) return kSayOnScreen.no_marks();
  if (flag_of(check, "failed")) return kSayOnScreen.check_failed(at);
  if (last.empty()) return flag_of(check, "due") ? kSayOnScreen.check_due() : kSayOnScreen.no_check_yet();
  if (flag_of(check, "due")) return kSayOnScreen.check_is_due(at);
  const auto due_in_s = number_of(check, "due_in_s");
  if (!due_in_s) return kSayOnScreen.check_passed(at);
  const int later_s = static_cast<int>(std::clamp(*due_in_s, 0.0, 86'400.0));
  return kSayOnScreen.check_passed_due(at, local_short(text_of(day.status, "time_utc"), now, later_s));
}

Value last(const Day& day, const Now& now) {
  Value out{"Last", {}, Value::Scale::none, {}, {}};
  const Json point = last_kept(day);
  if (!point.is_object()) {
    out.ways = {kSayOnScreen.none_kept()};
    return out;
  }
  const std::string name = cut(ascii(text_of(point, "point")), 26), status = ascii(text_of(point, "status"));
  const std::string brief = name + " " + status;
  const std::string at = brief + ", " + local_short(text_of(point, "finished_utc"), now);
  out.ways = {at + ", " + sizes_text(point), at, brief, cut(name, 12) + " " + status};
  return out;
}

/// Between two points where to go next, while there is a plan; else what was kept last.
Value next_or_last(const Day& day, const Now& now) {
  if (day.plan.empty() || open_point(day).is_object()) return last(day, now);
  const std::string next = next_planned(day);
  return {"Next", {next.empty() ? kSayOnScreen.plan_is_done_brief() : next}, Value::Scale::none, {}, {}};
}

Value position(const Json& status) {
  Value out{"Position", {}, Value::Scale::none, {}, {}};
  const Json& epoch = member(status, "epoch");
  const std::string feed = text_of(member(status, "feed"), "state");
  if (!epoch.is_object() || feed == "silent" || feed == "waiting") {
    out.ways = {kSayOnScreen.not_known()};
    return out;
  }
  const std::string quality = quality_words(text_of(epoch, "quality"));
  const std::string stands = quality + (has_reason(status, "moving") ? ", moving" : ", still");
  std::string sky = stands;
  if (number_of(epoch, "satellites")) {
    sky += ", " + kSayOnScreen.satellites(std::to_string(count_of(epoch, "satellites")));
  }
  std::string all = sky;
  if (const auto hdop = number_of(epoch, "hdop")) all += ", HDOP " + fixed(std::clamp(*hdop, 0.0, 99.9), 1);
  if (const auto pdop = number_of(epoch, "pdop")) all += ", PDOP " + fixed(std::clamp(*pdop, 0.0, 99.9), 1);
  out.ways = {all, sky, stands, quality};
  const Json& base = member(status, "base");
  if (const auto far_m = number_of(base, "distance_m")) {
    const std::string where = kSayOnScreen.base_at(std::to_string(count_of(base, "station")), fixed(*far_m / 1000, 1));
    out.ways.insert(out.ways.begin(), {all + where, sky + where});
  }
  return out;
}

}  // namespace

std::vector<Value> values_of(const Day& day, const Now& now) {
  const Json& stay = open_point(day);
  const Value check{"Check", {check_text(day, now)}, Value::Scale::none, {}, {}};
  const std::string pole = pole_text(day);
  const Value on_pole{"Pole", {pole.empty() ? kSayOnScreen.not_known() : pole}, Value::Scale::none, {}, {}};
  return {average(stay),
          corrections(day.status),
          error("Horizontal", stay, "horizontal", day.wanted_horizontal_m),
          error("Vertical", stay, "vertical", day.wanted_vertical_m),
          check,
          next_or_last(day, now),
          position(day.status),
          on_pole};
}

std::string fitting(const std::vector<std::string>& ways, std::size_t width) {
  for (const std::string& way : ways) {
    if (way.size() <= width) return way;
  }
  return ways.empty() ? std::string() : cut(ways.back(), width);
}

std::size_t limit_cell(std::size_t width) {
  constexpr double kLimitAt = 0.76;
  return static_cast<std::size_t>(static_cast<double>(width) * kLimitAt);
}

std::string scale_text(const Value& value, std::size_t width) {
  if (value.scale == Value::Scale::none || width < 8) return {};
  const std::size_t limit = limit_cell(width);
  const auto cell = [&](double part) {
    const double at = std::isfinite(part) ? part * static_cast<double>(limit) : static_cast<double>(width);
    return static_cast<std::size_t>(std::clamp(at, 1.0, static_cast<double>(width - 2)));
  };
  std::string out(width, ' ');
  if (value.scale == Value::Scale::age) {
    std::fill(out.begin() + static_cast<std::ptrdiff_t>(limit), out.end(), '#');
    if (value.fresh)
      std::fill(out.begin() + static_cast<std::ptrdiff_t>(cell(*value.fresh)),
                out.begin() + static_cast<std::ptrdiff_t>(limit), '/');
  } else if (value.part) {
    std::fill_n(out.begin() + 1, cell(*value.part), '=');
  }
  out[limit] = '|';
  if (value.scale == Value::Scale::age && value.part) {
    // Just within the limit is not on it.
    const std::size_t at = cell(*value.part);
    out[*value.part <= 1 ? std::min(at, limit - 1) : std::max(at, limit + 1)] = 'A';
  }
  out.front() = '[';
  out.back() = ']';
  return out;
}

}  // namespace stillpoint::client
