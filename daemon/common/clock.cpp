#include "common/clock.hpp"

#include <sys/random.h>
#include <time.h>

#include <cerrno>
#include <random>

namespace stillpoint::daemon {
namespace {

std::int64_t read_ms(clockid_t id) noexcept {
  timespec now{};
  ::clock_gettime(id, &now);
  return static_cast<std::int64_t>(now.tv_sec) * 1000 + now.tv_nsec / 1'000'000;
}

}  // namespace

MachineTime machine_now() noexcept {
  return MachineTime{read_ms(CLOCK_BOOTTIME)};
}
UtcTime utc_now() noexcept {
  return UtcTime{read_ms(CLOCK_REALTIME)};
}

void fill_random(std::span<std::uint8_t> bytes) {
  // So few bytes come whole once the pool is filled; only a signal can get in between.
  while (::getrandom(bytes.data(), bytes.size(), 0) != static_cast<ssize_t>(bytes.size())) {
    if (errno == EINTR) continue;
    std::random_device device;
    for (auto& byte : bytes) byte = static_cast<std::uint8_t>(device());
    break;
  }
}

std::string new_uuid() {
  UuidEntropy entropy{};
  fill_random(entropy);
  return make_uuid7(utc_now(), entropy);
}

}  // namespace stillpoint::daemon
