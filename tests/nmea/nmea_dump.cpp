// Prints what the decoder read from a recording, one JSON object a sentence, for comparison with another decoder.
//
//   nmea_dump FILE

#include <charconv>
#include <fstream>
#include <iostream>
#include <iterator>
#include <string>

#include "nmea/decode.hpp"
#include "nmea/framer.hpp"

namespace stillpoint {
namespace {

class Object {
 public:
  void add(const char* key, std::string_view value) { put(key, '"' + std::string(value) + '"'); }
  void add(const char* key, const char* value) { add(key, std::string_view(value)); }
  void add(const char* key, char value) { add(key, value == ' ' ? std::string_view() : std::string_view(&value, 1)); }
  void add(const char* key, bool value) { put(key, value ? "true" : "false"); }
  template <class Number>
  requires(std::is_arithmetic_v<Number>) void add(const char* key, Number value) {
    char out[64];
    put(key, std::string(out, std::to_chars(out, out + sizeof out, value).ptr));
  }
  template <class T>
  void add(const char* key, const std::optional<T>& value) {
    if (value) {
      add(key, *value);
    } else {
      put(key, "null");
    }
  }
  std::string text() const { return '{' + body_ + '}'; }

 private:
  void put(const char* key, const std::string& value) {
    if (!body_.empty()) body_ += ", ";
    body_.append("\"").append(key).append("\": ").append(value);
  }
  std::string body_;
};

void describe(Object& o, const std::optional<nmea::Position>& p) {
  o.add("latitude_deg", p ? std::optional(p->latitude_deg) : std::nullopt);
  o.add("longitude_deg", p ? std::optional(p->longitude_deg) : std::nullopt);
  o.add("minute_decimals", p ? std::optional(p->minute_decimals) : std::nullopt);
}

void describe(Object& o, const nmea::Other&) {
  o.add("kind", std::string_view("other"));
}
void describe(Object& o, const nmea::Malformed&) {
  o.add("kind", std::string_view("malformed"));
}

/// What GGA and GNS have in common.
template <class Report>
void describe_report(Object& o, const Report& r) {
  o.add("time_of_day_ms", r.time_of_day_ms);
  describe(o, r.position);
  o.add("satellites", r.satellites);
  o.add("hdop", r.hdop);
  o.add("altitude_m", r.altitude_m);
  o.add("geoid_separation_m", r.geoid_separation_m);
  o.add("age_s", r.age ? std::optional(r.age->seconds) : std::nullopt);
  o.add("station", r.station);
}

void describe(Object& o, const nmea::Gga& s) {
  o.add("kind", std::string_view("GGA"));
  describe_report(o, s);
  o.add("quality", static_cast<int>(s.quality));
}

void describe(Object& o, const nmea::Gns& s) {
  o.add("kind", std::string_view("GNS"));
  describe_report(o, s);
  o.add("modes", s.modes.data());
}

void describe(Object& o, const nmea::Gst& s) {
  o.add("kind", std::string_view("GST"));
  o.add("time_of_day_ms", s.time_of_day_ms);
  o.add("range_rms_m", s.range_rms_m);
  o.add("semi_major_m", s.semi_major_m);
  o.add("semi_minor_m", s.semi_minor_m);
  o.add("orientation_deg", s.orientation_deg);
  o.add("sigma_latitude_m", s.sigma_latitude_m);
  o.add("sigma_longitude_m", s.sigma_longitude_m);
  o.add("sigma_altitude_m", s.sigma_altitude_m);
}

void describe(Object& o, const nmea::Gsa& s) {
  o.add("kind", std::string_view("GSA"));
  o.add("mode", s.mode);
  o.add("fix", s.fix);
  o.add("satellites", s.satellites);
  o.add("pdop", s.pdop);
  o.add("hdop", s.hdop);
  o.add("vdop", s.vdop);
}

void describe(Object& o, const nmea::Gsv& s) {
  o.add("kind", std::string_view("GSV"));
  o.add("parts", s.parts);
  o.add("part", s.part);
  o.add("in_view", s.in_view);
}

void describe(Object& o, const nmea::Rmc& s) {
  o.add("kind", std::string_view("RMC"));
  o.add("time_of_day_ms", s.time_of_day_ms);
  o.add("valid", s.valid);
  describe(o, s.position);
  o.add("speed_mps", s.speed_mps);
  o.add("course_deg", s.course_deg);
  o.add("day", s.day);
  o.add("month", s.month);
  o.add("year_two_digits", s.year_two_digits);
}

void describe(Object& o, const nmea::Zda& s) {
  o.add("kind", std::string_view("ZDA"));
  o.add("time_of_day_ms", s.time_of_day_ms);
  o.add("day", s.date ? std::optional(s.date->day) : std::nullopt);
  o.add("month", s.date ? std::optional(s.date->month) : std::nullopt);
  o.add("year", s.date ? std::optional(s.date->year) : std::nullopt);
}

void describe(Object& o, const nmea::Vtg& s) {
  o.add("kind", std::string_view("VTG"));
  o.add("speed_mps", s.speed_mps);
  o.add("mode", s.mode);
}

void describe(Object& o, const nmea::Dtm& s) {
  o.add("kind", std::string_view("DTM"));
  o.add("local", s.local.data());
  o.add("reference", s.reference.data());
  o.add("latitude_offset_min", s.latitude_offset_min);
  o.add("longitude_offset_min", s.longitude_offset_min);
  o.add("altitude_offset_m", s.altitude_offset_m);
}

int dump(const char* path) {
  std::ifstream in(path, std::ios::binary);
  if (!in) {
    std::cerr << "cannot read " << path << '\n';
    return 4;
  }
  const std::string bytes{std::istreambuf_iterator<char>(in), {}};
  nmea::Framer framer;
  framer.push(bytes, [](const nmea::Sentence& sentence) {
    const nmea::Decoded decoded = nmea::decode(sentence.body);
    Object object;
    object.add("begin", sentence.begin);
    object.add("end", sentence.end);
    std::visit([&](const auto& content) { describe(object, content); }, decoded.content);
    std::cout << object.text() << '\n';
  });
  return 0;
}

}  // namespace
}  // namespace stillpoint

int main(int argc, char** argv) {
  if (argc == 2) return stillpoint::dump(argv[1]);
  std::cerr << "usage: nmea_dump FILE\n";
  return 2;
}
