#include "client/panel.hpp"

#include <algorithm>

#include "base/number.hpp"
#include "client/alert_place.hpp"
#include "client/answer.hpp"
#include "client/plate.hpp"
#include "client/screen_sentences.hpp"
#include "client/values.hpp"

namespace stillpoint::client {
namespace {

using Lines = std::vector<std::string>;

constexpr int kLeastColumns = 40, kLeastRows = 12, kWideColumns = 80, kWidest = 140;
constexpr std::size_t kIndent = 2, kValues = 8, kOld = 5;

/// Which rows there are: a matter of size alone, so that nothing moves between two states.
struct Plan {
  std::size_t columns = 79;
  bool wide = true;
  std::size_t head = 1, what = 1, act = 1, also = 1, alert = 2, upper_rule = 0, values = 0, lower_rule = 0, acts = 2;
  std::size_t points = 0;  ///< the newest ones, with their heading

  std::size_t fixed() const { return head + kPlateRows + what + act + also + alert + acts; }
  std::size_t sentences() const { return what + act + also; }
};

/// Takes a row where there is one.
void take_from(std::size_t& rows, std::size_t& left, std::size_t least) {
  const std::size_t taken = std::min(left, rows > least ? rows - least : 0);
  rows -= taken;
  left -= taken;
}

void shrink(Plan& plan, std::size_t rows) {
  std::size_t over = plan.fixed() > rows ? plan.fixed() - rows : 0;
  take_from(plan.also, over, 0);
  take_from(plan.head, over, 0);
  take_from(plan.acts, over, 1);
  take_from(plan.alert, over, 1);
  take_from(plan.act, over, 1);
  take_from(plan.what, over, 1);
}

/// What is left over: values first, then the rules about them, then the newest points.
void grow(Plan& plan, std::size_t rows) {
  constexpr std::size_t kModelValues = 7;
  std::size_t left = rows - std::min(rows, plan.fixed());
  const auto give = [&left](std::size_t& to, std::size_t most) {
    const std::size_t given = std::min(left, most);
    to += given;
    left -= given;
  };
  give(plan.values, kModelValues);
  if (plan.values < kModelValues) return;
  give(plan.upper_rule, 1);
  if (plan.wide) give(plan.lower_rule, 1);
  give(plan.values, kValues - kModelValues);
  if (left > 2) give(plan.points, left);
}

Plan plan_for(int columns, int rows) {
  Plan plan;
  plan.columns = static_cast<std::size_t>(std::clamp(columns, kLeastColumns, kWidest) - 1);
  plan.wide = columns >= kWideColumns;
  if (!plan.wide) {
    plan.head = 0;
    plan.what = 3;  // what is so is told whole
    plan.act = 2;
    plan.alert = 3;
  }
  shrink(plan, static_cast<std::size_t>(rows));
  grow(plan, static_cast<std::size_t>(rows));
  return plan;
}

void append(Lines& lines, const Lines& more) {
  lines.insert(lines.end(), more.begin(), more.end());
}

std::string indented(const std::string& text, std::size_t by) {
  return text.empty() ? text : std::string(by, ' ') + text;
}

/// At the end of a line that leaves room for it: this is no longer so.
std::string marked_old(const std::string& line, std::size_t columns) {
  return padded(line.substr(0, columns - kOld), columns - kOld) + "  OLD";
}

// The head.

std::string ear_text(const Day& day, const Panel& panel) {
  if (day.closed) return "DAY CLOSED";
  if (panel.mute || flag_of(day.status, "training")) return "SOUND OFF";
  if (panel.quiet_left_ms <= 0) return {};
  const std::int64_t left_s = (panel.quiet_left_ms + 999) / 1000, rest_s = left_s % 60;
  return kSayOnScreen.quiet(std::to_string(left_s / 60) + (rest_s < 10 ? ":0" : ":") + std::to_string(rest_s));
}

std::string time_text(const Day& day, const Now& now) {
  return local_clock(text_of(day.status, "time_utc"), now);
}

/// Whole things go when there is no room: the work first.
std::string head_line(const Day& day, const Panel& panel, std::size_t columns) {
  constexpr std::size_t kName = 29, kPole = 17, kEar = 12;
  const std::string zone = zone_text(panel.now.zone_s);
  const std::string right =
      padded(pole_text(day), kPole) + padded(ear_text(day, panel), kEar) + time_text(day, panel.now) + " " + zone;
  const std::size_t room = columns - std::min(columns, kName + right.size() + 1);
  const std::string work = work_of(day.status);
  return padded(" " + title_of(day), kName) + padded(work.size() <= room ? work : "", room) + right;
}

/// Where there is no head the plate's edge names the point, the time and the way to all the other acts.
PlateWords edge_words(const Day& day, const Panel& panel, const Plan& plan, const Answer& answer) {
  PlateWords out{answer.question, "", flag_of(day.status, "training")};
  if (plan.head == 0) {
    constexpr std::size_t kAround = 9;
    const std::string time = time_text(day, panel.now), title = title_of(day), with_more = "M More, " + time;
    const bool fits = title.size() + with_more.size() + kAround < plan.columns && !out.training && !panel.sheet;
    out.upper_right = fits ? with_more : time;
    out.upper_left = cut(title, plan.columns - time.size() - kAround);
  }
  if (out.training) out.upper_left = fitting({out.upper_left + " TRAINING", "TRAINING"}, plan.columns - 18);
  return out;
}

// The sentences.

/// As many as there is room for; of a longer one what fits, where there is room for most of it.
std::string whole_sentences(const std::string& text, std::size_t width) {
  constexpr std::size_t kMost = 60;
  if (text.size() <= width) return text;
  const auto end = text.rfind(". ", width - 1);
  if (end != std::string::npos) return text.substr(0, end + 1);
  return width < kMost ? "" : cut(text, width);
}

std::size_t indent_of(const Plan& plan) {
  return plan.wide ? kIndent : 1;
}

/// Whether what was said last has room in the third row.
bool fits_third_row(const std::string& message, const Plan& plan) {
  return message.size() <= (plan.columns - indent_of(plan)) * plan.also;
}

/// What was said last takes the third row where it fits there; what to do is never hidden.
Lines sentence_lines(const Panel& panel, const Plan& plan, const Answer& answer) {
  const std::size_t indent = indent_of(plan), width = plan.columns - indent;
  Lines what = wrap(answer.what, width, plan.what + plan.also);
  const std::string rest = plan.also > 0 ? what[plan.what] : "";
  what.resize(plan.what);
  Lines out = what;
  append(out, wrap(answer.act, width, plan.act));
  const std::string message = fits_third_row(panel.message, plan) ? panel.message : "";
  const std::string also = whole_sentences(answer.also, width);
  if (plan.also > 0) append(out, wrap(!message.empty() ? message : !rest.empty() ? rest : also, width, plan.also));
  for (std::string& line : out) line = indented(line, indent);
  return out;
}

/// What was said last and is too long for the third row takes rows below the alert for its time: those of the values, or
/// of the acts where that is not enough. A small screen without an alert has values in the alert's place too.
void put_message(Lines& alert, Lines& values, Lines& acts, const Panel& panel, const Plan& plan) {
  if (panel.message.empty() || fits_third_row(panel.message, plan)) return;
  const std::size_t indent = indent_of(plan);
  const Lines whole = wrap(panel.message, plan.columns - indent, alert.size() + values.size() + acts.size());
  const auto needed = static_cast<std::size_t>(
      std::count_if(whole.begin(), whole.end(), [](const auto& line) { return !line.empty(); }));
  std::vector<std::string*> rows;
  for (Lines* part : {&alert, &values}) {
    for (std::string& line : *part) rows.push_back(&line);
  }
  if (rows.size() < needed) {
    for (std::string& line : acts) rows.push_back(&line);
  }
  const Lines said = wrap(panel.message, plan.columns - indent, std::min(needed, rows.size()));
  for (std::size_t i = 0; i < said.size(); ++i) *rows[rows.size() - said.size() + i] = indented(said[i], indent);
}

// The values.

constexpr std::size_t kLabel = 14, kNarrowLabel = 12, kText = 39;

/// The line of the limit begins here and goes through all scales.
std::string upper_rule(const Plan& plan) {
  std::string out(plan.columns, '-');
  if (!plan.wide) return out;
  const std::string word = " limit +";
  const std::size_t at = kLabel + kText + limit_cell(plan.columns - kLabel - kText);
  return out.replace(at + 1 - word.size(), word.size(), word);
}

std::string value_line(const Value& value, const Plan& plan, bool old) {
  const std::size_t label = plan.wide ? kLabel : kNarrowLabel;
  const bool has_scale = plan.wide && value.scale != Value::Scale::none;
  const std::size_t width = has_scale ? kText - 1 : plan.columns - label - (old ? kOld : 0);
  std::string out = padded((plan.wide ? " " : "") + value.label, label) + fitting(value.ways, width);
  if (has_scale) out = padded(out, label + kText) + scale_text(value, plan.columns - label - kText);
  return old ? marked_old(out, plan.columns) : out;
}

/// So many from the one that stands at `from`.
Lines value_lines(const Day& day, const Panel& panel, const Plan& plan, std::size_t from, std::size_t most) {
  const auto values = values_of(day, panel.now);
  Lines out;
  for (std::size_t i = from; i < std::min(from + most, values.size()); ++i) {
    out.push_back(value_line(values[i], plan, panel.now.lost));
  }
  return out;
}

// The alert.

Lines alert_lines(const Day& day, const Panel& panel, const Plan& plan) {
  const AlertWords words = alert_words(day, panel.now, panel.now.ms / 500 % 2 == 0);
  // Without an alert a small screen tells the values here that have no room of their own.
  if (!words.any && !plan.wide) {
    Lines quiet = value_lines(day, panel, plan, plan.values, plan.alert);
    quiet.resize(plan.alert);
    return quiet;
  }
  const std::string sign = plan.wide ? " " + words.sign + " " : words.any ? words.sign + " " : "";
  Lines out;
  if (plan.wide) {
    std::string head = padded(words.any ? sign : "", 7) + words.severity;
    if (!words.clock.empty()) head += " " + words.clock;
    if (!words.state.empty()) head += ", " + words.state;
    if (!words.more.empty()) head += "; " + words.more;
    out = {head, indented(words.text, 7)};
  } else {
    const std::string more = words.more.empty() ? "" : "; " + words.more;
    const std::string at = words.clock.empty() ? "" : " " + words.clock.substr(0, 5);
    const std::string grave = sign + words.severity, state = ", " + words.state;
    out = {fitting({grave + at + state + more, grave + at + state, grave + state, sign + words.state}, plan.columns)};
    append(out, wrap(words.text, plan.columns - 1, 2));
    for (std::size_t i = 1; i < out.size(); ++i) out[i] = indented(out[i], 1);
  }
  out.resize(plan.alert);
  return out;
}

// The acts.

std::string act_head(const ActShown& act) {
  if (act.may == May::no) return "  " + act.key + "  " + act.name;
  return (act.may == May::next ? ">[" : " [") + act.key + "] " + act.name;
}

Lines wide_acts(const Day& day, const Panel& panel, const Plan& plan) {
  const std::size_t cell = (plan.columns - 1) / kActs;
  Lines out(2);
  for (std::size_t i = 0; i < kActs; ++i) {
    const ActShown act = act_shown(static_cast<ActId>(i), day, panel.now, panel.hold);
    out[0] += padded(act_head(act), cell);
    out[1] += padded("  " + act.outcome, cell);
  }
  out.resize(plan.acts);
  return out;
}

Lines narrow_acts(const Day& day, const Panel& panel, const Plan& plan) {
  const std::size_t cell = (plan.columns + 1) / 2;
  std::array<std::string, kActs> words;
  for (std::size_t i = 0; i < kActs; ++i) {
    const ActShown act = act_shown(static_cast<ActId>(i), day, panel.now, panel.hold);
    const std::string name = act.key + " " + act.name;
    words[i] = fitting({name + ": " + act.outcome, name + " " + act.outcome, name + ": " + act.brief}, cell - 1);
  }
  if (plan.acts < 2) return {fitting({"1 2 3 A  M More  ? Help  Q Leave"}, plan.columns)};
  return {padded(words[0], cell) + words[1], padded(words[2], cell) + words[3]};
}

Lines act_lines(const Day& day, const Panel& panel, const Plan& plan) {
  return plan.wide ? wide_acts(day, panel, plan) : narrow_acts(day, panel, plan);
}

// What is asked, under the live answer.

/// The keys of a sheet, as many as there is room for.
std::string sheet_ways(const Sheet& sheet, std::size_t width) {
  const std::string yes = sheet.yes.empty() ? "" : "[Enter] " + sheet.yes + "  ";
  const std::string next = sheet.fields.size() > 1 ? "[Tab] Next  " : "";
  return fitting({yes + next + "[Esc] Back", yes + "[Esc] Back", yes + "[Esc]", "[Esc]"}, width);
}

std::string field_line(const Sheet& sheet, std::size_t i, std::size_t columns) {
  const Field& field = sheet.fields[i];
  const bool here = i == sheet.field;
  const std::string label = padded((here ? "> " : "  ") + field.label, 13);
  const std::size_t room = columns - label.size() - 2;
  std::string value = ascii(field.value);
  if (value.size() > room) value = ".." + value.substr(value.size() - room + 2);
  if (value.empty() && !here && !field.empty.empty()) value = "(" + field.empty + ")";
  return label + value + (here ? "_" : "");
}

/// As many as there is room for, the one that is typed into among them.
Lines field_lines(const Sheet& sheet, std::size_t columns, std::size_t rows) {
  const std::size_t all = sheet.fields.size(), shown = std::min(all, std::max<std::size_t>(rows, 1));
  const std::size_t from = std::min(all - shown, sheet.field + 1 > shown ? sheet.field + 1 - shown : 0);
  Lines out;
  for (std::size_t i = from; i < from + shown; ++i) out.push_back(" " + field_line(sheet, i, columns));
  return out;
}

Lines choice_lines(const Sheet& sheet, std::size_t rows, const Plan& plan) {
  const std::size_t at_once = choices_at_once(sheet, rows), all = sheet.choices.size(), from = sheet.page * at_once;
  Lines out;
  for (std::size_t i = from; i < std::min(all, from + at_once); ++i) {
    const Choice& choice = sheet.choices[i];
    const char key = choice.key != 0 ? choice.key : static_cast<char>('1' + (i - from));
    const std::string head = choice.run ? std::string("[") + key + "] " : std::string(" ") + key + "  ";
    const std::size_t name = plan.wide ? 26 : 14;
    const std::string brief = " " + head + choice.label,
                      full = " " + head + padded(choice.label, name) + " " + choice.about;
    out.push_back(fitting({choice.about.empty() ? brief : full, brief + " " + choice.about, brief}, plan.columns));
  }
  if (at_once < all)
    out.push_back(" [N] " + kSayOnScreen.more_wait(std::to_string(all - std::min(all, from + at_once))));
  return out;
}

constexpr std::size_t kSheetText = 4;

std::size_t sheet_rows(const Plan& plan, const Panel& panel) {
  const auto rows = static_cast<std::size_t>(panel.rows);
  const std::size_t above = plan.head + kPlateRows + plan.alert + (plan.wide ? plan.sentences() : 0);
  return rows - std::min(rows, above);
}

std::size_t text_rows(const Sheet& sheet, std::size_t columns) {
  const Lines lines = wrap(sheet.text, columns - 2, kSheetText);
  return static_cast<std::size_t>(
      std::count_if(lines.begin(), lines.end(), [](const auto& line) { return !line.empty(); }));
}

Lines sheet_lines(const Sheet& sheet, const Plan& plan, std::size_t rows) {
  constexpr std::size_t kAround = 11;
  const std::string ways = sheet_ways(sheet, plan.columns - std::min(plan.columns, sheet.title.size() + kAround));
  Lines out{rule('-', sheet.title, ways, plan.columns)};
  for (const std::string& line : wrap(sheet.text, plan.columns - 2, kSheetText)) {
    if (!line.empty()) out.push_back(" " + line);
  }
  append(out, field_lines(sheet, plan.columns - 1, rows - std::min(rows, out.size())));
  append(out, choice_lines(sheet, rows - std::min(rows, 1 + text_rows(sheet, plan.columns)), plan));
  for (const std::string& line : sheet.body) out.push_back(" " + cut(line, plan.columns - 1));
  out.resize(rows);
  return out;
}

// All of it.

bool has_alert(const Day& day, const Panel& panel) {
  return alert_words(day, panel.now, true).any;
}

Lines newest_points(const Day& day, const Panel& panel, const Plan& plan) {
  Lines out{rule('-', kSayOnScreen.newest_points(), "", plan.columns)};
  for (auto at = day.points.rbegin(); at != day.points.rend() && out.size() < plan.points; ++at) {
    const std::string name = padded(" " + cut(ascii(text_of(*at, "point")), 26), 29);
    out.push_back(cut(name + padded(ascii(text_of(*at, "status")), 10) +
                          local_short(text_of(*at, "finished_utc"), panel.now) + "  " + sizes_text(*at),
                      plan.columns));
  }
  out.resize(plan.points);
  return out;
}

Lines all_lines(const Day& day, const Panel& panel, const Plan& plan, const Answer& answer) {
  Lines out;
  if (plan.head > 0) out.push_back(head_line(day, panel, plan.columns));
  append(out, plate_lines(answer, edge_words(day, panel, plan, answer), plan.columns));
  if (panel.sheet && !plan.wide) {
    append(out, alert_lines(day, panel, plan));
    append(out, sheet_lines(*panel.sheet, plan, sheet_rows(plan, panel)));
    return out;
  }
  append(out, sentence_lines(panel, plan, answer));
  Lines alert = alert_lines(day, panel, plan);
  if (panel.sheet) {
    append(out, alert);
    append(out, sheet_lines(*panel.sheet, plan, sheet_rows(plan, panel)));
    return out;
  }
  Lines values = value_lines(day, panel, plan, 0, plan.values), acts = act_lines(day, panel, plan);
  Lines none;
  put_message(has_alert(day, panel) || plan.wide ? none : alert, values, acts, panel, plan);
  append(out, alert);
  if (plan.upper_rule > 0) out.push_back(upper_rule(plan));
  append(out, values);
  if (plan.lower_rule > 0) out.push_back(rule('-', "", "", plan.columns));
  append(out, acts);
  if (plan.points > 0) append(out, newest_points(day, panel, plan));
  return out;
}

/// Smaller than anything that can be laid out: words, the most important first.
Lines least_lines(const Panel& panel, const Answer& answer, bool training) {
  const auto columns = static_cast<std::size_t>(std::max(panel.columns - 1, 1));
  const Figure& figure = answer.figure;
  Lines out{answer.word + (training ? " TRAINING " : " ") + figure.digits +
            (figure.unit.empty() ? "" : " " + figure.unit) + " " + figure.of};
  append(out, wrap(answer.what, columns, 3));
  append(out, wrap(answer.act, columns, 3));
  out.erase(std::remove(out.begin() + 1, out.end(), std::string()), out.end());
  out.resize(static_cast<std::size_t>(std::max(panel.rows, 1)));
  return out;
}

Tint tint_of(Filling filling) {
  switch (filling) {
    case Filling::late:
      return Tint::blue;
    case Filling::wrong:
    case Filling::lost:
      return Tint::red;
    case Filling::waits:
      return Tint::none;
    default:
      return Tint::green;
  }
}

bool can_be_laid_out(const Panel& panel) {
  return panel.columns >= kLeastColumns && panel.rows >= kLeastRows;
}

}  // namespace

bool is_narrow(int columns) noexcept {
  return columns < kWideColumns;
}

std::size_t rows_for_choices(const Panel& panel) {
  if (!panel.sheet || !can_be_laid_out(panel)) return 9;
  const Plan plan = plan_for(panel.columns, panel.rows);
  const std::size_t rows = sheet_rows(plan, panel);
  return rows - std::min(rows, 1 + text_rows(*panel.sheet, plan.columns));
}

Screen draw(const Day& day, const Panel& panel) {
  const Answer answer = answer_of(day, panel.now);
  const bool all = can_be_laid_out(panel);
  const Plan plan = plan_for(panel.columns, std::max(panel.rows, kLeastRows));
  Screen out;
  out.tint = tint_of(answer.filling);
  out.tint_row = all ? plan.head + 1 : 0;
  out.tint_rows = all ? kPlateRows - 2 : 0;
  out.lines = all ? all_lines(day, panel, plan, answer) : least_lines(panel, answer, flag_of(day.status, "training"));
  out.lines.resize(static_cast<std::size_t>(std::max(panel.rows, 1)));
  const std::size_t columns = all ? plan.columns : static_cast<std::size_t>(std::max(panel.columns - 1, 1));
  for (std::string& line : out.lines) {
    line = cut(line, columns);
    line.erase(line.find_last_not_of(' ') + 1);
  }
  return out;
}

std::vector<std::string> plain_lines(const Day& day, const Panel& panel, bool ticking) {
  const Answer answer = answer_of(day, panel.now);
  const AlertWords alert = alert_words(day, panel.now, true);
  const Figure& figure = answer.figure;
  std::string head = title_of(day);
  for (const std::string& part : {work_of(day.status), pole_text(day), ear_text(day, panel)}) {
    if (!part.empty()) head += ", " + part;
  }
  if (ticking) head += ", " + time_text(day, panel.now) + " " + zone_text(panel.now.zone_s);
  std::string said = figure.digits + (figure.unit.empty() || figure.digits.empty() ? "" : " " + figure.unit);
  said += (said.empty() || figure.of.empty() ? "" : " ") + figure.of;
  // Seconds that only tick are no news.
  if (!ticking && (answer.word == "NO")) said.clear();
  Lines out{head,
            answer.question + " " + answer.word + (said.empty() ? "" : ", " + said) +
                (flag_of(day.status, "training") ? ", TRAINING" : ""),
            answer.what, answer.act, answer.also};
  std::string line = alert.severity;
  for (const std::string& part : {alert.clock, alert.state, alert.more}) line += part.empty() ? "" : ", " + part;
  out.push_back(alert.any ? line + ": " + alert.text : line);
  for (const Value& value : values_of(day, panel.now)) {
    out.push_back(value.label + ": " + value.ways.front() + (panel.now.lost ? ", OLD" : ""));
  }
  return out;
}

}  // namespace stillpoint::client
