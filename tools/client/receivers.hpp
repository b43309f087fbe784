#pragma once
/// The receivers that this machine can hear, and what they say.
///
/// Units:   seconds. Time: the machine's steady clock. Threads: one; calls wait.
/// Errors:  one sentence with what to do.

#include <string>
#include <vector>

#include "base/result.hpp"
#include "setup/heard.hpp"
#include "setup/questions.hpp"

namespace stillpoint::client {

/// Devices that a receiver can hang on, those with a name that stays first; opens none.
std::vector<std::string> receiver_devices();

/// Listens for so long; of a serial device the first baud rate at which sentences come is put into `link`.
Result<setup::Heard> listen_to(setup::Link& link, double seconds);

/// What `stillpointd --check` says of a configuration.
struct Checked {
  int exit = 0;
  std::string said;
};
Result<Checked> check_configuration(const std::string& path);

/// The machine's time zone, as `America/Detroit`; empty: not known.
std::string zone_of_machine();

}  // namespace stillpoint::client
