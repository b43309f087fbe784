#include "nmea/decode.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

#include "nmea/fields.hpp"

namespace stillpoint::nmea {
namespace {

constexpr double kMpsPerKnot = 1852.0 / 3600.0;
constexpr double kMpsPerKmh = 1000.0 / 3600.0;

constexpr std::array<std::uint64_t, 16> kWholePowersOfTen = [] {
  std::array<std::uint64_t, 16> powers{1};
  for (std::size_t i = 1; i < powers.size(); ++i) powers[i] = powers[i - 1] * 10;
  return powers;
}();

using Content = decltype(Decoded::content);

struct Side {
  unsigned most_deg;
  char plus, minus;
};

struct Angle {
  double degrees = 0;
  int minute_decimals = 0;
  std::uint64_t fingerprint = 0;
};

constexpr std::uint64_t mixed(std::uint64_t a, std::uint64_t b) noexcept {
  a = (a ^ (a >> 32U)) * 0x9E3779B97F4A7C15U + b;
  return (a ^ (a >> 29U)) * 0xBF58476D1CE4E5B9U;
}

/// dddmm.mmmm as one fraction: (degrees * 60 + minutes) * 10^n over 60 * 10^n. Up to eleven decimals both are whole
/// numbers that a double holds, so the division rounds once, to the double nearest to what was printed.
std::optional<Angle> to_angle(std::string_view text, char letter, Side side) noexcept {
  const auto digits = to_digits(text);
  if (!digits || (letter != side.plus && letter != side.minus)) return std::nullopt;
  const int whole_digits = digits->count - digits->decimals;
  if (whole_digits < 3 || whole_digits > 5) return std::nullopt;
  const std::uint64_t scale = kWholePowersOfTen[static_cast<std::size_t>(digits->decimals)];
  const std::uint64_t degrees = digits->value / (scale * 100);
  const std::uint64_t minutes = digits->value - degrees * scale * 100;
  const std::uint64_t total = degrees * 60 * scale + minutes;
  if (minutes >= 60 * scale || total > side.most_deg * 60 * scale) return std::nullopt;
  const double value = static_cast<double>(total) / static_cast<double>(60 * scale);
  const auto shape = static_cast<std::uint64_t>(digits->count) << 16U |
                     static_cast<std::uint64_t>(digits->decimals) << 8U | static_cast<unsigned char>(letter);
  return Angle{letter == side.minus ? -value : value, digits->decimals, mixed(digits->value, shape)};
}

/// Blank numbers read as nothing, with or without a hemisphere letter beside them.
std::optional<Angle> read_angle(Fields& fields, Side side) noexcept {
  const std::string_view text = fields.next();
  const std::string_view letter = fields.next();
  const char wanted = letter.empty() ? side.plus : letter[0];
  if (letter.size() > 1 || (wanted != side.plus && wanted != side.minus)) fields.fail();
  if (text.empty()) return std::nullopt;
  const auto angle = letter.empty() ? std::nullopt : to_angle(text, letter[0], side);
  if (!angle) fields.fail();
  return angle;
}

/// Latitude and longitude stand or fall together.
std::optional<Position> read_position(Fields& fields) noexcept {
  const auto latitude = read_angle(fields, {90, 'N', 'S'});
  const auto longitude = read_angle(fields, {180, 'E', 'W'});
  if (latitude.has_value() != longitude.has_value()) fields.fail();
  if (!latitude || !longitude) return std::nullopt;
  return Position{latitude->degrees, longitude->degrees,
                  std::min(latitude->minute_decimals, longitude->minute_decimals),
                  mixed(latitude->fingerprint, longitude->fingerprint)};
}

std::optional<double> metres_with_unit(Fields& fields) noexcept {
  const auto value = fields.number();
  const std::string_view unit = fields.next();
  if (!unit.empty() && unit != "M") fields.fail();
  return value;
}

std::optional<Age> read_age(Fields& fields) noexcept {
  const std::string_view text = fields.next();
  if (text.empty()) return std::nullopt;
  const auto seconds = to_number(text);
  if (!seconds || std::signbit(*seconds)) {
    fields.fail();
    return std::nullopt;
  }
  return Age{*seconds, *seconds == 0 && text.find('.') == std::string_view::npos};
}

Quality read_quality(Fields& fields) noexcept {
  const std::string_view text = fields.next();
  if (text.empty()) return Quality::none;
  if (text.size() != 1 || !is_digit(text[0])) {
    fields.fail();
    return Quality::none;
  }
  return static_cast<Quality>(text[0] - '0');
}

/// One upper-case letter, or ' ' for a blank or absent field.
char read_letter(Fields& fields) noexcept {
  const std::string_view text = fields.next();
  if (text.empty()) return ' ';
  if (text.size() != 1 || text[0] < 'A' || text[0] > 'Z') fields.fail();
  return text[0];
}

std::array<char, 8> read_code(Fields& fields) noexcept {
  std::array<char, 8> code{};
  const std::string_view text = fields.next();
  if (text.size() >= code.size()) fields.fail();
  std::copy_n(text.begin(), std::min(text.size(), code.size() - 1), code.begin());
  return code;
}

Gga read_gga(Fields& fields) noexcept {
  Gga gga;
  gga.time_of_day_ms = fields.time_of_day();
  gga.position = read_position(fields);
  gga.quality = read_quality(fields);
  gga.satellites = fields.whole();
  gga.hdop = fields.magnitude();
  gga.altitude_m = metres_with_unit(fields);
  gga.geoid_separation_m = metres_with_unit(fields);
  gga.age = read_age(fields);
  gga.station = fields.whole();
  // Without a fix some receivers print zeros, others the last place they knew.
  if (gga.quality == Quality::none) gga.position.reset();
  return gga;
}

Gst read_gst(Fields& fields) noexcept {
  Gst gst;
  gst.time_of_day_ms = fields.time_of_day();
  gst.range_rms_m = fields.magnitude();
  gst.semi_major_m = fields.magnitude();
  gst.semi_minor_m = fields.magnitude();
  gst.orientation_deg = fields.number();
  gst.sigma_latitude_m = fields.magnitude();
  gst.sigma_longitude_m = fields.magnitude();
  gst.sigma_altitude_m = fields.magnitude();
  return gst;
}

Gsa read_gsa(Fields& fields) noexcept {
  Gsa gsa;
  gsa.mode = read_letter(fields);
  gsa.fix = fields.whole().value_or(1);
  if (gsa.fix < 1 || gsa.fix > 3) fields.fail();
  for (int i = 0; i < 12; ++i) gsa.satellites += fields.whole() ? 1 : 0;
  gsa.pdop = fields.magnitude();
  gsa.hdop = fields.magnitude();
  gsa.vdop = fields.magnitude();
  gsa.system = fields.hex_digit();
  return gsa;
}

Gsv read_gsv(Fields& fields) noexcept {
  Gsv gsv;
  gsv.parts = fields.whole().value_or(0);
  gsv.part = fields.whole().value_or(0);
  gsv.in_view = fields.whole();
  if (gsv.part < 1 || gsv.part > gsv.parts) fields.fail();
  return gsv;
}

Rmc read_rmc(Fields& fields) noexcept {
  Rmc rmc;
  rmc.time_of_day_ms = fields.time_of_day();
  const char status = read_letter(fields);
  if (status != 'A' && status != 'V' && status != ' ') fields.fail();
  rmc.valid = status == 'A';
  rmc.position = read_position(fields);
  if (const auto knots = fields.magnitude()) rmc.speed_mps = *knots * kMpsPerKnot;
  rmc.course_deg = fields.number();
  if (const auto date = fields.six_digits()) {
    rmc.day = *date / 10'000;
    rmc.month = *date / 100 % 100;
    rmc.year_two_digits = *date % 100;
    if (*rmc.day > 31 || *rmc.month > 12) fields.fail();
  }
  fields.number();  // magnetic variation
  read_letter(fields);
  rmc.mode = read_letter(fields);
  rmc.navigation_status = read_letter(fields);
  return rmc;
}

Zda read_zda(Fields& fields) noexcept {
  Zda zda;
  zda.time_of_day_ms = fields.time_of_day();
  const auto day = fields.whole();
  const auto month = fields.whole();
  const auto year = fields.whole();
  fields.next();  // local zone, hours; whatever the sign
  fields.next();  // and minutes
  if (!day || !month || !year) return zda;
  const bool unknown = *day == 0 && *month == 0;  // printed by receivers that have no date yet
  if (unknown) return zda;
  const Date date{*year, *month, *day};
  if (is_valid(date)) {
    zda.date = date;
  } else {
    fields.fail();
  }
  return zda;
}

Gns read_gns(Fields& fields) noexcept {
  Gns gns;
  gns.time_of_day_ms = fields.time_of_day();
  gns.position = read_position(fields);
  const std::string_view modes = fields.next();
  std::copy_n(modes.begin(), std::min(modes.size(), gns.modes.size() - 1), gns.modes.begin());
  if (!std::all_of(modes.begin(), modes.end(), [](char c) { return c >= 'A' && c <= 'Z'; })) fields.fail();
  gns.satellites = fields.whole();
  gns.hdop = fields.magnitude();
  gns.altitude_m = fields.number();
  gns.geoid_separation_m = fields.number();
  gns.age = read_age(fields);
  gns.station = fields.whole();
  return gns;
}

/// Kilometres an hour where printed (they resolve finer than knots with as many decimals), else knots.
Vtg read_vtg(Fields& fields) noexcept {
  Vtg vtg;
  fields.number();  // course, true
  fields.next();
  fields.number();  // course, magnetic
  fields.next();
  const auto knots = fields.magnitude();
  const std::string_view knots_unit = fields.next();
  const auto kmh = fields.magnitude();
  const std::string_view kmh_unit = fields.next();
  if ((knots && knots_unit != "N") || (kmh && kmh_unit != "K")) fields.fail();
  if (kmh) {
    vtg.speed_mps = *kmh * kMpsPerKmh;
  } else if (knots) {
    vtg.speed_mps = *knots * kMpsPerKnot;
  }
  vtg.mode = read_letter(fields);
  return vtg;
}

std::optional<double> offset_minutes(Fields& fields, char plus, char minus) noexcept {
  const auto value = fields.number();
  const char side = read_letter(fields);
  if (!value) return std::nullopt;
  if (side != plus && side != minus) fields.fail();
  return side == minus ? -*value : *value;
}

Dtm read_dtm(Fields& fields) noexcept {
  Dtm dtm;
  dtm.local = read_code(fields);
  fields.next();  // subdivision
  dtm.latitude_offset_min = offset_minutes(fields, 'N', 'S');
  dtm.longitude_offset_min = offset_minutes(fields, 'E', 'W');
  dtm.altitude_offset_m = fields.number();
  dtm.reference = read_code(fields);
  return dtm;
}

/// Reads the fields with `read`; fewer than `least` of them, or one that cannot be right, make the sentence malformed.
template <class Read>
Content read_all(std::string_view text, int least, Read read) noexcept {
  Fields fields(text);
  const Content content = read(fields);
  if (fields.failed() || fields.count() < least) return Malformed{};
  return content;
}

constexpr std::uint32_t code(char a, char b, char c) noexcept {
  return static_cast<std::uint32_t>(static_cast<unsigned char>(a)) << 16U |
         static_cast<std::uint32_t>(static_cast<unsigned char>(b)) << 8U |
         static_cast<std::uint32_t>(static_cast<unsigned char>(c));
}

/// The least counts are those of the oldest form of each sentence that is still met.
Content read_content(std::uint32_t formatter, std::string_view text) noexcept {
  switch (formatter) {
    case code('G', 'G', 'A'):
      return read_all(text, 14, read_gga);
    case code('G', 'S', 'T'):
      return read_all(text, 8, read_gst);
    case code('G', 'S', 'A'):
      return read_all(text, 17, read_gsa);
    case code('G', 'S', 'V'):
      return read_all(text, 3, read_gsv);
    case code('R', 'M', 'C'):
      return read_all(text, 11, read_rmc);
    case code('Z', 'D', 'A'):
      return read_all(text, 6, read_zda);
    case code('G', 'N', 'S'):
      return read_all(text, 12, read_gns);
    case code('V', 'T', 'G'):
      return read_all(text, 8, read_vtg);
    case code('D', 'T', 'M'):
      return read_all(text, 8, read_dtm);
    default:
      return Other{};
  }
}

/// Satellite receivers. "PQ" is printed by phones, and would be proprietary by its 'P'.
bool is_receiver(char a, char b) noexcept {
  constexpr std::string_view kTalkers = "GPGNGLGAGBBDGQQZGIPQ";
  for (std::size_t i = 0; i < kTalkers.size(); i += 2) {
    if (kTalkers[i] == a && kTalkers[i + 1] == b) return true;
  }
  return false;
}

}  // namespace

Decoded decode(std::string_view body) noexcept {
  Decoded decoded;
  const std::string_view address = body.substr(0, body.find(','));
  if (address.size() != 5) return decoded;
  if (address[0] == 'P' && address[1] != 'Q') return decoded;
  if (is_receiver(address[0], address[1])) {
    const std::string_view text = body.size() > 6 ? body.substr(6) : std::string_view();
    decoded.content = read_content(code(address[2], address[3], address[4]), text);
  }
  const bool proprietary = address[0] == 'P' && std::holds_alternative<Other>(decoded.content);
  if (proprietary) return decoded;
  decoded.talker = {address[0], address[1], '\0'};
  decoded.formatter = {address[2], address[3], address[4], '\0'};
  return decoded;
}

}  // namespace stillpoint::nmea
