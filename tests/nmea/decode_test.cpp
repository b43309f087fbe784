#include "nmea/decode.hpp"

#include <doctest/doctest.h>

#include <memory>
#include <string>
#include <vector>

#include "nmea/digest.hpp"
#include "nmea/sentences.hpp"

namespace stillpoint {
namespace {

/// Every body of these tests goes through both decoders.
nmea::Decoded decode(std::string_view body) {
  const nmea::Decoded plain = nmea::decode(body);
  nmea::Decoder fast;
  REQUIRE(test::digest_of(fast.decode(body)) == test::digest_of(plain));
  return plain;
}

template <class T>
T read(std::string_view body) {
  const nmea::Decoded decoded = decode(body);
  const T* content = std::get_if<T>(&decoded.content);
  REQUIRE(content != nullptr);
  return *content;
}

template <class T>
bool is(std::string_view body) {
  return std::holds_alternative<T>(decode(body).content);
}

std::string gga_at(const std::string& latitude, const std::string& longitude) {
  return "GNGGA,140000.00," + latitude + "," + longitude + ",2,11,0.80,183.20,M,-33.90,M,4.0,0133";
}

TEST_CASE("a coordinate is the double nearest to the printed minutes") {
  struct Row {
    const char* latitude;
    const char* longitude;
    double latitude_deg, longitude_deg;
    int decimals;
  };
  // Computed as exact fractions (Python 3.11, fractions.Fraction) and rounded once.
  const std::vector<Row> rows{
      {"4109", "10141", 41.15, 101.68333333333334, 0},
      {"0604", "13706", 6.066666666666666, 137.1, 0},
      {"4637.0", "12913.0", 46.61666666666667, 129.21666666666667, 1},
      {"1127.6", "01715.1", 11.46, 17.251666666666665, 1},
      {"7027.09", "03114.90", 70.4515, 31.248333333333335, 2},
      {"7337.60", "05602.82", 73.62666666666667, 56.047, 2},
      {"3726.281", "14619.821", 37.43801666666667, 146.33035, 3},
      {"7436.351", "14045.190", 74.60585, 140.75316666666666, 3},
      {"7913.7865", "11937.7543", 79.229775, 119.62923833333333, 4},
      {"2344.3194", "13431.5749", 23.738656666666667, 134.52624833333334, 4},
      {"0907.86252", "12526.01895", 9.131042, 125.43364916666667, 5},
      {"4344.59797", "01753.14710", 43.7432995, 17.885785, 5},
      {"8919.974650", "11822.291703", 89.33291083333333, 118.37152838333333, 6},
      {"3608.366712", "11425.842684", 36.1394452, 114.4307114, 6},
      {"5322.6321223", "16814.0792440", 53.37720203833333, 168.23465406666668, 7},
      {"1826.8599528", "15841.0786666", 18.44766588, 158.68464444333333, 7},
      {"1330.60313721", "08738.01092815", 13.510052286833334, 87.63351546916667, 8},
      {"7801.13962459", "09330.11777741", 78.01899374316666, 93.50196295683334, 8},
      {"1806.547280385", "03744.808414852", 18.10912133975, 37.7468069142, 9},
      {"4549.388853933", "10247.338750047", 45.82314756555, 102.78897916745, 9},
      {"3312.9575513137", "05021.3799075116", 33.21595918856167, 50.35633179186, 10},
      {"2530.2651676122", "03201.2972997528", 25.504419460203334, 32.021621662546664, 10},
      {"7008.00182633043", "07432.39548620579", 70.13336377217384, 74.5399247700965, 11},
      {"6626.82828807290", "03811.27918058887", 66.44713813454834, 38.187986343147834, 11},
      {"9000.00", "18000.00", 90.0, 180.0, 2},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.latitude));
    const std::string latitude(row.latitude);
    const std::string longitude(row.longitude);
    const auto north_east = read<nmea::Gga>(gga_at(latitude + ",N", longitude + ",E")).position;
    const auto south_west = read<nmea::Gga>(gga_at(latitude + ",S", longitude + ",W")).position;
    REQUIRE(north_east);
    REQUIRE(south_west);
    CHECK(north_east->latitude_deg == row.latitude_deg);
    CHECK(north_east->longitude_deg == row.longitude_deg);
    CHECK(south_west->latitude_deg == -row.latitude_deg);
    CHECK(south_west->longitude_deg == -row.longitude_deg);
    CHECK(north_east->minute_decimals == row.decimals);
  }
}

TEST_CASE("minutes reach up to sixty and not to it, on both axes") {
  // Computed as exact fractions (Python 3.11, fractions.Fraction) and rounded once.
  const auto read_last = read<nmea::Gga>(gga_at("4759.99999,N", "08759.99999,W")).position;
  REQUIRE(read_last.has_value());
  CHECK(read_last->latitude_deg == 47.999999833333334);
  CHECK(read_last->longitude_deg == -87.99999983333333);
  CHECK(is<nmea::Gga>(gga_at("4759.0,N", "08759.0,W")));
  CHECK(is<nmea::Malformed>(gga_at("4760.0,N", "08759.0,W")));
  CHECK(is<nmea::Malformed>(gga_at("4759.0,N", "08760.0,W")));
}

TEST_CASE("the coarser of two coordinates says how finely a position was printed") {
  CHECK(read<nmea::Gga>(gga_at("4736.0000000,N", "08724.0000,W")).position->minute_decimals == 4);
  CHECK(read<nmea::Gga>(gga_at("4736.0000,N", "08724.0000000,W")).position->minute_decimals == 4);
}

TEST_CASE("the digits of a position are the same only when the fields are") {
  const auto hash = [](const std::string& latitude, const std::string& longitude) {
    return read<nmea::Gga>(gga_at(latitude, longitude)).position->digits_hash;
  };
  const auto base = hash("4736.00000,N", "08724.00000,W");
  CHECK(base == hash("4736.00000,N", "08724.00000,W"));
  for (const auto& other : std::vector<std::pair<std::string, std::string>>{{"4736.00001,N", "08724.00000,W"},
                                                                            {"4736.00000,S", "08724.00000,W"},
                                                                            {"4736.00000,N", "08724.00001,W"},
                                                                            {"4736.00000,N", "08724.00000,E"},
                                                                            {"4736.000000,N", "08724.00000,W"},
                                                                            {"4736.00000,N", "08724.000000,W"},
                                                                            {"04736.00000,N", "08724.00000,W"},
                                                                            {"4736.00000,N", "8724.00000,W"}}) {
    CAPTURE(other.first);
    CAPTURE(other.second);
    CHECK(hash(other.first, other.second) != base);
  }
}

TEST_CASE("a full GGA is read field by field") {
  const auto gga = read<nmea::Gga>("GNGGA,130749.50,4736.12345,N,08724.54321,W,4,27,0.65,183.204,M,-33.912,M,1.4,0417");
  CHECK(gga.time_of_day_ms == 47'269'500);
  CHECK(gga.quality == Quality::rtk_fixed);
  CHECK(gga.satellites == 27);
  CHECK(gga.hdop == 0.65);
  CHECK(gga.altitude_m == 183.204);
  CHECK(gga.geoid_separation_m == -33.912);
  CHECK(gga.height_decimals == 3);
  CHECK(gga.age == nmea::Age{1.4, false});
  CHECK(gga.station == 417);
}

TEST_CASE("what a receiver without a fix leaves blank stays empty") {
  const auto gga = read<nmea::Gga>("GNGGA,,,,,,0,00,99.99,,,,,,");
  CHECK(!gga.time_of_day_ms);
  CHECK(!gga.position);
  CHECK(gga.quality == Quality::none);
  CHECK(gga.satellites == 0);
  CHECK(gga.hdop == 99.99);
  CHECK(!gga.altitude_m);
  CHECK(!gga.geoid_separation_m);
  CHECK(!gga.age);
  CHECK(!gga.station);
  CHECK(read<nmea::Gga>("GPGGA,100634,,,,,,,,,,,,,").quality == Quality::none);
}

TEST_CASE("zeros printed without a fix are no position") {
  CHECK(!read<nmea::Gga>("GPGGA,100634,0000.0000,N,00000.0000,E,0,00,,,M,,M,,").position);
  CHECK(read<nmea::Gga>("GPGGA,100634,0000.0000,N,00000.0000,E,1,05,,,M,,M,,").position);
}

TEST_CASE("the age of corrections keeps apart none and zero") {
  const auto age = [](const std::string& text) {
    return read<nmea::Gga>("GNGGA,140000,4736.0,N,08724.0,W,2,11,0.8,183.2,M,-33.9,M," + text + ",0133").age;
  };
  CHECK(!age(""));
  CHECK(age("0") == nmea::Age{0, true});
  CHECK(age("00") == nmea::Age{0, true});
  CHECK(age("0.0") == nmea::Age{0, false});
  CHECK(age("3") == nmea::Age{3, false});
  CHECK(age("12.50") == nmea::Age{12.5, false});
}

TEST_CASE("every quality digit is kept") {
  for (int digit = 0; digit <= 9; ++digit) {
    const std::string body = "GNGGA,140000,4736.0,N,08724.0,W," + std::to_string(digit) + ",11,0.8,183.2,M,-33.9,M,,";
    CHECK(static_cast<int>(read<nmea::Gga>(body).quality) == digit);
  }
}

TEST_CASE("a field that cannot be right makes its sentence malformed") {
  struct Row {
    const char* name;
    std::string body;
  };
  const std::vector<Row> rows{
      {"minutes of 60", gga_at("4760.0,N", "08724.0,W")},
      {"a latitude past the pole", gga_at("9000.1,N", "08724.0,W")},
      {"a longitude past 180", gga_at("4736.0,N", "18000.1,W")},
      {"a wrong hemisphere", gga_at("4736.0,E", "08724.0,W")},
      {"a small letter", gga_at("4736.0,n", "08724.0,W")},
      {"two letters", gga_at("4736.0,NN", "08724.0,W")},
      {"no hemisphere", gga_at("4736.0,", "08724.0,W")},
      {"a latitude alone", gga_at("4736.0,N", ",")},
      {"a sign in a coordinate", gga_at("5327.0,N", "-0214.4,W")},
      {"too few digits of a degree", gga_at("36.0,N", "08724.0,W")},
      {"too many digits of a degree", gga_at("4736.0,N", "108724.0,W")},
      {"letters in a coordinate", gga_at("47x6.0,N", "08724.0,W")},
      {"an hour of 24", "GNGST,240000,,,,,,,"},
      {"a minute of 60", "GNGST,236000,,,,,,,"},
      {"a second of 61", "GNGST,235961,,,,,,,"},
      {"a time of five digits", "GNGST,23595,,,,,,,"},
      {"a quality of two digits", "GNGGA,140000,4736.0,N,08724.0,W,12,11,0.8,183.2,M,-33.9,M,,"},
      {"a quality letter", "GNGGA,140000,4736.0,N,08724.0,W,A,11,0.8,183.2,M,-33.9,M,,"},
      {"satellites that are no number", "GNGGA,140000,4736.0,N,08724.0,W,2,1x,0.8,183.2,M,-33.9,M,,"},
      {"a negative number of satellites", "GNGGA,140000,4736.0,N,08724.0,W,2,-1,0.8,183.2,M,-33.9,M,,"},
      {"an HDOP that is no number", "GNGGA,140000,4736.0,N,08724.0,W,2,11,abc,183.2,M,-33.9,M,,"},
      {"a negative HDOP", "GNGGA,140000,4736.0,N,08724.0,W,2,11,-0.8,183.2,M,-33.9,M,,"},
      {"an altitude in feet", "GNGGA,140000,4736.0,N,08724.0,W,2,11,0.8,601.0,F,-33.9,M,,"},
      {"an exponent", "GNGGA,140000,4736.0,N,08724.0,W,2,11,0.8,1.8e2,M,-33.9,M,,"},
      {"a negative age", "GNGGA,140000,4736.0,N,08724.0,W,2,11,0.8,183.2,M,-33.9,M,-1,"},
      {"a station that is no number", "GNGGA,140000,4736.0,N,08724.0,W,2,11,0.8,183.2,M,-33.9,M,,A1"},
      {"a blank that is a space", "GNGGA,140000,4736.0,N,08724.0,W,2,11, ,183.2,M,-33.9,M,,"},
      {"a GGA with a field too few", "GNGGA,140000,4736.0,N,08724.0,W,2,11,0.8,183.2,M,-33.9,M,"},
      {"a GST with a field too few", "GNGST,140000,,,,,,"},
      {"a negative error", "GNGST,140000,,,,,,-0.1,"},
      {"a GSA with a field too few", "GNGSA,A,3,,,,,,,,,,,,,1.0,1.0"},
      {"a fix of four dimensions", "GNGSA,A,4,,,,,,,,,,,,,1.0,1.0,1.0"},
      {"a satellite id of letters", "GNGSA,A,3,G1,,,,,,,,,,,,1.0,1.0,1.0"},
      {"a GSV part past the last", "GPGSV,2,3,08"},
      {"a GSV without parts", "GPGSV,,,08"},
      {"an RMC with a field too few", "GNRMC,140000,A,4736.0,N,08724.0,W,0.0,0.0,030626,"},
      {"an RMC status that is neither", "GNRMC,140000,X,4736.0,N,08724.0,W,0.0,0.0,030626,,"},
      {"a speed that is no number", "GNRMC,140000,A,4736.0,N,08724.0,W,XXXXX,0.0,030626,,"},
      {"a date of five digits", "GNRMC,140000,A,4736.0,N,08724.0,W,0.0,0.0,30626,,"},
      {"a thirteenth month", "GNRMC,140000,A,4736.0,N,08724.0,W,0.0,0.0,031326,,"},
      {"a ZDA of 31 June", "GNZDA,140000,31,06,2026,00,00"},
      {"a ZDA year of five digits", "GNZDA,140000,03,06,20260,00,00"},
      {"a ZDA year of five digits that would do", "GNZDA,140000,03,06,02026,00,00"},
      {"a ZDA year of two digits", "GNZDA,140000,03,06,26,00,00"},
      {"a ZDA year before GPS", "GNZDA,140000,03,06,1979,00,00"},
      {"a ZDA year that no RMC could name", "GNZDA,140000,03,06,2080,00,00"},
      {"a ZDA with a field too few", "GNZDA,140000,03,06,2026,00"},
      {"GNS modes that are no letters", "GNGNS,140000,4736.0,N,08724.0,W,A1,11,0.8,183.2,-33.9,,"},
      {"a GNS with a field too few", "GNGNS,140000,4736.0,N,08724.0,W,AA,11,0.8,183.2,-33.9,"},
      {"a VTG speed in other units", "GNVTG,,T,,M,0.1,K,0.2,N,A"},
      {"a VTG with a field too few", "GNVTG,,T,,M,0.1,N,0.2"},
      {"a DTM offset without a side", "GNDTM,999,,0.08,,0.07,W,-47.7,W84"},
      {"a DTM with a field too few", "GNDTM,W84,,0.0,N,0.0,E,0.0"},
      {"a datum code that is too long", "GNDTM,ABCDEFGH,,0.0,N,0.0,E,0.0,W84"},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.name));
    CHECK(is<nmea::Malformed>(row.body));
  }
}

TEST_CASE("a GST is read field by field, with blank axes too") {
  const auto gst = read<nmea::Gst>("GNGST,235647.00,0.003,0.054,0.044,139.7,0.050,0.049,0.070");
  CHECK(gst.time_of_day_ms == 86'207'000);
  CHECK(gst.range_rms_m == 0.003);
  CHECK(gst.semi_major_m == 0.054);
  CHECK(gst.semi_minor_m == 0.044);
  CHECK(gst.orientation_deg == 139.7);
  CHECK(gst.sigma_latitude_m == 0.05);
  CHECK(gst.sigma_longitude_m == 0.049);
  CHECK(gst.sigma_altitude_m == 0.07);
  const auto blank = read<nmea::Gst>("GPGST,235647.00,1.2,,,,0.050,0.049,0.070");
  CHECK(!blank.semi_major_m);
  CHECK(!blank.orientation_deg);
  CHECK(blank.sigma_latitude_m == 0.05);
}

TEST_CASE("a GSA is read with and without a system id") {
  const auto old = read<nmea::Gsa>("GPGSA,A,3,04,05,,09,12,,,24,,,,,2.5,1.3,2.1");
  CHECK(old.mode == 'A');
  CHECK(old.fix == 3);
  CHECK(old.satellites == 5);
  CHECK(old.pdop == 2.5);
  CHECK(old.hdop == 1.3);
  CHECK(old.vdop == 2.1);
  CHECK(!old.system);
  const auto today = read<nmea::Gsa>("GNGSA,M,2,,,,,,,,,,,,,99.99,99.99,99.99,4");
  CHECK(today.mode == 'M');
  CHECK(today.fix == 2);
  CHECK(today.satellites == 0);
  CHECK(today.system == 4);
  const auto blank = read<nmea::Gsa>("GPGSA,A,1,,,,,,,,,,,,,,,");
  CHECK(blank.fix == 1);
  CHECK(!blank.pdop);
}

TEST_CASE("a decoder that remembers repeated sentences says what the plain one says") {
  const std::vector<std::string> bodies{"GNGSA,A,3,04,05,,09,12,,,24,,,,,2.5,1.3,2.1,1",
                                        "GNGSA,A,3,04,05,,09,12,,,24,,,,,2.5,1.3,2.2,1",
                                        "GNGSA,A,3,66,67,,,,,,,,,,,2.5,1.3,2.1,2",
                                        "GPGSA,A,3,04,05,,09,12,,,24,,,,,2.5,1.3,2.1",
                                        "GLGSA,A,3,66,05,,09,12,,,24,,,,,2.5,1.3,2.1",
                                        "GNGSA,A,9,04,05,,09,12,,,24,,,,,2.5,1.3,2.1,1",
                                        "GNGSA,A,3,04,05",
                                        "GNGSA,A,3,04,05,,09,12,,,24,,,,,2.5,1.3,2.1,1" + std::string(90, '0'),
                                        "GPGST,235647.00,1.2,,,,0.050,0.049,0.070",
                                        "GNGSA",
                                        "PXGSA,A,3",
                                        ""};
  nmea::Decoder decoder;
  for (int round = 0; round < 3; ++round) {
    for (const std::string& first : bodies) {
      for (const std::string& body : {first, bodies[0], first, first}) {
        CAPTURE(body);
        CHECK(test::digest_of(decoder.decode(body)) == test::digest_of(nmea::decode(body)));
      }
    }
  }
}

/// One to three characters replaced, put in or taken out.
std::string spoilt(std::string body, test::Dice& dice) {
  constexpr std::string_view kLetters = "0123456789,,,..-AMNSEWKTRV\x7F\xFF +xe";
  for (std::uint32_t i = 0, n = 1 + dice.roll(3); i < n; ++i) {
    const std::size_t at = dice.roll(static_cast<std::uint32_t>(body.size() + 1));
    const std::uint32_t what = dice.roll(8);
    if (what == 0) {
      body.resize(at);
    } else if (what == 1) {
      body.erase(at, 1);
    } else if (what == 2 || at == body.size()) {
      body.insert(at, 1, kLetters[dice.roll(static_cast<std::uint32_t>(kLetters.size()))]);
    } else {
      body[at] = kLetters[dice.roll(static_cast<std::uint32_t>(kLetters.size()))];
    }
  }
  return body;
}

TEST_CASE("the fast decoder says of spoilt sentences what the plain one says, to the last bit") {
  const std::vector<std::string> bodies{
      "GNGGA,130749.00,4735.9900001,N,08723.9100007,W,4,27,0.61,183.004,M,-33.912,M,1.4,0417",
      "GNGGA,130749.123,0035.990000123,S,18000.0000000,E,2,08,1.00,-0.0,M,,M,000,",
      "GPGGA,130749,4735.99,N,08723.91,W,0,,,,M,,M,,",
      "GNGST,130749.00,0.52,0.021,0.009,41.5,0.011,0.010,0.027",
      "GNGSA,A,3,05,07,13,14,15,20,24,28,30,,,,1.14,0.61,0.96,F",
      "GPGSV,3,1,12,05,41,297,44,07,22,063,39,13,67,184,48,14,35,003,42,1",
      "GNRMC,130749.00,A,4735.9900001,N,08723.9100007,W,0.021,211.4,030626,3.1,E,R,V",
      "GNZDA,130749.00,03,06,2026,00,00",
      "GNGNS,130749.00,4735.9900001,N,08723.9100007,W,RRRN,27,0.61,183.004,-33.912,1.4,0417,V",
      "GNVTG,211.4,T,,M,0.021,N,0.039,K,D",
      "GPDTM,W84,,0.0,N,0.0,E,0.0,W84",
      "PQRMC,130749.00,A,,,,,,,030626,,,N",
      "GNTXT,01,01,02,nothing for us"};
  nmea::Decoder decoder;
  for (std::uint64_t seed = 0; seed < 200'000; ++seed) {
    test::Dice dice(seed);
    const std::string body = spoilt(bodies[dice.roll(static_cast<std::uint32_t>(bodies.size()))], dice);
    CAPTURE(body);
    // A copy of exactly this size, so that a sanitizer sees reading past either end.
    const auto copy = std::make_unique<char[]>(body.size());
    std::copy(body.begin(), body.end(), copy.get());
    REQUIRE(test::digest_of(decoder.decode({copy.get(), body.size()})) == test::digest_of(nmea::decode(body)));
  }
}

TEST_CASE("a GSV may carry anything behind its counts") {
  const auto gsv = read<nmea::Gsv>("GAGSV,4,2,13,16,56,082,48,7,28,256,43");
  CHECK(gsv.parts == 4);
  CHECK(gsv.part == 2);
  CHECK(gsv.in_view == 13);
  CHECK(is<nmea::Gsv>("GAGSV,1,1,00,A"));
  CHECK(is<nmea::Gsv>("GBGSV,1,1,01,16,56,082,48,B"));
}

TEST_CASE("an RMC is read in its short and long forms") {
  const auto rmc = read<nmea::Rmc>("GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W");
  CHECK(rmc.time_of_day_ms == 45'319'000);
  CHECK(rmc.valid);
  CHECK(rmc.position);
  CHECK(*rmc.speed_mps == doctest::Approx(11.52356).epsilon(1e-6));  // 22.4 international knots of 1852 m
  CHECK(rmc.course_deg == 84.4);
  CHECK(rmc.day == 23);
  CHECK(rmc.month == 3);
  CHECK(rmc.year_two_digits == 94);
  CHECK(rmc.mode == ' ');
  const auto today = read<nmea::Rmc>("GNRMC,103607.00,V,,,,,,,,,,N,V");
  CHECK(!today.valid);
  CHECK(!today.position);
  CHECK(!today.day);
  CHECK(today.mode == 'N');
  CHECK(today.navigation_status == 'V');
  CHECK(!read<nmea::Rmc>("GNRMC,,V,,,,,,,,,,N").time_of_day_ms);
}

TEST_CASE("a ZDA gives a date only when it prints one") {
  CHECK(read<nmea::Zda>("GNZDA,235647.05,20,12,2017,00,00").date == Date{2017, 12, 20});
  CHECK(read<nmea::Zda>("GNZDA,140000,03,06,2026,-05,30").date == Date{2026, 6, 3});
  CHECK(read<nmea::Zda>("GNZDA,140000,06,01,1980,00,00").date == Date{1980, 1, 6});
  CHECK(read<nmea::Zda>("GNZDA,140000,31,12,2079,00,00").date == Date{2079, 12, 31});
  CHECK(!read<nmea::Zda>("GNZDA,140000,,,,,").date);
  CHECK(!read<nmea::Zda>("GNZDA,140000,00,00,0000,00,00").date);
}

TEST_CASE("a GNS is read with its mode letters") {
  const auto gns = read<nmea::Gns>("GNGNS,130749.00,4736.0,N,08724.0,W,RRAN,25,0.68,193.953,-33.9,1.2,0417,V");
  CHECK(std::string_view(gns.modes.data()) == "RRAN");
  CHECK(gns.satellites == 25);
  CHECK(gns.altitude_m == 193.953);
  CHECK(gns.geoid_separation_m == -33.9);
  CHECK(gns.height_decimals == 1);
  CHECK(gns.age == nmea::Age{1.2, false});
  CHECK(gns.station == 417);
  const auto one_system = read<nmea::Gns>("GPGNS,235647.00,,,,,,6,,,,1.0,0");
  CHECK(!one_system.position);
  CHECK(one_system.modes[0] == '\0');
  const auto many = read<nmea::Gns>("GNGNS,130749.00,4736.0,N,08724.0,W,ABCDEFGHIJ,25,0.68,193.953,-33.9,,");
  CHECK(std::string_view(many.modes.data()) == "ABCDEFG");
}

TEST_CASE("a VTG gives metres a second from either unit") {
  CHECK(*read<nmea::Vtg>("GPVTG,054.7,T,034.4,M,005.5,N,010.2,K").speed_mps == doctest::Approx(10.2 / 3.6));
  CHECK(*read<nmea::Vtg>("GPVTG,054.7,T,034.4,M,005.5,N,,K,A").speed_mps == doctest::Approx(5.5 * 1852 / 3600));
  CHECK(!read<nmea::Vtg>("GNVTG,,,,,,,,,N").speed_mps);
  CHECK(read<nmea::Vtg>("GNVTG,,,,,,,,,N").mode == 'N');
}

TEST_CASE("a DTM gives its offsets with their signs") {
  const auto dtm = read<nmea::Dtm>("GPDTM,999,CH95,0.08,S,0.07,W,-47.7,W84");
  CHECK(std::string_view(dtm.local.data()) == "999");
  CHECK(dtm.latitude_offset_min == -0.08);
  CHECK(dtm.longitude_offset_min == -0.07);
  CHECK(dtm.altitude_offset_m == -47.7);
  CHECK(std::string_view(dtm.reference.data()) == "W84");
}

TEST_CASE("who speaks decides whether a sentence is ours") {
  struct Row {
    const char* body;
    bool ours;
    const char* talker;
    const char* formatter;
  };
  const std::string fields = ",140000,,,,,,,";
  for (const char* talker : {"GP", "GN", "GL", "GA", "GB", "BD", "GQ", "QZ", "GI", "PQ"}) {
    CAPTURE(std::string(talker));
    const nmea::Decoded decoded = decode(talker + ("GST" + fields));
    CHECK(std::holds_alternative<nmea::Gst>(decoded.content));
    CHECK(std::string_view(decoded.talker.data()) == talker);
    CHECK(std::string_view(decoded.formatter.data()) == "GST");
  }
  const std::vector<Row> rows{
      {"GNGLL,4736.0,N,08724.0,W,140000,A,D", false, "GN", "GLL"},
      {"IIGST,140000,,,,,,,", false, "II", "GST"},
      {"PXGST,140000,,,,,,,", false, "", ""},
      {"PQXYZ,1", false, "", ""},
      {"PABC,GGK,1", false, "", ""},
      {"GNGSTX,140000,,,,,,,", false, "", ""},
      {"", false, "", ""},
      {"GNGST", true, "GN", "GST"},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.body));
    const nmea::Decoded decoded = decode(row.body);
    CHECK(std::holds_alternative<nmea::Other>(decoded.content) != row.ours);
    CHECK(std::string_view(decoded.talker.data()) == row.talker);
    CHECK(std::string_view(decoded.formatter.data()) == row.formatter);
  }
  CHECK(is<nmea::Malformed>("GNGST"));
}

TEST_CASE("fields behind the known ones do not disturb") {
  CHECK(is<nmea::Gst>("GNGST,140000,,,,,,,,x,y"));
  CHECK(is<nmea::Gga>("GNGGA,140000,4736.0,N,08724.0,W,2,11,0.8,183.2,M,-33.9,M,4.0,0133,extra"));
}

}  // namespace
}  // namespace stillpoint
