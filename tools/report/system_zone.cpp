#include "report/system_zone.hpp"

#include <time.h>

#include <cstdlib>
#include <filesystem>

namespace stillpoint::report {
namespace {

std::int64_t offset_s(UtcTime time) {
  const time_t seconds = static_cast<time_t>((time.ms - (time.ms < 0 ? 999 : 0)) / 1000);
  struct tm local {};
  return localtime_r(&seconds, &local) == nullptr ? 0 : local.tm_gmtoff;
}

/// The system library takes a name that it does not know for UTC, without a word.
bool is_known(const std::string& zone) {
  const char* folder = std::getenv("TZDIR");  // NOLINT(concurrency-mt-unsafe): one thread
  std::error_code error;
  const std::filesystem::path zones = folder != nullptr ? folder : "/usr/share/zoneinfo";
  return zone.find("..") == std::string::npos && std::filesystem::is_regular_file(zones / zone, error);
}

}  // namespace

std::optional<DayClock> clock_of_zone(const std::string& zone) {
  if (zone.empty() || zone == "UTC") return DayClock{};
  if (!is_known(zone)) return std::nullopt;
  setenv("TZ", zone.c_str(), 1);  // NOLINT(concurrency-mt-unsafe): one thread
  tzset();
  return DayClock(zone, offset_s);
}

}  // namespace stillpoint::report
