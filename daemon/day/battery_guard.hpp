#pragma once
/// Tells in time that the tablet's battery runs down: an open point should be kept while it can be.
///
/// Rule:    low from 15 % of charge down, until it is charged or has 3 % more. A machine without a battery, or one that
///          does not tell its charge, says nothing; batteries of a mouse or a pen are none of the machine.
/// Alerts:  `battery-low`.
/// Time:    the machine's, handed in; asked once a minute. Threads: the I/O thread. Errors: none.
/// Source:  Documentation/ABI/testing/sysfs-class-power of the Linux kernel: type, scope, status, capacity (from
///          memory).

#include <functional>
#include <optional>
#include <string>

#include "common/times.hpp"
#include "day/day_alerts.hpp"

namespace stillpoint::daemon {

struct Charge {
  double percent = 0;  ///< of all its batteries, on the average
  bool rises = false;  ///< a charger is plugged in
};

/// Of this machine; empty: it has no battery that tells. `folder` has one folder for each supply of power.
std::optional<Charge> charge_of(const std::string& folder = "/sys/class/power_supply");

class BatteryGuard {
 public:
  using Ask = std::function<std::optional<Charge>()>;
  /// `alerts` must outlive the guard.
  BatteryGuard(
      DayAlerts& alerts, std::function<MachineTime()> now, Ask ask = [] { return charge_of(); })
      : alerts_(alerts), now_(std::move(now)), ask_(std::move(ask)) {}

  void look_when_due();

 private:
  void look();

  DayAlerts& alerts_;
  std::function<MachineTime()> now_;
  Ask ask_;
  std::optional<MachineTime> looked_;
  bool low_ = false;
};

}  // namespace stillpoint::daemon
