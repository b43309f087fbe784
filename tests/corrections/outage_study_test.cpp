#include "corrections/outage_study.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

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
      {"no age at all", AgeManner::never_there, 20, {}, "age_missing = \"trust-quality\""},
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

/// A receiver whose age stands at `usual_s` while corrections come; the last of them is heard at 119 s, and from then
/// on the age counts. The class is held until `drops_at`; `blank_from` on nothing is printed.
std::vector<epoch::Epoch> counting_day(int seconds, double usual_s, int drops_at, int blank_from) {
  std::vector<epoch::Epoch> day;
  for (int t = 0; t < seconds; ++t) {
    epoch::Epoch e = support::fixed_epoch(t, t < kLoss_s ? usual_s : usual_s + (t - kLoss_s + 1));
    if (t >= blank_from) e.age.reset();
    if (t >= drops_at) {
      e.quality = Quality::autonomous;
      e.age.reset();
    }
    day.push_back(e);
  }
  return day;
}

corrections::OutageFindings studied(const std::vector<epoch::Epoch>& day) {
  OutageStudy study;
  for (const auto& e : day) study.observe(e);
  return study.findings();
}

bool has(const std::vector<std::string>& lines, const std::string& line) {
  return std::count(lines.begin(), lines.end(), line) == 1;
}

TEST_CASE("a loss is told with its moment, its largest age and how long the class was held, to the digit") {
  struct Row {
    const char* name;
    double usual_s;
    int blank_from;
    double largest_s;
    bool whole;
    const char* usual_text;
    const char* counted_text;
    const char* fresh;
  };
  // From the last correction at 119 s to the drop at 180 s are 61 s; the last age of the class is printed at 179 s.
  const Row rows[] = {
      {"whole seconds", 1.0, 1000, 61.0, true,
       "While corrections are fine the age is at most 1 s (9 of 10 epochs), in whole seconds.",
       "The age counts up without corrections, to 61 s.", "fresh_age_s = 2.0"},
      {"tenths", 1.5, 1000, 61.5, false, "While corrections are fine the age is at most 1.5 s (9 of 10 epochs).",
       "The age counts up without corrections, to 61.5 s.", "fresh_age_s = 3.0"},
      {"an age that goes blank after it counted", 1.0, 150, 31.0, true,
       "While corrections are fine the age is at most 1 s (9 of 10 epochs), in whole seconds.",
       "The age counts up without corrections, to 31 s.", "fresh_age_s = 2.0"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto found = studied(counting_day(260, row.usual_s, 180, row.blank_from));
    REQUIRE(found.found);
    CHECK(found.lost_utc->ms - support::fixed_epoch(0).utc->ms == 119'000);
    CHECK(found.healthy_epochs == 119);
    CHECK(found.usual_age_s == row.usual_s);
    CHECK(found.largest_age_s == row.largest_s);
    CHECK(found.held_s == 61.0);
    CHECK(found.dropped_to == Quality::autonomous);
    CHECK(found.whole_seconds == row.whole);
    const auto words = in_words(found);
    CHECK(has(words, row.usual_text));
    CHECK(has(words, row.counted_text));
    CHECK(has(words, "The receiver keeps the class for 61 s and then says autonomous."));
    CHECK(has(toml_lines(found), row.fresh));
    CHECK(has(toml_lines(found),
              "# max_age_s: the project's accuracy decides; above 61 this receiver would not have kept the class"));
  }
}

TEST_CASE("the receiver's error before and at the end of the class is told where it prints one, and not otherwise") {
  for (const bool prints : {true, false}) {
    CAPTURE(prints);
    std::vector<epoch::Epoch> day;
    for (int t = 0; t < 260; ++t) {
      day.push_back(second(t, AgeManner::counts, 40));
      if (!prints) day.back().error.reset();
    }
    const auto words = in_words(studied(day));
    const auto tells = [](const std::string& line) { return line.starts_with("Its own error figure (GST"); };
    CHECK(std::count_if(words.begin(), words.end(), tells) == (prints ? 1 : 0));
  }
}

TEST_CASE("a recording that ends while the class is held tells no end of it, whatever its length") {
  for (const int seconds : {255, 256, 257}) {  // 256 fill a vector that doubles
    CAPTURE(seconds);
    const auto found = studied(counting_day(seconds, 1.0, 1000, 1000));
    REQUIRE(found.found);
    CHECK(found.largest_age_s == seconds - kLoss_s + 1.0);
    CHECK_FALSE(found.held_s.has_value());
    CHECK(found.dropped_to == Quality::none);
    CHECK(has(in_words(found), "The receiver never gave the class up in this recording."));
    CHECK(has(toml_lines(found), "# max_age_s: the project's accuracy decides; above " +
                                     std::to_string(seconds - kLoss_s + 1) + " nothing was seen of this receiver"));
  }
}

TEST_CASE("a loss of the fix is no loss of corrections") {
  struct Row {
    const char* name;
    void (*spoil)(epoch::Epoch&);
    bool loss;
  };
  const Row rows[] = {
      {"autonomous with the same sky", [](epoch::Epoch& e) { e.quality = Quality::autonomous; }, true},
      {"code corrections of another source", [](epoch::Epoch& e) { e.quality = Quality::sbas; }, true},
      {"no fix",
       [](epoch::Epoch& e) {
         e.quality = Quality::none;
         e.position.reset();
       },
       false},
      {"dead reckoning", [](epoch::Epoch& e) { e.quality = Quality::estimated; }, false},
      {"a position of four satellites of twelve",
       [](epoch::Epoch& e) {
         e.quality = Quality::autonomous;
         e.satellites = 4;
       },
       false},
      {"a float solution", [](epoch::Epoch& e) { e.quality = Quality::rtk_float; }, false},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    std::vector<epoch::Epoch> day;
    for (int t = 0; t < 180; ++t) {
      day.push_back(support::fixed_epoch(t, 1.0));
      if (t >= 120) row.spoil(day.back());
    }
    CHECK(studied(day).found == row.loss);
  }
}

TEST_CASE("a class that ends with the fix tells no length for which it is held") {
  auto day = counting_day(260, 1.0, 180, 1000);
  for (int t = 180; t < 260; ++t) {
    day[static_cast<std::size_t>(t)].quality = Quality::none;
    day[static_cast<std::size_t>(t)].position.reset();
  }
  const auto found = studied(day);
  REQUIRE(found.found);
  CHECK_FALSE(found.held_s.has_value());
  CHECK(has(in_words(found),
            "Then the fix was lost: how long the receiver keeps the class without corrections is not seen."));
}

TEST_CASE("fixed, then float, then nothing: the class before the loss is the one that lasted") {
  std::vector<epoch::Epoch> day;
  for (int t = 0; t < 200; ++t) {
    day.push_back(support::fixed_epoch(t));
    day.back().age.reset();
    if (t >= 100) day.back().quality = t < 110 ? Quality::rtk_float : Quality::autonomous;
  }
  const auto found = studied(day);
  REQUIRE(found.found);
  CHECK(found.quality == Quality::rtk_fixed);
  CHECK(found.lost_utc->ms - support::fixed_epoch(0).utc->ms == 110'000);
}

TEST_CASE("of fixed and float in equal numbers the later one is the class before the loss") {
  std::vector<epoch::Epoch> day;
  for (int t = 0; t < 220; ++t) {
    day.push_back(support::fixed_epoch(t));
    day.back().age.reset();
    // 2 float, 100 fixed, 98 float.
    if (t < 2 || t >= 102) day.back().quality = t < 200 ? Quality::rtk_float : Quality::autonomous;
  }
  const auto found = studied(day);
  REQUIRE(found.found);
  CHECK(found.quality == Quality::rtk_float);
}

TEST_CASE("the policy follows from how often a good epoch has no age, and whether the class was given up") {
  struct Row {
    const char* name;
    int blank_of_100;  ///< healthy epochs without an age
    bool gives_up;     ///< else the age counts for ever
    config::AgeMissing policy;
  };
  using config::AgeMissing;
  for (const Row& row : {Row{"always an age", 0, true, AgeMissing::refuse},
                         Row{"one sentence of a hundred was lost", 1, true, AgeMissing::refuse},
                         Row{"mostly blank, class given up", 86, true, AgeMissing::trust_quality},
                         Row{"mostly blank, class never given up", 86, false, AgeMissing::allow}}) {
    CAPTURE(row.name);
    std::vector<epoch::Epoch> day;
    for (int t = 0; t < 300; ++t) {
      epoch::Epoch e = support::fixed_epoch(t, t < 200 ? 1.0 : t - 198.0);
      if (t < 200 && t % 100 < row.blank_of_100) e.age.reset();
      if (t >= 250 && row.gives_up) e.quality = Quality::autonomous;
      day.push_back(e);
    }
    const auto found = studied(day);
    REQUIRE(found.found);
    CHECK(policy_for(found) == row.policy);
    CHECK(in_words(found).back().find("age_missing = \"") != std::string::npos);
    const std::string advice = in_words(found).back();
    CHECK((advice.find("blank in 86 % of the good epochs") != std::string::npos) == (row.blank_of_100 == 86));
  }
}

TEST_CASE("no limit is proposed that is looser than half an hour") {
  const auto found = studied(counting_day(2700, 1500.0, 2600, 3000));
  REQUIRE(found.found);
  const auto lines = toml_lines(found);
  CHECK(has(lines, "fresh_age_s = 1800.0"));
  CHECK(has(lines,
            "# max_age_s: the project's accuracy decides; above 1800 nobody works (common practice), though this "
            "receiver kept the class"));
}

TEST_CASE("a class that is dropped after half a minute is a loss, and after less it is none") {
  for (const int healthy : {29, 30}) {
    CAPTURE(healthy);
    std::vector<epoch::Epoch> day;
    for (int t = 0; t < healthy + 60; ++t) {
      epoch::Epoch e = support::fixed_epoch(t, 1.0);
      if (t >= healthy) e.quality = Quality::autonomous;
      day.push_back(e);
    }
    const auto found = studied(day);
    CHECK(found.found == (healthy == 30));
    if (!found.found) continue;
    CHECK(found.healthy_epochs == 30);
    CHECK(found.lost_utc->ms - support::fixed_epoch(0).utc->ms == 30'000);
    CHECK(found.dropped_to == Quality::autonomous);
  }
}

}  // namespace
