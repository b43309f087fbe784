#include "feeds/serial_port.hpp"

#include <fcntl.h>
#include <grp.h>
#include <libserialport.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <climits>
#include <cstdlib>
#include <memory>

#include "feeds/sentences.hpp"

namespace stillpoint::daemon {
namespace {

struct FreePort {
  void operator()(sp_port* port) const noexcept { sp_free_port(port); }
};
using PortPtr = std::unique_ptr<sp_port, FreePort>;

struct Rate {
  int baud;
  speed_t speed;
};
constexpr std::array kRates{Rate{4800, B4800},     Rate{9600, B9600},     Rate{19200, B19200},
                            Rate{38400, B38400},   Rate{57600, B57600},   Rate{115200, B115200},
                            Rate{230400, B230400}, Rate{460800, B460800}, Rate{921600, B921600}};

std::string group_of(const std::string& device) {
  struct stat info {};
  std::array<char, 1024> buffer{};
  group entry{};
  group* found = nullptr;
  if (::stat(device.c_str(), &info) != 0) return "";
  if (::getgrgid_r(info.st_gid, &entry, buffer.data(), buffer.size(), &found) != 0 || found == nullptr) return "";
  return " " + std::string(found->gr_name);
}

std::string sentence_for(const std::string& device, int code) {
  if (code == ENOENT) return kSayOfFeeds.no_device(device);
  if (code == EACCES || code == EPERM) return kSayOfFeeds.not_allowed(device, group_of(device));
  if (code == EBUSY) return kSayOfFeeds.in_use(device);
  return kSayOfFeeds.not_opened(device, errno_text(code));
}

std::string real_path(const std::string& device) {
  const std::unique_ptr<char, decltype(&std::free)> resolved(::realpath(device.c_str(), nullptr), &std::free);
  return resolved ? std::string(resolved.get()) : std::string();
}

bool is_hardware(const std::string& path) {
  return path.starts_with("/dev/") && ::access(("/sys/class/tty/" + path.substr(5)).c_str(), F_OK) == 0;
}

Result<Fd> open_hardware(const std::string& path, int baud) {
  sp_port* raw = nullptr;
  if (sp_get_port_by_name(path.c_str(), &raw) != SP_OK) return fail(sentence_for(path, ENODEV));
  const PortPtr port(raw);
  errno = 0;
  if (sp_open(port.get(), SP_MODE_READ_WRITE) != SP_OK) return fail(sentence_for(path, errno));
  const bool set = sp_set_baudrate(port.get(), baud) == SP_OK && sp_set_bits(port.get(), 8) == SP_OK &&
                   sp_set_parity(port.get(), SP_PARITY_NONE) == SP_OK && sp_set_stopbits(port.get(), 1) == SP_OK &&
                   sp_set_flowcontrol(port.get(), SP_FLOWCONTROL_NONE) == SP_OK;
  int handle = -1;
  sp_get_port_handle(port.get(), &handle);
  // The library closes its own handle; ours is a copy of it.
  Fd fd(::fcntl(handle, F_DUPFD_CLOEXEC, 0));
  sp_close(port.get());
  if (!set || !fd) return fail(kSayOfFeeds.rate_refused(path, std::to_string(baud)));
  return fd;
}

Result<Fd> open_plain(const std::string& path) {
  Fd fd(::open(path.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC));
  if (!fd) return fail(sentence_for(path, errno));
  termios mode{};
  if (::tcgetattr(fd.get(), &mode) != 0) return fail(kSayOfFeeds.no_serial_port(path));
  ::cfmakeraw(&mode);
  mode.c_cflag |= CLOCAL | CREAD;
  if (::tcsetattr(fd.get(), TCSANOW, &mode) != 0) return fail(sentence_for(path, errno));
  return fd;
}

// libserialport leaves VMIN at 0, and then an idle line reads as its end.
Result<void> finish_opening(const std::string& path, int fd) {
  if (::flock(fd, LOCK_EX | LOCK_NB) != 0) return fail(sentence_for(path, errno == EWOULDBLOCK ? EBUSY : errno));
  if (::ioctl(fd, TIOCEXCL) != 0 && errno != ENOTTY) return fail(sentence_for(path, errno));
  termios mode{};
  if (::tcgetattr(fd, &mode) != 0) return fail(sentence_for(path, errno));
  mode.c_cc[VMIN] = 1;
  mode.c_cc[VTIME] = 0;
  if (::tcsetattr(fd, TCSANOW, &mode) != 0) return fail(sentence_for(path, errno));
  ::fcntl(fd, F_SETFL, ::fcntl(fd, F_GETFL) | O_NONBLOCK);
  return {};
}

std::string transport_of(const sp_port* port) {
  switch (sp_get_port_transport(port)) {
    case SP_TRANSPORT_USB:
      return "USB";
    case SP_TRANSPORT_BLUETOOTH:
      return "Bluetooth";
    case SP_TRANSPORT_NATIVE:
      return kSayOfFeeds.built_in();
  }
  return "unknown";
}

}  // namespace

Result<Fd> open_serial_port(const std::string& device, int baud) {
  const std::string path = real_path(device);
  if (path.empty()) return fail(sentence_for(device, errno));
  auto fd = is_hardware(path) ? open_hardware(path, baud) : open_plain(path);
  if (!fd) return fd;
  if (auto done = finish_opening(path, fd->get()); !done) return fail(done.error().text);
  set_baud(fd->get(), baud);
  return fd;
}

bool set_baud(int fd, int baud) noexcept {
  for (const Rate& rate : kRates) {
    if (rate.baud != baud) continue;
    termios mode{};
    if (::tcgetattr(fd, &mode) != 0) return false;
    ::cfsetispeed(&mode, rate.speed);
    ::cfsetospeed(&mode, rate.speed);
    return ::tcsetattr(fd, TCSANOW, &mode) == 0;
  }
  return false;
}

bool is_bluetooth_node(const std::string& device) {
  const auto is_bridge = [](const std::string& path) { return path.substr(path.rfind('/') + 1).starts_with("rfcomm"); };
  return is_bridge(device) || is_bridge(real_path(device));
}

bool is_gone(int fd) noexcept {
  termios mode{};
  return ::tcgetattr(fd, &mode) != 0 && (errno == EIO || errno == ENXIO || errno == ENODEV || errno == EBADF);
}

Result<std::vector<PortInfo>> list_serial_ports() {
  sp_port** list = nullptr;
  if (sp_list_ports(&list) != SP_OK) return fail(kSayOfFeeds.ports_unknown());
  const std::unique_ptr<sp_port*, decltype(&sp_free_port_list)> owner(list, &sp_free_port_list);
  std::vector<PortInfo> ports;
  for (sp_port** at = list; *at != nullptr; ++at) {
    const char* description = sp_get_port_description(*at);
    ports.push_back({sp_get_port_name(*at), description != nullptr ? description : "", transport_of(*at)});
  }
  return ports;
}

}  // namespace stillpoint::daemon
