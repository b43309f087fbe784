#include "mixed/invented_day.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

#include "simulate/random.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace stillpoint::mixed {
namespace {

using simulate::Random;

constexpr int kStays = 6;
constexpr int kWalk_s = 40;
constexpr double kMetresADegree = 111'170.0;
constexpr double kPi = 3.14159265358979323846;

/// What the receiver and the link are like all day.
struct Manner {
  int rate_hz = 1;
  int minute_decimals = 7, altitude_decimals = 3;
  bool blank_age = false;
  int gga_every_s = 1;  ///< RMC comes with every second all the same
  int gst_every_s = 1;  ///< 0: never
  int gsa_every_s = 1;
  bool dated = true;
  int date_jumps_at_s = -1;  ///< from then on the date is three days later
  int late_from_s = -1;      ///< from then on everything comes 6 s late
  double sigma_m = 0.010;
  double slow_m = 0.006, tau_s = 40;
};

enum class Trouble {
  none,
  step,
  false_fix,
  to_satellites,
  from_satellites,
  drift,
  freeze,
  old_freeze,
  gap,
  stall,
  cut,
  no_fix,
  bad_bytes
};
constexpr int kTroubles = static_cast<int>(Trouble::bad_bytes) + 1;

struct Stay {
  int from_s = 0, to_s = 0;
  std::string name;
  bool again = false;
  Trouble trouble = Trouble::none;
  int trouble_from_s = 0, trouble_to_s = 0;
  double north_m = 0, east_m = 0, up_m = 0;
  bool is_dropped = false;
};

/// One epoch as it is printed.
struct Moment {
  double t_s = 0;
  double north_m = 0, east_m = 0, up_m = 0, sigma_m = 0.010, speed_knots = 0.02;
  int quality = 4;
  std::string age = "1.0", station = "0417";
};

double between(Random& dice, double low, double high) {
  return low + (high - low) * dice.uniform();
}

std::string number(const char* format, double value) {
  std::array<char, 64> out{};
  std::snprintf(out.data(), out.size(), format, value);
  return out.data();
}

std::string minutes(double degrees, int width, int decimals) {
  std::array<char, 64> out{};
  const int whole = static_cast<int>(degrees);
  std::snprintf(out.data(), out.size(), "%0*d%0*.*f", width, whole, decimals + 3, decimals, (degrees - whole) * 60);
  return out.data();
}

class Writer {
 public:
  Writer(Random& dice, const Manner& manner) : dice_(dice), manner_(manner) {}

  std::string epoch(Moment m) {
    if (manner_.blank_age && m.quality != 4) m.age.clear();
    const bool whole_second = std::abs(m.t_s - std::floor(m.t_s)) < 1e-6;
    const int second = static_cast<int>(m.t_s);
    std::array<char, 32> clock{};
    std::snprintf(clock.data(), clock.size(), "%02d%02d%05.2f", 14 + second / 3600, second / 60 % 60,
                  second % 60 + m.t_s - second);
    const double latitude = 47.6 + m.north_m / kMetresADegree;
    const double longitude = 87.4 - m.east_m / (111'320.0 * std::cos(47.6 * kPi / 180));
    const std::string where =
        minutes(latitude, 2, manner_.minute_decimals) + ",N," + minutes(longitude, 3, manner_.minute_decimals) + ",W";
    std::array<char, 64> altitude{};
    std::snprintf(altitude.data(), altitude.size(), "%.*f", manner_.altitude_decimals, 180.0 + m.up_m);
    std::string out;
    if (due(manner_.gga_every_s, second, whole_second))
      out = support::sentence(std::string("GNGGA,") + clock.data() + "," + where + "," + std::to_string(m.quality) +
                              ",14,0.7," + altitude.data() + ",M,-36.000,M," + m.age + "," + m.station);
    if (due(manner_.gst_every_s, second, whole_second)) out += gst(clock.data(), m.sigma_m);
    if (due(manner_.gsa_every_s, second, whole_second))
      out += support::sentence("GNGSA,A,3,01,02,03,04,05,06,07,,,,,,1.3,0.7,1.1,1");
    out += support::sentence(std::string("GNRMC,") + clock.data() + ",A," + where + "," +
                             number("%.3f", m.speed_knots) + ",," + date(second) + ",,,R,V");
    return out;
  }

 private:
  static bool due(int every_s, int second, bool whole_second) {
    return every_s == 1 || (every_s > 1 && whole_second && second % every_s == 0);
  }
  std::string date(int second) const {
    if (!manner_.dated) return "";
    return manner_.date_jumps_at_s >= 0 && second >= manner_.date_jumps_at_s ? "060626" : "030626";
  }
  static std::string gst(const char* clock, double sigma_m) {
    std::array<char, 128> line{};
    std::snprintf(line.data(), line.size(), "GNGST,%s,0.5,%.4f,%.4f,30.0,%.4f,%.4f,%.4f", clock, sigma_m, 0.8 * sigma_m,
                  0.95 * sigma_m, 0.86 * sigma_m, 1.5 * sigma_m);
    return support::sentence(line.data());
  }
  Random& dice_;
  const Manner& manner_;
};

Manner manner_of(Random& dice, std::string& words) {
  Manner out;
  const auto maybe = [&](double share, const char* what) {
    const bool is = dice.uniform() < share;
    if (is) words += std::string(words.empty() ? "" : ", ") + what;
    return is;
  };
  if (maybe(0.2, "5 Hz")) out.rate_hz = 5;
  if (maybe(0.2, "six decimals of a minute")) out.minute_decimals = 6;
  if (maybe(0.2, "heights of a decimetre")) out.altitude_decimals = 1;
  if (maybe(0.3, "a blank age")) out.blank_age = true;
  if (maybe(0.08, "GGA every 5 s")) out.gga_every_s = 5;
  if (maybe(0.2, "GST every 5 s")) out.gst_every_s = 5;
  if (maybe(0.15, "no GST")) out.gst_every_s = 0;
  if (maybe(0.2, "GSA every 2 s")) out.gsa_every_s = 2;
  if (maybe(0.08, "no date")) out.dated = false;
  if (maybe(0.1, "a date that jumps")) out.date_jumps_at_s = 200 + static_cast<int>(dice.below(300));
  if (maybe(0.1, "a late link")) out.late_from_s = 200 + static_cast<int>(dice.below(300));
  out.sigma_m = between(dice, 0.006, 0.015);
  out.slow_m = between(dice, 0.001, 0.008);
  out.tau_s = between(dice, 5, 100);
  return out;
}

config::Settings settings_of(Random& dice, bool without_gst) {
  config::Settings s = support::settings();
  for (config::Source& source : s.sources) source.frame = s.project.frame;  // this is about the day, not about PROJ
  s.sources[1].coordinate_epoch = 2010.0;
  const double policy = dice.uniform();
  s.sources[1].gate.age_missing = policy < 0.2   ? config::AgeMissing::refuse
                                  : policy < 0.5 ? config::AgeMissing::trust_quality
                                                 : config::AgeMissing::allow;
  if (without_gst) {
    s.sources[0].assumed_sigma_m = config::PerAxis{0.010, 0.015};
    s.sources[1].assumed_sigma_m = config::PerAxis{0.40, 0.60};
  }
  s.occupation.min_epochs = 10;
  s.occupation.min_duration_s = 15;
  s.occupation.max_duration_s = dice.uniform() < 0.3 ? 60 : 600;
  if (dice.uniform() < 0.3) s.occupation.finish_at_error95_m = config::PerAxis{0.03, 0.05};
  return s;
}

std::vector<Stay> stays_of(Random& dice) {
  std::vector<Stay> out;
  int at_s = 30;
  for (int i = 0; i < kStays; ++i) {
    Stay stay;
    const bool repeats = !out.empty() && dice.uniform() < 0.3;
    stay.name = repeats ? out.back().name : "MX-" + std::to_string(i + 1);
    stay.again = repeats;
    stay.from_s = at_s;
    stay.to_s = at_s + 50 + static_cast<int>(dice.below(90));
    stay.trouble = static_cast<Trouble>(dice.below(kTroubles));
    stay.trouble_from_s = stay.from_s + 5 + static_cast<int>(dice.below(40));
    stay.trouble_to_s = stay.trouble_from_s + 3 + static_cast<int>(dice.below(40));
    const double size_m = between(dice, 0.05, 0.6), bearing = between(dice, 0, 2 * kPi);
    stay.north_m = size_m * std::cos(bearing), stay.east_m = size_m * std::sin(bearing);
    stay.up_m = between(dice, -0.3, 0.3);
    stay.is_dropped = dice.uniform() < 0.1;
    out.push_back(stay);
    at_s = stay.to_s + kWalk_s;
  }
  return out;
}

void to_satellites(Moment& m) {
  m.quality = 2;
  m.station = "0131";
  m.age = "5.0";
  m.sigma_m = 0.40;
}

/// What the trouble of a stay makes of one of its moments.
void spoil(const Stay& stay, Moment& m) {
  const bool begun = m.t_s >= stay.trouble_from_s, over = m.t_s >= stay.trouble_to_s;
  const auto displace = [&](double share) {
    m.north_m += share * stay.north_m, m.east_m += share * stay.east_m, m.up_m += share * stay.up_m;
  };
  if (stay.trouble == Trouble::step && begun) displace(1);
  if (stay.trouble == Trouble::false_fix && begun && !over) displace(1);
  if (stay.trouble == Trouble::to_satellites && begun) to_satellites(m);
  if (stay.trouble == Trouble::from_satellites && !begun) to_satellites(m);
  if (stay.trouble == Trouble::drift) displace((m.t_s - stay.from_s) / (stay.to_s - stay.from_s));
  if (stay.trouble == Trouble::no_fix && begun && !over) m.quality = 5;
}

class DayWriter {
 public:
  DayWriter(Random& dice, InventedDay& day, const Manner& manner)
      : dice_(dice), day_(day), manner_(manner), writer_(dice, manner) {}

  void write(const std::vector<Stay>& stays) {
    for (const Stay& stay : stays) {
      walk_to(stay.from_s);
      say(record::Occupy{stay.name, "", "", stay.again, std::nullopt});
      stand(stay);
      stay.is_dropped ? say(record::Drop{}) : say(record::Keep{});
    }
    walk_to(stays.back().to_s + 10);
    day_.seconds = static_cast<int>(t_s_);
  }

 private:
  std::int64_t arrival_ms() const {
    const bool late = manner_.late_from_s >= 0 && t_s_ >= manner_.late_from_s;
    return std::llround(t_s_ * 1000) + 80 + (late ? 6000 : 0);
  }
  void say(record::Command command) {
    last_ms_ = std::max(last_ms_, std::int64_t{std::llround(t_s_ * 1000)} + 5);
    day_.happenings.push_back({SteadyTime{last_ms_}, "", std::move(command)});
  }
  void send(const std::string& bytes) {
    last_ms_ = std::max(last_ms_, arrival_ms());
    day_.happenings.push_back({SteadyTime{last_ms_}, bytes, record::Unknown{}});
  }
  double noise(double& slow) {
    const double keeps = std::exp(-1.0 / (manner_.tau_s * manner_.rate_hz));
    slow = keeps * slow + std::sqrt(1 - keeps * keeps) * manner_.slow_m * dice_.normal();
    return slow + 0.3 * manner_.sigma_m * dice_.normal();
  }
  Moment moment() {
    Moment out;
    out.t_s = t_s_;
    out.north_m = place_m_ + noise(slow_[0]);
    out.east_m = noise(slow_[1]);
    out.up_m = 1.5 * noise(slow_[2]);
    out.sigma_m = manner_.sigma_m * between(dice_, 0.9, 1.1);
    out.age = number("%.1f", 1.0 + std::fmod(t_s_, 3.0) * 0.3);
    return out;
  }
  void next() { t_s_ = std::round((t_s_ + 1.0 / manner_.rate_hz) * 100) / 100; }

  void walk_to(int to_s) {
    for (; t_s_ < to_s; next()) {
      place_m_ += 0.8 / manner_.rate_hz;
      Moment m = moment();
      m.speed_knots = 1.5;
      send(writer_.epoch(m));
    }
  }

  void stand(const Stay& stay) {
    std::string held_back;
    std::optional<Moment> frozen;
    for (; t_s_ < stay.to_s; next()) {
      const bool troubled = t_s_ >= stay.trouble_from_s && t_s_ < stay.trouble_to_s;
      Moment m = moment();
      spoil(stay, m);
      if (troubled && (stay.trouble == Trouble::freeze || stay.trouble == Trouble::old_freeze)) {
        if (!frozen) frozen = m;
        const double sigma_m = m.sigma_m;
        m = *frozen;
        m.t_s = t_s_;
        if (stay.trouble == Trouble::old_freeze) m.sigma_m = sigma_m;
      }
      if (troubled && (stay.trouble == Trouble::gap || stay.trouble == Trouble::cut)) {
        if (stay.trouble == Trouble::cut && t_s_ < stay.trouble_from_s + 0.5 && !was_cut_) say(record::Cut{});
        was_cut_ = true;
        continue;
      }
      was_cut_ = false;
      std::string bytes = writer_.epoch(m);
      if (troubled && stay.trouble == Trouble::bad_bytes && dice_.uniform() < 0.5)
        bytes[dice_.below(bytes.size())] ^= 4;
      if (troubled && stay.trouble == Trouble::stall && stay.trouble_to_s - stay.trouble_from_s < 12) {
        held_back += bytes;  // it comes all at once
        continue;
      }
      send(held_back + bytes);
      held_back.clear();
    }
    if (!held_back.empty()) send(held_back);
  }

  Random& dice_;
  InventedDay& day_;
  const Manner& manner_;
  Writer writer_;
  double t_s_ = 0, place_m_ = 0;
  std::array<double, 3> slow_{};
  std::int64_t last_ms_ = 0;
  bool was_cut_ = false;
};

}  // namespace

InventedDay invented_day(std::uint64_t seed) {
  Random dice(seed, "mixed day");
  InventedDay out;
  const Manner manner = manner_of(dice, out.manners);
  out.settings = settings_of(dice, manner.gst_every_s == 0);
  DayWriter(dice, out, manner).write(stays_of(dice));
  return out;
}

}  // namespace stillpoint::mixed
