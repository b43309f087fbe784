// Any bytes as a journal: what is refused names its line, what is read goes forward and is written and read as the
// same.

#include <string>
#include <string_view>

#include "fuzz/check.hpp"
#include "record/journal.hpp"

using namespace stillpoint;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto journal = record::parse_journal(text);
  if (!journal) {
    fuzz::check_shown(journal.error().text);
    return 0;
  }
  std::string written = record::to_text(journal->head);
  const record::JournalLine* before = nullptr;
  for (const record::JournalLine& line : journal->lines) {
    fuzz::check(before == nullptr || before->offset <= line.offset, "an offset goes back");
    fuzz::check(before == nullptr || before->arrived <= line.arrived, "a time goes back");
    fuzz::check(line.command.find('\n') == std::string::npos, "a command has one line");
    written += record::to_text(line);
    before = &line;
  }
  const auto again = record::parse_journal(written);
  fuzz::check(again.has_value(), "what was written cannot be read");
  fuzz::check(again->lines.size() == journal->lines.size() && again->head.utc == journal->head.utc, "another journal");
  for (std::size_t i = 0; i < again->lines.size(); ++i) {
    const record::JournalLine &one = journal->lines[i], &other = again->lines[i];
    fuzz::check(record::to_text(one) == record::to_text(other), "another line");  // a line end in a command is a blank
  }
  return 0;
}
