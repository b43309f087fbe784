#include "session/proving.hpp"

#include <doctest/doctest.h>

using namespace stillpoint;
using session::Proving;

namespace {

UtcTime minute(int at) {
  return {at * 60'000};
}

}  // namespace

TEST_CASE("ten checks on marks, 45 minutes apart, prove a source's claim") {
  Proving proving;
  CHECK(proving.missing("network") == 10);
  for (int i = 0; i < 7; ++i) proving.note("network", minute(60 * i));
  CHECK(proving.visits("network") == 7);
  CHECK(proving.missing("network") == 3);
  CHECK(proving.missing("sbas") == 10);
  for (int i = 7; i < 12; ++i) proving.note("network", minute(60 * i));
  CHECK(proving.missing("network") == 0);
}

TEST_CASE("a check within 45 minutes of one that counts adds nothing, in whatever order they come") {
  struct Row {
    const char* name;
    int second_min;
    int visits;
  };
  const Row rows[] = {
      {"44 minutes later", 144, 1}, {"45 minutes later", 145, 2}, {"44 before", 56, 1}, {"45 before", 55, 2}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Proving proving;
    proving.note("network", minute(100));
    proving.note("network", minute(row.second_min));
    CHECK(proving.visits("network") == row.visits);
  }
}
