#include "verify.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <filesystem>
#include <iostream>
#include <sstream>

#include "base/identity.hpp"
#include "base/plain_file.hpp"
#include "office.hpp"
#include "pointbook/closings.hpp"
#include "pointbook/happened.hpp"
#include "second_look.hpp"
#include "sentences.hpp"

namespace stillpoint::office {
namespace {

namespace fs = std::filesystem;

enum class Verdict : std::uint8_t { good, bad, unreadable };

/// One line of a checksum file against the file it names, which lies beside it.
Verdict verify_line(const std::string& line, const fs::path& folder, bool brief) {
  constexpr std::size_t kDigits = 64;
  const bool shaped =
      line.size() > kDigits + 2 && line.substr(kDigits, 2) == "  " && line.find('/') == std::string::npos;
  if (!shaped) {
    std::cout << kSay.bad_checksum_file() << "\n";
    return Verdict::bad;
  }
  const fs::path file = folder / line.substr(kDigits + 2);
  const auto found = sha256_file(file.string());
  if (!found) {
    std::cout << kSay.unreadable(file.string()) << "\n";
    return Verdict::unreadable;
  }
  const bool same = *found == line.substr(0, kDigits);
  if (!same || !brief) {
    std::cout << file.string() << (same ? ": unchanged\n" : kSay.changed_since_closed() + "\n");
  }
  return same ? Verdict::good : Verdict::bad;
}

Verdict verify_log(const std::string& log, bool brief) {
  fs::path sums(log);
  sums.replace_extension(".sha256");
  std::error_code none;
  if (!fs::exists(fs::path(log), none)) {
    std::cout << kSay.no_such_file(log) << "\n";
    return Verdict::unreadable;
  }
  const auto text = read_plain_file(sums.string(), kMostTableBytes);
  if (!text) {
    std::cout << kSay.no_checksum_file(log) << "\n";
    return Verdict::bad;
  }
  std::istringstream in(*text);
  Verdict worst = Verdict::good;
  bool named = false;
  for (std::string line; std::getline(in, line);) {
    worst = std::max(worst, verify_line(line, sums.parent_path(), brief));
    named = named || line.ends_with("  " + fs::path(log).filename().string());
  }
  if (named) return worst;
  std::cout << kSay.not_named(log) << "\n";
  return std::max(worst, Verdict::bad);
}

/// One file that a closing names with its SHA-256. What the closing says cannot be changed without a trace: its row has
/// a fingerprint of its own, and the checksum file beside a log has none.
bool is_as_closed(const pointbook::ClosedFile& named, const fs::path& folder) {
  const fs::path file = folder / fs::path(named.file).filename();
  const auto found = sha256_file(file.string());
  if (found && *found == named.sha256) return true;
  std::cout << file.string() << (found ? kSay.changed_since_day() + "\n" : kSay.gone_since_day() + "\n");
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
  if (named > 0) std::cout << kSay.files_unchanged(std::to_string(same), std::to_string(named)) << "\n";
  return same == named ? kAllAccepted : kSomeHeld;
}

int verify_files(const std::vector<std::string>& logs, bool brief) {
  Verdict worst = Verdict::good;
  for (const std::string& log : logs) worst = std::max(worst, verify_log(log, brief));
  return worst == Verdict::good ? kAllAccepted : worst == Verdict::bad ? kSomeHeld : kCannotRead;
}

namespace {

int verify(const DayFiles& files) {
  if (files.pointbook.empty()) return verify_files(files.logs);
  const auto settings = settings_of(files.config);
  return settings ? verify_day(files, *settings) : kUsage;
}

void check(const DayFiles& files) {
  check_names({files.config, files.pointbook});
  check_names(files.logs);
  if (!files.pointbook.empty() && files.config.empty()) throw CLI::RequiredError("--config");
  if (files.pointbook.empty() && files.logs.empty()) throw CLI::RequiredError(kSay.log_or_config());
}

}  // namespace

void add_verify(CLI::App& office, int& status) {
  auto* verb = office.add_subcommand(
      "verify",
      "Compare each log with the checksum file (.sha256) that was written when it was closed; with --config and "
      "--pointbook also recompute the day and compare it with what the field stored, every field of every point, "
      "second and check shot, to the last bit");
  const auto files = std::make_shared<DayFiles>();
  verb->add_option("--config", files->config, "Configuration (TOML)")->type_name("FILE");
  verb->add_option("--pointbook", files->pointbook, "The day's own pointbook")->type_name("DAY.gpkg");
  verb->add_option("--log", files->logs, "Recorded log; without it the whole record of the configuration is read")
      ->type_name("FILE");
  verb->footer("Exit status: 0 all unchanged and all the same, 1 not so or without checksum file, 4 unreadable.");
  verb->callback([files, &status] {
    check(*files);
    status = verify(*files);
  });
}

}  // namespace stillpoint::office
