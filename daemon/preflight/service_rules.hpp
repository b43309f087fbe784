#pragma once
/// Whether the service as it is installed lets the daemon reach a host.
///
/// Source:  systemd.resource-control(5): IPAddressAllow= and IPAddressDeny=; what is allowed goes before what is denied,
///          an empty value takes back what stood before it. systemd.unit(5): a unit's drop-ins are read after it.
/// Threads: plain functions. Errors: none; without a unit there is nothing to say.

#include <string>
#include <vector>

namespace stillpoint::daemon {

enum class LetsOut : std::uint8_t { yes, no, unknown };

/// `text`: of the unit, then of its drop-ins. `host`: a name, of which the address is not known here, or an address.
LetsOut lets_out(const std::string& text, const std::string& host);

/// The unit and its drop-ins where systemd looks for them, in its order; empty: it is not installed.
std::string installed_unit(const std::vector<std::string>& folders);
/// Those folders of a running system.
std::vector<std::string> unit_folders();

}  // namespace stillpoint::daemon
