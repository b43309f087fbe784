#pragma once
/// `stillpoint setup`: asks, listens, and writes a configuration.
///
/// Units:   seconds. Threads: one.
/// Errors:  a sentence on `err`; the exit status is 0 written, 1 written but not usable as it is, or nothing written
///          because the answers ended, 2 usage, 3 cannot write.

#include <functional>
#include <iosfwd>
#include <string>
#include <vector>

#include "base/plain_file.hpp"
#include "base/result.hpp"
#include "client/receivers.hpp"

namespace stillpoint::client {

struct SetupAsked {
  std::string file = "day.toml";
  std::string receiver;  ///< empty: it is asked for
  double listen_s = 20.0;
};

/// What the set-up needs of the machine, so that tests can give their own.
struct Machine {
  std::function<std::vector<std::string>()> devices = receiver_devices;
  std::function<Result<setup::Heard>(setup::Link&, double)> listen = listen_to;
  std::function<Result<ntrip::SourceTable>(const setup::CasterAsked&)> mounts = mounts_of;
  std::function<Result<Checked>(const std::string&)> check = check_configuration;
  std::string zone = zone_of_machine();
  UtcTime today = today_of_machine();
};

int set_up(const SetupAsked& asked, const Machine& machine, std::istream& in, std::ostream& out, std::ostream& err);

}  // namespace stillpoint::client
