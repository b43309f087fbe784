// What an invented base sends is what the reader of frames takes for one.

#include "rtcm/encode.hpp"

#include <doctest/doctest.h>

#include "rtcm/frames.hpp"
#include "rtcm/message.hpp"

namespace stillpoint::rtcm {
namespace {

TEST_CASE("the position of a base is, but for three flags, the frame of the standard's example") {
  // RTCM 10403.1, example of message 1005, from memory. The example's base serves GPS alone and says so.
  const std::string example = test::bytes_of_hex("D300133ED7D30202980EDEEF34B4BD62AC0941986F33360B98");
  const std::string ours = base_position_frame(2003, {1114104.5999, -4850729.7108, 3975521.4643});
  REQUIRE(ours.size() == example.size());
  const auto position = [](const std::string& frame) {
    const auto message = decode(std::string_view(frame).substr(3, frame.size() - 6));
    const auto* base = std::get_if<BasePosition>(&message.content);
    REQUIRE(base != nullptr);
    return *base;
  };
  CHECK(position(ours).station == position(example).station);
  CHECK(position(ours).ecef_m == position(example).ecef_m);
  CHECK_FALSE(position(ours).is_computed);
}

TEST_CASE("observations without any say whose they are and of how many satellites") {
  const std::string frame = observations_frame(417, 345'600'000);
  Framer framer;
  int frames = 0;
  framer.push(frame, [&](const Frame& one) {
    ++frames;
    const auto message = decode(one.body);
    const auto* observations = std::get_if<Observations>(&message.content);
    REQUIRE(observations != nullptr);
    CHECK(observations->station == 417);
    CHECK(observations->satellites == 8);
  });
  CHECK(frames == 1);
  CHECK(framer.counters().damage == Damage{});
}

TEST_CASE("a frame has the checksum of a general-purpose library") {
  for (const std::string& body : {std::string(), std::string("\x01\x02"), std::string(1023, 'x')}) {
    CHECK(frame_of(body) == test::rtcm_frame(body));
  }
}

}  // namespace
}  // namespace stillpoint::rtcm
