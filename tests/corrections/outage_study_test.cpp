#include "corrections/outage_study.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "support/epochs.hpp"

namespace {

using namespace stillpoint;
using corrections::AgeManner;
using corrections::OutageStudy;

constexpr int kLoss_s = 120, kBack_s = 200;

/// A second of a receiver whose corrections are gone from 120 s to 200 s, in one of the manners seen in recordings.
epoch::Epoch second(int t, AgeManner manner, int gives_up_after_s) {
  epoch::Epoch e = support::fixed_epoch(t, 1.0 + t % 3 * 0.5);
  if (manner == AgeManner::never_there) e.age.reset();
  if (t < kLoss_s || t >= kBack_s) return e;
  const int without_s = t - kLoss_s + 1;
  if (manner == AgeManner::counts) e.age = nmea::Age{1.0 + without_s, false};
  if (manner == AgeManner::stands) e.age = nmea::Age{1.0, false};
  if (manner == AgeManner::goes_blank) e.age = nmea::Age{0, true};
  if (without_s > gives_up_after_s) {
    e.quality = Quality::autonomous;
    if (manner != AgeManner::stands) e.age.reset();
  }
  e.error->sigma_latitude_m = 0.0095 * (1 + 0.05 * without_s);
  return e;
}

TEST_CASE("the study names the receiver's manner, how long it holds the class, and the policy that fits") {
  struct Row {
    const char* name;
    AgeManner manner;
    int gives_up_after_s;
    std::optional<double> held_s;
    const char* policy;
  };
  const Row rows[] = {
      {"an age that counts, given up after 59 s", AgeManner::counts, 59, 59, "age_missing = \"refuse\""},
      {"an age that counts, never given up", AgeManner::counts, 1000, {}, "age_missing = \"refuse\""},
      {"an age that stands", AgeManner::stands, 20, {}, "age_missing = \"refuse\""},
      {"an age that goes to 0", AgeManner::goes_blank, 0, {}, "age_missing = \"refuse\""},
      {"no age at all", AgeManner::never_there, 20, {}, "age_missing = \"allow\""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    OutageStudy study;
    for (int t = 0; t < 260; ++t) study.observe(second(t, row.manner, row.gives_up_after_s));
    const auto found = study.findings();
    REQUIRE(found.found);
    CHECK(found.quality == Quality::rtk_fixed);
    CHECK(found.manner == row.manner);
    CHECK(found.held_s.has_value() == row.held_s.has_value());
    if (row.held_s) CHECK(*found.held_s == doctest::Approx(*row.held_s).epsilon(0.05));
    if (row.manner != AgeManner::never_there) CHECK(found.usual_age_s == 2.0);
    const auto lines = toml_lines(found);
    CHECK(std::count(lines.begin(), lines.end(), row.policy) == 1);
    CHECK(in_words(found).size() >= 4);
  }
}

TEST_CASE("ages in whole seconds at five epochs a second are read as one growth") {
  OutageStudy study;
  for (int i = 0; i < 1500; ++i) {
    epoch::Epoch e = support::fixed_epoch(i / 5.0, 1.0);
    if (i >= 600 && i < 1000) e.age = nmea::Age{1.0 + (i - 600) / 5, false};
    study.observe(e);
  }
  const auto found = study.findings();
  CHECK(found.manner == AgeManner::counts);
  CHECK(found.largest_age_s == 80.0);
  CHECK(found.whole_seconds);
  CHECK(found.lost_utc->ms - support::fixed_epoch(0).utc->ms == doctest::Approx(120'000).epsilon(0.01));
}

TEST_CASE("a recording without a loss says so and gives nothing to paste") {
  OutageStudy study;
  for (int t = 0; t < 300; ++t) study.observe(support::fixed_epoch(t, 1.0 + t % 4));
  const auto found = study.findings();
  CHECK_FALSE(found.found);
  CHECK(toml_lines(found).empty());
  CHECK(in_words(found).front() == "No loss of corrections was found.");
}

}  // namespace
