#include "record/journal.hpp"

#include <charconv>

#include "base/number.hpp"
#include "record/sentences.hpp"

namespace stillpoint::record {
namespace {

constexpr std::string_view kMagic = "stillpoint-journal 1 ";

/// The word up to the next space, taken off the front together with that space.
std::string_view take_word(std::string_view& text) {
  const std::size_t space = text.find(' ');
  const std::string_view word = text.substr(0, space);
  text.remove_prefix(space == std::string_view::npos ? text.size() : space + 1);
  return word;
}

template <class Integer>
bool read_whole(std::string_view text, Integer& value) {
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
  return error == std::errc() && end == text.data() + text.size();
}

std::optional<JournalHead> parse_head(std::string_view line) {
  if (!line.starts_with(kMagic)) return std::nullopt;
  line.remove_prefix(kMagic.size());
  JournalHead head;
  if (take_word(line) != "utc") return std::nullopt;
  const auto utc = parse_utc(take_word(line));
  if (!utc) return std::nullopt;
  head.utc = *utc;
  if (take_word(line) != "steady" || !read_whole(take_word(line), head.steady.ms)) return std::nullopt;
  if (line != "by clock" && line != "by log") return std::nullopt;
  head.by_clock = line == "by clock";
  return head;
}

std::optional<JournalLine> parse_line(std::string_view line) {
  JournalLine parsed;
  if (!read_whole(take_word(line), parsed.offset)) return std::nullopt;
  if (!read_whole(take_word(line), parsed.arrived.ms)) return std::nullopt;
  parsed.command = std::string(line);
  return parsed;
}

bool goes_back(const JournalLine& from, const JournalLine& to) {
  return to.offset < from.offset || to.arrived < from.arrived;
}

/// Blocks of a file whose bytes never reached the disk are read as zeros.
bool is_blank(std::string_view line) noexcept {
  return line.find('\0') != std::string_view::npos;
}

std::string beside(const std::string& log_path, std::string_view ending) {
  constexpr std::string_view kLog = ".nmea";
  const bool is_log = log_path.ends_with(kLog);
  return log_path.substr(0, log_path.size() - (is_log ? kLog.size() : 0)) + std::string(ending);
}

}  // namespace

std::string to_text(const JournalHead& head) {
  std::string utc = stillpoint::to_text(head.utc);
  if (utc.find('.') == std::string::npos) utc.insert(utc.size() - 1, ".000");
  return std::string(kMagic) + "utc " + utc + " steady " + std::to_string(head.steady.ms) +
         (head.by_clock ? " by clock\n" : " by log\n");
}

std::string to_text(const JournalLine& line) {
  std::string text;
  text.reserve(44 + line.command.size());  // two numbers of at most 20 characters, two spaces and an end
  append_count(text, line.offset);
  text += ' ';
  append_whole(text, line.arrived.ms);
  text += line.command.empty() ? '\n' : ' ';
  if (line.command.empty()) return text;
  // A line end can stand only between the words of JSON, where a space says the same.
  for (const char c : line.command) text += c == '\n' || c == '\r' ? ' ' : c;
  return text += '\n';
}

Result<Journal> parse_journal(std::string_view text) {
  Journal journal;
  if (has_torn_head(text)) return fail(kSay.no_first_line());
  std::size_t number = 0;
  while (!text.empty()) {
    const auto end = text.find('\n');
    const std::string_view line = text.substr(0, end);
    ++number;
    if (number > 1 && (end == std::string_view::npos || is_blank(line))) {
      journal.cut = kSay.breaks_off(std::to_string(number));
      break;
    }
    text.remove_prefix(end + 1);
    if (number == 1) {
      const auto head = parse_head(line);
      if (!head) return fail(kSay.no_journal());
      journal.head = *head;
      continue;
    }
    auto parsed = parse_line(line);
    if (!parsed) return fail(kSay.line_unreadable(std::to_string(number)));
    if (!journal.lines.empty() && goes_back(journal.lines.back(), *parsed)) {
      return fail(kSay.line_goes_back(std::to_string(number)));
    }
    journal.lines.push_back(std::move(*parsed));
  }
  return journal;
}

bool has_torn_head(std::string_view text) noexcept {
  const std::string_view line = text.substr(0, text.find('\n'));
  return line.size() == text.size() || is_blank(line);
}

std::string journal_path_of(const std::string& log_path) {
  return beside(log_path, ".journal");
}

std::string corrections_path_of(const std::string& log_path) {
  return beside(log_path, ".rtcm");
}

}  // namespace stillpoint::record
