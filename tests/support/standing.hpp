#pragma once
/// A receiver that stands on a mark, printed with as many digits and as many kinds of sentences as wanted.
///
/// The position errs slowly (Gauss-Markov, 100 s) and a little at once; the error figures, DOPs and signal strengths
/// move as slowly as they do under an open sky; the age of the corrections is a constant.

#include <array>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <random>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::support {

struct StandingManners {
  int minute_decimals = 7;
  int altitude_decimals = 3;
  double sigma_m = 0.01;
  double rate_hz = 1;
  std::string_view kinds = "GGA GST GSA GSV RMC VTG";
  double altitude_m = 183.2;
};

class StandingReceiver {
 public:
  StandingReceiver(const StandingManners& manners, unsigned seed) : manners_(manners), random_(seed) {
    for (double& slow : slow_) slow = normal();
    for (double& strength : strengths_) strength = 40 + 4 * normal();
  }

  /// The sentences (without '$' and checksum) of the next epoch. A receiver that hangs repeats the last ones.
  const std::vector<std::string>& next(bool hangs = false) {
    const std::int64_t ms = std::llround(1000.0 * static_cast<double>(epoch_++) / manners_.rate_hz);
    std::snprintf(time_.data(), time_.size(), "%02d%02d%02d.%02d", static_cast<int>(ms / 3'600'000 % 24),
                  static_cast<int>(ms / 60'000 % 60), static_cast<int>(ms / 1000 % 60),
                  static_cast<int>(ms % 1000 / 10));
    stream_ms_ = ms;
    if (!hangs) move();
    write();
    return bodies_;
  }
  std::int64_t stream_ms() const { return stream_ms_; }
  /// Everything jumps, as after a hang of some length.
  void pass(int epochs) {
    for (int i = 0; i < epochs; ++i) move();
  }

 private:
  double normal() { return normal_(random_); }
  bool says(std::string_view kind) const { return manners_.kinds.find(kind) != std::string_view::npos; }

  void move() {
    const double dt_s = 1 / manners_.rate_hz;
    for (double& slow : slow_) {
      const double keep = std::exp(-dt_s / 100);
      slow = slow * keep + std::sqrt(1 - keep * keep) * normal();
    }
    for (std::size_t i = 0; i < fast_.size(); ++i) fast_[i] = 0.2 * normal();
    for (double& strength : strengths_) {
      const double keep = std::exp(-dt_s / 20);
      strength = 40 + (strength - 40) * keep + 4 * std::sqrt(1 - keep * keep) * normal();
    }
    speed_ = std::abs(0.01 * normal()) * std::min(1.0, manners_.sigma_m / 0.01);
  }

  template <class... Args>
  std::string text(const char* format, Args... args) {
    std::array<char, 200> out{};
    std::snprintf(out.data(), out.size(), format, args...);
    return out.data();
  }
  double error(std::size_t axis) const { return manners_.sigma_m * (slow_[axis] + fast_[axis]); }

  void write() {
    bodies_.clear();
    const char* t = time_.data();
    const double lat_min = 36 + error(0) / 1852;
    const double lon_min = 24 + error(1) / (1852 * 0.674);
    const std::string where = text("47%0*.*f,N,087%0*.*f,W", manners_.minute_decimals + 3, manners_.minute_decimals,
                                   lat_min, manners_.minute_decimals + 3, manners_.minute_decimals, lon_min);
    const double hdop = 0.7 + 0.05 * slow_[3];
    bodies_.push_back(text("GNGGA,%s,%s,4,12,%.1f,%.*f,M,-33.9,M,1.0,0417", t, where.c_str(), hdop,
                           manners_.altitude_decimals, manners_.altitude_m + 1.5 * error(2)));
    const double claim_m = manners_.sigma_m * (1 + 0.15 * slow_[4]);
    if (says("GST"))
      bodies_.push_back(text("GNGST,%s,%.3f,,,,%.3f,%.3f,%.3f", t, 0.5 + 0.1 * slow_[5] + 0.1 * fast_[3], claim_m,
                             0.9 * claim_m, 1.6 * claim_m));
    if (says("GSA")) {
      bodies_.push_back(text("GNGSA,A,3,01,02,03,04,05,,,,,,,,%.2f,%.2f,%.2f,1", 2 * hdop, hdop, 1.7 * hdop));
      bodies_.push_back(text("GNGSA,A,3,65,66,67,,,,,,,,,,%.2f,%.2f,%.2f,2", 2 * hdop, hdop, 1.7 * hdop));
    }
    if (says("GSV")) {
      for (int part = 0; part < 2; ++part) {
        std::string body = text("GPGSV,2,%d,08", part + 1);
        for (std::size_t i = 0; i < 4; ++i)
          body +=
              text(",%02d,45,120,%02.0f", static_cast<int>(i) + 1, strengths_[i + 4 * static_cast<std::size_t>(part)]);
        bodies_.push_back(body);
      }
    }
    if (says("RMC")) bodies_.push_back(text("GNRMC,%s,A,%s,%.2f,,030626,,,R", t, where.c_str(), speed_ * 1.94));
    if (says("VTG")) bodies_.push_back(text("GNVTG,,T,,M,%.2f,N,%.2f,K,D", speed_ * 1.94, speed_ * 3.6));
  }

  StandingManners manners_;
  std::mt19937_64 random_;
  std::normal_distribution<double> normal_;
  std::uint64_t epoch_ = 0;
  std::int64_t stream_ms_ = 0;
  std::array<char, 24> time_{};
  std::array<double, 6> slow_{};
  std::array<double, 4> fast_{};
  std::array<double, 8> strengths_{};
  double speed_ = 0;
  std::vector<std::string> bodies_;
};

}  // namespace stillpoint::support
