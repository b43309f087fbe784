#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include <cstdio>

#include "report/drawings.hpp"
#include "report/exports.hpp"
#include "report/html.hpp"
#include "report/invented_day.hpp"
#include "report/page.hpp"
#include "report/printed.hpp"
#include "report/standing.hpp"

namespace stillpoint::report {
namespace {

using occupation::EpochRecord;
using occupation::PointStatus;
using occupation::StoredPoint;
using pointbook::Contents;

constexpr std::int64_t kStartMs = 1780495200000;  // 2026-06-03T14:00:00Z

UtcTime at(double second_s) {
  return {kStartMs + std::llround(second_s * 1000)};
}

StoredPoint stored(const std::string& name, int visit, double from_s, double to_s) {
  StoredPoint out;
  out.uuid = name + "-" + std::to_string(visit);
  out.stored_at = at(to_s);
  occupation::Point& p = out.point;
  p.name = name;
  p.visit = visit;
  p.status = PointStatus::accepted;
  p.frame = "EPSG:6319";
  p.source = "county network";
  occupation::Coordinates c;
  c.latitude_deg = 47.6;
  c.longitude_deg = -87.4;
  c.ellipsoid_height_m = 148.9;
  c.coordinate_epoch = 2010;
  c.error95_horizontal_m = 0.02;
  c.error95_vertical_m = 0.03;
  c.covariance_enu_m2 = {6e-5, 0, 6e-5, 2e-4};
  c.repeatability_m = 0.004;
  c.effective_epochs = 2;
  p.at = c;
  p.started_utc = at(from_s);
  p.finished_utc = at(to_s);
  return out;
}

EpochRecord epoch(double second_s, bool accepted, double north_m = 0) {
  EpochRecord e;
  e.utc = at(second_s);
  e.quality = Quality::rtk_fixed;
  e.source = "county network";
  e.age_s = 1;
  e.correction = corrections::State::fresh;
  e.accepted = accepted;
  e.latitude_deg = 47.6 + north_m / 111195.0;
  e.longitude_deg = -87.4;
  e.ellipsoid_height_m = 148.9;
  e.sigma_east_m = e.sigma_north_m = 0.01;
  e.sigma_up_m = 0.02;
  return e;
}

/// A point with `counted` seconds and two that are refused for two reasons each.
void add(Contents& book, StoredPoint point, int counted) {
  auto& epochs = book.epochs[point.uuid];
  const double from_s = seconds_between(at(0), *point.point.started_utc);
  for (int i = 0; i < counted; ++i) epochs.push_back(epoch(from_s + i, true, 0.001 * (i % 7 - 3)));
  for (int i = 0; i < 2; ++i) {
    epochs.push_back(epoch(from_s + counted + i, false, 0.02));
    epochs.back().reasons.set(static_cast<std::size_t>(gate::Reason::hdop));
    epochs.back().reasons.set(static_cast<std::size_t>(gate::Reason::moving));
  }
  point.point.epochs_used = static_cast<std::uint64_t>(counted);
  point.point.epochs_refused = 2;
  book.versions.push_back(std::move(point));
}

pointbook::CheckShot check(const std::string& mark, double second_s, bool passed, double east_m, double up_m) {
  pointbook::CheckShot shot;
  shot.uuid = mark + std::to_string(second_s);
  shot.mark = mark;
  shot.kind = "due";
  shot.utc = shot.stored_at = at(second_s);
  shot.passed = passed;
  shot.off_east_m = east_m;
  shot.off_up_m = up_m;
  shot.limit_horizontal_m = 0.03;
  shot.limit_vertical_m = 0.05;
  return shot;
}

/// Closed, checked before and after, nothing wrong.
Contents clean_day() {
  Contents book;
  book.path = "day.gpkg";
  book.project = "Harrowfen culvert inventory";
  book.frame = "EPSG:6319";
  add(book, stored("CUL-1", 1, 0, 60), 58);
  add(book, stored("CUL-2", 1, 100, 160), 58);
  book.checks = {check("VM-11", -60, true, 0.004, 0.01), check("VM-11", 200, true, -0.004, -0.01)};
  book.events = {{at(300), "day-closed", "the day was closed", R"({"by":"crew A"})"}};
  return book;
}

bool any_has(const std::vector<Decision>& decisions, std::string_view part) {
  return std::any_of(decisions.begin(), decisions.end(), [&](const Decision& decision) {
    return (decision.question + " " + decision.so).find(part) != std::string::npos;
  });
}

Wishes wanting(double plan_m, double up_m) {
  Wishes wishes;
  wishes.wanted = config::PerAxis{plan_m, up_m};
  return wishes;
}

std::size_t times(const std::string& text, std::string_view part) {
  std::size_t count = 0;
  for (std::size_t i = text.find(part); i != std::string::npos; i = text.find(part, i + 1)) ++count;
  return count;
}

}  // namespace

TEST_CASE("a clean, closed day leaves nothing to decide and carries no stamp") {
  const Contents book = clean_day();
  const Facts facts = facts_of(book, at(400));
  CHECK(decisions_of(facts).empty());
  CHECK(stamp_of(facts).empty());
  const std::string html = page(facts, {});
  CHECK(html.find("<p class=\"big\">All 2: yes.</p>") != std::string::npos);
  CHECK(html.find("Nothing is left to decide.") != std::string::npos);
}

TEST_CASE("each thing that is wrong with a day is a decision of its own") {
  struct Row {
    const char* name;
    void (*spoil)(Contents&);
    const char* says;
    const char* answer;
  };
  const Row rows[] = {
      {"not closed", [](Contents& b) { b.events.clear(); }, "The day was not closed", "Not yet."},
      {"closed, then measured on", [](Contents& b) { add(b, stored("CUL-3", 1, 400, 420), 18); },
       "The day was not closed", "Not yet."},
      {"a held point", [](Contents& b) { b.versions[0].point.status = PointStatus::held; }, "CUL-1: May it stay?",
       "1 of 2: yes."},
      {"a point without a second left", [](Contents& b) { b.versions[0].point.status = PointStatus::none; },
       "CUL-1: Nothing counts", "1 of 2: yes."},
      {"no check", [](Contents& b) { b.checks.clear(); }, "May the points be used without a check?", "Not yet."},
      {"no closing check", [](Contents& b) { b.checks.pop_back(); }, "after the last check: CUL-1 and CUL-2",
       "None of 2."},
      {"a failed check", [](Contents& b) { b.checks[1].passed = false; }, "Why did the check on VM-11 at 14:03 fail?",
       "None of 2."},
      {"points before a failed check", [](Contents& b) { b.checks[1].passed = false; },
       "It makes 2 points doubtful: CUL-1 and CUL-2.", "None of 2."},
      {"points that wait", [](Contents& b) { b.spool_waits = true; }, "Points lie in the spool", "Not yet."},
      {"a changed row", [](Contents& b) { b.damage = {"x"}; }, "no longer match", "Not yet."},
      {"sums that differ", [](Contents& b) { b.versions[0].point.epochs_used += 1; }, "do not add up", "Not yet."},
      {"visits that disagree",
       [](Contents& b) {
         add(b, stored("CUL-1", 2, 180, 190), 8);
         b.versions.back().point.at->latitude_deg += 0.2 / 111195.0;
       },
       "CUL-1: Which of visits 1 and 2 is wrong?", "1 of 3: yes."},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Contents book = clean_day();
    row.spoil(book);
    const Facts facts = facts_of(book, at(500));
    CHECK(any_has(decisions_of(facts), row.says));
    CHECK(page(facts, {}).find(std::string("<p class=\"big\">") + row.answer + "</p>") != std::string::npos);
  }
}

TEST_CASE("a failed check makes doubtful only what was measured since the last good one") {
  Contents book = clean_day();
  book.checks = {check("VM-11", -60, true, 0, 0), check("VM-11", 80, true, 0, 0), check("VM-12", 200, false, 0.2, 0)};
  const Facts facts = facts_of(book, at(400));
  CHECK(facts.points[0].doubt.empty());
  CHECK(facts.points[1].doubt.find("VM-12") != std::string::npos);
}

TEST_CASE("what was measured after a failed check is doubtful until another passes") {
  Contents book = clean_day();
  add(book, stored("CUL-3", 1, 210, 250), 38);
  book.checks = {check("VM-11", -60, true, 0, 0), check("VM-12", 80, false, 0.2, 0), check("VM-11", 200, true, 0, 0)};
  const Facts facts = facts_of(book, at(400));
  CHECK(facts.points[0].doubt.find("between the check that passed at 13:59:00") != std::string::npos);
  CHECK(facts.points[1].doubt.find("after the check on VM-12 that failed at 14:01:20") != std::string::npos);
  CHECK(facts.points[2].doubt.empty());
}

TEST_CASE("a version by hand says how far it moved the point, and who had it computed again") {
  Contents book = clean_day();
  StoredPoint later = book.versions[0];
  later.uuid = "later";
  later.version = 2;
  later.supersedes = book.versions[0].uuid;
  later.changed_by = "A. Brandvold";
  later.change_reason = "the pole stood at 2.000";
  later.point.at->ellipsoid_height_m -= 0.2;
  book.versions.push_back(later);
  book.events.push_back({at(390), "redo", "A. Brandvold had 1 point computed again", R"({"by":"A. Brandvold"})"});
  const Facts facts = facts_of(book, at(400));
  const auto moved = std::find_if(facts.changes.begin(), facts.changes.end(),
                                  [](const ChangeFact& change) { return change.who == "A. Brandvold"; });
  REQUIRE(moved != facts.changes.end());
  CHECK(moved->what == "CUL-1 became version 2, accepted; moved 0.000 m east, 0.000 m north, -0.200 m up");
  CHECK(moved->why == "the pole stood at 2.000");
  CHECK(page(facts, {}).find("had 1 point computed again") != std::string::npos);
}

TEST_CASE("a merged book is closed when every crew's was, and its conflicts are decisions") {
  struct Row {
    const char* name;
    const char* details;
    bool closed;
  };
  const Row rows[] = {
      {"both closed", R"({"from":[{"closed":true},{"closed":true}]})", true},
      {"one open", R"({"from":[{"closed":true},{"closed":false}]})", false},
      {"unreadable", "x", false},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Contents book = clean_day();
    book.events.push_back({at(390), "merge-conflict", "CUL-1 visit 1 is in a.gpkg and in b.gpkg", ""});
    book.events.push_back({at(390), "merged", "merged from 2 pointbooks", row.details});
    const Facts facts = facts_of(book, at(400));
    CHECK(facts.closed == row.closed);
    CHECK(any_has(decisions_of(facts), "CUL-1 visit 1 is in a.gpkg and in b.gpkg"));
  }
}

TEST_CASE("first reasons add up to the refused seconds, mentions do not") {
  const Contents book = clean_day();
  const EpochSums sums = facts_of(book, at(400)).sums;
  CHECK(sums.agree());
  CHECK(sums.rows_refused == 4);
  std::uint64_t first = 0, mentioned = 0;
  for (const RefusalFact& each : sums.refusals) {
    first += each.counted_here;
    mentioned += each.mentioned;
  }
  CHECK(first == 4);
  CHECK(mentioned == 8);
}

TEST_CASE(
    "a correction is shown as the newest version, with its older one's seconds, and as a change with who and why") {
  Contents book = clean_day();
  StoredPoint later = book.versions[0];
  later.uuid = "later";
  later.version = 2;
  later.supersedes = book.versions[0].uuid;
  later.changed_by = "crew B";
  later.change_reason = "second visit agrees";
  later.point.status = PointStatus::rejected;
  book.versions.push_back(later);
  const Facts facts = facts_of(book, at(400));
  REQUIRE(facts.points.size() == 2);
  CHECK(facts.points[0].newest.version == 2);
  CHECK(facts.points[0].epochs != nullptr);
  const std::string html = page(facts, {});
  CHECK(html.find("crew B") != std::string::npos);
  CHECK(html.find("second visit agrees") != std::string::npos);
  const std::string csv = points_csv(facts);
  CHECK(csv.find("CUL-1,1,2,rejected") != std::string::npos);
  CHECK(csv.substr(0, csv.find('\r')).ends_with(",doubt,day,change_reason,offset_measures"));
  CHECK(csv.find(",second visit agrees,\r\n") != std::string::npos);
}

TEST_CASE("no text in the list of points is a formula to a spreadsheet, and numbers stay numbers") {
  Contents book = clean_day();
  book.versions[0].point.name = "=HYPERLINK(\"x\")";
  book.versions[0].point.code = "@SUM(A1)";
  book.versions[0].point.note = "-2 m";
  book.versions[0].change_reason = "+1";
  const std::string csv = points_csv(facts_of(book, at(400)));
  CHECK(csv.find("\"'=HYPERLINK(\"\"x\"\")\",1,") != std::string::npos);
  CHECK(csv.find(",'@SUM(A1),'-2 m,") != std::string::npos);
  CHECK(csv.find(",'+1,\r\n") != std::string::npos);
  CHECK(csv.find(",-87.") != std::string::npos);
  CHECK(page(facts_of(book, at(400)), {{"points.csv", ""}}).find("has an apostrophe before it") != std::string::npos);
}

TEST_CASE("an alert lasts from its coming to its going, and one that never went says so") {
  const auto alerts = alerts_of({{at(0), "corrections-stale", "too old", ""},
                                 {at(25), "corrections-stale", "over: too old", ""},
                                 {at(50), "corrections-stale", "too old", ""},
                                 {at(60), "occupy", "occupied", ""}});
  REQUIRE(alerts.size() == 2);
  REQUIRE(alerts[0].until);
  CHECK(seconds_between(alerts[0].from, *alerts[0].until) == doctest::Approx(25));
  CHECK_FALSE(alerts[1].until);
  CHECK(alerts[0].outage);
}

TEST_CASE("a going belongs to the coming of its own number, whatever the words are") {
  const auto told = [](double second_s, const char* text, int number, const char* state) {
    return pointbook::Event{at(second_s), "feed-silent", text,
                            "{\"occurrence\":" + std::to_string(number) + ",\"state\":\"" + state + "\"}"};
  };
  const auto alerts =
      alerts_of({told(0, "silent", 1, "raised"), told(10, "over: a word that begins like an end", 2, "raised"),
                 told(20, "silent", 1, "over"), told(30, "silent", 7, "over")});
  REQUIRE(alerts.size() == 2);
  REQUIRE(alerts[0].until);
  CHECK(seconds_between(alerts[0].from, *alerts[0].until) == doctest::Approx(20));
  // An alert that no list names is one all the same, and an occupation with a number in it is none.
  const auto others = alerts_of({{at(0), "satellites-lost", "20 to 12", R"({"occurrence":1,"state":"raised"})"},
                                 {at(5), "kept", "CUL-1", R"({"by":"crew A"})"}});
  REQUIRE(others.size() == 1);
  CHECK_FALSE(others[0].outage);
  CHECK_FALSE(alerts[1].until);
}

TEST_CASE("no event of the pointbook is missing in the report") {
  Contents book = clean_day();
  const char* kinds[] = {"outage", "outages", "feed",   "receiver",       "recovered",         "started",
                         "kept",   "redo",    "merged", "merge-conflict", "corrections-stale", "a-new-kind"};
  for (const char* kind : kinds) book.events.push_back({at(10), kind, std::string("said of ") + kind + ".", ""});
  const std::string html = page(facts_of(book, at(400)), {});
  for (const char* kind : kinds) {
    CAPTURE(kind);
    CHECK(html.find(std::string("said of ") + kind + ".") != std::string::npos);
  }
}

TEST_CASE("under twenty marks no tested accuracy is claimed; with twenty it is the NSSDA's") {
  Contents book = clean_day();
  CHECK(page(facts_of(book, at(400)), {})
            .find("too few for a tested accuracy at 95 %: the NSSDA asks for 20, the ASPRS for 30.") !=
        std::string::npos);
  book.checks.clear();
  for (int i = 0; i < 20; ++i) book.checks.push_back(check("M" + std::to_string(i), 170 + i, true, 0.02, 0.03));
  for (auto& shot : book.checks) shot.off_north_m = 0.01;
  // FGDC-STD-007.3-1998, appendix 3-A: 2.4477 * 0.5 * (RMSEx + RMSEy), and 1.9600 * RMSEz.
  const std::string html = page(facts_of(book, at(400)), {});
  CHECK(html.find("Tested 37\u00A0mm horizontal accuracy at 95 % (NSSDA).") != std::string::npos);
  CHECK(html.find("Tested 59\u00A0mm vertical accuracy at 95 % (NSSDA).") != std::string::npos);
  // ASPRS Edition 2 wants 30 points; its figure is an RMSE: the root of 0.02^2 + 0.01^2.
  CHECK(html.find("ASPRS Edition 2 (2023), RMSE_H") != std::string::npos);
  CHECK(html.find("0.0224 m (fit") != std::string::npos);
  CHECK(html.find("30") != std::string::npos);
  // The same mark twenty times is one mark.
  for (auto& shot : book.checks) shot.mark = "M0";
  CHECK(page(facts_of(book, at(400)), {})
            .find("too few for a tested accuracy at 95 %: the NSSDA asks for 20, the ASPRS for 30.") !=
        std::string::npos);
}

TEST_CASE("training and an open day are stamped in the text and in the margin of every printed page") {
  Contents book = clean_day();
  book.training = true;
  book.events.clear();
  const Facts facts = facts_of(book, at(400));
  const std::string html = page(facts, {});
  CHECK(stamp_of(facts) == "TRAINING, NO REAL POINTS / DAY NOT CLOSED");
  CHECK(html.find("@top-right{content:\"TRAINING, NO REAL POINTS / DAY NOT CLOSED\"") != std::string::npos);
  CHECK(points_csv(facts).find("TRAINING, NO REAL POINTS") != std::string::npos);
}

TEST_CASE("an error figure that nobody has calibrated is said beside the answer and is no decision") {
  Contents book = clean_day();
  for (occupation::StoredPoint& stored : book.versions) stored.point.flags = {"error-scale-not-verified"};
  const Facts facts = facts_of(book, at(400));
  CHECK(decisions_of(facts).empty());
  const std::string html = page(facts, {});
  CHECK(html.find("<p class=\"big\">All 2: yes.</p>") != std::string::npos);
  CHECK(html.find("<p class=\"limit\">Nobody has calibrated the 20 and the 30\u00A0mm yet.</p>") != std::string::npos);
  for (occupation::StoredPoint& stored : book.versions) stored.point.flags.clear();
  CHECK(page(facts_of(book, at(400)), {}).find("Nobody has calibrated") == std::string::npos);
}

TEST_CASE("the answer is for the error that was wanted, when one is named") {
  Contents book = clean_day();
  book.versions[0].point.at->error95_horizontal_m = 0.03;
  book.versions[0].point.at->error95_vertical_m = 0.04;
  book.versions[1].point.at->error95_horizontal_m = 0.05;
  book.versions[1].point.at->error95_vertical_m = 0.08;
  const Facts enough = facts_of(book, at(400), wanting(0.05, 0.08));
  CHECK(decisions_of(enough).empty());
  CHECK(page(enough, {}).find("used where 50\u00A0mm horizontally and 80\u00A0mm vertically are wanted, at 95 %?") !=
        std::string::npos);
  const Facts missed = facts_of(book, at(400), wanting(0.05, 0.0796));
  const auto decisions = decisions_of(missed);
  REQUIRE(decisions.size() == 1);
  CHECK(short_answer(answer_of(missed)) == "1 of 2: yes.");
  // As many decimals as tell the value from the limit that it misses.
  CHECK(
      decisions[0].so ==
      "1 accepted point above the wanted error: CUL-2. The largest errors are 50 mm horizontally and 80.0 vertically; "
      "wanted were 50 and 80.");
}

TEST_CASE("the crews whose configurations measured the points are named") {
  Contents book = clean_day();
  CHECK(page(facts_of(book, at(400)), {}).find("Crew ") == std::string::npos);
  for (occupation::StoredPoint& stored : book.versions) stored.point.crew = "A";
  CHECK(page(facts_of(book, at(400)), {}).find("Crew A. Times are UTC.") != std::string::npos);
  book.versions.back().point.crew = "<B>";
  CHECK(page(facts_of(book, at(400)), {}).find("Crew &lt;B&gt; and A.") != std::string::npos);
}

TEST_CASE("a point that a hand accepted is named with the rule that held it, the hand and the reason") {
  Contents book = clean_day();
  StoredPoint later = book.versions[0];
  book.versions[0].point.status = PointStatus::held;
  book.versions[0].point.reason_texts = later.point.reason_texts = {"58 epochs counted, at least 60 wanted"};
  later.point.reasons = {occupation::HoldReason::too_few_epochs};
  later.uuid = "later";
  later.version = 2;
  later.supersedes = book.versions[0].uuid;
  later.changed_by = "A. Brandvold";
  later.change_reason = "two seconds do not matter";
  later.point.flags = {std::string(occupation::kAcceptedByHand)};
  book.versions.push_back(later);
  const std::string html = page(facts_of(book, at(400)), {});
  CHECK(html.find("Accepted by hand although a rule held it: CUL-1 (section 1).") != std::string::npos);
  CHECK(html.find("CUL-1 was held (58 epochs counted, at least 60 wanted) and accepted by hand by A. Brandvold: two "
                  "seconds do not matter.") != std::string::npos);
}

TEST_CASE("times are told in the zone that is handed in, with the zone, and a change of it is said") {
  Wishes wishes;
  // Four hours behind until 14:01:40 UTC, then five: as when summer time ends.
  wishes.clock = DayClock("Invented/Zone", [](UtcTime time) { return time < at(100) ? -4 * 3600 : -5 * 3600; });
  Contents book = clean_day();
  const std::string html = page(facts_of(book, at(400), wishes), {});
  CHECK(html.find("Report of Wednesday 3 June 2026, 09:59 to 09:03.") != std::string::npos);
  CHECK(html.find("Times are local, UTC\u22124, later UTC\u22125.") != std::string::npos);
  CHECK(html.find("<td>10:01</td>") != std::string::npos);  // CUL-1, kept at 14:01:00 UTC
  CHECK(html.find("<td>09:02</td>") != std::string::npos);  // CUL-2, kept at 14:02:40 UTC
}

// As in the east of North America in 2026: clocks go from 02:00 to 03:00 on 8 March and from 02:00 to 01:00 on 1 November.
TEST_CASE("a local time is one moment, and none or two in the hour in which clocks are changed") {
  const auto utc = [](const char* text) { return parse_utc(text).value(); };
  const DayClock clock("Invented/Zone", [&](UtcTime time) {
    return time < utc("2026-11-01T06:00:00Z") && time >= utc("2026-03-08T07:00:00Z") ? -4 * 3600 : -5 * 3600;
  });
  struct Row {
    const char* local;
    std::vector<UtcTime> moments;
  };
  const Row rows[] = {
      {"2026-06-03T10:05:00Z", {utc("2026-06-03T14:05:00Z")}},
      {"2026-12-03T10:05:00Z", {utc("2026-12-03T15:05:00Z")}},
      {"2026-11-01T00:59:59Z", {utc("2026-11-01T04:59:59Z")}},
      {"2026-11-01T01:30:00Z", {utc("2026-11-01T05:30:00Z"), utc("2026-11-01T06:30:00Z")}},
      {"2026-11-01T02:00:00Z", {utc("2026-11-01T07:00:00Z")}},
      {"2026-03-08T02:30:00Z", {}},
      {"2026-03-08T03:00:00Z", {utc("2026-03-08T07:00:00Z")}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.local);
    CHECK(clock.moments(utc(row.local)) == row.moments);
  }
  CHECK(DayClock().moments(utc("2026-06-03T10:05:00Z")).front() == utc("2026-06-03T10:05:00Z"));
}

TEST_CASE("a book of several days says the day beside each time of a later one") {
  Contents book = clean_day();
  add(book, stored("CUL-3", 1, 86'400, 86'460), 58);
  const std::string html = page(facts_of(book, at(90'000)), {});
  CHECK(html.find("13:59 to Thursday 4 June 2026, 14:01.") != std::string::npos);
  CHECK(html.find("<td>4\u00A0Jun\u00A014:01</td>") != std::string::npos);
}

TEST_CASE("lengths are told in the unit that is wanted; files keep metres") {
  Wishes wishes;
  wishes.units = config::LengthUnit::foot;
  const Contents book = clean_day();
  const Facts facts = facts_of(book, at(400), wishes);
  const std::string html = page(facts, {});
  // 148.9 m / 0.3048 = 488.517 ft; 0.02 m = 0.066 ft (NIST SP 811: 1 ft is 0.3048 m exactly).
  CHECK(html.find("<td>488.517</td>") != std::string::npos);
  CHECK(html.find(">0.07\u00A0ft<") != std::string::npos);
  CHECK(points_csv(facts).find(",148.9000,") != std::string::npos);
  // NIST SP 811: the US survey foot is 1200/3937 m; 148.9 m are 488.516.
  CHECK(Measures(config::LengthUnit::us_survey_foot).length(148.9) == "488.516");
}

TEST_CASE("numbers are printed with a true minus and narrow spaces between thousands") {
  CHECK(printed(1068.6849, 3) == "1\u202F068.685");
  CHECK(printed(-1234567, 0) == "\u22121\u202F234\u202F567");
  CHECK(printed(-0.0001, 3) == "0.000");
  CHECK(printed(999, 0) == "999");
  CHECK(printed_with_sign(-0.6, 0) == "\u22121");
  CHECK(Measures().small_beside(0.0104, 0.010) == "10.4");
  CHECK(Measures().small_beside(0.012, 0.010) == "12");
  CHECK(Measures().small_text(std::nullopt) == "not known");
}

TEST_CASE("every number of the table of points is the pointbook's, rounded once") {
  const Contents book = samples::invented_day({24, 66, true});
  const Facts facts = facts_of(book, at(90'000));
  const std::string html = page(facts, {});
  std::uint64_t used = 0, refused = 0;
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    CAPTURE(point.name);
    used += point.epochs_used, refused += point.epochs_refused;
    // Sixteen digits of the stored doubles, rounded here by the C library's own hand.
    char cells[256];
    std::snprintf(cells, sizeof cells, "<td>%.3f</td><td>%.0f</td><td>%.0f</td><td>%llu</td>",
                  point.at->ellipsoid_height_m, point.at->error95_horizontal_m * 1000,
                  point.at->error95_vertical_m * 1000, static_cast<unsigned long long>(point.epochs_used));
    CHECK(html.find(cells) != std::string::npos);
    std::snprintf(cells, sizeof cells, "<td>%.8f</td><td>\u2212%.8f</td>", point.at->latitude_deg,
                  -point.at->longitude_deg);
    CHECK(html.find(cells) != std::string::npos);
  }
  // 21 stays of 66 seconds, one of 35 with 140 that were too old, one of 50 with 16 set apart, one of 66.
  CHECK(used == 21 * 66 + 35 + 50 + 66);
  CHECK(refused == 140 + 16);
  CHECK(html.find("1\u202F537 counted, 156 did not: 140 unproven corrections, 16 other place. The sums agree.") !=
        std::string::npos);
  CHECK(html.find("<p class=\"big\">21 of 24: yes.</p>") != std::string::npos);
}

TEST_CASE("a day of many points has sheets on which every point is named once, a day of few has none") {
  const Contents small = samples::invented_day({24, 8, true}), large = samples::invented_day({200, 8, true});
  const Facts few = facts_of(small, at(90'000));
  CHECK_FALSE(needs_sheets(few));
  CHECK(page(few, {}).find("Map sheets") == std::string::npos);
  const Facts many = facts_of(large, at(90'000));
  REQUIRE(needs_sheets(many));
  const std::string sheets = map_sheets(many);
  CHECK(times(sheets, "<svg") == 4);  // halves of halves: 50 points each
  std::size_t named = 0;
  for (const PointFact& fact : many.points) {
    const std::string& name = fact.newest.point.name;
    const std::string number = name.substr(4);
    if (sheets.find(">" + name + "<") != std::string::npos || sheets.find(">" + number + "<") != std::string::npos)
      ++named;
  }
  CHECK(named == 200);
}

TEST_CASE("no text from the pointbook can become markup, style or another cell") {
  Contents book = clean_day();
  book.project = "</style><script>alert(1)</script>\"}";
  book.versions[0].point.name = "<img src=x onerror=alert(1)>";
  book.versions[0].point.note = "a,b\"c\r\nd";
  const Facts facts = facts_of(book, at(400));
  const std::string html = page(facts, {});
  CHECK(html.find("<script") == std::string::npos);
  CHECK(html.find("<img") == std::string::npos);
  CHECK(times(html, "</style>") == 1);
  CHECK(points_csv(facts).find("\"a,b\"\"c\r\nd\"") != std::string::npos);
}

TEST_CASE("every drawing has a name for those who do not see it, every table a name and headed columns") {
  const Contents book = clean_day();
  const std::string html = page(facts_of(book, at(400)), {});
  const std::size_t icons = times(html, "aria-hidden=\"true\"");  // signs beside the words that say the same
  CHECK(icons > 0);
  CHECK(times(html, "<svg") == times(html, "role=\"img\"") + icons);
  CHECK(times(html, "role=\"img\" aria-label=\"") == times(html, "role=\"img\""));
  CHECK(times(html, "<table") == times(html, "role=\"region\" aria-label=\""));
  CHECK(times(html, "<thead") == times(html, "<table"));
  CHECK(html.find("http://") == std::string::npos);
  CHECK(html.find("<script") == std::string::npos);
}

}  // namespace stillpoint::report
