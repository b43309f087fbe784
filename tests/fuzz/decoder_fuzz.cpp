// Any body: what is decoded lies within its bounds and does not depend on what stands around it in memory, and the fast
// decoder and its readers agree with plain ones.

#include <cmath>
#include <memory>
#include <string>

#include "fuzz/check.hpp"
#include "nmea/decode.hpp"
#include "nmea/digest.hpp"
#include "nmea/fields.hpp"

using namespace stillpoint;

namespace {

void check_number(const std::optional<double>& value) {
  fuzz::check(!value || std::isfinite(*value), "a number");
}
void check_magnitude(const std::optional<double>& value) {
  check_number(value);
  fuzz::check(!value || !std::signbit(*value), "a magnitude");
}
void check_time(const nmea::TimeOfDay& ms) {
  fuzz::check(!ms || (*ms >= 0 && *ms <= 86'400'999), "a time of day");
}
void check_count(const std::optional<int>& count) {
  fuzz::check(!count || *count >= 0, "a count");
}
void check_position(const std::optional<nmea::Position>& p) {
  if (!p) return;
  fuzz::check(std::fabs(p->latitude_deg) <= 90 && std::fabs(p->longitude_deg) <= 180, "a position");
  fuzz::check(p->minute_decimals >= 0 && p->minute_decimals <= 15, "decimals");
}

template <class Report>
void check_report(const Report& r) {
  check_time(r.time_of_day_ms);
  check_position(r.position);
  check_count(r.satellites);
  check_count(r.station);
  check_magnitude(r.hdop);
  check_number(r.altitude_m);
  check_number(r.geoid_separation_m);
  if (r.age) check_magnitude(r.age->seconds);
}

void check_content(const nmea::Other&) {}
void check_content(const nmea::Malformed&) {}
void check_content(const nmea::Gga& s) {
  check_report(s);
  fuzz::check(static_cast<int>(s.quality) < kQualityCount, "a quality");
  fuzz::check(s.quality != Quality::none || !s.position, "a position without a fix");
}
void check_content(const nmea::Gns& s) {
  check_report(s);
  fuzz::check(s.modes.back() == '\0', "modes");
}
void check_content(const nmea::Gst& s) {
  check_time(s.time_of_day_ms);
  check_number(s.orientation_deg);
  for (const auto& value :
       {s.range_rms_m, s.semi_major_m, s.semi_minor_m, s.sigma_latitude_m, s.sigma_longitude_m, s.sigma_altitude_m}) {
    check_magnitude(value);
  }
}
void check_content(const nmea::Gsa& s) {
  fuzz::check(s.fix >= 1 && s.fix <= 3 && s.satellites >= 0 && s.satellites <= 12, "a fix");
  for (const auto& value : {s.pdop, s.hdop, s.vdop}) check_magnitude(value);
}
void check_content(const nmea::Gsv& s) {
  fuzz::check(s.part >= 1 && s.part <= s.parts, "parts");
}
void check_content(const nmea::Rmc& s) {
  check_time(s.time_of_day_ms);
  check_position(s.position);
  check_magnitude(s.speed_mps);
  fuzz::check(s.day.has_value() == s.month.has_value() && s.day.has_value() == s.year_two_digits.has_value(), "a date");
}
void check_content(const nmea::Zda& s) {
  check_time(s.time_of_day_ms);
  fuzz::check(!s.date || is_valid(*s.date), "a date");
}
void check_content(const nmea::Vtg& s) {
  check_magnitude(s.speed_mps);
}
void check_content(const nmea::Dtm& s) {
  for (const auto& value : {s.latitude_offset_min, s.longitude_offset_min, s.altitude_offset_m}) check_number(value);
  fuzz::check(s.local.back() == '\0' && s.reference.back() == '\0', "a datum code");
}

std::optional<int> whole_plainly(std::string_view text) {
  if (text.empty() || text.size() > 9 || text.find_first_not_of("0123456789") != std::string_view::npos) return {};
  int value = 0;
  for (const char c : text) value = value * 10 + (c - '0');
  return value;
}

/// The fast cutting into runs and fields and the fast readers of numbers against the plain ones, everywhere in the
/// body.
void check_readers(std::string_view body) {
  nmea::Run run;
  for (; run.length < body.size(); ++run.length) {
    const char c = body[run.length];
    if (c == '$' || c == '*' || c < ' ' || c > '~') break;
    run.parity = static_cast<std::uint8_t>(run.parity ^ static_cast<std::uint8_t>(c));
  }
  fuzz::check(nmea::plain_run(body.data(), body.size()) == run, "the fast run");
  fuzz::check(nmea::run_by_words(body.data(), body.size()) == run, "the run by words");
  nmea::Fields fields(body, 0);
  nmea::FastFields<18> fast(body, 1);
  nmea::Fields behind_first(body, 1);
  for (int i = 0; i < 18; ++i) fuzz::check(fast.next() == behind_first.next(), "the fast cut of a field");
  fuzz::check(fast.count() == behind_first.count(), "the fast count of fields");
  std::size_t begin = 0;
  for (std::size_t at = 0; at <= body.size(); ++at) {
    if (at < body.size() && body[at] != ',') continue;
    const std::string_view field = body.substr(begin, at - begin);
    fuzz::check(fields.next() == field, "the cut of a field");
    fuzz::check(nmea::to_whole(field) == whole_plainly(field), "the fast reading of a whole number");
    fuzz::check(nmea::to_number(field, begin) == nmea::to_number(field), "the fast reading of a number");
    fuzz::check(nmea::to_split(field, begin) == nmea::to_split(field), "the fast reading of a coordinate");
    fuzz::check(nmea::to_time_of_day(field, body.size() - at) == nmea::to_time_of_day(field),
                "the fast reading of a time");
    begin = at + 1;
  }
  const int count = fields.count();
  fuzz::check(fields.next().empty() && fields.count() == count, "nothing is behind the last field");
}

/// Twice, because the decoder remembers; with another one's memory of an earlier body in between.
void check_fast(std::string_view body) {
  static nmea::Decoder used;
  nmea::Decoder fresh;
  const std::uint64_t plain = test::digest_of(nmea::decode(body));
  for (int i = 0; i < 2; ++i) {
    fuzz::check(test::digest_of(fresh.decode(body)) == plain, "the fast decoder");
    fuzz::check(test::digest_of(used.decode(body)) == plain, "the fast decoder after another body");
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  // A copy of exactly this size, so that reading past either end is seen.
  const auto copy = std::make_unique<char[]>(size);
  std::copy_n(data, size, copy.get());
  const std::string_view body(copy.get(), size);
  const nmea::Decoded decoded = nmea::decode(body);
  std::visit([](const auto& content) { check_content(content); }, decoded.content);
  const std::string surrounded = "1.5," + std::string(body) + "9.9*";
  const nmea::Decoded again = nmea::decode(std::string_view(surrounded).substr(4, size));
  fuzz::check(again.content.index() == decoded.content.index(), "the same body elsewhere");
  check_readers(body);
  check_fast(body);
  return 0;
}
