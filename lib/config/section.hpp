#pragma once
/// Reads the keys of one table into typed fields and reports everything that is wrong with them.
///
/// Every message has one form: file, line, key, the value found, what to give instead.
///
/// Units:   those of the keys.
/// Threads: one report and its sections belong to one thread.
/// Errors:  collected in the `Report`; a field that could not be read keeps its default.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.hpp"
#include "config/keys.hpp"
#include "config/tree.hpp"

namespace stillpoint::config {

class Report {
 public:
  explicit Report(std::string file) : file_(std::move(file)) {}
  void add(int line, const std::string& sentence);
  /// In file order.
  std::vector<Error> take();

 private:
  std::string file_;
  std::vector<std::pair<int, std::string>> found_;
};

/// Limits of a number, inclusive unless `above` says that the lowest value itself is not allowed.
struct Range {
  double lowest = 0;   // the key's unit
  double highest = 0;  // the key's unit
  bool above = false;
  std::string_view unit = {};
};

enum class Need : std::uint8_t { optional, required };

/// A text of 1 to `longest` bytes without control characters.
struct TextRule {
  std::string_view what = "a text";  ///< completes "give …"
  std::size_t longest = 200;
  bool may_be_empty = false;
};

class Section {
 public:
  /// `title` is put before the key: `project.`, `source "sbas": gate.`. Reports unknown keys at once.
  /// `table` is empty when the file has no such table; `line` then tells where missing keys are reported.
  Section(Report& report, const Value* table, std::string title, TableId id, int line);
  /// The same for a file of another kind, whose tables are listed elsewhere; `known` outlives the section.
  Section(Report& report, const Value* table, std::string title, const KeyTable& known, int line);

  bool has(std::string_view key) const noexcept { return find(key) != nullptr; }
  /// The value under a key that `has` it.
  const Value& value(std::string_view key) const noexcept { return *find(key); }
  int line_of(std::string_view key) const noexcept;

  bool read(std::string_view key, std::string& out, const TextRule& rule, Need need = Need::optional);
  bool read(std::string_view key, double& out, const Range& range, Need need = Need::optional);
  bool read(std::string_view key, std::optional<double>& out, const Range& range, Need need = Need::optional);
  bool read(std::string_view key, int& out, const Range& range, Need need = Need::optional);
  bool read(std::string_view key, std::optional<int>& out, const Range& range, Need need = Need::optional);
  bool read(std::string_view key, bool& out);
  /// A date, as `2026-06-03`.
  bool read_date(std::string_view key, std::string& out, Need need = Need::optional);
  /// A number in `range`, or the word that stands for "no number", which empties `out`.
  bool read_or_word(std::string_view key, std::optional<double>& out, const Range& range, std::string_view word,
                    Need need = Need::optional);
  /// One of `words`: its index.
  std::optional<std::size_t> choose(std::string_view key, const std::vector<std::string_view>& words,
                                    Need need = Need::optional);

  /// The value of a key that must be a table or an array; anything else is reported.
  const Value* table(std::string_view key, Need need = Need::optional);
  const Value* array(std::string_view key, std::string_view what, Need need = Need::optional);

  /// A section for the table under `key`, when it is there.
  std::optional<Section> inner(std::string_view key, TableId id, Need need = Need::optional);
  std::optional<Section> inner(std::string_view key, const KeyTable& known, Need need = Need::optional);

  /// "KEY SENTENCE" at the line of the key, or of the table when the key is absent.
  void complain(std::string_view key, const std::string& sentence);
  void complain_at(int line, std::string_view key, const std::string& sentence);
  const std::string& title() const noexcept { return title_; }
  Report& report() noexcept { return *report_; }

 private:
  const Value* find(std::string_view key) const noexcept;
  /// The value, or nothing after reporting a required key that is missing.
  const Value* want(std::string_view key, Need need, const std::string& what);
  bool wrong(std::string_view key, const Value& value, const std::string& what);
  void report_unknown();

  Report* report_;
  const Value* table_;
  std::string title_;
  const KeyTable* known_;
  int line_;
};

/// "a number from 0 to 3600 s"
std::string words_of(const Range& range, bool whole);
bool has_control_characters(std::string_view text) noexcept;

}  // namespace stillpoint::config
