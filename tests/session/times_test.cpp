// Times that cannot be right, from the receiver's bytes to the alert: a link that is late, dates that are contradicted,
// dates that are put right.

#include <doctest/doctest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using session::FeedState;
using support::Second;

constexpr std::int64_t kDay = 86'400'000;

struct Day {
  explicit Day(const char* clock, bool training = false, config::ArchiveDates archive = {}) {
    settings.project.archive_dates = archive;
    session::Options options;
    options.training = training;
    day.emplace(settings, geodesy::Frames::open(settings).value(), options);
    if (*clock != '\0') day->set_clock(SteadyTime{0}, *parse_utc(clock));
    day->feed(FeedState::open, "a test", SteadyTime{0});
  }
  /// Seconds of the receiver's time, each `late_ms` later than usual.
  void run(int from_s, int to_s, std::int64_t late_ms = 0, const std::string& date = "030626") {
    for (int t = from_s; t < to_s; ++t) {
      Second second;
      second.t_s = t;
      second.date = date;
      second.up_m = 0.0001 * (t % 7);
      day->push(second.text(), SteadyTime{t * 1000 + 80 + late_ms});
      day->advance(SteadyTime{t * 1000 + 480 + late_ms});
      collect();
      counted.push_back(day->status().accepted);
    }
  }
  void collect() {
    session::Outputs out = day->take();
    std::move(out.points.begin(), out.points.end(), std::back_inserter(points));
    std::move(out.raised.begin(), out.raised.end(), std::back_inserter(raised));
    for (const session::Event& event : out.events) {
      if (event.kind == session::kDates) said.push_back(event.text);
    }
  }
  bool is_refused(const std::string& word) const {
    const auto status = day->status();
    return std::any_of(status.reasons.begin(), status.reasons.end(),
                       [&](const gate::ReasonText& each) { return to_word(each.reason) == word; });
  }
  const session::Alert* alert(const std::string& key) const {
    const auto at = std::find_if(raised.begin(), raised.end(), [&](const auto& a) { return a.key == key; });
    return at == raised.end() ? nullptr : &*at;
  }
  std::vector<std::string> flags() {
    REQUIRE(day->keep().done);
    collect();
    REQUIRE(points.size() == 1);
    std::vector<std::string> out = points[0].point.flags;
    std::erase(out, "claim-not-proven");
    std::erase(out, "error-scale-not-verified");
    return out;
  }
  config::Settings settings = support::settings();
  std::optional<session::Session> day;
  std::vector<session::FinishedPoint> points;
  std::vector<session::Alert> raised;
  std::vector<std::string> said;
  std::vector<bool> counted;  ///< each second
};

}  // namespace

TEST_CASE("a link that stalls and goes on eight seconds behind counts nothing until it has caught up") {
  Day d("2026-06-03T14:00:00Z");
  d.run(0, 20);
  CHECK(d.counted.back());
  d.run(20, 40, 8000);
  CHECK(d.is_refused("late"));
  CHECK(std::none_of(d.counted.begin() + 20, d.counted.end(), [](bool counts) { return counts; }));
  REQUIRE(d.alert("feed-late") != nullptr);
  CHECK(d.alert("feed-late")->severity == session::Severity::stop_work);
  CHECK(d.alert("feed-late")->text == "the feed comes 8 s late: seconds do not count until it has caught up");
  d.run(48, 60);
  CHECK_FALSE(d.is_refused("late"));
  CHECK(d.counted.back());
}

TEST_CASE("a stall of exactly the silence limit is not late") {
  for (const std::int64_t late_ms : {3000, 3010}) {
    CAPTURE(late_ms);
    Day d("2026-06-03T14:00:00Z");
    d.run(0, 20);
    d.run(20, 30, late_ms);
    CHECK(d.is_refused("late") == (late_ms > 3000));
  }
}

TEST_CASE("a stream whose arrivals are its own time is never late") {
  Day d("");
  d.run(0, 20);
  d.run(20, 40, 8000);
  CHECK(d.counted.back());
  CHECK(d.alert("feed-late") == nullptr);
}

TEST_CASE("a link that was cut is measured anew") {
  Day d("2026-06-03T14:00:00Z");
  d.run(0, 20);
  d.day->cut(SteadyTime{20'500});
  d.run(21, 40, 8000);
  CHECK(d.counted.back());
}

TEST_CASE("a standstill of ours is no new link") {
  Day d("2026-06-03T14:00:00Z");
  d.run(0, 20);
  d.day->cut(SteadyTime{20'500}, "the disk is full");
  d.run(21, 40, 8000);
  CHECK(d.is_refused("late"));
}

TEST_CASE("a date that the clock contradicts is refused, and work stops") {
  for (const char* date : {"010135", "010179"}) {
    CAPTURE(date);
    Day d("2026-06-03T14:00:00Z");
    d.run(0, 20, 0, date);
    CHECK(d.is_refused("date-contradicted"));
    CHECK(std::none_of(d.counted.begin(), d.counted.end(), [](bool counts) { return counts; }));
    REQUIRE(d.alert("date-contradicted") != nullptr);
    CHECK(d.alert("date-contradicted")->severity == session::Severity::stop_work);
    const std::string days = std::string(date) == "010135" ? "3134" : "19205";
    CHECK(d.alert("date-contradicted")->text.find("stands " + days + " days after this computer's clock") !=
          std::string::npos);
  }
}

TEST_CASE("a date that jumps by days and comes back costs its seconds, with and without a clock") {
  for (const char* clock : {"2026-06-03T14:00:00Z", ""}) {
    CAPTURE(clock);
    Day d(clock);
    d.run(0, 20);
    d.run(20, 30, 0, "030617");
    CHECK(d.is_refused("date-contradicted"));
    REQUIRE(d.alert("date-contradicted") != nullptr);
    CHECK(d.alert("date-contradicted")->text ==
          "the receiver's date is contradicted: its date, 2017-06-03, stands 3287 days before those it gave until "
          "then; seconds do not count");
    d.run(30, 50);
    CHECK_FALSE(d.is_refused("date-contradicted"));
    CHECK(d.counted.back());
  }
}

TEST_CASE("a rehearsal may be of any day") {
  Day d("2020-01-01T00:00:00Z", true);
  d.run(0, 20);
  CHECK(d.counted.back());
  CHECK(d.raised.empty());
}

TEST_CASE("how dates are taken is said, and every point of it says so") {
  struct Row {
    const char* what;
    const char* clock;
    config::ArchiveDates archive;
    const char* date;
    const char* utc;
    std::vector<std::string> flags;
    std::vector<std::string> said;
  };
  constexpr auto kAsRecorded = config::ArchiveDates::as_recorded, kRolledOver = config::ArchiveDates::rolled_over;
  const std::vector<Row> rows{
      {"right", "2026-06-03T14:00:00Z", kAsRecorded, "030626", "2026-06-03", {}, {}},
      {"lifted by the clock",
       "2026-06-03T14:00:00Z",
       kAsRecorded,
       "181006",
       "2026-06-03",
       {"week-rollover"},
       {"the receiver's dates are 7168 days too early and were put right by this computer's clock (week-rollover): now "
        "2026-06-03"}},
      {"behind the clock",
       "2026-11-29T15:00:00Z",
       kAsRecorded,
       "030626",
       "2026-06-03",
       {"date-behind-clock"},
       {"the receiver's date, 2026-06-03, stands 179 days before this computer's clock; one of the two is wrong"}},
      {"a recorded log is taken as dated", "", kAsRecorded, "181006", "2006-10-18", {}, {}},
      {"unless it is known to have rolled over",
       "",
       kRolledOver,
       "181006",
       "2026-06-03",
       {"week-rollover"},
       {"the receiver's dates are 7168 days too early and were put right by archive_dates in the configuration "
        "(week-rollover): now 2026-06-03"}},
      {"a clock goes before what the configuration says of archives",
       "2026-06-03T14:00:00Z",
       kRolledOver,
       "030617",
       "2017-06-03",
       {"date-behind-clock"},
       {"the receiver's date, 2017-06-03, stands 3287 days before this computer's clock; one of the two is wrong"}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.what);
    Day d(row.clock, false, row.archive);
    d.run(0, 10, 0, row.date);
    REQUIRE(d.day->occupy({"HF-1"}).done);
    d.run(10, 50, 0, row.date);
    CHECK(to_text(*d.day->status().time_utc).substr(0, 10) == row.utc);
    CHECK(d.flags() == row.flags);
    CHECK(d.said == row.said);
  }
}

TEST_CASE("visits that lie days away from the log are told with the days") {
  Day d("");
  const UtcTime start = *parse_utc("2026-06-03T14:00:00Z"), end = *parse_utc("2026-06-03T14:00:30Z");
  d.day->plan({{"A", 1, "", start, end},
               {"B", 1, "", UtcTime{start.ms + 60'000}, UtcTime{end.ms + 60'000}},
               {"C", 1, "", UtcTime{start.ms - 7168 * kDay}, UtcTime{end.ms - 7168 * kDay}}});
  d.run(0, 40, 0, "181006");
  d.day->finish();
  d.collect();
  CHECK(d.said ==
        std::vector<std::string>{"2 visits lie 7168 days after the log, which is of 2006-10-18 to 2006-10-18; "
                                 "do the dates of one of them stand wrong?"});
}

TEST_CASE("visits of the log's own day are nobody's news, though nothing falls into them") {
  Day d("");
  d.day->plan({{"A", 1, "", *parse_utc("2026-06-03T09:00:00Z"), *parse_utc("2026-06-03T09:10:00Z")}});
  d.run(0, 20);
  d.day->finish();
  d.collect();
  CHECK(d.said.empty());
}
