#include "config/section.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "base/number.hpp"
#include "base/typed.hpp"
#include "config/sentences.hpp"

namespace stillpoint::config {
namespace {

/// Stands where a value is still to be filled in.
constexpr std::string_view kOpen = "?";

std::string limit_text(double value) {
  std::string text = fixed(value, 6);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

bool inside(double value, const Range& range) noexcept {
  if (!std::isfinite(value) || value > range.highest) return false;
  return range.above ? value > range.lowest : value >= range.lowest;
}

bool is_number(const Value& value) noexcept {
  return value.kind == Value::Kind::integer || value.kind == Value::Kind::number;
}

std::string words_of(const TextRule& rule) {
  return std::string(rule.what);
}

}  // namespace

void Report::add(int line, const std::string& sentence) {
  found_.emplace_back(line, kSay.at_line(file_, std::to_string(line), sentence));
}

std::vector<Error> Report::take() {
  std::stable_sort(found_.begin(), found_.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<Error> out;
  for (auto& each : found_) out.push_back(Error{std::move(each.second)});
  found_.clear();
  return out;
}

std::string words_of(const Range& range, bool whole) {
  const auto& above = whole ? kSay.whole_above : kSay.number_above;
  const auto& from = whole ? kSay.whole_from : kSay.number_from;
  std::string out = (range.above ? above : from)(limit_text(range.lowest), limit_text(range.highest));
  if (!range.unit.empty()) out += " " + std::string(range.unit);
  return out;
}

bool has_control_characters(std::string_view text) noexcept {
  return holds_unseen(text);
}

Section::Section(Report& report, const Value* table, std::string title, TableId id, int line)
    : Section(report, table, std::move(title), key_table(id), line) {}

Section::Section(Report& report, const Value* table, std::string title, const KeyTable& known, int line)
    : report_(&report), table_(table), title_(std::move(title)), known_(&known), line_(line) {
  report_unknown();
}

void Section::report_unknown() {
  if (table_ == nullptr) return;
  const KeyTable& known = *known_;
  for (const Entry& entry : table_->entries) {
    if (std::find(known.keys.begin(), known.keys.end(), entry.key) != known.keys.end()) continue;
    report_->add(entry.line, title_ + kSay.no_such_key(printable(entry.key), describe(entry.value),
                                                       advice_for_unknown(entry.key, known)));
  }
}

const Value* Section::find(std::string_view key) const noexcept {
  assert(std::count(known_->keys.begin(), known_->keys.end(), key) == 1);
  const Entry* entry = table_ == nullptr ? nullptr : table_->find(key);
  return entry == nullptr ? nullptr : &entry->value;
}

int Section::line_of(std::string_view key) const noexcept {
  const Entry* entry = table_ == nullptr ? nullptr : table_->find(key);
  return entry == nullptr ? line_ : entry->line;
}

void Section::complain(std::string_view key, const std::string& sentence) {
  complain_at(line_of(key), key, sentence);
}

void Section::complain_at(int line, std::string_view key, const std::string& sentence) {
  report_->add(line, title_ + std::string(key) + " " + sentence);
}

const Value* Section::want(std::string_view key, Need need, const std::string& what) {
  const Value* value = find(key);
  if (value == nullptr && need == Need::required) complain(key, kSay.missing(what));
  if (value == nullptr || value->kind != Value::Kind::text || value->text != kOpen) return value;
  complain(key, kSay.still_open(what));
  return nullptr;
}

bool Section::wrong(std::string_view key, const Value& value, const std::string& what) {
  complain(key, kSay.wrong(describe(value), what));
  return false;
}

bool Section::read(std::string_view key, std::string& out, const TextRule& rule, Need need) {
  const Value* value = want(key, need, words_of(rule));
  if (value == nullptr) return false;
  if (value->kind != Value::Kind::text || (value->text.empty() && !rule.may_be_empty))
    return wrong(key, *value, words_of(rule));
  if (value->text.size() > rule.longest) {
    return wrong(key, *value, kSay.at_most_bytes(words_of(rule), std::to_string(rule.longest)));
  }
  if (has_control_characters(value->text)) {
    return wrong(key, *value, kSay.on_one_line(words_of(rule)));
  }
  out = value->text;
  return true;
}

bool Section::read(std::string_view key, double& out, const Range& range, Need need) {
  const Value* value = want(key, need, words_of(range, false));
  if (value == nullptr) return false;
  if (!is_number(*value) || !inside(value->number, range)) return wrong(key, *value, words_of(range, false));
  out = value->number;
  return true;
}

bool Section::read(std::string_view key, std::optional<double>& out, const Range& range, Need need) {
  double number = 0;
  const bool done = read(key, number, range, need);
  if (done) out = number;
  return done;
}

bool Section::read(std::string_view key, int& out, const Range& range, Need need) {
  const Value* value = want(key, need, words_of(range, true));
  if (value == nullptr) return false;
  if (value->kind != Value::Kind::integer || !inside(value->number, range)) {
    return wrong(key, *value, words_of(range, true));
  }
  out = static_cast<int>(value->integer);
  return true;
}

bool Section::read(std::string_view key, std::optional<int>& out, const Range& range, Need need) {
  int number = 0;
  const bool done = read(key, number, range, need);
  if (done) out = number;
  return done;
}

bool Section::read(std::string_view key, bool& out) {
  const Value* value = find(key);
  if (value == nullptr) return false;
  if (value->kind != Value::Kind::boolean) return wrong(key, *value, kSay.yes_or_no());
  out = value->boolean;
  return true;
}

bool Section::read_date(std::string_view key, std::string& out, Need need) {
  const std::string what = kSay.want_a_date();
  const Value* value = want(key, need, what);
  if (value == nullptr) return false;
  if (value->kind != Value::Kind::date || value->text.empty()) return wrong(key, *value, what);
  out = value->text;
  return true;
}

bool Section::read_or_word(std::string_view key, std::optional<double>& out, const Range& range, std::string_view word,
                           Need need) {
  const std::string what = kSay.or_word(words_of(range, false), word);
  const Value* value = want(key, need, what);
  if (value == nullptr) return false;
  if (value->kind == Value::Kind::text && value->text == word) {
    out.reset();
    return true;
  }
  if (!is_number(*value) || !inside(value->number, range)) return wrong(key, *value, what);
  out = value->number;
  return true;
}

std::optional<std::size_t> Section::choose(std::string_view key, const std::vector<std::string_view>& words,
                                           Need need) {
  std::string what;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) what += i + 1 == words.size() ? " or " : ", ";
    what += "\"" + std::string(words[i]) + "\"";
  }
  const Value* value = want(key, need, what);
  if (value == nullptr) return std::nullopt;
  const auto at = std::find(words.begin(), words.end(), value->text);
  if (value->kind != Value::Kind::text || at == words.end()) {
    wrong(key, *value, what);
    return std::nullopt;
  }
  return static_cast<std::size_t>(at - words.begin());
}

const Value* Section::table(std::string_view key, Need need) {
  const std::string what = kSay.own_table();
  const Value* value = want(key, need, what);
  if (value == nullptr || value->kind == Value::Kind::table) return value;
  wrong(key, *value, what);
  return nullptr;
}

const Value* Section::array(std::string_view key, std::string_view what, Need need) {
  const Value* value = want(key, need, std::string(what));
  if (value == nullptr || value->kind == Value::Kind::array) return value;
  wrong(key, *value, std::string(what));
  return nullptr;
}

std::optional<Section> Section::inner(std::string_view key, TableId id, Need need) {
  return inner(key, key_table(id), need);
}

std::optional<Section> Section::inner(std::string_view key, const KeyTable& known, Need need) {
  const Value* value = table(key, need);
  if (value == nullptr) return std::nullopt;
  return Section(*report_, value, title_ + std::string(key) + ".", known, line_of(key));
}

}  // namespace stillpoint::config
