// What a burst of a 20 Hz stream costs before anything is made of it: the system calls on a burst's way and nothing
// else.
//
//   system_calls_alone PORT FOLDER
//
// Stands in the daemon's place for status_latency: connects to the receiver on PORT, takes one client on
// FOLDER/control, and for every burst reads it, appends it to one file and a line to another, and sends the client a
// message of the length of a status, with nothing in it but the burst's time. It runs until the receiver goes.
//
// The daemon's timers, its syncs of the files and its open stay are not in it.

#include <arpa/inet.h>
#include <fcntl.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/epoll.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <string_view>

namespace {

constexpr int kMostTries = 2000;
constexpr std::size_t kStatusSize = 2042;  // of the daemon's status on such a burst, with an open stay
constexpr std::string_view kBurstBegin = "$GNRMC,";
constexpr std::string_view kJournalLine = "132179 53332559\n";

[[noreturn]] void give_up(const std::string& why) {
  std::fprintf(stderr, "system_calls_alone: %s\n", why.c_str());
  std::exit(1);
}

int client_on(const std::string& path) {
  sockaddr_un at{};
  at.sun_family = AF_UNIX;
  if (path.size() >= sizeof at.sun_path) give_up("the path of the socket is too long");
  std::copy(path.begin(), path.end(), at.sun_path);
  const int listener = ::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
  if (::bind(listener, reinterpret_cast<const sockaddr*>(&at), sizeof at) != 0 || ::listen(listener, 1) != 0)
    give_up("the control socket cannot be made");
  const int client = ::accept(listener, nullptr, nullptr);
  ::close(listener);
  std::array<char, 256> request{};
  if (::read(client, request.data(), request.size()) <= 0) give_up("the client asked for nothing");
  return client;
}

/// The receiver may still be starting.
int receiver_at(int port) {
  sockaddr_in at{};
  at.sin_family = AF_INET;
  at.sin_port = htons(static_cast<std::uint16_t>(port));
  at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  for (int tries = 0; tries < kMostTries; ++tries) {
    const int link = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (::connect(link, reinterpret_cast<const sockaddr*>(&at), sizeof at) == 0) {
      ::fcntl(link, F_SETFL, O_NONBLOCK);
      return link;
    }
    ::close(link);
    ::poll(nullptr, 0, 10);
  }
  give_up("the receiver cannot be reached");
}

int create(const std::string& path) {
  const int fd = ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_APPEND | O_CLOEXEC, 0640);
  if (fd < 0) give_up(path + " cannot be made");
  return fd;
}

/// `$GNRMC,140006.550,…` as a message that status_latency, whose bursts are of one day, takes for the status of it.
std::string status_of(std::string_view burst) {
  const std::string_view time = burst.substr(kBurstBegin.size(), 10);
  std::string utc = "2026-06-03T";
  utc.append(time.substr(0, 2)).append(":").append(time.substr(2, 2)).append(":").append(time.substr(4));
  std::string text =
      R"({"method":"status","params":{"epoch":{"utc":")" + utc + R"("},"verdict":{"accepted":true},"_":")";
  text.resize(kStatusSize - 4, '_');
  return text + "\"}}\n";
}

void append(int fd, std::string_view text) {
  if (::write(fd, text.data(), text.size()) != static_cast<ssize_t>(text.size())) give_up("a file cannot be written");
}

void serve(int link, int client, const std::string& folder) {
  const int nmea = create(folder + "/alone.nmea");
  const int journal = create(folder + "/alone.journal");
  const int events = ::epoll_create1(EPOLL_CLOEXEC);
  epoll_event event{};
  event.events = EPOLLIN | EPOLLET;
  if (::epoll_ctl(events, EPOLL_CTL_ADD, link, &event) != 0) give_up("the link cannot be watched");
  std::array<char, 16'384> chunk{};
  for (;;) {
    const ssize_t size = ::recv(link, chunk.data(), chunk.size(), 0);
    if (size == 0) return;
    if (size < 0 && errno != EAGAIN) give_up("the link broke");
    if (size < 0) {
      ::epoll_wait(events, &event, 1, -1);
      continue;
    }
    const std::string_view burst(chunk.data(), static_cast<std::size_t>(size));
    append(nmea, burst);
    append(journal, kJournalLine);
    if (!burst.starts_with(kBurstBegin)) continue;  // a torn one: status_latency will miss it
    const std::string status = status_of(burst);
    if (::send(client, status.data(), status.size(), MSG_NOSIGNAL) <= 0) give_up("the client went");
  }
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 3) {
    std::fputs("usage: system_calls_alone PORT FOLDER\n", stderr);
    return 2;
  }
  const int link = receiver_at(std::atoi(argv[1]));
  serve(link, client_on(std::string(argv[2]) + "/control"), argv[2]);
}
