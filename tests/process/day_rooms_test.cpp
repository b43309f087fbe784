// What the day is made of, each part by itself: no disk, no thread and no clock but those handed in.

#include <doctest/doctest.h>

#include <algorithm>
#include <concepts>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <type_traits>
#include <vector>

#include "day/background.hpp"
#include "day/battery_guard.hpp"
#include "day/day_alerts.hpp"
#include "day/deliveries.hpp"
#include "day/disk_guard.hpp"
#include "day/missing_keeps.hpp"
#include "day/outcomes.hpp"
#include "occupation/occupation.hpp"
#include "pointbook/happened.hpp"

namespace {

using namespace stillpoint;
using namespace stillpoint::daemon;
using session::Severity;
using Words = std::vector<std::string>;

constexpr UtcTime kNow{1'780'495'200'000};

/// A clock and a sync that do what the test says.
struct Waiting {
  MachineTime now{0};
  std::vector<std::function<void()>> syncs;
  Words given;
  Handover handover{[this](std::function<void()> then) { syncs.push_back(std::move(then)); }, [this] { return now; }};
  std::function<void()> say(const std::string& what) {
    return [this, what] { given.push_back(what); };
  }
};

/// Events and alerts of a day that listens to nobody.
struct Told {
  std::vector<pointbook::Event> stored;
  EventBook events{[this](pointbook::Event event) { stored.push_back(std::move(event)); }, [] { return kNow; }};
  DayTime time{[](SteadyTime at) { return UtcTime{kNow.ms + at.ms}; }};
  DayAlerts alerts{events, time};
  Words heard;
  Told() {
    alerts.start(
        {[this](const session::Alert& alert) { heard.push_back((alert.active ? "+" : "-") + alert.key); }, {}});
  }
  std::string active(const std::string& key) const {
    const session::Alert* alert = alerts.own().active(key);
    return alert == nullptr ? "" : alert->text;
  }
};

occupation::StoredPoint point_of(const std::string& name, int visit = 1, const std::string& uuid = "") {
  occupation::StoredPoint out;
  out.point.name = name;
  out.point.visit = visit;
  out.uuid = uuid;
  return out;
}

}  // namespace

// In a replay the two differ by its pace: neither may be taken for the other.
static_assert(!std::is_convertible_v<MachineTime, FeedTime> && !std::is_convertible_v<FeedTime, MachineTime>);
static_assert(!std::equality_comparable_with<MachineTime, FeedTime>);
static_assert(stamped(MachineTime{7}) == FeedTime{7});

TEST_CASE("the day tells UTC by the record until the receiver tells it, and then by the receiver") {
  DayTime time([](SteadyTime at) { return UtcTime{1000 + at.ms}; });
  time.set(SteadyTime{50});
  CHECK(time.utc().ms == 1050);
  time.hear(UtcTime{900'000});
  time.hear(std::nullopt);
  time.reach(SteadyTime{80});
  CHECK(time.utc().ms == 900'030);
  time.reach(SteadyTime{60});
  CHECK(time.at().ms == 80);
  time.set(SteadyTime{60});
  CHECK(time.at().ms == 60);
}

TEST_CASE("what waits for a sync is given in order, once that sync or a later one is done") {
  Waiting all;
  all.handover.in_order(all.say("free"));
  CHECK(all.given == Words{"free"});
  all.handover.when_synced(all.say("first"));
  all.handover.in_order(all.say("behind the first"));
  all.handover.when_synced(all.say("second"));
  all.handover.when_synced(all.say("third"));
  CHECK(all.given == Words{"free"});
  REQUIRE(all.syncs.size() == 3);
  all.syncs[0]();
  CHECK(all.given == Words{"free", "first", "behind the first"});
  all.syncs[2]();
  CHECK(all.given == Words{"free", "first", "behind the first", "second", "third"});
  all.syncs[1]();
  CHECK(all.given.size() == 5);
}

TEST_CASE("a sync that never ends holds nothing back for longer than the patience") {
  Waiting all;
  all.now = MachineTime{10'000};
  all.handover.when_synced(all.say("point"));
  all.now = MachineTime{11'000};
  all.handover.when_synced(all.say("check"));
  for (const auto& [now_ms, count] : {std::pair(12'000, 0U), {12'001, 2U}}) {
    all.now = MachineTime{now_ms};
    all.handover.look(std::chrono::milliseconds(2'000));
    CHECK(all.given.size() == count);
  }
  for (const auto& late : all.syncs) late();
  CHECK(all.given == Words{"point", "check"});
}

TEST_CASE("a point is awaited until it is spooled and counted until it is stored, a check shot is no point") {
  Waiting wait;
  Words sent;
  Deliveries all(wait.handover, {[&](const occupation::StoredPoint& p) { sent.push_back(p.uuid); },
                                 [&](const pointbook::CheckShot& shot) { sent.push_back(shot.uuid); }});
  std::optional<Result<occupation::StoredPoint>> kept;
  std::optional<Result<void>> shot;
  all.submit(
      point_of("HF-1"), [&](const auto& done) { kept = done; }, "p");
  all.submit(
      pointbook::CheckShot(), [&](const auto& done) { shot = done; }, "c");
  all.handover().give_all();
  CHECK(sent == Words{"p", "c"});
  CHECK(all.waiting() == 2);
  CHECK_FALSE(all.are_all_safe());
  CHECK(all.is_awaited("p"));
  CHECK(all.is_awaited("c"));
  const occupation::StoredPoint* const safe = all.spooled("p");
  REQUIRE(safe != nullptr);
  CHECK(safe->point.name == "HF-1");
  all.answer("p", {});
  REQUIRE(kept.has_value());
  CHECK((*kept)->point.name == "HF-1");
  CHECK_FALSE(all.is_awaited("p"));
  CHECK_FALSE(all.are_all_safe());
  all.answer("c", fail("the disk is gone"));
  REQUIRE(shot.has_value());
  REQUIRE_FALSE(*shot);
  CHECK(shot->error().text.find("the check is measured but not yet safe (the disk is gone)") == 0);
  CHECK(all.spooled("c") == nullptr);
  CHECK(all.are_all_safe());
  CHECK(all.status().spooled == 1);
  all.stored("c");
  all.stored("p");
  CHECK(all.status().stored == 1);
  CHECK(all.waiting() == 0);
  CHECK(all.points().find("HF-1", 1)->storage == Storage::stored);
}

TEST_CASE("a point of the pointbook is learned, and one that says otherwise than ours is told") {
  Waiting wait;
  Deliveries all(wait.handover, {});
  all.know({point_of("CUL-1", 1, "a"), point_of("CUL-2", 1, "b")}, {"b"}, {"shot"});
  CHECK(all.points().find("CUL-1", 1)->storage == Storage::stored);
  CHECK(all.points().find("CUL-2", 1)->storage == Storage::spooled);
  CHECK(all.waiting() == 2);
  CHECK(all.are_all_safe());
  CHECK(all.learn(point_of("CUL-3", 1, "c")));
  CHECK(all.points().find("CUL-3", 1) != nullptr);
  CHECK(all.learn(point_of("CUL-1", 1, "a")));
  CHECK_FALSE(all.learn(point_of("CUL-1", 1, "another")));
}

TEST_CASE("what happens while the pointbook is not read is counted again behind what it had heard") {
  Told told;
  told.events.know({}, true);
  CHECK(told.events.is_unread());
  told.events.add(to_word(pointbook::EventKind::outage), "no corrections");
  const auto outages = [&] { return told.events.book().tally(Catalogue(), kNow).outages; };
  CHECK(outages() == 1);
  const auto closed = pointbook::event_of(UtcTime{kNow.ms - 1000}, pointbook::kDayClosed, "closed", "");
  const auto earlier = pointbook::event_of(UtcTime{kNow.ms - 2000}, "outage", "before it", "");
  told.events.read({earlier, closed});
  CHECK_FALSE(told.events.is_unread());
  CHECK(outages() == 1);  // that of the day before is closed, ours is not
  told.events.read({earlier, closed});
  CHECK(outages() == 0);
  CHECK(told.stored.size() == 1);  // what was read is not stored again
}

TEST_CASE("each occurrence of an alert has one number for its beginning and its end") {
  Told told;
  for (int times = 0; times < 2; ++times) {
    told.alerts.raise("disk-low", Severity::warning, {"little room", "little room"});
    told.alerts.raise("disk-low", Severity::warning, {"less room", "less room"});
    told.alerts.clear("disk-low");
    told.alerts.clear("disk-low");
  }
  CHECK(told.heard == Words{"+disk-low", "-disk-low", "+disk-low", "-disk-low"});
  REQUIRE(told.stored.size() == 4);
  for (const auto& [at, number, over] : {std::tuple(0U, 1U, false), {1U, 1U, true}, {2U, 2U, false}, {3U, 2U, true}}) {
    const auto occurrence = pointbook::occurrence_of(told.stored[at]);
    CHECK(occurrence.number == number);
    CHECK(occurrence.over == over);
  }
}

TEST_CASE("stays that were lost stand in one alert, told again with each, until somebody has seen it") {
  Told told;
  told.alerts.lose(kNow, {"HF-1", 1, false, "the receiver fell silent"});
  told.alerts.lose(kNow, {"HF-2", 1, false, "the receiver fell silent"});
  CHECK(told.heard == Words{"+stay-lost", "+stay-lost"});
  const std::string text = told.active("stay-lost");
  CHECK(text.find("HF-1") != std::string::npos);
  CHECK(text.find("HF-2") != std::string::npos);
  told.alerts.seen("disk-low", {});
  CHECK_FALSE(told.active("stay-lost").empty());
  told.alerts.seen("", {});
  CHECK(told.active("stay-lost").empty());
  CHECK(told.events.book().unseen_stays().empty());
}

namespace {

/// A guard over two disks whose room the test sets.
struct Guarded : Told {
  double record_mib = 1000, book_mib = 1000;
  MachineTime now{0};
  Words done;
  Result<void> stopping;
  DiskWatch watch{"record", "book", 100, [this](const std::string& folder) {
                    return folder == "record" ? DiskRoom{1, record_mib} : DiskRoom{2, book_mib};
                  }};
  DiskGuard guard{watch,
                  alerts,
                  [this] { return now; },
                  {[this] { done.push_back("keep"); },
                   [this] {
                     done.push_back("stop");
                     return stopping;
                   },
                   [this] { done.push_back("resume"); }}};
};

}  // namespace

TEST_CASE("the battery of the machine is told from 15 % down, until it is charged or has more than 18 %") {
  Told told;
  std::optional<Charge> charge;
  std::int64_t minutes = 0;
  BatteryGuard guard(
      told.alerts, [&minutes] { return MachineTime{minutes * 60'000}; }, [&charge] { return charge; });
  struct Row {
    const char* name;
    std::optional<Charge> charge;
    Words heard;  ///< all that was told until then
  };
  const Row rows[] = {
      {"no battery", {}, {}},
      {"full", Charge{100, true}, {}},
      {"just above", Charge{15.5, false}, {}},
      {"low", Charge{15, false}, {"+battery-low"}},
      {"lower", Charge{9, false}, {"+battery-low"}},
      {"it cannot be asked", {}, {"+battery-low"}},
      {"a little more", Charge{18, false}, {"+battery-low"}},
      {"enough", Charge{18.5, false}, {"+battery-low", "-battery-low"}},
      {"low again", Charge{14, false}, {"+battery-low", "-battery-low", "+battery-low"}},
      {"plugged in", Charge{14, true}, {"+battery-low", "-battery-low", "+battery-low", "-battery-low"}}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    charge = row.charge;
    minutes += 1;
    guard.look_when_due();
    CHECK(told.heard == row.heard);
  }
  charge = Charge{1, false};
  guard.look_when_due();  // within the same minute nobody asks
  CHECK(told.heard.size() == 4);
}

TEST_CASE("a full disk of the record keeps the open stay, then stops the record, once, until there is room") {
  Guarded all;
  all.guard.look();
  CHECK(all.heard.empty());
  all.record_mib = 8;
  all.guard.look();
  all.guard.look();
  CHECK(all.done == Words{"keep", "stop"});
  CHECK(all.guard.has_stopped_record());
  CHECK(all.active("disk-full").find("the record is closed") != std::string::npos);
  CHECK_FALSE(all.active("disk-low").empty());
  all.guard.record_failed("no space");  // it is stopped: that is told already
  all.guard.record_stays_down("no space");
  CHECK(all.active("record-failed").empty());
  all.record_mib = 1000;
  all.guard.look();
  CHECK(all.done == Words{"keep", "stop", "resume"});
  CHECK_FALSE(all.guard.has_stopped_record());
  CHECK(all.active("disk-full").empty());
  CHECK(all.active("disk-low").empty());
}

TEST_CASE("a record that cannot be closed on a full disk is told") {
  Guarded all;
  all.record_mib = 8;
  all.stopping = fail("its end is not on the disk");
  all.guard.look();
  CHECK(all.active("record-failed") == "its end is not on the disk");
}

TEST_CASE("a full disk of the pointbook keeps the open stay while points can be written, and lets none begin") {
  Guarded all;
  CHECK(all.guard.why_no_stay(false).empty());
  CHECK(all.guard.why_no_stay(true).find("too many points wait") == 0);
  all.book_mib = 8;
  all.guard.look();
  CHECK(all.done == Words{"keep"});
  CHECK(all.guard.why_no_stay(false).find("the disk is full (8 MiB free") == 0);
  CHECK(all.active("disk-full").find("no new one can begin") != std::string::npos);
  all.guard.spool_failed("no space");
  CHECK(all.done == Words{"keep"});  // it could not be written now
  CHECK(all.guard.why_no_stay(false).find("points cannot be written: no space") == 0);
  // Another disk that is full is another occurrence.
  all.record_mib = 8;
  all.guard.look();
  CHECK(all.active("disk-full").find("the record is closed") != std::string::npos);
  CHECK(std::count(all.heard.begin(), all.heard.end(), "+disk-full") == 2);
}

TEST_CASE("an open stay stays open while its point could not be written, and no longer") {
  Guarded all;
  occupation::Stand open;
  open.name = "HF-1";
  CHECK(all.guard.why_no_keep(&open).empty());
  all.guard.spool_failed("no space");
  CHECK(all.guard.why_no_keep(&open).find("HF-1 stays open") != std::string::npos);
  CHECK(all.guard.why_no_keep(nullptr).empty());
  CHECK(all.active("spool-failed").find("no space") != std::string::npos);
  all.guard.spool_went_well();
  CHECK(all.guard.why_no_keep(&open).empty());
  CHECK(all.active("spool-failed").empty());
}

TEST_CASE("a record that fails while there is room is told until it is back") {
  Guarded all;
  all.guard.record_stays_down("");  // not tried
  CHECK(all.active("record-failed").empty());
  all.guard.record_failed("it is gone");
  CHECK(all.active("record-failed") == "it is gone");
  all.guard.record_is_back();
  CHECK(all.active("record-failed").empty());
}

TEST_CASE("the disks are looked at every ten seconds, and every second while one is full") {
  Guarded all;
  all.now = MachineTime{100'000};
  all.guard.look();
  all.record_mib = 8;
  for (const auto& [now_ms, stopped] : {std::pair(109'999, false), {110'000, true}}) {
    all.now = MachineTime{now_ms};
    all.guard.look_when_due();
    CHECK(all.guard.has_stopped_record() == stopped);
  }
  all.record_mib = 1000;
  for (const auto& [now_ms, stopped] : {std::pair(110'999, true), {111'000, false}}) {
    all.now = MachineTime{now_ms};
    all.guard.look_when_due();
    CHECK(all.guard.has_stopped_record() == stopped);
  }
}

TEST_CASE("keeps that are nowhere are told once, those that nobody was promised as a notice") {
  Told told;
  MissingKeeps keeps(told.alerts, "day.gpkg");
  JournaledKeep lost{"a", "HF-1", 1}, other{"b", "HF-2", 1}, found{"c", "HF-3", 1}, unanswered{"d", "HF-4", 1};
  unanswered.unanswered = true;
  keeps.miss({lost, other, found, unanswered});
  Known known;
  known.add({point_of("HF-3", 1, "c")}, {});
  keeps.find(known);
  keeps.tell();
  const std::string text = told.active("points-missing");
  CHECK(text.find("HF-1") != std::string::npos);
  CHECK(text.find("and 1 more") != std::string::npos);
  CHECK(text.find("day.gpkg") != std::string::npos);
  CHECK(told.active("keep-unanswered").find("HF-4") != std::string::npos);
  told.heard.clear();
  keeps.tell();
  CHECK(told.heard.empty());
}

namespace {

/// What comes out of a session, and where it went.
struct HandedOut : Told {
  Waiting wait;
  std::vector<occupation::StoredPoint> points;
  std::vector<pointbook::CheckShot> shots;
  Words dates;
  Deliveries deliveries{wait.handover,
                        {[this](const occupation::StoredPoint& point) { points.push_back(point); },
                         [this](const pointbook::CheckShot& shot) { shots.push_back(shot); }}};
  Outcomes outcomes{[this](const record::Dates& said) { dates.push_back(said.text); }, deliveries, events, alerts,
                    time};
  session::Outputs out;

  void hand_out(const std::string& by = "crew", const std::string& uuid = "") {
    outcomes.hand_out(std::exchange(out, {}), by, uuid);
    deliveries.handover().give_all();
  }
  void finish(const std::string& name) {
    session::FinishedPoint finished;
    finished.point.name = name;
    finished.point.status = occupation::PointStatus::accepted;
    finished.point.finished_utc = kNow;
    out.points.push_back(std::move(finished));
  }
  /// The latest event of a kind.
  std::string said(std::string_view kind) const {
    const auto found =
        std::find_if(stored.rbegin(), stored.rend(), [&](const auto& event) { return event.kind == kind; });
    return found == stored.rend() ? "" : found->text;
  }
};

session::FinishedCheck check_of(const std::string& kind, bool is_compared) {
  session::FinishedCheck out;
  out.mark.name = "VM-11";
  out.kind = kind;
  if (is_compared) out.residual = control::Residual{};
  out.verdict.text = "the verdict";
  return out;
}

}  // namespace

TEST_CASE("the first point that comes out has the identity that was promised, and who waits for it is told") {
  HandedOut all;
  std::optional<Result<occupation::StoredPoint>> kept;
  all.outcomes.await([&](const auto& done) { kept = done; });
  all.finish("HF-1");
  all.finish("HF-2");
  all.hand_out("crew", "promised");
  REQUIRE(all.points.size() == 2);
  CHECK(all.points[0].uuid == "promised");
  CHECK(all.points[1].uuid != "promised");
  CHECK_FALSE(kept.has_value());  // nothing says yet that it is safe
  all.deliveries.spooled("promised");
  all.deliveries.answer("promised", {});
  REQUIRE(kept.has_value());
  CHECK((*kept)->point.name == "HF-1");
}

TEST_CASE("who gave a keep that came to nothing is given up once") {
  HandedOut all;
  all.outcomes.await([](const auto&) {});
  all.outcomes.await_check([](const auto&) {});
  CHECK(all.outcomes.give_up());
  CHECK_FALSE(all.outcomes.give_up());
  CHECK(all.outcomes.give_up_check());
  CHECK_FALSE(all.outcomes.give_up_check());
}

TEST_CASE("a check is a row, and answered once it is safe, when it was compared and is no stay of a turn test") {
  for (const auto& [kind, is_compared, is_row] :
       {std::tuple("opening", true, true), {"closing", true, true}, {"opening", false, false}, {"turn", true, false}}) {
    CAPTURE(kind);
    CAPTURE(is_compared);
    HandedOut all;
    std::optional<std::string> heard;
    all.outcomes.await_check([&](const auto& done) { heard = done ? done->verdict.text : done.error().text; });
    all.out.checks.push_back(check_of(kind, is_compared));
    all.hand_out("crew", "promised");
    CHECK(all.shots.size() == (is_row ? 1U : 0U));
    CHECK(heard.has_value() == !is_row);
    if (is_row) {
      CHECK(all.shots[0].uuid == "promised");
      all.deliveries.answer("promised", {});
    }
    CHECK(heard == "the verdict");
  }
}

TEST_CASE("a check that cannot be made safe is answered with the reason") {
  HandedOut all;
  std::string heard;
  all.outcomes.await_check([&](const auto& done) { heard = done ? "" : done.error().text; });
  all.out.checks.push_back(check_of("opening", true));
  all.hand_out("crew", "promised");
  all.deliveries.answer("promised", fail("the disk is gone"));
  CHECK(heard.find("the disk is gone") != std::string::npos);
}

TEST_CASE("a later visit gives an earlier point a new version, but undoes no decision of a person") {
  for (const bool by_hand : {false, true}) {
    CAPTURE(by_hand);
    HandedOut all;
    auto earlier = point_of("HF-1", 1, "a");
    earlier.version = by_hand ? 2 : 1;
    earlier.point.status = occupation::PointStatus::accepted;
    if (by_hand) earlier.point.flags.emplace_back(occupation::kAcceptedByHand);
    all.deliveries.know({earlier}, {}, {});
    session::Reconsidered held{earlier.point, "visit 2 lies 1.80 m away"};
    held.point.status = occupation::PointStatus::held;
    all.out.reconsidered.push_back(held);
    all.hand_out();
    CHECK(all.points.size() == (by_hand ? 0U : 1U));
    if (!by_hand) {
      CHECK(all.points[0].version == 2);
      CHECK(all.points[0].supersedes == "a");
      CHECK(all.points[0].point.status == occupation::PointStatus::held);
    }
    CHECK(all.said("visits").find("visit 2 lies 1.80 m away") != std::string::npos);
  }
  HandedOut all;
  all.out.reconsidered.push_back({point_of("HF-9").point, "nobody knows it"});
  all.hand_out();
  CHECK(all.stored.empty());
}

TEST_CASE("how dates are taken is entered in the record and told as an event, any other news only as an event") {
  HandedOut all;
  all.out.events.push_back({kNow, session::kDates, "dates are 1024 weeks early"});
  all.out.events.push_back({kNow, "outage", "no corrections"});
  all.hand_out();
  CHECK(all.dates == Words{"dates are 1024 weeks early"});
  CHECK(all.said(session::kDates) == "dates are 1024 weeks early");
  CHECK(all.said("outage") == "no corrections");
}

TEST_CASE("an alert that ended and began again is told in that order, and a lost stay is told until seen") {
  HandedOut all;
  session::Alert alert;
  alert.id = 1;
  alert.key = "corrections-stale";
  alert.since_utc = kNow;
  alert.until_utc = UtcTime{kNow.ms + 1000};
  alert.active = false;
  all.out.cleared.push_back(alert);
  alert.id = 2;
  alert.active = true;
  alert.since_utc = UtcTime{kNow.ms + 2000};
  all.out.raised.push_back(alert);
  all.out.lost.push_back({"HF-1", 1, false, "the receiver fell silent", kNow});
  all.hand_out();
  CHECK(all.active("stay-lost").find("HF-1") != std::string::npos);
  CHECK(all.heard == Words{"+stay-lost", "-corrections-stale", "+corrections-stale"});
}

TEST_CASE("a point that comes after the day was closed opens it again, and that is told") {
  HandedOut all;
  all.events.know({pointbook::event_of(UtcTime{kNow.ms - 1000}, pointbook::kDayClosed, "closed", "")}, false);
  all.finish("HF-1");
  all.hand_out("crew");
  CHECK_FALSE(all.said(to_word(pointbook::EventKind::day_reopened)).empty());
}

TEST_CASE("work in the background is told where it is posted, one after the other, and asked to stop at the end") {
  std::mutex mutex;
  std::vector<std::function<void()>> posted;
  Words told;
  {
    Background background([&](std::function<void()> then) {
      const std::lock_guard lock(mutex);
      posted.push_back(std::move(then));
    });
    for (const char* what : {"first", "second"}) {
      background.run([&told, what](const std::atomic<bool>&) { return [&told, what] { told.emplace_back(what); }; });
    }
    background.run([&told](const std::atomic<bool>& stop) {
      while (!stop) std::this_thread::yield();
      return [&told] { told.emplace_back("stopped"); };
    });
  }
  CHECK(told.empty());
  for (const auto& then : posted) then();
  CHECK(told == Words{"first", "second", "stopped"});
}
