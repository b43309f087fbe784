#include "day/battery_guard.hpp"

#include <chrono>
#include <filesystem>

#include "base/number.hpp"
#include "base/plain_file.hpp"
#include "common/sentences.hpp"
#include "common/timers.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::chrono::milliseconds kLook{60'000};
constexpr double kLowPercent = 15, kMorePercent = 3;

constexpr std::uint64_t kMostBytes = 4096;  // of a file that the kernel makes

/// The one line of such a file; empty when it cannot be read.
std::string line_in(const std::filesystem::path& file) {
  const auto text = read_plain_file(file.string(), kMostBytes);
  return text ? text->substr(0, text->find('\n')) : std::string();
}

}  // namespace

std::optional<Charge> charge_of(const std::string& folder) {
  std::error_code none;
  double sum = 0;
  int batteries = 0;
  bool rises = false;
  for (const auto& supply : std::filesystem::directory_iterator(folder, none)) {
    if (line_in(supply.path() / "type") != "Battery" || line_in(supply.path() / "scope") == "Device") continue;
    const auto percent = parse_decimal(line_in(supply.path() / "capacity"));
    if (!percent || *percent < 0 || *percent > 100) continue;
    sum += *percent;
    ++batteries;
    const std::string status = line_in(supply.path() / "status");
    rises |= status == "Charging" || status == "Full";
  }
  if (batteries == 0) return std::nullopt;
  return Charge{sum / batteries, rises};
}

void BatteryGuard::look_when_due() {
  const MachineTime now = now_();
  if (looked_ && ms_between(*looked_, now) < scaled(kLook).count()) return;
  looked_ = now;
  look();
}

void BatteryGuard::look() {
  const auto charge = ask_();
  if (!charge) return;
  low_ = !charge->rises && charge->percent <= kLowPercent + (low_ ? kMorePercent : 0);
  if (!low_) return alerts_.clear("battery-low");
  alerts_.raise("battery-low", session::Severity::warning,
                {kSay.battery_low(fixed(charge->percent, 0)), kSayBriefly.battery_low()});
}

}  // namespace stillpoint::daemon
