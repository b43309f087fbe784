#pragma once
/// The only place that reads the machine's clocks.
///
/// Units:   milliseconds, rounded down.
/// Time:    the steady clock goes on while the machine sleeps (CLOCK_BOOTTIME): a tablet that slept ten minutes has had
///          no corrections for ten minutes.
/// Threads: safe from all.
/// Errors:  none.

#include <span>

#include "base/identity.hpp"
#include "base/time.hpp"
#include "common/times.hpp"

namespace stillpoint::daemon {

MachineTime machine_now() noexcept;
UtcTime utc_now() noexcept;

/// From the system's random source.
void fill_random(std::span<std::uint8_t> bytes);

/// A new UUID version 7 from the system's clock and its random source.
std::string new_uuid();

}  // namespace stillpoint::daemon
