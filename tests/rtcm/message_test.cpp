#include "rtcm/message.hpp"

#include <doctest/doctest.h>

#include "rtcm/frames.hpp"

namespace stillpoint {
namespace {

using rtcm::BaseEquipment;
using rtcm::BasePosition;
using rtcm::decode;
using rtcm::GlonassBiases;
using rtcm::Malformed;
using rtcm::Observations;
using rtcm::Other;
using rtcm::System;
using rtcm::Text;
using test::bytes_of_hex;
using test::Fields;

/// The body of a published frame, whose checksum must agree.
std::string body_of(std::string_view hex) {
  const auto framed = test::rtcm_framed({bytes_of_hex(hex)});
  REQUIRE(framed.bodies.size() == 1);
  return framed.bodies[0];
}

template <class Content>
Content content_of(const std::string& body, int type) {
  const rtcm::Message message = decode(body);
  CHECK(message.type == type);
  REQUIRE(std::holds_alternative<Content>(message.content));
  return std::get<Content>(message.content);
}

TEST_CASE("the standard's example of a base position is read to a tenth of a millimetre") {
  // RTCM 10403, example of message 1005, from memory; its own checksum agrees.
  const auto base = content_of<BasePosition>(body_of("D300133ED7D30202980EDEEF34B4BD62AC0941986F33360B98"), 1005);
  CHECK(base.station == 2003);
  CHECK(base.realization_year == 0);
  CHECK(base.has_gps);
  CHECK_FALSE(base.has_glonass);
  CHECK_FALSE(base.has_galileo);
  CHECK_FALSE(base.is_computed);
  CHECK(base.ecef_m[0] == doctest::Approx(1114104.5999).epsilon(1e-13));
  CHECK(base.ecef_m[1] == doctest::Approx(-4850729.7108).epsilon(1e-13));
  CHECK(base.ecef_m[2] == doctest::Approx(3975521.4643).epsilon(1e-13));
  CHECK_FALSE(base.antenna_up_m.has_value());
}

TEST_CASE("the standard's example of a text is read") {
  // RTCM 10403, example of message 1029, from memory; its own checksum agrees.
  const std::string body =
      body_of("D300274050170084736E151E5554462D3820D0BFD180D0BED0B2D0B5D180D0BAD0B02077C3B672746572EDA33B");
  const auto text = content_of<Text>(body, 1029);
  CHECK(text.station == 23);
  CHECK(text.modified_julian_day == 132);
  CHECK(text.second_of_day == 59100);
  CHECK(text.utf8 == "UTF-8 проверка wörter");
}

Fields base_fields(int type, std::int64_t x, std::int64_t y, std::int64_t z) {
  Fields out;
  out.number(type, 12).number(17, 12).number(20, 6).number(1, 1).number(1, 1).number(0, 1).number(1, 1);
  out.number(x, 38).number(1, 1).number(0, 1).number(y, 38).number(2, 2).number(z, 38);
  return out;
}

TEST_CASE("a base with an antenna height has both signs and the largest values") {
  const std::int64_t most = (std::int64_t{1} << 37) - 1;
  const auto base = content_of<BasePosition>(base_fields(1006, most, -most - 1, -1).number(65535, 16).body(), 1006);
  CHECK(base.station == 17);
  CHECK(base.realization_year == 20);
  CHECK(base.has_glonass);
  CHECK(base.is_computed);
  CHECK(base.ecef_m[0] == doctest::Approx(13743895.3471).epsilon(1e-13));
  CHECK(base.ecef_m[1] == doctest::Approx(-13743895.3472).epsilon(1e-13));
  CHECK(base.ecef_m[2] == doctest::Approx(-0.0001).epsilon(1e-13));
  REQUIRE(base.antenna_up_m.has_value());
  CHECK(*base.antenna_up_m == doctest::Approx(6.5535).epsilon(1e-13));
}

TEST_CASE("the equipment of a base is read as far as its type tells it") {
  const auto head = [](int type) {
    return Fields().number(type, 12).number(4095, 12).counted("INVENTED ANT    NONE").number(3, 8);
  };
  const std::string short_one = head(1007).body();
  const auto antenna = content_of<BaseEquipment>(short_one, 1007);
  CHECK(antenna.station == 4095);
  CHECK(antenna.antenna == "INVENTED ANT    NONE");
  CHECK(antenna.antenna_setup == 3);
  CHECK(antenna.antenna_serial.empty());

  const std::string serial = head(1008).counted("A-17").body();
  CHECK(content_of<BaseEquipment>(serial, 1008).antenna_serial == "A-17");

  const std::string all = head(1033).counted("").counted("INVENTED RX").counted("1.2").counted("R-4").body();
  const auto receiver = content_of<BaseEquipment>(all, 1033);
  CHECK(receiver.antenna_serial.empty());
  CHECK(receiver.receiver == "INVENTED RX");
  CHECK(receiver.firmware == "1.2");
  CHECK(receiver.receiver_serial == "R-4");
}

TEST_CASE("biases are read for the signals that are printed") {
  const std::string body = Fields()
                               .number(1230, 12)
                               .number(5, 12)
                               .number(1, 1)
                               .number(0, 3)
                               .number(0b1001, 4)
                               .number(-50, 16)
                               .number(7, 16)
                               .body();
  const auto biases = content_of<GlonassBiases>(body, 1230);
  CHECK(biases.is_corrected);
  CHECK(biases.bias_m[0].value() == doctest::Approx(-1.0));
  CHECK_FALSE(biases.bias_m[1].has_value());
  CHECK_FALSE(biases.bias_m[2].has_value());
  CHECK(biases.bias_m[3].value() == doctest::Approx(0.14));
}

TEST_CASE("observations say whose they are, of which instant and of how many satellites") {
  struct Row {
    int type;
    System system;
    bool multiple;  ///< of the later family
  };
  for (const Row row :
       {Row{1001, System::gps, false}, Row{1004, System::gps, false}, Row{1009, System::glonass, false},
        Row{1012, System::glonass, false}, Row{1071, System::gps, true}, Row{1077, System::gps, true},
        Row{1084, System::glonass, true}, Row{1097, System::galileo, true}, Row{1107, System::sbas, true},
        Row{1117, System::qzss, true}, Row{1127, System::beidou, true}, Row{1137, System::navic, true}}) {
    CAPTURE(row.type);
    Fields fields;
    fields.number(row.type, 12).number(417, 12);
    if (row.multiple && row.system == System::glonass) fields.number(5, 3);
    fields.number(86'399'000, row.system == System::glonass ? 27 : 30).number(1, 1);
    if (row.multiple) {
      fields.number(0, 18).number(static_cast<std::int64_t>(0x8000'0000'0001'0001ULL), 64).number(1, 32);
    } else {
      fields.number(3, 5).number(0, 4);
    }
    const auto seen = content_of<Observations>(fields.body(), row.type);
    CHECK(seen.station == 417);
    CHECK(seen.system == row.system);
    CHECK(seen.time_ms == 86'399'000);
    CHECK(seen.more_follow);
    CHECK(seen.satellites == 3);
  }
}

TEST_CASE("other types are told by their number, and an empty frame has none") {
  for (const int type : {1000, 1013, 1019, 1070, 1078, 1080, 1138, 4072}) {
    CAPTURE(type);
    const rtcm::Message message = decode(Fields().number(type, 12).number(0, 40).body());
    CHECK(message.type == type);
    CHECK(std::holds_alternative<Other>(message.content));
  }
  CHECK(decode("").type == 0);
  CHECK(std::holds_alternative<Other>(decode("").content));
  CHECK(std::holds_alternative<Malformed>(decode("\x3E").content));
}

TEST_CASE("a message that is one byte short is malformed, and one byte more changes nothing") {
  const auto equipment =
      Fields().number(1033, 12).number(1, 12).counted("A").number(0, 8).counted("B").counted("C").counted("D").counted(
          "E");
  const std::vector<std::string> bodies{
      base_fields(1005, 1, 2, 3).body(),
      base_fields(1006, 1, 2, 3).number(9, 16).body(),
      equipment.body(),
      Fields().number(1029, 12).number(1, 12).number(1, 16).number(1, 17).number(2, 7).counted("ab").body(),
      Fields().number(1230, 12).number(1, 12).number(0, 4).number(15, 4).number(1, 64).body(),
      Fields().number(1004, 12).number(1, 12).number(0, 40).body(),
      Fields().number(1077, 12).number(1, 12).number(0, 64).number(0, 64).number(0, 17).body()};
  for (const std::string& body : bodies) {
    const rtcm::Message whole = decode(body);
    CAPTURE(whole.type);
    CHECK_FALSE(std::holds_alternative<Malformed>(whole.content));
    CHECK(decode(body + "x").content.index() == whole.content.index());
    for (std::size_t length = 1; length < body.size(); ++length) {
      CHECK(std::holds_alternative<Malformed>(decode(std::string_view(body).substr(0, length)).content));
    }
  }
}

}  // namespace
}  // namespace stillpoint
