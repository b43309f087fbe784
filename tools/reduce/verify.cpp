#include "verify.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <sstream>

#include "base/identity.hpp"
#include "options.hpp"
#include "pointbook/closings.hpp"
#include "pointbook/happened.hpp"

namespace stillpoint::reduce {
namespace {

namespace fs = std::filesystem;

enum class Verdict : std::uint8_t { good, bad, unreadable };

/// One line of a checksum file against the file it names, which lies beside it.
Verdict verify_line(const std::string& line, const fs::path& folder) {
  constexpr std::size_t kDigits = 64;
  const bool shaped =
      line.size() > kDigits + 2 && line.substr(kDigits, 2) == "  " && line.find('/') == std::string::npos;
  if (!shaped) {
    std::cout << "damaged checksum file: a line is not SHA-256, two spaces and a name\n";
    return Verdict::bad;
  }
  const fs::path file = folder / line.substr(kDigits + 2);
  const auto found = sha256_file(file.string());
  if (!found) {
    std::cout << file.string() << ": cannot be read\n";
    return Verdict::unreadable;
  }
  const bool same = *found == line.substr(0, kDigits);
  std::cout << file.string() << (same ? ": unchanged\n" : ": CHANGED since it was closed\n");
  return same ? Verdict::good : Verdict::bad;
}

Verdict verify_log(const std::string& log) {
  fs::path sums(log);
  sums.replace_extension(".sha256");
  std::error_code none;
  if (!fs::exists(fs::path(log), none)) {
    std::cout << log << ": there is no such file\n";
    return Verdict::unreadable;
  }
  std::ifstream in(sums);
  if (!in) {
    std::cout << log << ": no checksum file beside it; was it never closed?\n";
    return Verdict::bad;
  }
  Verdict worst = Verdict::good;
  bool named = false;
  for (std::string line; std::getline(in, line);) {
    worst = std::max(worst, verify_line(line, sums.parent_path()));
    named = named || line.ends_with("  " + fs::path(log).filename().string());
  }
  if (named) return worst;
  std::cout << log << ": its checksum file does not name it\n";
  return std::max(worst, Verdict::bad);
}

/// One file that a closing names with its SHA-256. What the closing says cannot be changed without a trace: its row has
/// a fingerprint of its own, and the checksum file beside a log has none.
bool is_as_closed(const pointbook::ClosedFile& named, const fs::path& folder) {
  const fs::path file = folder / fs::path(named.file).filename();
  const auto found = sha256_file(file.string());
  if (found && *found == named.sha256) return true;
  std::cout << file.string()
            << (found ? ": CHANGED since the day was closed\n" : ": was there when the day was closed, and is gone\n");
  return false;
}

}  // namespace

int verify_closings(const pointbook::Contents& book, const std::vector<std::string>& logs) {
  const fs::path folder = logs.empty() ? fs::path() : fs::path(logs.front()).parent_path();
  std::size_t same = 0, named = 0;
  for (const pointbook::Event& event : book.events) {
    for (const pointbook::ClosedFile& file : pointbook::closed_files_of(event)) {
      ++named;
      if (!file.file.empty() && !file.sha256.empty()) same += is_as_closed(file, folder) ? 1U : 0U;
    }
  }
  if (named > 0)
    std::cout << same << " of " << named << " files of the record are as they were when the day was closed\n";
  return same == named ? kAllAccepted : kSomeHeld;
}

int verify(const std::vector<std::string>& logs) {
  Verdict worst = Verdict::good;
  for (const std::string& log : logs) worst = std::max(worst, verify_log(log));
  return worst == Verdict::good ? kAllAccepted : worst == Verdict::bad ? kSomeHeld : kCannotRead;
}

}  // namespace stillpoint::reduce
