#include "simulate/sentences.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace stillpoint::simulate {
namespace {

constexpr std::array<double, 9> kTens{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8};
constexpr std::array<std::uint64_t, 9> kWholeTens{1,       10,        100,        1'000,      10'000,
                                                  100'000, 1'000'000, 10'000'000, 100'000'000};
constexpr std::int64_t kSentenceMs = 2;  // at 115,200 baud some 80 bytes take 7 ms; by cable to a buffer less
constexpr std::array<std::string_view, 4> kTalkers{"GN", "GP", "GL", "GA"};  // by system

std::size_t count_of(const Shown& shown) noexcept {
  return shown.has_fix ? shown.used.size() : 0;
}

char mode_of(Quality quality) noexcept {
  static constexpr std::string_view kModes = "NADDRFEMSD";
  return kModes[static_cast<std::size_t>(quality)];
}

}  // namespace

Sentences::Sentences(const Receiver& receiver) : receiver_(receiver) {
  static constexpr std::array<std::pair<std::string_view, Writer>, 9> kWriters{{{"GGA", &Sentences::gga},
                                                                                {"GNS", &Sentences::gns},
                                                                                {"GSA", &Sentences::gsa},
                                                                                {"GSV", &Sentences::gsv},
                                                                                {"RMC", &Sentences::rmc},
                                                                                {"GST", &Sentences::gst},
                                                                                {"ZDA", &Sentences::zda},
                                                                                {"VTG", &Sentences::vtg},
                                                                                {"DTM", &Sentences::dtm}}};
  for (const std::string& name : receiver.sentences) {
    const auto at = std::find_if(kWriters.begin(), kWriters.end(), [&](const auto& w) { return w.first == name; });
    if (at == kWriters.end()) continue;
    Kind kind{name, at->second, 1};
    for (const Every& every : receiver.every) {
      if (every.sentence == name) kind.every = static_cast<std::uint64_t>(every.epochs);
    }
    kinds_.push_back(std::move(kind));
  }
  blank_hdop_ = is_blank("hdop");
  blank_ellipse_ = is_blank("ellipse");
  blank_satellites_ = is_blank("satellites");
  blank_age_ = is_blank("age");
  blank_station_ = is_blank("station");
  blank_separation_ = is_blank("separation");
}

bool Sentences::is_blank(std::string_view field) const noexcept {
  return std::find(receiver_.blank.begin(), receiver_.blank.end(), field) != receiver_.blank.end();
}

void Sentences::write(const Shown& shown, std::uint64_t epoch, Burst& out) {
  out_ = &out;
  arrives_ms_ = out.epoch_ms + receiver_.latency_ms;
  const bool lists_datum = std::any_of(kinds_.begin(), kinds_.end(), [](const Kind& k) { return k.name == "DTM"; });
  bool must_tell = shown.tells_datum && !lists_datum;
  for (const Kind& kind : kinds_) {
    if (epoch % kind.every != 0 || kind.name == shown.missing) continue;
    (this->*kind.write)(shown);
    if (std::exchange(must_tell, false)) dtm(shown);
  }
}

void Sentences::add(std::string_view text) {
  out_->bytes.append(text);
}
void Sentences::add(char c) {
  out_->bytes.push_back(c);
}

void Sentences::begin(std::string_view formatter) {
  begin(receiver_.talker, formatter);
}

void Sentences::begin(std::string_view talker, std::string_view formatter) {
  begun_ = out_->bytes.size() + 1;
  add('$');
  add(talker);
  add(formatter);
}

void Sentences::end() {
  unsigned sum = 0;
  for (std::size_t i = begun_; i < out_->bytes.size(); ++i) sum ^= static_cast<unsigned char>(out_->bytes[i]);
  constexpr std::string_view kHex = "0123456789ABCDEF";
  add('*');
  add(kHex[sum >> 4U]);
  add(kHex[sum & 15U]);
  add(receiver_.crlf ? std::string_view("\r\n") : std::string_view("\n"));
  out_->sent.push_back({out_->bytes.size(), arrives_ms_});
  arrives_ms_ += kSentenceMs;
}

void Sentences::whole(std::uint64_t value, int digits) {
  std::array<char, 20> text{};
  std::size_t at = text.size();
  for (; value > 0 || digits > 0; --digits, value /= 10) text[--at] = static_cast<char>('0' + value % 10);
  add(std::string_view(text.data() + at, text.size() - at));
}

void Sentences::number(double value, int decimals) {
  const auto d = static_cast<std::size_t>(decimals);
  const std::int64_t units = std::llround(value * kTens[d]);
  if (units < 0) add('-');
  const auto size = static_cast<std::uint64_t>(units < 0 ? -units : units);
  whole(size / kWholeTens[d], 1);
  if (decimals == 0) return;
  add('.');
  whole(size % kWholeTens[d], decimals);
}

void Sentences::time(const Shown& shown) {
  const auto ms = static_cast<std::uint64_t>(((shown.utc.ms % 86'400'000) + 86'400'000) % 86'400'000);
  add(',');
  whole(ms / 3'600'000, 2);
  whole(ms / 60'000 % 60, 2);
  whole(ms / 1000 % 60, 2);
  add('.');
  whole(ms % 1000 / 10, 2);
}

void Sentences::angle(double degrees, int degree_digits, int decimals, std::string_view hemispheres) {
  const auto d = static_cast<std::size_t>(decimals);
  const auto units = static_cast<std::uint64_t>(std::llround(std::abs(degrees) * 60.0 * kTens[d]));
  const std::uint64_t whole_degree = 60 * kWholeTens[d];
  add(',');
  whole(units / whole_degree, degree_digits);
  whole(units % whole_degree / kWholeTens[d], 2);
  add('.');
  whole(units % kWholeTens[d], decimals);
  add(',');
  add(hemispheres[degrees < 0 ? 1 : 0]);
}

void Sentences::place(const Shown& shown) {
  if (!shown.has_fix) return add(",,,,");
  angle(shown.position.latitude_deg, 2, shown.minute_decimals, "NS");
  angle(shown.position.longitude_deg, 3, shown.minute_decimals, "EW");
}

void Sentences::height_age_station(const Shown& shown, bool units) {
  add(',');
  if (shown.has_fix) number(shown.position.ellipsoid_height_m - receiver_.separation_m, receiver_.height_decimals);
  if (units) add(",M");
  add(',');
  if (shown.has_fix && !blank_separation_) number(receiver_.separation_m, receiver_.height_decimals);
  if (units) add(",M");
  add(',');
  if (shown.age_is_zero) {
    add('0');
  } else if (shown.age_s && !blank_age_) {
    number(*shown.age_s, receiver_.age_decimals);
  }
  add(',');
  if (!blank_station_) add(shown.station);
}

void Sentences::gga(const Shown& shown) {
  begin("GGA");
  time(shown);
  place(shown);
  add(',');
  whole(static_cast<std::uint64_t>(shown.quality == Quality::sbas ? receiver_.sbas_quality
                                                                  : static_cast<int>(shown.quality)),
        1);
  add(',');
  const auto cap = static_cast<std::size_t>(receiver_.satellite_cap);
  if (!blank_satellites_) whole(std::min(count_of(shown), cap), 2);
  add(',');
  if (!blank_hdop_) number(shown.has_fix ? shown.dops.horizontal : 99.99, 2);
  height_age_station(shown, true);
  end();
}

void Sentences::gns(const Shown& shown) {
  begin("GNS");
  time(shown);
  place(shown);
  add(',');
  const char mode = shown.has_fix ? mode_of(shown.quality) : 'N';
  for (int system = 0; system < 3; ++system) add(mode);
  add(',');
  whole(count_of(shown), 2);
  add(',');
  number(shown.has_fix ? shown.dops.horizontal : 99.99, 2);
  height_age_station(shown, false);
  add(receiver_.status_v ? ",V" : ",S");
  end();
}

void Sentences::gsa(const Shown& shown) {
  for (int system = 1; system <= 3; ++system) {
    begin("GSA");
    add(shown.has_fix ? ",A,3" : ",A,1");
    int listed = 0;
    for (const Satellite& s : shown.used) {
      if (s.system != system || listed == 12 || !shown.has_fix) continue;
      add(',');
      whole(static_cast<std::uint64_t>(s.id), 2);
      ++listed;
    }
    for (; listed < 12; ++listed) add(',');
    for (const double dop : {shown.dops.position, shown.dops.horizontal, shown.dops.vertical}) {
      add(',');
      number(shown.has_fix ? dop : 99.99, 2);
    }
    if (receiver_.system_id) {
      add(',');
      whole(static_cast<std::uint64_t>(system), 1);
    }
    end();
  }
}

void Sentences::gsv(const Shown& shown) {
  for (int system = 1; system <= 3; ++system) {
    const auto is_ours = [system](const Satellite& s) { return s.system == system; };
    const auto total = static_cast<std::uint64_t>(std::count_if(shown.in_view.begin(), shown.in_view.end(), is_ours));
    std::uint64_t number_in_system = 0;
    for (const Satellite& s : shown.in_view) {
      if (!is_ours(s)) continue;
      if (number_in_system % 4 == 0) {
        begin(kTalkers[static_cast<std::size_t>(system)], "GSV");
        add(',');
        whole((total + 3) / 4, 1);
        add(',');
        whole(number_in_system / 4 + 1, 1);
        add(',');
        whole(total, 2);
      }
      const std::array<std::pair<std::uint64_t, int>, 4> fields{
          {{static_cast<std::uint64_t>(s.id), 2},
           {static_cast<std::uint64_t>(std::llround(s.elevation_deg)), 2},
           {static_cast<std::uint64_t>(std::llround(s.azimuth_deg)) % 360, 3},
           {static_cast<std::uint64_t>(s.signal_db_hz), 2}}};
      for (const auto& [value, digits] : fields) {
        add(',');
        whole(value, digits);
      }
      if (++number_in_system % 4 == 0 || number_in_system == total) end();
    }
  }
}

void Sentences::rmc(const Shown& shown) {
  begin("RMC");
  time(shown);
  add(shown.has_fix ? ",A" : ",V");
  place(shown);
  add(',');
  if (shown.has_fix) number(shown.speed_mps / (1852.0 / 3600.0), 3);
  add(',');
  if (shown.has_fix && shown.speed_mps > 0.3) number(shown.course_deg, 1);
  const Date date = date_of(shown.utc);
  add(',');
  whole(static_cast<std::uint64_t>(date.day), 2);
  whole(static_cast<std::uint64_t>(date.month), 2);
  whole(static_cast<std::uint64_t>(date.year % 100), 2);
  add(",,,");
  add(shown.has_fix ? mode_of(shown.quality) : 'N');
  add(receiver_.status_v ? ",V" : ",S");
  end();
}

void Sentences::gst(const Shown& shown) {
  begin("GST");
  time(shown);
  if (!shown.has_fix) {
    add(",,,,,,,");
    return end();
  }
  const Axes& c = shown.claim_m;
  const bool east_is_major = c.east > c.north;
  add(',');
  number(1.5 * std::max(c.east, c.north), 3);
  if (blank_ellipse_) {
    add(",,,");
  } else {
    add(',');
    number(std::max(c.east, c.north), 4);
    add(',');
    number(std::min(c.east, c.north), 4);
    add(east_is_major ? ",90.0" : ",0.0");
  }
  for (const double sigma_m : {c.north, c.east, c.up}) {
    add(',');
    number(sigma_m, 4);
  }
  end();
}

void Sentences::zda(const Shown& shown) {
  const Date date = date_of(shown.utc);
  begin("ZDA");
  time(shown);
  add(',');
  whole(static_cast<std::uint64_t>(date.day), 2);
  add(',');
  whole(static_cast<std::uint64_t>(date.month), 2);
  add(',');
  whole(static_cast<std::uint64_t>(date.year), 4);
  add(",00,00");
  end();
}

void Sentences::vtg(const Shown& shown) {
  begin("VTG");
  add(',');
  if (shown.has_fix && shown.speed_mps > 0.3) number(shown.course_deg, 1);
  add(",T,,M,");
  if (shown.has_fix) number(shown.speed_mps / (1852.0 / 3600.0), 3);
  add(",N,");
  if (shown.has_fix) number(shown.speed_mps * 3.6, 3);
  add(",K,");
  add(shown.has_fix ? mode_of(shown.quality) : 'N');
  end();
}

void Sentences::dtm(const Shown& shown) {
  begin("DTM");
  add(shown.tells_datum ? ",999,,0.0,N,0.0,E,0.0,W84" : ",W84,,0.0,N,0.0,E,0.0,W84");
  end();
}

}  // namespace stillpoint::simulate
