#include "keeping/record_inspection.hpp"

#include <unistd.h>

#include <cstdint>
#include <sstream>

#include "base/identity.hpp"
#include "base/plain_file.hpp"
#include "keeping/sentences.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::size_t kSumDigits = 64;
constexpr std::uint64_t kMostSumsBytes = 65536;

/// What the checksum file of a pair says; an empty text: it says nothing of that file.
struct Sums {
  std::string nmea, journal, rtcm;
};

Sums sums_of(const std::string& folder, const std::string& name) {
  std::istringstream lines(read_plain_file(folder + "/" + name + ".sha256", kMostSumsBytes).value_or(""));
  Sums out;
  for (std::string line; std::getline(lines, line);) {
    if (line.size() <= kSumDigits + 2) continue;
    const std::string file = line.substr(kSumDigits + 2), sum = line.substr(0, kSumDigits);
    if (file == name + ".nmea") out.nmea = sum;
    if (file == name + ".journal") out.journal = sum;
    if (file == name + ".rtcm") out.rtcm = sum;
  }
  return out;
}

/// `wanted`: by the catalogue; empty when it does not know.
void check_file(const std::string& folder, const std::string& file, const std::string& wanted,
                const std::string& beside, RecordInspection& out) {
  const std::string path = folder + "/" + file;
  const auto found = sha256_file(path);
  if (!found) {
    const auto& fault = ::access(path.c_str(), F_OK) != 0 ? kSayOfRecord.gone : kSayOfRecord.unreadable;
    return out.faults.push_back(fault(file));
  }
  const std::string& sum = wanted.empty() ? beside : wanted;
  if (*found == sum) return out.files.push_back({file, *found});
  // When no checksum is known at all, only the missing checksum file is reported.
  if (!sum.empty()) out.faults.push_back(kSayOfRecord.changed(file));
}

void check_pair(const std::string& folder, const RecordedPair& pair, RecordInspection& out) {
  const Sums beside = sums_of(folder, pair.name);
  check_file(folder, pair.name + ".nmea", pair.nmea_sha256, beside.nmea, out);
  check_file(folder, pair.name + ".journal", pair.journal_sha256, beside.journal, out);
  if (!beside.rtcm.empty()) check_file(folder, pair.name + ".rtcm", "", beside.rtcm, out);
  const bool whole = !beside.nmea.empty() && !beside.journal.empty();
  const bool same = (pair.nmea_sha256.empty() || pair.nmea_sha256 == beside.nmea) &&
                    (pair.journal_sha256.empty() || pair.journal_sha256 == beside.journal);
  if (!whole) out.faults.push_back(kSayOfRecord.sums_missing(pair.name));
  if (whole && !same) out.faults.push_back(kSayOfRecord.sums_changed(pair.name));
}

}  // namespace

RecordInspection inspect_record(const std::string& folder, const std::vector<RecordedPair>& pairs,
                                const std::atomic<bool>& stop) {
  RecordInspection out;
  for (const RecordedPair& pair : pairs) {
    if (stop) break;
    check_pair(folder, pair, out);
  }
  return out;
}

}  // namespace stillpoint::daemon
