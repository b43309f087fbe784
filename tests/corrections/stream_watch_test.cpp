#include "corrections/stream_watch.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/corrections.hpp"

namespace stillpoint {
namespace {

using corrections::StreamWatch;
using support::base_text;
using support::observations;

/// Station 2003 of the standard's example under any number, so far along x.
std::string position(int station, double x_shift_m = 0, bool is_computed = false) {
  support::Ecef at = support::kExampleBase;
  at[0] += x_shift_m;
  return support::base_position(station, at, is_computed);
}

SteadyTime at(double seconds) {
  return SteadyTime{static_cast<std::int64_t>(std::llround(seconds * 1000))};
}

TEST_CASE("the newest frame with corrections counts, and neither descriptions nor noise do") {
  StreamWatch watch;
  watch.take(position(7), at(1));
  CHECK_FALSE(watch.last_frame());
  CHECK(watch.last_byte() == at(1));
  watch.take(observations(7), at(2));
  CHECK(watch.last_frame() == at(2));
  watch.take(position(7), at(3));
  watch.take(base_text("maintenance at noon"), at(4));
  watch.take("noise", at(5));
  CHECK(watch.last_frame() == at(2));
  CHECK(watch.last_byte() == at(5));
  CHECK(watch.counters().damage.garbage_bytes == 5);
}

TEST_CASE("a stream in pieces of one byte is read like one in whole frames") {
  const std::string stream = position(7) + observations(7) + base_text("hello") + observations(7);
  StreamWatch whole, cut;
  whole.take(stream, at(1));
  for (const char& byte : stream) cut.take({&byte, 1}, at(1));
  CHECK(cut.last_frame() == whole.last_frame());
  CHECK(cut.base() == whole.base());
  CHECK(cut.counters() == whole.counters());
  CHECK(cut.take_text() == "hello");
}

TEST_CASE("a frame with one bit turned is none, and is counted as damage") {
  std::string frame = observations(7);
  frame[10] = static_cast<char>(frame[10] ^ 4);
  StreamWatch watch;
  watch.take(frame + observations(7), at(1));
  CHECK(watch.counters().frames == 1);
  CHECK(watch.counters().damage.bad_checksum == 1);
}

TEST_CASE("a run of frames goes on over five seconds without any, and not over more") {
  StreamWatch watch;
  watch.take(observations(7), at(1));
  watch.take(observations(7), at(6));
  CHECK(watch.flowing_since() == at(1));
  watch.take(observations(7), at(11.001));
  CHECK(watch.flowing_since() == at(11.001));
}

TEST_CASE("the base is known by its number and its position, to a tenth of a millimetre") {
  StreamWatch watch;
  watch.take(observations(2003), at(0));
  CHECK(watch.station() == 2003);
  CHECK_FALSE(watch.base());
  watch.take(position(2003), at(1));
  REQUIRE(watch.base());
  CHECK(watch.base()->ecef_m[0] == doctest::Approx(1114104.5999).epsilon(1e-13));
  CHECK_FALSE(watch.base()->is_computed);
  CHECK_FALSE(watch.take_change());
}

TEST_CASE("a base that stands a centimetre elsewhere is the same, and one more than that is another") {
  StreamWatch watch;
  watch.take(position(7), at(0));
  watch.take(position(7, 0.01), at(1));
  CHECK_FALSE(watch.take_change());
  watch.take(position(7, 0.0102), at(2));
  const auto change = watch.take_change();
  REQUIRE(change);
  CHECK(change->station_before == 7);
  CHECK(change->station == 7);
  REQUIRE(change->moved_m);
  CHECK(*change->moved_m == doctest::Approx(0.0102).epsilon(1e-6));
  CHECK_FALSE(watch.take_change());
}

TEST_CASE("small steps of a base add up: they are all measured from where it first stood") {
  StreamWatch watch;
  for (int i = 0; i <= 3; ++i) watch.take(position(7, 0.004 * i), at(i));
  const auto change = watch.take_change();
  REQUIRE(change);
  CHECK(*change->moved_m == doctest::Approx(0.012).epsilon(1e-6));
}

TEST_CASE("another number is another base once the one before has been silent for five seconds") {
  StreamWatch watch;
  watch.take(position(7) + observations(7), at(0));
  watch.take(observations(9), at(4.999));
  CHECK(watch.station() == 7);
  CHECK_FALSE(watch.take_change());
  watch.take(observations(9), at(5));
  CHECK(watch.station() == 9);
  CHECK_FALSE(watch.base());
  const auto change = watch.take_change();
  REQUIRE(change);
  CHECK(change->station_before == 7);
  CHECK(change->station == 9);
  CHECK_FALSE(change->moved_m);
  watch.take(position(9, 5), at(6));
  CHECK(watch.base()->station == 9);
  CHECK_FALSE(watch.take_change());
}

TEST_CASE("a stream of two numbers keeps the base it began with") {
  StreamWatch watch;
  for (int i = 0; i < 60; ++i) watch.take(observations(7) + position(7) + observations(9) + position(9, 10), at(i));
  CHECK(watch.station() == 7);
  CHECK(watch.base()->station == 7);
  CHECK_FALSE(watch.take_change());
}

TEST_CASE("a base that is worked out says so") {
  StreamWatch watch;
  watch.take(position(7, 0, true), at(0));
  CHECK(watch.base()->is_computed);
}

TEST_CASE("what a base writes is shown without what cannot be seen") {
  StreamWatch watch;
  watch.take(base_text("now\x1b[2J"), at(0));
  CHECK(watch.take_text() == "now?[2J");
  CHECK(watch.take_text().empty());
}

TEST_CASE("a frame that a lost connection left half is no part of the next one") {
  const std::string frame = observations(7);
  StreamWatch watch;
  watch.take(frame.substr(0, 12), at(0));
  watch.cut();
  watch.take(frame, at(1));
  CHECK(watch.last_frame() == at(1));
  CHECK(watch.counters().frames == 1);
}

}  // namespace
}  // namespace stillpoint
