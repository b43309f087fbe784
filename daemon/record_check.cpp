#include "record_check.hpp"

#include <algorithm>
#include <filesystem>
#include <sstream>

#include "base/identity.hpp"
#include "base/plain_file.hpp"
#include "base/time.hpp"

namespace stillpoint::daemon {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t kDayBack_ms = 25LL * 3'600'000;
constexpr std::size_t kSumDigits = 64;
constexpr std::uint64_t kMostSumsBytes = 65536;

/// When a pair was begun, from its name `20260603T140000Z-01`.
std::optional<UtcTime> begun(const std::string& name) {
  if (name.size() < 16) return std::nullopt;
  return parse_utc(name.substr(0, 4) + "-" + name.substr(4, 2) + "-" + name.substr(6, 5) + ":" + name.substr(11, 2) +
                   ":" + name.substr(13, 3));
}

/// Names of the pairs of the day, without the ending.
std::vector<std::string> pairs_in(const std::string& folder, const std::string& current) {
  const std::string now = fs::path(current).filename().string();
  const auto newest = begun(now);
  std::vector<std::string> out;
  std::error_code none;
  for (const auto& entry : fs::directory_iterator(folder, none)) {
    if (entry.path().extension() != ".nmea") continue;
    std::string name = entry.path().stem().string();
    const auto since = begun(name);
    const bool long_ago = since && newest && newest->ms - since->ms > kDayBack_ms;
    if (name != now && !long_ago) out.push_back(std::move(name));
  }
  std::sort(out.begin(), out.end());
  return out;
}

void check_line(const std::string& folder, const std::string& line, RecordChecked& out) {
  const std::string name = line.size() > kSumDigits + 2 ? line.substr(kSumDigits + 2) : std::string();
  if (name.empty() || name.find('/') != std::string::npos) {
    out.faults.push_back("a line of a checksum file in " + folder + " is damaged");
    return;
  }
  const auto found = sha256_file(folder + "/" + name);
  if (found && *found == line.substr(0, kSumDigits)) return out.files.push_back({name, *found});
  out.faults.push_back(name + (found ? " has changed since it was recorded" : " cannot be read"));
}

}  // namespace

RecordChecked check_record(const std::string& folder, const std::string& current, const std::atomic<bool>& stop) {
  RecordChecked out;
  for (const std::string& name : pairs_in(folder, current)) {
    if (stop) break;
    std::istringstream sums(read_plain_file(folder + "/" + name + ".sha256", kMostSumsBytes).value_or(""));
    const std::size_t before = out.files.size() + out.faults.size();
    for (std::string line; std::getline(sums, line);) check_line(folder, line, out);
    if (out.files.size() + out.faults.size() < before + 2)
      out.faults.push_back(name + ".sha256 is missing or not whole");
  }
  return out;
}

}  // namespace stillpoint::daemon
