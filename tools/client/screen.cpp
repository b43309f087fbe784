#include "client/screen.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "client/sentences.hpp"
#include "client/words.hpp"
#include "estimate/average.hpp"

namespace stillpoint::client {
namespace {

constexpr std::size_t kLabel = 15;

std::string row(const std::string& label, const std::string& value) {
  return padded(" " + label, kLabel) + value;
}

std::string rule(char line, const std::string& title) {
  const std::string start = title.empty() ? std::string() : std::string(2, line) + " " + title + " ";
  return cut(start, kScreenColumns) + std::string(kScreenColumns - std::min(start.size(), kScreenColumns), line);
}

std::string header(const Json& status, const View& view) {
  const Json& stay = member(status, "occupation");
  std::string name = kSay.no_point_open();
  if (stay.is_object()) {
    name = ascii(text_of(stay, "name"));
    if (const long long visit = count_of(stay, "visit"); visit > 1) name += ", visit " + std::to_string(visit);
  }
  const std::string left = padded(" " + cut(name, 26), 30) + cut(work_of(status), 34);
  return view.clock ? padded(left, 67) + clock_of(text_of(status, "time_utc")) : left;
}

std::string first_rule(const Json& status) {
  if (flag_of(status, "training")) return rule('~', "TRAINING");
  return rule(percent_done(member(status, "occupation")) == 100 ? '=' : '-', "");
}

std::string question(const Json& status, const Situation& situation) {
  std::string out = padded(kLaidOut.does_it_count_now(situation.counts() ? "YES" : "NO"), 38);
  const auto left_s = number_of(member(status, "correction"), "coast_left_s");
  if (situation.tone == Tone::coasting && left_s) {
    return out + std::to_string(static_cast<long long>(std::clamp(*left_s, 0.0, 1e9))) + " s left";
  }
  const Json& stay = member(status, "occupation");
  return stay.is_object() ? out + std::to_string(percent_done(stay)) + " % done" : out;
}

std::string also_row(const Situation& situation) {
  if (situation.also.empty()) return {};
  const std::size_t more = situation.also.size() - 1;
  const std::string tail = more == 0 ? "" : " (+" + std::to_string(more) + " more)";
  return "   Also: " + cut(situation.also.front(), kScreenColumns - 9 - tail.size()) + tail;
}

std::string corrections_row(const Json& status) {
  const Json& correction = member(status, "correction");
  const std::string state = text_of(correction, "state");
  const auto limit_s = number_of(correction, "age_limit_s");
  const std::string until = limit_s ? ", limit " + seconds_text(limit_s) : "";
  if (state.empty() || state == "none") return row("Corrections", kSay.none_in_use());
  if (state == "unknown") return row("Corrections", kSay.unknown_and_counting());
  const auto age_s = number_of(correction, "age_s");
  std::string age = age_s ? seconds_text(age_s) + " old" : kSay.no_age();
  if (age_s && text_of(correction, "from") == "own-clock") age = kSay.no_proof(seconds_text(age_s));
  if (state == "fresh") {
    const auto fresh_s = number_of(correction, "fresh_limit_s");
    return row("Corrections", "FRESH, " + age + (fresh_s ? kSay.fresh_up_to(seconds_text(fresh_s)) : "") + until);
  }
  if (state != "coasting") return row("Corrections", "STALE, " + age + until);
  const auto left_s = number_of(correction, "coast_left_s");
  return row("Corrections", "COASTING, " + age + until + (left_s ? ", " + seconds_text(left_s) + " left" : ""));
}

std::string source_row(const Json& status) {
  const std::string source = ascii(text_of(status, "source"));
  const auto station = number_of(member(status, "epoch"), "station");
  const std::string number = station ? ", station " + std::to_string(count_of(member(status, "epoch"), "station")) : "";
  return row("Source", source.empty() ? "none" + number : cut(source, 40) + number);
}

std::string position_row(const Json& status) {
  const Json& epoch = member(status, "epoch");
  if (!epoch.is_object()) return row("Position", kSay.nothing_heard());
  std::string out = quality_words(text_of(epoch, "quality"));
  if (number_of(epoch, "satellites")) out += ", " + std::to_string(count_of(epoch, "satellites")) + " satellites";
  if (const auto hdop = number_of(epoch, "hdop")) out += ", HDOP " + fixed(*hdop, 1);
  if (const auto pdop = number_of(epoch, "pdop")) out += ", PDOP " + fixed(*pdop, 1);
  return row("Position", out);
}

std::string second_row(const Json& status) {
  const Json& epoch = member(status, "epoch");
  const auto plan_m = number_of(epoch, "error95_horizontal_m");
  const auto height_m = number_of(epoch, "error95_vertical_m");
  if (!plan_m && !height_m) return row(kSay.this_second(), kSay.error_not_known());
  return row(kSay.this_second(), "plan " + length_text(plan_m) + ", height " + length_text(height_m) + " at 95 %");
}

std::string average_row(const Json& stay) {
  if (!stay.is_object()) return row("Average", kSay.nothing_collected());
  constexpr int kBar = 12;
  const int percent = percent_done(stay);
  const auto full = static_cast<std::size_t>(percent * kBar / 100);
  std::string out =
      "[" + std::string(full, '=') + std::string(kBar - full, '.') + "] " + std::to_string(percent) + " %: ";
  out +=
      std::to_string(count_of(stay, "accepted")) + " of " + std::to_string(count_of(stay, "needed_epochs")) + " epochs";
  const auto counted_s = number_of(stay, "counted_s");
  const auto needed_s = number_of(stay, "needed_s");
  if (counted_s && needed_s) out += ", " + fixed(*counted_s, 0) + " of " + fixed(*needed_s, 0) + " s";
  return row("Average", out + ", " + std::to_string(count_of(stay, "refused")) + " refused");
}

std::vector<std::string> error_rows(const Json& stay) {
  const auto plan_m = number_of(stay, "error95_horizontal_m");
  const auto height_m = number_of(stay, "error95_vertical_m");
  if (!plan_m && !height_m)
    return {row(kSay.plan_error(), kSay.not_known()), row(kSay.height_error(), kSay.not_known())};
  std::string height = length_text(height_m) + " at 95 %";
  if (const auto worth = number_of(stay, "effective_epochs")) {
    const std::string epochs = std::to_string(count_of(stay, "accepted"));
    height += *worth < estimate::kLessThanOne ? kSay.worth_under_one(epochs) : kSay.worth_of(epochs, fixed(*worth, 1));
  }
  std::string basis = kSay.if_claim_holds();
  if (const auto scale = number_of(stay, "error_scale")) {
    basis = " at 95 %, by " +
            std::string(flag_of(stay, "assumed_sigma") ? "assumed_sigma_m" : kSay.receivers_figure()) + " x " +
            fixed(*scale, 2) + (flag_of(stay, "error_scale_verified") ? "" : kSay.and_not_verified());
  }
  return {row(kSay.plan_error(), length_text(plan_m) + basis), row(kSay.height_error(), height)};
}

std::string alert_row(const Json& alert) {
  const bool active = !member(alert, "active").is_boolean() || flag_of(alert, "active");
  const std::string mark = flag_of(alert, "seen") ? "" : active ? "NOT SEEN" : "GONE, NOT SEEN";
  const std::string start = " " + padded(severity_words(text_of(alert, "severity")), 10) + since_of(alert) + "  ";
  const std::size_t room = kScreenColumns - start.size() - (mark.empty() ? 0 : mark.size() + 1);
  const std::string text = cut(sentence(text_of(alert, "text")), room);
  return mark.empty() ? start + text : start + padded(text, room) + " " + mark;
}

/// Three rows; the last tells how many more there are when they do not fit.
std::vector<std::string> alert_rows(const Json& alerts) {
  constexpr std::size_t kRows = 3;
  std::vector<std::string> out;
  const bool all_fit = alerts.size() <= kRows;
  for (std::size_t i = 0; i < std::min(alerts.size(), all_fit ? kRows : kRows - 1); ++i)
    out.push_back(alert_row(alerts[i]));
  if (!all_fit) out.push_back(kSay.more(std::to_string(alerts.size() - out.size())));
  out.resize(kRows);
  return out;
}

std::string store_row(const Json& status) {
  const Json& store = member(status, "store");
  return row("Points",
             kSay.points_kept(std::to_string(count_of(store, "spooled")), std::to_string(count_of(store, "stored")),
                              std::to_string(count_of(store, "waiting"))));
}

void append(std::vector<std::string>& lines, const std::vector<std::string>& more) {
  lines.insert(lines.end(), more.begin(), more.end());
}

std::vector<std::string> indented(const std::string& text) {
  std::vector<std::string> out = wrap(text, kScreenColumns - 3, 2);
  for (std::string& line : out) {
    if (!line.empty()) line.insert(0, "   ");
  }
  return out;
}

}  // namespace

void mark_old(std::vector<std::string>& lines, std::size_t from, std::size_t past, std::size_t columns) {
  for (std::size_t i = from; i < std::min(past, lines.size()); ++i) {
    if (!lines[i].empty()) lines[i] = padded(cut(lines[i], columns - 5), columns - 4) + " OLD";
  }
}

Screen render(const Json& status, const View& view) {
  const Situation situation = situation_of(status, view.lost);
  const Json& stay = member(status, "occupation");
  const Json& alerts = list_of(status, "alerts");
  Screen out;
  out.tone = situation.tone;
  out.lines = {header(status, view), first_rule(status), question(status, situation)};
  append(out.lines, indented(situation.what));
  append(out.lines, indented(situation.act));
  append(out.lines, {also_row(situation), rule('-', ""), corrections_row(status), source_row(status),
                     position_row(status), second_row(status), average_row(stay)});
  append(out.lines, error_rows(stay));
  append(out.lines, indented(sentence(text_of(stay, "advice"))));
  append(out.lines, {rule('-', alerts.empty() ? kSay.no_alerts() : "Alerts: " + std::to_string(alerts.size()))});
  append(out.lines, alert_rows(alerts));
  append(out.lines, {store_row(status)});
  append(out.lines, {view.lost ? kSay.daemon_lost(fixed(view.lost_for_s, 0)) : kSay.daemon_is_alive_now()});
  if (view.lost) mark_old(out.lines, 9, 18, kScreenColumns);
  for (std::string& line : out.lines) {
    line = cut(line, kScreenColumns);
    line.erase(line.find_last_not_of(' ') + 1);
  }
  return out;
}

}  // namespace stillpoint::client
