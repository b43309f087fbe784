#include "gate/sources.hpp"

#include <doctest/doctest.h>

#include "support/epochs.hpp"

namespace {

using namespace stillpoint;

TEST_CASE("the first source that takes quality and station owns the epoch") {
  struct Row {
    const char* name;
    Quality quality;
    std::optional<int> station;
    std::optional<std::size_t> source;
    bool quality_listed;
  };
  const Row rows[] = {
      {"a listed station", Quality::rtk_fixed, 417, 0, true},
      {"the first of a range", Quality::rtk_fixed, 900, 0, true},
      {"the last of a range", Quality::rtk_fixed, 910, 0, true},
      {"one past a range", Quality::rtk_fixed, 911, {}, true},
      {"a float of the network is the network's", Quality::rtk_float, 417, 0, true},
      {"a network rover on code corrections stays the network's", Quality::differential, 417, 0, true},
      {"SBAS by quality 2", Quality::differential, 131, 1, true},
      {"SBAS by quality 9", Quality::sbas, 133, 1, true},
      {"SBAS with a blank station", Quality::differential, {}, 1, true},
      {"SBAS with station 0000", Quality::differential, 0, 1, true},
      {"fixed with a blank station", Quality::rtk_fixed, {}, {}, true},
      {"autonomous belongs to nobody", Quality::autonomous, 417, {}, false},
      {"no fix belongs to nobody", Quality::none, {}, {}, false},
      {"estimated belongs to nobody", Quality::estimated, 417, {}, false},
  };
  const auto settings = support::settings();
  for (const Row& row : rows) {
    CAPTURE(row.name);
    gate::Matcher matcher(settings.sources);
    auto epoch = support::fixed_epoch(0);
    epoch.quality = row.quality;
    epoch.station = row.station;
    const gate::Match match = matcher.match(epoch);
    CHECK(match.source == row.source);
    CHECK(match.quality_listed == row.quality_listed);
  }
}

TEST_CASE("a quality that no source takes is an unknown source, not an unlisted station") {
  const std::vector<config::Source> only_sbas{support::sbas()};
  gate::Matcher matcher(only_sbas);
  const gate::Match match = matcher.match(support::fixed_epoch(0));
  CHECK_FALSE(match.source.has_value());
  CHECK_FALSE(match.quality_listed);
}

TEST_CASE("a blank station keeps the last one while class and window last") {
  const auto settings = support::settings();
  struct Row {
    const char* name;
    double after_s;
    Quality quality;
    std::optional<int> station;
  };
  const Row rows[] = {
      {"one second later", 1, Quality::rtk_fixed, 417},
      {"at the end of the window", 10, Quality::rtk_fixed, 417},
      {"past the window", 10.001, Quality::rtk_fixed, {}},
      {"under another class", 1, Quality::rtk_float, {}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    gate::Matcher matcher(settings.sources);
    matcher.match(support::fixed_epoch(0));
    auto epoch = support::fixed_epoch(row.after_s);
    epoch.station.reset();
    epoch.quality = row.quality;
    const auto match = matcher.match(epoch);
    CHECK(match.station == row.station);
    CHECK(match.source.has_value() == row.station.has_value());
  }
}

TEST_CASE("a blank station behind an unlisted one is not the source's blank") {
  const auto settings = support::settings();
  gate::Matcher matcher(settings.sources);
  auto epoch = support::fixed_epoch(0);
  epoch.quality = Quality::differential;
  epoch.station = 555;
  CHECK_FALSE(matcher.match(epoch).source.has_value());
  epoch = support::fixed_epoch(1);
  epoch.quality = Quality::differential;
  epoch.station.reset();
  const gate::Match match = matcher.match(epoch);
  CHECK_FALSE(match.source.has_value());
  CHECK(match.station == 555);
}

TEST_CASE("blank stations are counted from the last one printed, however many come") {
  const auto settings = support::settings();
  gate::Matcher matcher(settings.sources);
  matcher.match(support::fixed_epoch(0));
  for (int t = 1; t < 15; ++t) {
    CAPTURE(t);
    epoch::Epoch blank;  // never had one
    blank.quality = Quality::rtk_fixed;
    blank.stream_ms = support::fixed_epoch(t).stream_ms;
    CHECK(matcher.match(blank).station == (t <= 10 ? std::optional(417) : std::nullopt));
  }
}

TEST_CASE("an unlisted station is kept as long as the widest window of its quality, and no longer") {
  config::Settings settings = support::settings();
  settings.sources[0].gate.max_age_s = 0.5;
  for (const double blank_after_s : {0.5, 0.75}) {
    CAPTURE(blank_after_s);
    gate::Matcher matcher(settings.sources);
    auto epoch = support::fixed_epoch(0);
    epoch.station = 500;
    CHECK_FALSE(matcher.match(epoch).source);
    epoch = support::fixed_epoch(blank_after_s);
    epoch.station.reset();
    CHECK(matcher.match(epoch).station == (blank_after_s > 0.5 ? std::nullopt : std::optional(500)));
  }
}

}  // namespace
