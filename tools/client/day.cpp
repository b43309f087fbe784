#include "client/day.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "base/number.hpp"
#include "base/time.hpp"
#include "client/methods.hpp"
#include "client/replies.hpp"
#include "client/screen_sentences.hpp"
#include "geodesy/local.hpp"

namespace stillpoint::client {
namespace {

bool is_among(const Json& alert, const Json& alerts) {
  return std::any_of(alerts.begin(), alerts.end(), [&](const Json& each) {
    return text_of(each, "key") == text_of(alert, "key") && count_of(each, "id") == count_of(alert, "id");
  });
}

void remember_stay(Day& day, const Json& stay) {
  if (!flag_of(stay, "check")) {
    day.last_name = text_of(stay, "name");
    day.last_code = text_of(stay, "code");
  }
  day.closed = false;
  day.wanted_horizontal_m = number_of(stay, "wanted_error95_horizontal_m");
  day.wanted_vertical_m = number_of(stay, "wanted_error95_vertical_m");
}

std::string two(int number) {
  return (number < 10 ? "0" : "") + std::to_string(number);
}

/// From the pole to a place, on the ellipsoid.
Way way_to(const Json& status, const Json& place) {
  const Json& epoch = member(status, "epoch");
  const auto here_lat = number_of(epoch, "latitude_deg"), here_lon = number_of(epoch, "longitude_deg");
  const auto lat = number_of(place, "latitude_deg"), lon = number_of(place, "longitude_deg");
  if (!here_lat || !here_lon || !lat || !lon) return {};
  const auto way = geodesy::LocalFrame({*here_lat, *here_lon, 0}).to_enu({*lat, *lon, 0});
  const double towards_deg = std::atan2(way.east_m, way.north_m) * 180 / std::numbers::pi;
  return {std::hypot(way.east_m, way.north_m, way.up_m), std::fmod(towards_deg + 360, 360)};
}

template <class Place>
void sort_by_way(std::vector<Place>& places) {
  std::stable_sort(places.begin(), places.end(), [](const Place& a, const Place& b) {
    return a.way.far_m.value_or(HUGE_VAL) < b.way.far_m.value_or(HUGE_VAL);
  });
}

}  // namespace

void take_status(Day& day, const Json& status, std::int64_t now_ms) {
  const Json before = list_of(day.status, "alerts");
  for (const Json& alert : before) {
    if (!is_among(alert, list_of(status, "alerts"))) day.last_alert = alert;
  }
  day.status = status;
  if (situation_of(status, false).counts()) day.counted_ms = now_ms;
  if (const Json& stay = open_point(day); stay.is_object()) remember_stay(day, stay);
}

void take_result(Day& day, const std::string& method, const Json& result) {
  const Json& check = member(result, "check");
  if (method == kPoints) day.points = list_of(result, "points");
  if (method == kMarks) day.marks = list_of(result, "marks");
  if (method == kPlan) day.plan = list_of(result, "plan");
  if (method == kAntenna && member(result, "parts").is_object()) day.antenna = result;
  if (method == kKeep && text_of(check, "kind") == "closing" && text_of(check, "outcome") != "stop") {
    day.closing = off_text(check);
  }
  if (method != kCloseDay) return;
  day.closed = true;
  day.closing.clear();
}

std::string lists_key(const Json& status) {
  const Json &stay = member(status, "occupation"), &store = member(status, "store");
  // With every hour a planned point may be due again.
  return line_of(Json::array({text_of(status, "time_utc").substr(0, 13), member(store, "spooled"),
                              member(store, "stored"), member(stay, "name"), member(stay, "visit"),
                              member(member(status, "check"), "last_utc"), member(status, "antenna_height_m")}));
}

const Json& open_point(const Day& day) {
  static const Json none;
  const Json& stay = member(day.status, "occupation");
  return stay.is_object() ? stay : none;
}

std::vector<Json> held_points(const Day& day) {
  std::vector<Json> out;
  for (const Json& point : day.points) {
    if (text_of(point, "status") == "held") out.push_back(point);
  }
  return out;
}

Json last_kept(const Day& day) {
  const auto last = std::max_element(day.points.begin(), day.points.end(), [](const Json& a, const Json& b) {
    return text_of(a, "finished_utc") < text_of(b, "finished_utc");
  });
  return last == day.points.end() ? Json() : *last;
}

bool is_known(const Day& day, const std::string& name) {
  return std::any_of(day.points.begin(), day.points.end(),
                     [&](const Json& point) { return text_of(point, "point") == name; });
}

std::string next_name(const std::string& name) {
  std::string out = name;
  for (auto at = out.size(); at > 0 && out[at - 1] >= '0' && out[at - 1] <= '9'; --at) {
    if (out[at - 1] != '9') {
      ++out[at - 1];
      return out;
    }
    out[at - 1] = '0';
  }
  return {};
}

std::string next_free_name(const Day& day) {
  std::string name = next_name(day.last_name.empty() ? text_of(last_kept(day), "point") : day.last_name);
  while (!name.empty() && is_known(day, name)) name = next_name(name);
  return name;
}

std::vector<Mark> nearest_marks(const Day& day) {
  std::vector<Mark> out;
  for (const Json& each : day.marks) out.push_back({text_of(each, "mark"), way_to(day.status, each)});
  sort_by_way(out);
  return out;
}

std::vector<Planned> nearest_planned(const Day& day) {
  std::vector<Planned> out;
  for (const Json& each : day.plan) {
    const std::string state = text_of(each, "state");
    if (state == "done") continue;
    out.push_back({text_of(each, "point"), text_of(each, "code"), text_of(each, "note"), state == "again",
                   way_to(day.status, each)});
  }
  sort_by_way(out);
  return out;
}

std::string next_planned(const Day& day) {
  const auto planned = nearest_planned(day);
  return planned.empty() ? "" : cut(ascii(planned.front().name), 26) + ": " + way_text(planned.front().way);
}

std::string way_text(const Way& way) {
  constexpr std::array kWinds{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"};
  if (!way.far_m) return kSayOnScreen.way_not_known();
  const double far_m = *way.far_m;
  const std::string far = far_m < 10     ? fixed(far_m, 1) + " m"
                          : far_m < 1000 ? fixed(far_m, 0) + " m"
                                         : fixed(far_m / 1000, 1) + " km";
  return kSayOnScreen.way(far, kWinds[static_cast<std::size_t>(std::lround(way.towards_deg / 45)) % kWinds.size()]);
}

std::string pole_text(const Day& day) {
  if (const auto pole_m = number_of(member(day.antenna, "parts"), "pole")) return kSayOnScreen.pole(fixed(*pole_m, 3));
  const auto height_m = number_of(day.status, "antenna_height_m");
  return height_m ? kSayOnScreen.antenna(fixed(*height_m, 3)) : std::string();
}

std::string local_clock(const std::string& utc, const Now& now, int later_s) {
  const auto at = parse_utc(utc);
  return clock_of(at ? to_text(UtcTime{at->ms + 1000LL * (now.zone_s + later_s)}) : utc);
}

std::string local_short(const std::string& utc, const Now& now, int later_s) {
  return local_clock(utc, now, later_s).substr(0, 5);
}

std::optional<UtcTime> utc_of_clock(const std::string& clock, UtcTime now, int zone_s) {
  constexpr std::int64_t kDayMs = 24LL * 3'600'000;
  const std::int64_t zone_ms = 1000LL * zone_s;
  const std::string today = to_text(UtcTime{now.ms + zone_ms}).substr(0, 11);
  const auto local = parse_utc(today + (clock.size() == 4 ? "0" : "") + clock + ":00Z");
  if (!local) return std::nullopt;
  const std::int64_t utc_ms = local->ms - zone_ms;
  return UtcTime{utc_ms > now.ms ? utc_ms - kDayMs : utc_ms};
}

std::string zone_text(int zone_s) {
  if (zone_s == 0) return "UTC";
  const int minutes = std::abs(zone_s) / 60;
  return "UTC" + std::string(zone_s < 0 ? "-" : "+") + std::to_string(minutes / 60) +
         (minutes % 60 == 0 ? "" : ":" + two(minutes % 60));
}

std::string sizes_text(const Json& point) {
  const auto horizontal_m = number_of(point, "error95_horizontal_m"),
             vertical_m = number_of(point, "error95_vertical_m");
  if (!horizontal_m) return kSayOnScreen.not_known();
  if (!vertical_m) return kSayOnScreen.error_alone(length_text(horizontal_m));
  return kSayOnScreen.last_kept_errors(length_text(horizontal_m), length_text(vertical_m));
}

}  // namespace stillpoint::client
