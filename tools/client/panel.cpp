#include "client/panel.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "base/number.hpp"
#include "client/letters.hpp"
#include "client/sentences.hpp"
#include "client/words.hpp"

namespace stillpoint::client {
namespace {

using Lines = std::vector<std::string>;

constexpr std::size_t kSentence = 76, kAlertRows = 4;

bool whole_fits(const Panel& panel) {
  return panel.columns > static_cast<int>(kPanelColumns) && panel.rows >= static_cast<int>(kScreenRows);
}

std::string row(const std::string& label, const std::string& value) {
  return padded(" " + label, 14) + value;
}

/// A line across the screen with a word at its start and one at its end.
std::string rule(char line, const std::string& left, const std::string& right, std::size_t columns) {
  std::string out(columns, line);
  const std::string start = left.empty() ? "" : " " + cut(left, columns - 6) + " ";
  out.replace(2, start.size(), start);
  if (!right.empty() && start.size() + right.size() + 8 < columns) {
    out.replace(columns - right.size() - 4, right.size() + 2, " " + right + " ");
  }
  return out;
}

std::string limit_text(double time_s) {
  return fixed(time_s, time_s == std::floor(time_s) ? 0 : 1) + " s";
}

/// The one number that decides the next act, and what it counts.
struct Figure {
  std::string digits, of;
};

Figure time_figure(double time_s, const std::string& of) {
  const double shown_s = std::isfinite(time_s) ? std::clamp(time_s, 0.0, 5.9e4) : 0;
  if (shown_s < 1000) return {std::to_string(static_cast<int>(shown_s)), "seconds " + of};
  return {std::to_string(static_cast<int>(shown_s / 60)), "minutes " + of};
}

Figure figure_of(const Json& status, const Panel& panel, const Situation& situation) {
  if (panel.lost) return time_figure(panel.heard_s, kSay.without_daemon());
  const Json& correction = member(status, "correction");
  const auto left_s = number_of(correction, "coast_left_s");
  if (situation.tone == Tone::coasting && left_s) return time_figure(*left_s, "left");
  const Json& stay = member(status, "occupation");
  if (stay.is_object()) return {std::to_string(percent_done(stay)), kSay.percent_done()};
  return {};
}

std::string name_of(const Json& status) {
  const Json& stay = member(status, "occupation");
  if (!stay.is_object()) return kSay.no_point_open();
  std::string name = ascii(text_of(stay, "name"));
  name = flag_of(stay, "check") ? kSay.check_on(cut(name, 17)) : cut(name, 26);
  if (const long long visit = count_of(stay, "visit"); visit > 1) name += ", visit " + std::to_string(visit);
  return name;
}

char state_of(const Json& status) {
  if (flag_of(status, "training")) return '~';
  return percent_done(member(status, "occupation")) == 100 ? '=' : '-';
}

std::string header(const Json& status) {
  return padded(padded(" " + name_of(status), 31) + cut(work_of(status), 37), 70) +
         clock_of(text_of(status, "time_utc"));
}

/// The verdict at the left, the number at the right, five rows.
Lines letters(bool counts, const Figure& figure, std::size_t cell, std::size_t number_ends) {
  const auto verdict = block_letters(counts ? "YES" : "NO", cell);
  const auto number = block_letters(figure.digits, cell);
  Lines out;
  for (std::size_t i = 0; i < kLetterRows; ++i) {
    out.push_back(padded("  " + verdict[i], number_ends - std::min(number_ends, number[i].size())) + number[i]);
  }
  return out;
}

std::string corrections_row(const Json& status) {
  const Json& correction = member(status, "correction");
  const std::string state = text_of(correction, "state");
  if (state.empty() || state == "none") return row("Corrections", kSay.none_in_use());
  const auto age_s = number_of(correction, "age_s");
  const bool by_our_clock = age_s && text_of(correction, "from") == "own-clock";
  std::string word = ascii(state);
  std::transform(word.begin(), word.end(), word.begin(),
                 [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c; });
  std::string out = state == "unknown" ? kSay.unknown_age()
                    : by_our_clock     ? kSay.no_proof(seconds_text(age_s)) + "  " + word
                    : age_s            ? seconds_text(age_s) + " old  " + word
                                       : kSay.no_age() + "  " + word;
  if (const auto limit_s = number_of(correction, "age_limit_s"); limit_s && state != "unknown") {
    out += (state == "stale" ? kSay.counted_until() + " " : kSay.counts_until() + " ") + limit_text(*limit_s) + ")";
  }
  const std::string source = ascii(text_of(status, "source"));
  return row("Corrections", source.empty() ? out : out + ", " + cut(source, 20));
}

/// The age on its scale: fresh, then the window in which old ones still count.
std::string scale_row(const Json& status) {
  constexpr double kCells = 40;
  const Json& correction = member(status, "correction");
  const auto age_s = number_of(correction, "age_s"), limit_s = number_of(correction, "age_limit_s");
  if (!age_s || !limit_s || !(*limit_s > 0)) return row("", "   " + kSay.no_scale());
  const auto cell = [&](double time_s) {
    const double at = time_s / *limit_s * (kCells - 1);
    return static_cast<std::size_t>(std::clamp(std::isfinite(at) ? at : 0, 0.0, kCells - 1));
  };
  std::string bar(static_cast<std::size_t>(kCells), '.');
  if (const auto fresh_s = number_of(correction, "fresh_limit_s")) {
    const std::size_t end = cell(*fresh_s);
    std::fill_n(bar.begin(), end, '-');
    bar[end] = '|';
  }
  const bool past = *age_s > *limit_s;
  if (!past) bar[cell(*age_s)] = 'A';
  return row("", "0 s [" + bar + "] " + limit_text(*limit_s) + (past ? "  " + kSay.past_end() : ""));
}

bool has_reason(const Json& status, std::string_view code) {
  const Json& reasons = list_of(member(status, "verdict"), "reasons");
  return std::any_of(reasons.begin(), reasons.end(), [&](const Json& each) { return text_of(each, "code") == code; });
}

std::string position_row(const Json& status) {
  const Json& epoch = member(status, "epoch");
  if (!epoch.is_object()) return row("Position", kSay.nothing_heard());
  std::string out = quality_words(text_of(epoch, "quality"));
  if (has_reason(status, "moving")) out += ", MOVING";
  if (has_reason(status, "settling")) out += ", settling";
  if (number_of(epoch, "satellites")) out += ", " + std::to_string(count_of(epoch, "satellites")) + " satellites";
  if (const auto hdop = number_of(epoch, "hdop")) out += ", HDOP " + fixed(*hdop, 1);
  if (const auto pdop = number_of(epoch, "pdop")) out += ", PDOP " + fixed(*pdop, 1);
  return row("Position", out);
}

std::string average_row(const Json& stay) {
  if (!stay.is_object()) return row("Average", kSay.none_is_open());
  constexpr int kBar = 20;
  const auto full = static_cast<std::size_t>(percent_done(stay) * kBar / 100);
  std::string out = "[" + std::string(full, '=') + std::string(kBar - full, '.') + "] ";
  const auto counted_s = number_of(stay, "counted_s"), needed_s = number_of(stay, "needed_s");
  if (counted_s && needed_s) out += fixed(*counted_s, 0) + " of " + fixed(*needed_s, 0) + " s, ";
  out += std::to_string(count_of(stay, "accepted")) + " of " + std::to_string(count_of(stay, "needed_epochs")) +
         " epochs, " + std::to_string(count_of(stay, "refused")) + " refused";
  return row("Average", out);
}

std::string error_text(const Json& stay, const std::string& word, std::string_view is, std::string_view wanted) {
  const auto wanted_m = number_of(stay, wanted);
  return word + " " + length_text(number_of(stay, is)) + (wanted_m ? " (want " + length_text(wanted_m) + ")" : "");
}

std::string error_row(const Json& stay) {
  if (!number_of(stay, "error95_horizontal_m") && !number_of(stay, "error95_vertical_m")) {
    return row("Error 95 %", stay.is_object() ? kSay.not_known() : kSay.none_is_open());
  }
  const bool assumed = flag_of(stay, "assumed_sigma");
  const bool unverified = number_of(stay, "error_scale") && !flag_of(stay, "error_scale_verified");
  return row("Error 95 %", error_text(stay, "plan", "error95_horizontal_m", "wanted_error95_horizontal_m") + "  " +
                               error_text(stay, "height", "error95_vertical_m", "wanted_error95_vertical_m") +
                               (assumed      ? "  assumed"
                                : unverified ? "  unverified"
                                             : ""));
}

/// The state of the check shots, as the daemon's alerts and status tell it.
std::string check_row(const Json& status) {
  for (const char* key : {"check-failed", "check-due"}) {
    for (const Json& alert : list_of(status, "alerts")) {
      const bool gone = member(alert, "active").is_boolean() && !flag_of(alert, "active");
      if (text_of(alert, "key") != key || gone) continue;
      return row("Check", std::string(key == std::string_view("check-due") ? "DUE: " : "FAILED: ") +
                              sentence(text_of(alert, "text")));
    }
  }
  const std::string text = text_of(member(status, "check"), "text");
  return row("Check", text.empty() ? kSay.none_reported() : sentence(text));
}

bool unseen(const Json& alert) {
  return !flag_of(alert, "seen");
}

std::string alert_row(const Json& alert, std::size_t columns) {
  const std::string severity = text_of(alert, "severity");
  const bool active = !member(alert, "active").is_boolean() || flag_of(alert, "active");
  const std::string signs = severity == "stop-work" ? "!!!" : severity == "warning" ? "!!" : "!";
  const std::string end = !unseen(alert) ? "" : active ? " NOT SEEN" : " GONE, NOT SEEN";
  std::string start = " " + padded(unseen(alert) ? signs : "", 4);
  start += columns < 60 ? "" : padded(severity_words(severity), 10) + since_of(alert) + "  ";
  const long long times = count_of(alert, "times"), told = count_of(alert, "repeats");
  std::string tail = times > 1 ? kSay.coming_and_going(std::to_string(times)) : "";
  if (told > 0 && columns >= 60) tail += " Told " + std::to_string(told + 1) + " times.";
  const std::size_t used = start.size() + tail.size() + end.size();
  const std::string text = cut(sentence(text_of(alert, "text")), columns - std::min(columns, used));
  return padded(start + text + tail, columns - end.size()) + end;
}

/// In their order, but those that nobody has seen before the others, so that SEEN always brings the next ones up.
std::vector<Json> alerts_in_order(const Json& status) {
  const Json& alerts = list_of(status, "alerts");
  std::vector<Json> out(alerts.begin(), alerts.end());
  std::stable_partition(out.begin(), out.end(), unseen);
  return out;
}

/// The last of the rows tells how many more there are.
std::size_t rows_for(std::size_t alerts) {
  return alerts > kAlertRows ? kAlertRows - 1 : alerts;
}

Lines alert_rows(const Json& status) {
  const std::vector<Json> alerts = alerts_in_order(status);
  const std::size_t shown = rows_for(alerts.size());
  Lines out;
  for (std::size_t i = 0; i < shown; ++i) out.push_back(alert_row(alerts[i], kPanelColumns));
  if (alerts.size() > shown) {
    out.push_back(kSay.more_alerts(std::to_string(alerts.size() - shown)));
  }
  out.resize(kAlertRows);
  return out;
}

/// Behind the two sentences: the rest of a long one, else further reasons, else the daemon's advice.
std::string also_row(const Json& status, const Situation& situation, const std::string& rest) {
  if (!rest.empty()) return "   .. " + cut(rest, kSentence - 6);
  if (!situation.also.empty()) {
    const std::size_t more = situation.also.size() - 1;
    const std::string tail = more == 0 ? "" : " (+" + std::to_string(more) + " more)";
    return "   Also: " + cut(situation.also.front(), kSentence - 9 - tail.size()) + tail;
  }
  const std::string advice = sentence(text_of(member(status, "occupation"), "advice"));
  return advice.empty() || !situation.counts() ? "" : "   " + cut(advice, kSentence - 3);
}

Lines help_rows() {
  return {kLaidOut.help_occupy(),
          kLaidOut.help_keep(),
          kLaidOut.help_drop(),
          kLaidOut.help_alerts(),
          kLaidOut.help_quiet(),
          kLaidOut.help_leave(),
          kLaidOut.help_legend() + " " + std::string(40, '-'),
          kLaidOut.help_bell(),
          kLaidOut.help_upper_line(),
          kLaidOut.help_scale(),
          kLaidOut.help_back()};
}

std::string health_row(const Panel& panel) {
  const std::string daemon = panel.lost ? "Daemon LOST" : kSay.daemon_alive();
  const std::string heard = " Heard " + fixed(panel.heard_s, panel.heard_s < 10 ? 1 : 0) + " s ago.  " + panel.sound;
  return padded(heard, 56) + daemon + ".";
}

std::string keys_row(const Panel& panel) {
  if (!panel.prompt.empty()) return " " + panel.prompt;
  return " [1] Occupy  [2] Keep  [3] Drop  [A] Seen  [S] Quiet 2 min  [Q] Leave  [?] Help";
}

void append(Lines& lines, const Lines& more) {
  lines.insert(lines.end(), more.begin(), more.end());
}

Lines whole(const Json& status, const Panel& panel, const Situation& situation) {
  const Figure figure = figure_of(status, panel, situation);
  const char state = state_of(status);
  const Json& stay = member(status, "occupation");
  const Lines what = wrap(situation.what, kSentence - 3, 2);
  const std::size_t alerts = list_of(status, "alerts").size();
  const std::string question = kSay.does_it_count();
  Lines out{header(status), rule(state, state == '~' ? "TRAINING. " + question : question, figure.of, kPanelColumns)};
  append(out, letters(situation.counts(), figure, 2, kPanelColumns - 3));
  append(out, {"   " + what[0], "   " + cut(situation.act, kSentence - 3), also_row(status, situation, what[1])});
  if (panel.help) {
    append(out, help_rows());
  } else {
    append(out, {corrections_row(status), scale_row(status), position_row(status), average_row(stay), error_row(stay),
                 check_row(status),
                 rule('-', alerts == 0 ? kSay.no_alerts() : "Alerts: " + std::to_string(alerts), "", kPanelColumns)});
    append(out, alert_rows(status));
    if (panel.lost) mark_old(out, 10, 16, kPanelColumns);
  }
  append(out, {rule('-', panel.message, "", kPanelColumns), keys_row(panel), health_row(panel)});
  return out;
}

/// One line on which a small screen says how it stands: its keys, or the question that waits.
std::string small_foot(const Panel& panel) {
  if (!panel.prompt.empty()) return " " + panel.prompt;
  if (!panel.message.empty()) return " " + panel.message;
  return std::string(panel.lost ? " DAEMON LOST" : kSay.daemon_is_alive()) + "  1 2 3 A S Q  ? help";
}

/// For 40 x 12: what is so and what to do in full, then the most severe alert or the corrections.
Lines reduced(const Json& status, const Panel& panel, const Situation& situation) {
  const auto columns = static_cast<std::size_t>(panel.columns - 1);
  const auto rows = static_cast<std::size_t>(panel.rows);
  const Figure figure = figure_of(status, panel, situation);
  const char state = state_of(status);
  const std::vector<Json> alerts = alerts_in_order(status);
  Lines out{rule(state, (state == '~' ? "TRAINING " : "") + cut(name_of(status), 16), figure.of, columns)};
  append(out, letters(situation.counts(), figure, 1, std::min<std::size_t>(columns, 60)));
  append(out, wrap(situation.what, columns, 2));
  append(out, wrap(situation.act, columns, 2));
  if (panel.help) {
    append(out, {kLaidOut.small_help_stay(), kLaidOut.small_help_other()});
    out.resize(rows);
    return out;
  }
  const Lines facts{corrections_row(status), average_row(member(status, "occupation")),
                    error_row(member(status, "occupation")), position_row(status), check_row(status)};
  if (!alerts.empty()) out.push_back(alert_row(alerts.front(), columns));
  append(out, facts);
  for (std::size_t i = 1; i < alerts.size(); ++i) out.push_back(alert_row(alerts[i], columns));
  if (panel.lost) mark_old(out, kLetterRows + 5, out.size(), columns);
  out.resize(rows - 1);
  out.push_back(small_foot(panel));
  return out;
}

/// Smaller than anything that can be laid out: words, the most important first.
Lines least(const Json& status, const Panel& panel, const Situation& situation) {
  const auto columns = static_cast<std::size_t>(std::max(panel.columns - 1, 1));
  const Figure figure = figure_of(status, panel, situation);
  Lines out{std::string(situation.counts() ? "YES " : "NO ") + (state_of(status) == '~' ? "TRAINING " : "") +
            figure.digits + " " + figure.of};
  append(out, wrap(situation.what, columns, 3));
  append(out, wrap(situation.act, columns, 3));
  out.erase(std::remove(out.begin() + 1, out.end(), std::string()), out.end());
  if (panel.rows > 1) out.resize(static_cast<std::size_t>(panel.rows - 1));
  if (panel.rows > 1) out.push_back(panel.prompt.empty() ? panel.lost ? "DAEMON LOST" : "? help" : panel.prompt);
  out.resize(static_cast<std::size_t>(std::max(panel.rows, 1)));
  return out;
}

}  // namespace

std::vector<AlertName> shown_alerts(const Json& status, const Panel& panel) {
  const std::vector<Json> alerts = alerts_in_order(status);
  const std::size_t shown = whole_fits(panel) ? rows_for(alerts.size()) : std::min<std::size_t>(alerts.size(), 1);
  std::vector<AlertName> out;
  for (std::size_t i = 0; i < shown; ++i) {
    out.emplace_back(text_of(alerts[i], "key"), alerts[i].value("id", std::uint64_t{0}));
  }
  return out;
}

Screen draw(const Json& status, const Panel& panel) {
  constexpr int kLeastColumns = 40, kLeastRows = 12;
  const Situation situation = situation_of(status, panel.lost, true);
  const bool all = whole_fits(panel);
  const bool some = panel.columns >= kLeastColumns && panel.rows >= kLeastRows;
  Screen out;
  out.tone = situation.tone;
  out.tone_row = all ? 2 : some ? 1 : 0;
  out.tone_rows = all || some ? kLetterRows : 0;
  out.lines = all    ? whole(status, panel, situation)
              : some ? reduced(status, panel, situation)
                     : least(status, panel, situation);
  const std::size_t columns = all ? kPanelColumns : static_cast<std::size_t>(std::max(panel.columns - 1, 1));
  for (std::string& line : out.lines) {
    line = cut(line, columns);
    line.erase(line.find_last_not_of(' ') + 1);
  }
  return out;
}

}  // namespace stillpoint::client
