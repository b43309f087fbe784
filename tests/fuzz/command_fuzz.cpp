// Any line of a journal: what reads as a command is written and read again as the same one, on one line.

#include <string>

#include "fuzz/check.hpp"
#include "record/command.hpp"

using namespace stillpoint;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const auto entry = record::from_line(text);
  if (!entry) return 0;
  const std::string line = record::to_line(*entry);
  fuzz::check(line.find('\n') == std::string::npos, "more than one line");
  const auto again = record::from_line(line);
  fuzz::check(again.has_value(), "what was written cannot be read");
  fuzz::check(*again == *entry, "another command");
  fuzz::check(record::to_line(*again) == line, "another line");
  return 0;
}
