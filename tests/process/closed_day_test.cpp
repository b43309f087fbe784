// What a closing of the day covers and how it is told, and the open stay on its way to the disk: no thread and
// no clock but those handed in.

#include <doctest/doctest.h>

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "day/closed_day.hpp"
#include "day/day_book.hpp"
#include "day/marks.hpp"
#include "day/saved_stay.hpp"
#include "pointbook/happened.hpp"
#include "pointbook/samples.hpp"
#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

namespace {

using namespace stillpoint;
using namespace stillpoint::daemon;
using occupation::PointStatus;
using Words = std::vector<std::string>;

constexpr std::int64_t kHourMs = 3'600'000;
constexpr UtcTime kNoon{1'780'488'000'000};  // 2026-06-03T12:00:00Z

UtcTime hours_later(double hours) {
  return {kNoon.ms + static_cast<std::int64_t>(hours * static_cast<double>(kHourMs))};
}

occupation::StoredPoint measured(const std::string& name, PointStatus status, UtcTime at) {
  occupation::StoredPoint out;
  out.uuid = name;
  out.point.name = name;
  out.point.visit = 1;
  out.point.status = status;
  out.point.finished_utc = at;
  return out;
}

Catalogue points_of(const std::vector<occupation::StoredPoint>& points) {
  Catalogue out;
  for (const auto& each : points) out.put(each, Storage::stored);
  return out;
}

pointbook::Event closing_at(UtcTime utc) {
  DayClosed day;
  day.utc = utc;
  return close_event(day);
}

pointbook::Event lost_at(UtcTime utc, const std::string& name) {
  return pointbook::event_of(utc, pointbook::LostStay{name, 1, false, "the receiver fell silent"});
}

}  // namespace

TEST_CASE("a closing counts what was measured since the one before, at most 24 hours back") {
  DayBook book;
  book.hear(closing_at(kNoon));
  auto held = measured("HF-3", PointStatus::held, hours_later(3));
  held.point.reasons = {occupation::HoldReason::too_short, occupation::HoldReason::interrupted};
  auto by_hand = measured("HF-4", PointStatus::accepted, hours_later(4));
  by_hand.point.flags = {std::string(occupation::kAcceptedByHand)};
  by_hand.changed_by = "anna";
  by_hand.change_reason = "seen twice";
  const Catalogue points = points_of({measured("HF-1", PointStatus::accepted, hours_later(-1)),
                                      measured("HF-2", PointStatus::accepted, hours_later(2)), held, by_hand,
                                      measured("HF-5", PointStatus::rejected, hours_later(5))});
  const DayTally tally = book.tally(points, hours_later(6));
  CHECK(tally.accepted == 2);
  CHECK(tally.held == 1);
  CHECK(tally.rejected == 1);
  CHECK(tally.held_points == Words{"HF-3 visit 1 (too-short, interrupted)"});
  CHECK(tally.by_hand == Words{"HF-4 visit 1, accepted by anna: seen twice"});
  CHECK(book.tally(points, hours_later(26)).accepted == 2);  // HF-2 exactly 24 hours before
  CHECK(book.tally(points, hours_later(26.001)).accepted == 1);
  CHECK(book.left_open(points, hours_later(26)) == 0);
  CHECK(book.left_open(points, hours_later(26.001)) == 1);
}

TEST_CASE("events since the last closing are counted by what they tell, the end of an alert is none") {
  DayBook book;
  const auto hear = [&](double hours, const std::string& kind) {
    book.hear(pointbook::event_of(hours_later(hours), kind, kind, ""));
  };
  hear(-2, "outage");
  book.hear(closing_at(hours_later(-1)));
  hear(1, "outage");
  hear(1, "outage");
  hear(2, "abandoned");
  hear(2, "occupy");
  book.hear(pointbook::alert_event(hours_later(3), "feed-silent", "nothing", {1, false}));
  book.hear(pointbook::alert_event(hours_later(3), "feed-silent", "nothing", {1, true}));
  const DayTally tally = book.tally({}, hours_later(4));
  CHECK(tally.outages == 2);
  CHECK(tally.abandoned == 1);
  CHECK(tally.alerts == std::map<std::string, std::size_t>{{"feed-silent", 1}});
}

TEST_CASE("a day is closed until something is kept after it") {
  DayBook book;
  Catalogue points = points_of({measured("HF-1", PointStatus::accepted, kNoon)});
  CHECK_FALSE(book.is_closed(points));
  book.hear(closing_at(kNoon));
  CHECK(book.is_closed(points));
  points.put(measured("HF-2", PointStatus::held, {kNoon.ms + 1}), Storage::memory);
  CHECK_FALSE(book.is_closed(points));
}

TEST_CASE("a stay that left nothing outlasts a closing until its alert is over") {
  DayBook book;
  book.hear(lost_at(hours_later(1), "HF-1"));
  book.hear(closing_at(hours_later(2)));
  book.hear(lost_at(hours_later(3), "HF-2"));
  const std::string first = "HF-1 ended: the receiver fell silent, nothing stored";
  const std::string second = "HF-2 ended: the receiver fell silent, nothing stored";
  CHECK(book.unseen_stays() == first + "; " + second);
  book.hear(pointbook::alert_event(hours_later(4), kStayLost, "", {1, true}));
  CHECK(book.unseen_stays().empty());
  REQUIRE(book.lost_stays().size() == 2);
  CHECK(book.lost_stays()[1].text == second);
  book.hear(closing_at(hours_later(5)));
  CHECK(book.lost_stays().empty());
}

TEST_CASE("a closing is told in one sentence and keeps who gave it and the files of the record") {
  DayClosed day;
  day.utc = kNoon;
  day.asked = {"anna", "the owner decides", ""};
  day.tally.accepted = 1;
  day.tally.held = 2;
  day.tally.outages = 3;
  day.tally.alerts = {{"feed-silent", 3}, {"check-due", 1}};
  day.tally.held_points = {"HF-3 visit 1", "HF-4 visit 1"};
  day.proof = session::Proof{"VM-11", "passed", hours_later(-0.5)};
  day.record.files = {{"20260603T080000Z.nmea", "aa"}, {"20260603T090000Z.nmea", "bb"}};
  CHECK(close_sentence(day) ==
        "the day is closed: 1 point accepted, 2 held (left because: the owner decides), 0 rejected, 0 stays abandoned, "
        "3 outages, 4 alerts; proved on VM-11 at 11:30:00 UTC; 2 files of the record are as recorded");
  const pointbook::Event event = close_event(day);
  CHECK(event.utc == kNoon);
  CHECK(pointbook::is(event, pointbook::EventKind::day_closed));
  CHECK(event.text == close_sentence(day));
  CHECK(pointbook::by_of(event) == "anna");
  const auto files = pointbook::closed_files_of(event);
  REQUIRE(files.size() == 2);
  CHECK(files[1].file == "20260603T090000Z.nmea");
  CHECK(files[1].sha256 == "bb");
}

TEST_CASE("a record that is not what was recorded is told with its first fault and why it is left") {
  DayClosed day;
  day.asked.leave_record = "the card was full";
  day.record.faults = {"one file is missing"};
  CHECK(close_sentence(day).ends_with(
      "no marks are configured, so nothing proves it; the record is not what was recorded: one file is missing; left "
      "because: the card was full"));
  day.record.faults.insert(day.record.faults.end(), {"another is shorter", "a third is new"});
  CHECK(close_sentence(day).ends_with("one file is missing and 2 more; left because: the card was full"));
}

TEST_CASE("where the scales stand is told to people and not stored") {
  DayClosed day;
  day.scales = {"county network: 3 visits"};
  CHECK(close_json(day).find("county network: 3 visits") != std::string::npos);
  CHECK(close_event(day).details.find("county network") == std::string::npos);
}

TEST_CASE("the pointbook itself is no file of marks, and no file means no marks") {
  config::Settings settings = support::settings();
  REQUIRE(marks_of(settings).has_value());
  CHECK(marks_of(settings)->marks.empty());
  const samples::Folder folder;
  const std::string book = folder.file("day.pointbook");
  samples::write_file(book, "of a test");
  settings.checks.marks = settings.project.pointbook = book;
  REQUIRE_FALSE(marks_of(settings).has_value());
  CHECK(marks_of(settings).error().text == book + " is the pointbook itself; copy the marks into a file of their own");
}

namespace {

/// A session with a stay, and what of it was saved: the names with their accepted epochs, "-" for none any more.
struct Saving {
  config::Settings settings = support::settings();
  session::Session session{settings, *geodesy::Frames::open(settings), {}};
  std::vector<std::function<void()>> syncs;
  Handover handover{[this](std::function<void()> then) { syncs.push_back(std::move(then)); },
                    [] { return MachineTime{0}; }};
  Words saved;
  SavedStay stay{session, handover, [this](const std::optional<occupation::StoredPoint>& stored) {
                   saved.push_back(stored ? stored->point.name + " " + std::to_string(stored->point.epochs_used) : "-");
                 }};
  int second = 0;

  Saving() { session.feed(session::FeedState::open, "a test", SteadyTime{0}); }
  void seconds(int count) {
    for (const int end = second + count; second < end; ++second) {
      support::Second each;
      each.t_s = second;
      each.up_m = 0.0001 * (second % 7);  // a living receiver never repeats itself to the last digit
      session.push(each.text(), SteadyTime{second * 1000LL + 80});
    }
    session.take();
  }
};

}  // namespace

TEST_CASE("an open stay is saved at once, then every four seconds, and forgotten when it is over") {
  Saving all;
  all.seconds(15);
  all.stay.look(MachineTime{0});
  CHECK(all.saved.empty());
  REQUIRE(all.session.occupy({"HF-1"}).done);
  all.stay.look(MachineTime{1'000});
  CHECK(all.saved == Words{"HF-1 0"});  // a crash must not make it vanish before a second has counted
  all.seconds(4);
  all.stay.look(MachineTime{4'999});
  CHECK(all.saved.size() == 1);
  all.stay.look(MachineTime{5'000});
  REQUIRE(all.saved.size() == 2);
  CHECK(all.saved[1] == "HF-1 4");
  all.session.drop();
  all.stay.look(MachineTime{5'100});
  all.stay.look(MachineTime{5'200});
  CHECK(all.saved.size() == 3);
  CHECK(all.saved.back() == "-");
}

TEST_CASE("what is saved waits behind the points that the store has not been given yet") {
  Saving all;
  all.seconds(15);
  all.handover.when_synced([&] { all.saved.emplace_back("point"); });
  REQUIRE(all.session.occupy({"HF-1"}).done);
  all.stay.look(MachineTime{1'000});
  CHECK(all.saved.empty());
  REQUIRE(all.syncs.size() == 1);
  all.syncs[0]();
  CHECK(all.saved == Words{"point", "HF-1 0"});
}

TEST_CASE("the stay of an earlier run is kept until it is forgotten, and only then is the disk cleared") {
  Saving all;
  all.stay.find(measured("HF-0", PointStatus::held, kNoon));
  all.stay.look(MachineTime{0});
  CHECK(all.saved.empty());
  REQUIRE(all.stay.earlier().has_value());
  CHECK(all.stay.earlier()->point.name == "HF-0");
  all.stay.forget_earlier();
  CHECK_FALSE(all.stay.earlier().has_value());
  CHECK(all.saved == Words{"-"});
}
