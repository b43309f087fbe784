#include "keeping/checksum_file.hpp"

#include <algorithm>
#include <cerrno>
#include <filesystem>

#include "base/identity.hpp"
#include "common/file.hpp"
#include "keeping/sentences.hpp"

namespace stillpoint::daemon {
namespace {

std::string sum_line(const std::string& sum, const std::string& stem, const char* ending) {
  return sum + "  " + pair_name(stem) + ending + "\n";
}

/// What a run left that ended without a word may be in memory only, and a sum on the disk would then accuse it after a
/// loss of power. A file that may not be written is nothing that was just recorded.
int sync_left(pointbook::Disk& disk, const std::string& path) {
  const int fd = disk.open(path);
  if (fd == -EACCES || fd == -EPERM || fd == -EROFS) return 0;
  if (fd < 0) return fd;
  const int code = pointbook::sync_data(disk, fd);
  disk.close(fd);
  return code;
}

/// The sum of a file as it lies there, unless it is known.
Result<void> complete(pointbook::Disk& disk, std::string& sum, const std::string& path) {
  if (!sum.empty()) return {};
  auto found = sha256_file(path);
  if (!found) return tl::unexpected(found.error());
  if (const int code = sync_left(disk, path); code != 0) return fail(pointbook::disk_words(code));
  sum = std::move(*found);
  return {};
}

}  // namespace

std::string pair_name(const std::string& stem) {
  return stem.substr(stem.rfind('/') + 1);
}

Result<void> write_checksum_file(pointbook::Disk& disk, PairSums sums) {
  const std::string path = sums.stem + ".sha256";
  const auto failed = [&path](const std::string& why) { return fail(kSayOfRecord.sums_not_written(path, why)); };
  if (auto done = complete(disk, sums.nmea, sums.stem + ".nmea"); !done) return failed(done.error().text);
  if (auto done = complete(disk, sums.journal, sums.stem + ".journal"); !done) return failed(done.error().text);
  std::error_code none;
  const bool has_rtcm = !sums.rtcm.empty() || std::filesystem::exists(sums.stem + ".rtcm", none);
  if (has_rtcm) {
    if (auto done = complete(disk, sums.rtcm, sums.stem + ".rtcm"); !done) return failed(done.error().text);
  }
  const int code =
      pointbook::replace_file(disk, path,
                              sum_line(sums.nmea, sums.stem, ".nmea") + sum_line(sums.journal, sums.stem, ".journal") +
                                  (has_rtcm ? sum_line(sums.rtcm, sums.stem, ".rtcm") : std::string()));
  return code == 0 ? Result<void>{} : failed(pointbook::disk_words(code));
}

std::vector<PairSums> unsealed_in(const std::string& folder) {
  std::vector<PairSums> out;
  std::error_code none;
  for (const auto& entry : std::filesystem::directory_iterator(folder, none)) {
    std::filesystem::path path = entry.path();
    if (path.extension() != ".nmea") continue;
    std::filesystem::path sums = path;
    if (std::filesystem::exists(sums.replace_extension(".sha256"), none)) continue;
    out.push_back({path.replace_extension("").string(), "", ""});
  }
  std::sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.stem < b.stem; });
  return out;
}

}  // namespace stillpoint::daemon
