#pragma once
/// Helps tests to speak like a receiver and to collect the epochs.

#include <cstdio>
#include <string>
#include <vector>

#include "epoch/assembler.hpp"
#include "nmea/decode.hpp"

namespace stillpoint::test {

template <class... Args>
std::string text(const char* format, Args... args) {
  char out[256];
  std::snprintf(out, sizeof out, format, args...);
  return out;
}

constexpr std::int64_t at(int hour, int minute, int second, int ms = 0) {
  return ((hour * 60LL + minute) * 60 + second) * 1000 + ms;
}

/// hhmmss.ss of a millisecond of the day; 86,400,000 and up print as second 60.
inline std::string clock(std::int64_t ms) {
  const bool leap = ms >= 86'400'000;
  const std::int64_t s = (leap ? 86'399'000 : ms) / 1000;
  return text("%02d%02d%02d.%02d", int(s / 3600), int(s / 60 % 60), int(s % 60) + (leap ? 1 : 0), int(ms % 1000 / 10));
}

struct GgaText {
  int quality = 4;
  double minutes = 36;
  const char* satellites = "12";
  const char* hdop = "0.80";
  const char* altitude = "183.20";
  const char* separation = "-33.90";
};
inline std::string gga(std::int64_t ms, const GgaText& g = {}) {
  return text("GNGGA,%s,47%09.6f,N,08724.000000,W,%d,%s,%s,%s,M,%s,M,1.0,0417", clock(ms).c_str(), g.minutes, g.quality,
              g.satellites, g.hdop, g.altitude, g.separation);
}
inline std::string gns(std::int64_t ms, const char* modes = "RRAN", double minutes = 36) {
  return text("GNGNS,%s,47%09.6f,N,08724.000000,W,%s,25,0.70,183.20,-33.90,1.0,0417", clock(ms).c_str(), minutes,
              modes);
}
inline std::string rmc(std::int64_t ms, const char* date = "030626", double knots = 0) {
  return text("GNRMC,%s,A,4736.000000,N,08724.000000,W,%.3f,,%s,,,R", clock(ms).c_str(), knots, date);
}
inline std::string zda(std::int64_t ms, const char* date = "03,06,2026") {
  return text("GNZDA,%s,%s,00,00", clock(ms).c_str(), date);
}
inline std::string gst(std::int64_t ms, double sigma_m = 0.01) {
  return text("GNGST,%s,0.5,,,,%.3f,%.3f,0.02", clock(ms).c_str(), sigma_m, sigma_m);
}
inline std::string gsa(const char* hdop = "0.80", double pdop = 1.5, double vdop = 1.2) {
  return text("GNGSA,A,3,1,2,3,,,,,,,,,,%.2f,%s,%.2f,1", pdop, hdop, vdop);
}
inline std::string vtg(double knots) {
  return text("GNVTG,,T,,M,%.3f,N,,K,A", knots);
}
const std::string kGsv = "GPGSV,1,1,00";

class Feed {
 public:
  void say(const std::string& body, std::int64_t arrived_ms) {
    keep(assembler.push(nmea::decode(body), SteadyTime{arrived_ms}));
  }
  /// Arrival without a clock: all at 0, as if read from a file in one piece.
  void say(const std::vector<std::string>& bodies) {
    for (const std::string& body : bodies) say(body, 0);
  }
  void tick(std::int64_t now_ms) { keep(assembler.tick(SteadyTime{now_ms})); }
  void finish() { keep(assembler.finish()); }

  epoch::Assembler assembler;
  std::vector<epoch::Epoch> epochs;

 private:
  void keep(const epoch::Epoch* epoch) {
    if (epoch) epochs.push_back(*epoch);
  }
};

}  // namespace stillpoint::test
