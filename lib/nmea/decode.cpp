#include "nmea/decode.hpp"

#include <algorithm>
#include <cmath>
#include <type_traits>

#include "nmea/fields.hpp"

namespace stillpoint::nmea {
namespace {

constexpr double kMpsPerKnot = 1852.0 / 3600.0;
constexpr double kMpsPerKmh = 1000.0 / 3600.0;

constexpr std::size_t kAddressSize = 5;

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
///
/// Called, not inlined six times: after each pause in the stream the code must be fetched anew, which takes longer.
[[gnu::noinline]] bool to_angle(const Split& split, char letter, Side side, Angle& out) noexcept {
  if (split.whole_digits < 3 || split.whole_digits > 5) return false;
  const auto whole = static_cast<std::uint32_t>(split.whole);  // five digits at most
  const std::uint32_t minutes = whole % 100;
  const std::uint64_t total = (whole / 100 * 60 + minutes) * split.scale + split.fraction;
  const std::uint64_t degree = 60 * split.scale;
  if (minutes >= 60 || total > side.most_deg * degree) return false;
  const double value =
      static_cast<double>(static_cast<std::int64_t>(total)) / static_cast<double>(static_cast<std::int64_t>(degree));
  const auto shape = static_cast<std::uint64_t>(split.whole_digits) << 16U |
                     static_cast<std::uint64_t>(split.decimals) << 8U | static_cast<unsigned char>(letter);
  out = {letter == side.minus ? -value : value, split.decimals, mixed(whole * split.scale + split.fraction, shape)};
  return true;
}

/// Returns false for a blank angle, with or without its hemisphere letter, and for a text that is no angle, which also
/// fails the walk.
template <class Walk>
STILLPOINT_INLINE bool read_angle(Walk& fields, Side side, Angle& out) noexcept {
  const std::string_view text = fields.next();
  const std::string_view letter = fields.next();
  const bool sided = letter.size() == 1 && (letter[0] == side.plus || letter[0] == side.minus);
  if (!sided && !letter.empty()) fields.fail();
  if (text.empty()) return false;
  Split split;
  if (fields.read_split(text, split) && sided && to_angle(split, letter[0], side, out)) return true;
  fields.fail();
  return false;
}

/// Latitude and longitude stand or fall together.
template <class Walk>
STILLPOINT_INLINE void read_position(Walk& fields, std::optional<Position>& out) noexcept {
  Angle latitude, longitude;
  const bool has_latitude = read_angle(fields, {90, 'N', 'S'}, latitude);
  const bool has_longitude = read_angle(fields, {180, 'E', 'W'}, longitude);
  if (has_latitude != has_longitude) fields.fail();
  if (!has_latitude || !has_longitude) return;
  out = Position{latitude.degrees, longitude.degrees, std::min(latitude.minute_decimals, longitude.minute_decimals),
                 mixed(latitude.fingerprint, longitude.fingerprint)};
}

template <class Walk>
STILLPOINT_INLINE void metres_with_unit(Walk& fields, std::optional<double>& out, int& decimals) noexcept {
  fields.number(out, decimals);
  const std::string_view unit = fields.next();
  if (!unit.empty() && unit != "M") fields.fail();
}

template <class Walk>
STILLPOINT_INLINE void read_age(Walk& fields, std::optional<Age>& out) noexcept {
  const std::string_view text = fields.next();
  if (text.empty()) return;
  const double seconds = fields.read_number(text);
  if (std::isnan(seconds) || std::signbit(seconds)) return fields.fail();
  out = Age{seconds, seconds == 0 && text.find('.') == std::string_view::npos};
}

template <class Walk>
STILLPOINT_INLINE Quality read_quality(Walk& fields) noexcept {
  const std::string_view text = fields.next();
  if (text.empty()) return Quality::none;
  if (text.size() != 1 || !is_digit(text[0])) {
    fields.fail();
    return Quality::none;
  }
  return static_cast<Quality>(text[0] - '0');
}

/// One upper-case letter, or ' ' for a blank or absent field.
template <class Walk>
STILLPOINT_INLINE char read_letter(Walk& fields) noexcept {
  const std::string_view text = fields.next();
  if (text.empty()) return ' ';
  if (text.size() != 1 || text[0] < 'A' || text[0] > 'Z') fields.fail();
  return text[0];
}

template <class Walk>
STILLPOINT_INLINE std::array<char, 8> read_code(Walk& fields) noexcept {
  std::array<char, 8> code{};
  const std::string_view text = fields.next();
  if (text.size() >= code.size()) fields.fail();
  std::copy_n(text.begin(), std::min(text.size(), code.size() - 1), code.begin());
  return code;
}

template <class Walk>
STILLPOINT_INLINE void read(Walk& fields, Gga& gga) noexcept {
  fields.time_of_day(gga.time_of_day_ms);
  read_position(fields, gga.position);
  gga.quality = read_quality(fields);
  gga.satellites = fields.whole();
  fields.magnitude(gga.hdop);
  metres_with_unit(fields, gga.altitude_m, gga.height_decimals);
  metres_with_unit(fields, gga.geoid_separation_m, gga.height_decimals);
  read_age(fields, gga.age);
  gga.station = fields.whole();
  // Without a fix some receivers print zeros, others the last place they knew.
  if (gga.quality == Quality::none) gga.position.reset();
}

template <class Walk>
STILLPOINT_INLINE void read(Walk& fields, Gst& gst) noexcept {
  fields.time_of_day(gst.time_of_day_ms);
  fields.magnitude(gst.range_rms_m);
  fields.magnitude(gst.semi_major_m);
  fields.magnitude(gst.semi_minor_m);
  fields.number(gst.orientation_deg);
  fields.magnitude(gst.sigma_latitude_m);
  fields.magnitude(gst.sigma_longitude_m);
  fields.magnitude(gst.sigma_altitude_m);
}

template <class Walk>
STILLPOINT_INLINE void read(Walk& fields, Gsa& gsa) noexcept {
  gsa.mode = read_letter(fields);
  gsa.fix = fields.whole().value_or(1);
  if (gsa.fix < 1 || gsa.fix > 3) fields.fail();
  for (int i = 0; i < 12; ++i) gsa.satellites += fields.whole() ? 1 : 0;
  fields.magnitude(gsa.pdop);
  fields.magnitude(gsa.hdop);
  fields.magnitude(gsa.vdop);
  gsa.system = fields.hex_digit();
}

template <class Walk>
STILLPOINT_INLINE void read(Walk& fields, Gsv& gsv) noexcept {
  gsv.parts = fields.whole().value_or(0);
  gsv.part = fields.whole().value_or(0);
  gsv.in_view = fields.whole();
  if (gsv.part < 1 || gsv.part > gsv.parts) fields.fail();
}

template <class Walk>
STILLPOINT_INLINE void read(Walk& fields, Rmc& rmc) noexcept {
  fields.time_of_day(rmc.time_of_day_ms);
  const char status = read_letter(fields);
  if (status != 'A' && status != 'V' && status != ' ') fields.fail();
  rmc.valid = status == 'A';
  read_position(fields, rmc.position);
  std::optional<double> knots;
  fields.magnitude(knots);
  if (knots) rmc.speed_mps = *knots * kMpsPerKnot;
  fields.number(rmc.course_deg);
  if (const auto date = fields.digits(6)) {
    rmc.day = *date / 10'000;
    rmc.month = *date / 100 % 100;
    rmc.year_two_digits = *date % 100;
    if (*rmc.day > 31 || *rmc.month > 12) fields.fail();
  }
  fields.pass_number();  // magnetic variation
  read_letter(fields);
  rmc.mode = read_letter(fields);
  rmc.navigation_status = read_letter(fields);
}

// From the first day of GPS, which cold receivers print, to the last year that an RMC could name as well.
constexpr int kFirstYear = 1980;
constexpr int kLastYear = 2079;

template <class Walk>
STILLPOINT_INLINE void read(Walk& fields, Zda& zda) noexcept {
  fields.time_of_day(zda.time_of_day_ms);
  const auto day = fields.whole();
  const auto month = fields.whole();
  const auto year = fields.digits(4);
  fields.next();  // local zone, hours; whatever the sign
  fields.next();  // and minutes
  if (!day || !month || !year) return;
  const bool unknown = *day == 0 && *month == 0;  // printed by receivers that have no date yet
  if (unknown) return;
  const Date date{*year, *month, *day};
  if (*year >= kFirstYear && *year <= kLastYear && is_valid(date)) {
    zda.date = date;
  } else {
    fields.fail();
  }
}

template <class Walk>
STILLPOINT_INLINE void read(Walk& fields, Gns& gns) noexcept {
  fields.time_of_day(gns.time_of_day_ms);
  read_position(fields, gns.position);
  const std::string_view modes = fields.next();
  std::copy_n(modes.begin(), std::min(modes.size(), gns.modes.size() - 1), gns.modes.begin());
  if (!std::all_of(modes.begin(), modes.end(), [](char c) { return c >= 'A' && c <= 'Z'; })) fields.fail();
  gns.satellites = fields.whole();
  fields.magnitude(gns.hdop);
  fields.number(gns.altitude_m, gns.height_decimals);
  fields.number(gns.geoid_separation_m, gns.height_decimals);
  read_age(fields, gns.age);
  gns.station = fields.whole();
}

/// Reads kilometres an hour where they are printed, else knots: with as many decimals they resolve finer.
template <class Walk>
STILLPOINT_INLINE void read(Walk& fields, Vtg& vtg) noexcept {
  fields.pass_number();  // course, true
  fields.next();
  fields.pass_number();  // course, magnetic
  fields.next();
  std::optional<double> knots, kmh;
  fields.magnitude(knots);
  const std::string_view knots_unit = fields.next();
  fields.magnitude(kmh);
  const std::string_view kmh_unit = fields.next();
  if ((knots && knots_unit != "N") || (kmh && kmh_unit != "K")) fields.fail();
  if (kmh) {
    vtg.speed_mps = *kmh * kMpsPerKmh;
  } else if (knots) {
    vtg.speed_mps = *knots * kMpsPerKnot;
  }
  vtg.mode = read_letter(fields);
}

template <class Walk>
STILLPOINT_INLINE void offset_minutes(Walk& fields, char plus, char minus, std::optional<double>& out) noexcept {
  fields.number(out);
  const char side = read_letter(fields);
  if (!out) return;
  if (side != plus && side != minus) fields.fail();
  if (side == minus) out = -*out;
}

template <class Walk>
STILLPOINT_INLINE void read(Walk& fields, Dtm& dtm) noexcept {
  dtm.local = read_code(fields);
  fields.next();  // subdivision
  offset_minutes(fields, 'N', 'S', dtm.latitude_offset_min);
  offset_minutes(fields, 'E', 'W', dtm.longitude_offset_min);
  fields.number(dtm.altitude_offset_m);
  dtm.reference = read_code(fields);
}

/// Fewer than `least` fields, or one that cannot be right, make the sentence malformed.
template <class Walk, class Sentence>
void read_with(std::string_view body, int least, Decoded& decoded) noexcept {
  Walk fields(body, kAddressSize + 1);
  read(fields, decoded.content.emplace<Sentence>());
  if (fields.failed() || fields.count() < least) decoded.content.emplace<Malformed>();
}

enum class Pace : std::uint8_t { plain, fast };

/// `most` is how many fields the sentence's `read` takes.
template <Pace pace, class Sentence, int least, std::size_t most>
void read_fields(std::string_view body, Decoded& decoded) noexcept {
  using Walk = std::conditional_t<pace == Pace::fast, FastFields<most>, Fields>;
  read_with<Walk, Sentence>(body, least, decoded);
}

/// Characters in the order in which `load_word` has them.
constexpr std::uint32_t letters(std::string_view text) noexcept {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < text.size(); ++i) value |= std::uint32_t{static_cast<unsigned char>(text[i])} << (8 * i);
  return value;
}

/// The least number of fields is that of the oldest form of each sentence still in use. Returns false for a kind that
/// is not decoded.
template <Pace pace>
bool read_content(std::uint32_t formatter, std::string_view body, Decoded& decoded) noexcept {
  switch (formatter) {
    case letters("GGA"):
      read_fields<pace, Gga, 14, 14>(body, decoded);
      return true;
    case letters("GST"):
      read_fields<pace, Gst, 8, 8>(body, decoded);
      return true;
    case letters("GSA"):
      read_fields<pace, Gsa, 17, 18>(body, decoded);
      return true;
    case letters("GSV"):
      read_fields<pace, Gsv, 3, 3>(body, decoded);
      return true;
    case letters("RMC"):
      read_fields<pace, Rmc, 11, 13>(body, decoded);
      return true;
    case letters("ZDA"):
      read_fields<pace, Zda, 6, 6>(body, decoded);
      return true;
    case letters("GNS"):
      read_fields<pace, Gns, 12, 12>(body, decoded);
      return true;
    case letters("VTG"):
      read_fields<pace, Vtg, 8, 9>(body, decoded);
      return true;
    case letters("DTM"):
      read_fields<pace, Dtm, 8, 8>(body, decoded);
      return true;
    default:
      return false;
  }
}

/// Satellite receivers. "PQ" is printed by phones, and would be proprietary by its 'P'.
bool is_receiver(std::uint32_t talker) noexcept {
  switch (talker) {
    case letters("GN"):
    case letters("GP"):
    case letters("GL"):
    case letters("GA"):
    case letters("GB"):
    case letters("BD"):
    case letters("GQ"):
    case letters("QZ"):
    case letters("GI"):
    case letters("PQ"):
      return true;
    default:
      return false;
  }
}

}  // namespace

Decoded decode(std::string_view body) noexcept {
  Decoded decoded;
  const bool whole_address = body.size() >= kAddressSize && (body.size() == kAddressSize || body[kAddressSize] == ',');
  if (!whole_address || body.substr(0, kAddressSize).find(',') != std::string_view::npos) return decoded;
  if (is_receiver(letters(body.substr(0, 2)))) read_content<Pace::plain>(letters(body.substr(2, 3)), body, decoded);
  const bool proprietary = body[0] == 'P' && std::holds_alternative<Other>(decoded.content);
  if (proprietary) return decoded;
  decoded.talker = {body[0], body[1], '\0'};
  decoded.formatter = {body[2], body[3], body[4], '\0'};
  return decoded;
}

namespace {

/// False: nothing that the fast walk reads. `decoded` is then anything.
bool decode_fast(std::string_view body, Decoded& decoded) noexcept {
  if (body.size() < 8) return false;
  const std::uint64_t address = load_word(body.data());
  const bool five_characters = equal_bytes(address, ',') << 16U == std::uint64_t{0x80} << 56U;
  if (!five_characters || !is_receiver(address & 0xFFFFU)) return false;
  if (!read_content<Pace::fast>(address >> 16U & 0xFF'FFFFU, body, decoded)) return false;
  decoded.talker = {body[0], body[1], '\0'};
  decoded.formatter = {body[2], body[3], body[4], '\0'};
  return true;
}

const Decoded& decode_into(Decoded& decoded, std::string_view body) noexcept {
  if (!decode_fast(body, decoded)) decoded = nmea::decode(body);
  return decoded;
}

}  // namespace

const Decoded& Decoder::decode(std::string_view body) noexcept {
  const bool repeats = body.size() > kAddressSize && body.size() <= kLongest && body.substr(2, 3) == "GSA";
  if (!repeats) return decode_into(decoded_, body);
  // The last character tells the systems apart (their id), or the second one (the talker of older sentences).
  const auto slot = static_cast<std::size_t>(static_cast<unsigned char>(body.back() ^ body[1]));
  Remembered& newest = remembered_[slot % remembered_.size()];
  if (body == std::string_view(newest.body.data(), newest.size)) return newest.decoded;
  decode_into(newest.decoded, body);
  newest.size = body.size();
  std::copy(body.begin(), body.end(), newest.body.begin());
  return newest.decoded;
}

}  // namespace stillpoint::nmea
