#pragma once
/// Opens a serial port or a pseudo-terminal, exclusively, so that a read waits for bytes.
///
/// Hardware goes through libserialport; what has no place in /sys/class/tty (pseudo-terminals) is opened plainly.
/// Symlinks are followed at every opening, so a port that comes back under another name is found again.
///
/// Errors:  sentences that say what to do (join a group, close the other program).
/// Threads: any one.

#include <optional>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "common/file.hpp"

namespace stillpoint::daemon {

/// An open port in raw mode with an exclusive lock, non-blocking, closed on exec.
Result<Fd> open_serial_port(const std::string& device, int baud);

/// Sets the rate of an open port. A pseudo-terminal takes any.
bool set_baud(int fd, int baud) noexcept;

/// A read gave nothing: is the device gone, or was it only idle?
bool is_gone(int fd) noexcept;

/// A node that bridges a Bluetooth link (rfcomm), by its own name or by the one it leads to.
bool is_bluetooth_node(const std::string& device);

struct PortInfo {
  std::string name, description, transport;
};
/// What is there, without opening anything.
Result<std::vector<PortInfo>> list_serial_ports();

}  // namespace stillpoint::daemon
