// How long it takes from the last byte of a receiver's burst to the status message of it at a client.
//
//   status_latency PORT SOCKET SECONDS
//
// Is the receiver, on a TCP port that the daemon connects to, and the client, on the daemon's control socket; both ends
// are stamped with one clock. A burst is a full one (RMC VTG GNS GGA, four GSA, five GSV, ZDA, GST), 20 times a second,
// written by one call; its stamp is taken in front of that call. The first five seconds are not counted.
//
// What is measured has the machine to itself as far as that goes: bursts are printed before the first one is sent, and
// what came is looked into when all is over.

#include <arpa/inet.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <map>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <vector>

namespace {

using Clock = std::chrono::steady_clock;
using std::chrono::milliseconds;

constexpr int kRateHz = 20;
constexpr int kWarmUpS = 5;
constexpr milliseconds kPatience{20'000};

[[noreturn]] void give_up(const std::string& why) {
  std::fprintf(stderr, "status_latency: %s\n", why.c_str());
  std::exit(1);
}

template <class... Args>
std::string line(const char* format, Args... args) {
  std::array<char, 160> body{};
  std::snprintf(body.data(), body.size(), format, args...);
  unsigned sum = 0;
  for (const char* c = body.data(); *c != '\0'; ++c) sum ^= static_cast<unsigned char>(*c);
  std::array<char, 176> whole{};
  std::snprintf(whole.data(), whole.size(), "$%s*%02X\r\n", body.data(), sum);
  return whole.data();
}

/// Burst n, and the time in it as the status prints it.
struct Burst {
  std::string text;
  std::string utc;
};

Burst burst(int n) {
  const int ms = n * (1000 / kRateHz);
  std::array<char, 16> time{}, clock{};
  const int minute = ms / 60'000 % 60, second = ms / 1000 % 60;
  std::snprintf(time.data(), time.size(), "14%02d%02d.%03d", minute, second, ms % 1000);
  std::snprintf(clock.data(), clock.size(), "14:%02d:%02d.%03d", minute, second, ms % 1000);
  const int tremble = n * 7 % 11;
  const char* t = time.data();
  std::string out = line("GNRMC,%s,A,4736.00000%02d,N,08724.0000000,W,0.012,,030626,,,R,V", t, tremble);
  out += line("%s", "GNVTG,211.4,T,,M,0.012,N,0.022,K,D");
  out += line("GNGNS,%s,4736.00000%02d,N,08724.0000000,W,RRRN,27,0.61,184.5%02d,-36.200,%.1f,0417,V", t, tremble,
              n * 3 % 17, 1.0 + n % 5 * 0.1);
  out += line("GNGGA,%s,4736.00000%02d,N,08724.0000000,W,4,27,0.61,184.5%02d,M,-36.200,M,%.1f,0417", t, tremble,
              n * 3 % 17, 1.0 + n % 5 * 0.1);
  for (int system = 1; system <= 4; ++system)
    out += line("GNGSA,A,3,05,07,13,14,15,20,24,28,30,,,,1.14,0.61,0.96,%d", system);
  for (int part = 1; part <= 3; ++part)
    out += line("GPGSV,3,%d,12,05,41,297,44,07,22,063,39,13,67,184,48,14,35,%03d,42,1", part, n % 360);
  for (int part = 1; part <= 2; ++part)
    out += line("GAGSV,2,%d,08,03,41,297,44,08,22,063,39,15,67,184,48,27,35,%03d,42,7", part, n % 360);
  out += line("GNZDA,%s,03,06,2026,00,00", t);
  out += line("GNGST,%s,0.52,0.0%02d,0.009,41.5,0.011,0.010,0.0%02d", t, 10 + n % 4, 15 + n % 5);
  return {out, std::string("2026-06-03T") + clock.data()};
}

int receiver(int port) {
  const int listener = ::socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0);
  const int on = 1;
  ::setsockopt(listener, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
  sockaddr_in at{};
  at.sin_family = AF_INET;
  at.sin_port = htons(static_cast<std::uint16_t>(port));
  at.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
  if (::bind(listener, reinterpret_cast<const sockaddr*>(&at), sizeof at) != 0 || ::listen(listener, 1) != 0)
    give_up("the port is taken");
  pollfd waiting{listener, POLLIN, 0};
  if (::poll(&waiting, 1, static_cast<int>(kPatience.count())) != 1) give_up("the daemon did not connect");
  const int link = ::accept(listener, nullptr, nullptr);
  ::setsockopt(link, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
  ::close(listener);
  return link;
}

int client(const std::string& path) {
  sockaddr_un at{};
  at.sun_family = AF_UNIX;
  if (path.size() >= sizeof at.sun_path) give_up("the path of the socket is too long");
  std::copy(path.begin(), path.end(), at.sun_path);
  const auto until = Clock::now() + kPatience;
  while (Clock::now() < until) {
    const int fd = ::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    if (::connect(fd, reinterpret_cast<const sockaddr*>(&at), sizeof at) == 0) return fd;
    ::close(fd);
    ::poll(nullptr, 0, 10);
  }
  give_up("the control socket cannot be reached");
}

void write_whole(int fd, std::string_view text) {
  while (!text.empty()) {
    const ssize_t written = ::write(fd, text.data(), text.size());
    if (written <= 0) give_up("the daemon closed the link");
    text.remove_prefix(static_cast<std::size_t>(written));
  }
}

class Stopwatch {
 public:
  void sent(const std::string& utc, Clock::time_point at) { sent_[utc] = at; }

  /// Reads what has come; every message that ends in it has the time of the reading.
  void read(int fd) {
    const ssize_t size = ::read(fd, chunk_.data(), chunk_.size());
    const auto now = Clock::now();
    if (size <= 0) give_up("the daemon closed the control socket");
    text_.append(chunk_.data(), static_cast<std::size_t>(size));
    read_.push_back({text_.size(), now});
  }

  int report(int expected) {
    hear_all();
    if (took_ms_.empty()) give_up("no status came");
    std::sort(took_ms_.begin(), took_ms_.end());
    const auto share = [this](double part) {
      return took_ms_[static_cast<std::size_t>(part * static_cast<double>(took_ms_.size() - 1))];
    };
    std::printf(
        "{\"bursts\": %d, \"heard\": %zu, \"accepted\": %d, \"p50_ms\": %.4f, \"p99_ms\": %.4f, "
        "\"worst_ms\": %.4f}\n",
        expected, took_ms_.size(), accepted_, share(0.5), share(0.99), took_ms_.back());
    return 0;
  }

 private:
  struct Reading {
    std::size_t size;  ///< of all that had come by then
    Clock::time_point at;
  };

  void hear_all() {
    auto reading = read_.begin();
    std::size_t begin = 0;
    for (std::size_t end = text_.find('\n'); end != std::string::npos; end = text_.find('\n', begin)) {
      while (reading->size <= end) ++reading;
      hear(nlohmann::json::parse(text_.substr(begin, end - begin)), reading->at);
      begin = end + 1;
    }
  }

  void hear(const nlohmann::json& message, Clock::time_point now) {
    if (message.value("method", "") != "status") return;
    const auto& epoch = message["params"]["epoch"];
    if (!epoch.is_object() || !epoch["utc"].is_string()) return;
    std::string utc = epoch["utc"].get<std::string>();
    if (utc.ends_with('Z')) utc.pop_back();
    if (utc.size() == 19) utc += ".000";
    const auto at = sent_.find(utc);
    if (at == sent_.end()) return;
    took_ms_.push_back(std::chrono::duration<double, std::milli>(now - at->second).count());
    accepted_ += message["params"]["verdict"].value("accepted", false) ? 1 : 0;
    sent_.erase(at);
  }

  std::map<std::string, Clock::time_point> sent_;
  std::array<char, 65'536> chunk_{};
  std::string text_;
  std::vector<Reading> read_;
  std::vector<double> took_ms_;
  int accepted_ = 0;
};

int measure(int port, const std::string& path, int seconds) {
  const int link = receiver(port);
  const int control = client(path);
  write_whole(control, "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"follow\"}\n");
  Stopwatch watch;
  const int bursts = (kWarmUpS + seconds) * kRateHz;
  std::vector<Burst> all;
  for (int n = 0; n <= bursts; ++n) all.push_back(burst(n));
  const auto begin = Clock::now();
  for (int n = 0; n <= bursts; ++n) {
    const Burst& next = all[static_cast<std::size_t>(n)];
    const auto due = begin + milliseconds(n * 1000 / kRateHz);
    for (auto now = Clock::now(); now < due; now = Clock::now()) {
      const auto left = std::chrono::duration_cast<std::chrono::nanoseconds>(due - now).count();
      const timespec wait{left / 1'000'000'000, left % 1'000'000'000};
      pollfd waiting{control, POLLIN, 0};
      if (::ppoll(&waiting, 1, &wait, nullptr) == 1) watch.read(control);
    }
    if (n == bursts) break;
    if (n >= kWarmUpS * kRateHz) watch.sent(next.utc, Clock::now());
    write_whole(link, next.text);
  }
  return watch.report(seconds * kRateHz);
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 4) {
    std::fputs("usage: status_latency PORT SOCKET SECONDS\n", stderr);
    return 2;
  }
  return measure(std::atoi(argv[1]), argv[2], std::atoi(argv[3]));
}
