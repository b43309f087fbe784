#pragma once
/// Sentences for tests: what a receiver would print, second by second.

#include <array>
#include <cmath>
#include <cstdio>
#include <string>

namespace stillpoint::support {

inline std::string sentence(const std::string& body) {
  unsigned sum = 0;
  for (const char c : body) sum ^= static_cast<unsigned char>(c);
  std::array<char, 24> tail{};
  std::snprintf(tail.data(), tail.size(), "*%02X\r\n", sum);
  return "$" + body + tail.data();
}

/// One second of a receiver at 1 Hz that stands near 47.6 N 87.4 W. Change what a test needs changed.
struct Second {
  int t_s = 0;  ///< after 14:00:00
  int quality = 4;
  std::string age = "1.0";
  std::string station = "0417";
  double north_m = 0, east_m = 0, up_m = 0;
  double sigma_m = 0.010;
  double speed_knots = 0.02;
  bool gst = true, gsa = true, rmc = true;
  int satellites = 14;
  std::string date = "030626";
  int hundredths = 0;
  double separation_m = -36.0;

  std::string text() const {
    std::array<char, 256> line{};
    std::array<char, 48> time{};
    std::snprintf(time.data(), time.size(), "%02d%02d%02d.%02d", 14 + t_s / 3600, t_s / 60 % 60, t_s % 60, hundredths);
    const double lat = 47.6 + north_m / 111'170.0;
    const double lon = 87.4 - east_m / (111'320.0 * std::cos(47.6 * 3.14159265358979 / 180));
    std::array<char, 96> where{};
    std::snprintf(where.data(), where.size(), "%02d%011.8f,N,%03d%011.8f,W", static_cast<int>(lat),
                  (lat - static_cast<int>(lat)) * 60, static_cast<int>(lon), (lon - static_cast<int>(lon)) * 60);
    std::snprintf(line.data(), line.size(), "GNGGA,%s,%s,%d,%02d,0.7,%.4f,M,%.3f,M,%s,%s", time.data(), where.data(),
                  quality, satellites, 180.0 + up_m, separation_m, age.c_str(), station.c_str());
    std::string out = sentence(line.data());
    if (gst) {
      std::snprintf(line.data(), line.size(), "GNGST,%s,0.5,%.4f,%.4f,30.0,%.4f,%.4f,%.4f", time.data(), sigma_m,
                    0.8 * sigma_m, 0.95 * sigma_m, 0.86 * sigma_m, 1.5 * sigma_m);
      out += sentence(line.data());
    }
    if (gsa) out += sentence("GNGSA,A,3,01,02,03,04,05,06,07,,,,,,1.3,0.7,1.1,1");
    if (rmc) {
      std::snprintf(line.data(), line.size(), "GNRMC,%s,A,%s,%.3f,,%s,,,R,V", time.data(), where.data(), speed_knots,
                    date.c_str());
      out += sentence(line.data());
    }
    return out;
  }
};

}  // namespace stillpoint::support
