#pragma once
/// The receivers that this machine can hear, and what they say.
///
/// Units:   seconds. Time: the machine's steady clock. Threads: one; calls wait.
/// Errors:  one sentence with what to do.

#include <string>
#include <vector>

#include "base/result.hpp"
#include "setup/course.hpp"
#include "setup/heard.hpp"

namespace stillpoint::client {

/// Devices that a receiver can hang on, those with a name that stays first; opens none.
std::vector<std::string> receiver_devices();

/// Listens for so long; of a serial device the first baud rate at which sentences come is put into `link`, unless one was
/// given.
Result<setup::Heard> listen_to(setup::Link& link, double seconds);

/// The streams of a caster; none are asked for where it wants TLS.
Result<ntrip::SourceTable> mounts_of(const setup::CasterAsked& caster);

/// What `stillpointd --check` says of a configuration.
struct Checked {
  int exit = 0;
  std::string said;
};
Result<Checked> check_configuration(const std::string& path);

/// By the machine's clock.
UtcTime today_of_machine();

}  // namespace stillpoint::client
