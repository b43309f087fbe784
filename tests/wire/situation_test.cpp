#include "wire/situation.hpp"

#include <doctest/doctest.h>

#include <functional>
#include <limits>
#include <string>
#include <vector>

#include "wire/json.hpp"
#include "wire/sentences.hpp"

namespace stillpoint::wire {
namespace {

using session::FeedState;

session::Status open_status() {
  session::Status out;
  out.feed = FeedState::open;
  out.feed_what = "tcp 127.0.0.1:9000";
  out.accepted = true;
  out.correction.state = corrections::State::fresh;
  return out;
}

session::Status stay_status() {
  session::Status out = open_status();
  out.occupation.emplace();
  session::OccupationStatus& stay = *out.occupation;
  stay.name = "HF-1";
  stay.needed_epochs = 30;
  stay.accepted = 12;
  stay.needed_s = 30;
  stay.counted_s = 11.99951;
  stay.error95_horizontal_m = 0.0200449999;
  stay.error95_vertical_m = 0.03;
  stay.wanted_error95_horizontal_m = 0.02;
  stay.wanted_error95_vertical_m = 0.03004;
  stay.keep_gives = session::KeepGives::held;
  stay.keep_why = {occupation::HoldReason::too_few_epochs};
  stay.keep_texts = {"12 epochs counted, 30 needed", "11 s counted, 30 s needed"};
  return out;
}

std::vector<session::Status> statuses() {
  std::vector<session::Status> out;
  for (const FeedState state :
       {FeedState::waiting, FeedState::open, FeedState::silent, FeedState::frozen, FeedState::ended}) {
    for (session::Status status : {open_status(), stay_status()}) {
      status.feed = state;
      out.push_back(status);
      status.feed_what.clear();
      out.push_back(status);
      status.accepted = false;
      out.push_back(status);
      status.reasons = {{gate::Reason::hdop, "HDOP is 4.2, the limit 3.0"}, {gate::Reason::correction_age, ""}};
      out.push_back(status);
      status.standstill = "the disk is full";
      out.push_back(status);
    }
  }
  for (const auto state : {corrections::State::coasting, corrections::State::unknown}) {
    for (session::Status status : {open_status(), stay_status()}) {
      status.correction.state = state;
      out.push_back(status);
      status.correction.coast_left_s = 5.99996;  // 6.000 in JSON: six seconds, not five
      out.push_back(status);
      status.correction.age_s = 12.5;
      status.correction.from = corrections::AgeFrom::own_clock;
      out.push_back(status);
    }
  }
  session::Status status = stay_status();
  status.occupation->enough = true;
  out.push_back(status);
  status.occupation->error95_horizontal_m = 0.02004;  // above what was wanted only in the last decimals of the JSON
  out.push_back(status);
  status.occupation->error95_horizontal_m = 0.020049;
  out.push_back(status);
  status.occupation->check = true;
  status.occupation->wanted_error95_horizontal_m.reset();
  status.occupation->recounted = "2 earlier seconds fell away";
  status.occupation->unproven = {"The source was never calibrated.", "Ten visits would do it."};
  out.push_back(status);
  status.occupation->keep_why = {occupation::HoldReason::unresolved};
  out.push_back(status);
  status.occupation->apart_m = 0.124996;
  out.push_back(status);
  status.occupation->error95_vertical_m = std::numeric_limits<double>::quiet_NaN();
  out.push_back(status);
  return out;
}

}  // namespace

TEST_CASE("the situation is the same by the status itself and by its JSON") {
  int stays = 0, counting = 0;
  for (const session::Status& status : statuses()) {
    const Json json = Json::parse(to_json(status));
    CAPTURE(json.dump());
    for (const bool keys : {false, true}) {
      const Situation here = situation_of(facts_of(status), keys), there = situation_of(json, false, keys);
      CHECK(here.tone == there.tone);
      CHECK(here.what == there.what);
      CHECK(here.act == there.act);
      CHECK(here.also == there.also);
      counting += here.counts() ? 1 : 0;
    }
    if (!status.occupation) continue;
    ++stays;
    CHECK(percent_done(*facts_of(status).stay) == percent_done(member(json, "occupation")));
  }
  CHECK(stays > 20);
  CHECK(counting > 20);
}

namespace {

StatusFacts counting() {
  StatusFacts out;
  out.feed_state = "open";
  out.accepted = true;
  out.correction_state = "fresh";
  return out;
}

/// Half of what a stay needs was collected.
StatusFacts averaging() {
  StatusFacts out = counting();
  StayFacts stay;
  stay.keep_gives = "held";
  stay.keep_why = {"too-few-epochs"};
  stay.keep_texts = {"15 epochs counted, 30 needed"};
  stay.needed_epochs = stay.needed_s = 30;
  stay.accepted = stay.counted_s = 15;
  stay.error95_horizontal_m = stay.wanted_error95_horizontal_m = 0.02;
  out.stay = stay;
  return out;
}

StatusFacts enough() {
  StatusFacts out = averaging();
  out.stay->enough = true;
  out.stay->accepted = out.stay->counted_s = 30;
  out.stay->keep_gives = "accepted";
  out.stay->keep_why.clear();
  out.stay->keep_texts.clear();
  return out;
}

StatusFacts changed(StatusFacts facts, const std::function<void(StatusFacts&)>& change) {
  change(facts);
  return facts;
}

struct Told {
  const char* name;
  StatusFacts facts;
  Tone tone;
  std::string what, act, act_keys;
};

void check_told(const std::vector<Told>& rows) {
  for (const Told& row : rows) {
    CAPTURE(row.name);
    const Situation told = situation_of(row.facts, false), with_keys = situation_of(row.facts, true);
    CHECK(told.tone == row.tone);
    CHECK(told.what == row.what);
    CHECK(told.act == row.act);
    CHECK(with_keys.tone == row.tone);
    CHECK(with_keys.what == row.what);
    CHECK(with_keys.act == row.act_keys);
  }
}

}  // namespace

// Which sentence stands where: the comments of situation.hpp; the sentences: the catalogue.
TEST_CASE("a second that counts says how far the stay is and what to do") {
  const auto held = [](StatusFacts& f) { f.stay->keep_gives = "held", f.stay->keep_texts = {"the last check failed"}; };
  const auto unknown = [](StatusFacts& f) { f.correction_state = "unknown"; };
  const auto above = [](StatusFacts& f) { f.stay->error95_horizontal_m = 0.03; };
  const std::string beside = kSay.enough_but_held("the last check failed");
  check_told({
      {"nothing is open", counting(), Tone::counts, kSay.ready(), kSay.ready_act(), kSay.ready_act_keys()},
      {"nothing is open, unknown age", changed(counting(), unknown), Tone::counts, kSay.ready_unknown(),
       kSay.ready_act(), kSay.ready_act_keys()},
      {"a stay that needs more is not called held", averaging(), Tone::counts, kSay.averaging(), kSay.averaging_act(),
       kSay.averaging_act()},
      {"a stay that needs more, unknown age", changed(averaging(), unknown), Tone::counts, kSay.averaging_unknown(),
       kSay.averaging_act(), kSay.averaging_act()},
      {"enough", enough(), Tone::counts, kSay.enough(), kSay.enough_act("point"), kSay.enough_act_keys("point")},
      {"enough, unknown age", changed(enough(), unknown), Tone::counts, kSay.enough_unknown(), kSay.enough_act("point"),
       kSay.enough_act_keys("point")},
      {"enough on a mark", changed(enough(), [](StatusFacts& f) { f.stay->check = true; }), Tone::counts, kSay.enough(),
       kSay.enough_act("check"), kSay.enough_act_keys("check")},
      {"enough, and held for a reason outside the stay", changed(enough(), held), Tone::counts, beside,
       kSay.enough_act("point"), kSay.enough_act_keys("point")},
      {"an error above what was wanted", changed(enough(), above), Tone::counts, kSay.above_wanted(),
       kSay.above_wanted_act(), kSay.above_wanted_act_keys("point")},
      {"held, and the error above", changed(changed(enough(), above), held), Tone::counts, kSay.above_wanted(),
       kSay.above_wanted_act(), kSay.above_wanted_act_keys("point")},
  });
}

TEST_CASE("a point that no longer stay can save is told as such, but only for the reasons of the stay itself") {
  const auto spoilt = [](const char* code) {
    return changed(averaging(), [code](StatusFacts& f) { f.stay->keep_why = {"too-few-epochs", code}; });
  };
  const std::string what = kSay.will_be_held("15 epochs counted, 30 needed");
  std::vector<Told> rows;
  for (const char* code : {"unresolved", "interrupted", "drifting", "visits-disagree", "geoid-contradicted",
                           "frame-contradicted", "base-changed"}) {
    rows.push_back({code, spoilt(code), Tone::counts, what, kSay.spoilt_act(), kSay.spoilt_act_keys()});
  }
  rows.push_back({"a check that failed is outside the stay", spoilt("check-failed"), Tone::counts, kSay.averaging(),
                  kSay.averaging_act(), kSay.averaging_act()});
  rows.push_back({"two places", changed(spoilt("unresolved"), [](StatusFacts& f) { f.stay->apart_m = 0.128; }),
                  Tone::counts, kSay.two_places("0.13"), kSay.spoilt_act(), kSay.spoilt_act_keys()});
  rows.push_back({"on old corrections",
                  changed(spoilt("drifting"), [](StatusFacts& f) { f.correction_state = "coasting"; }), Tone::coasting,
                  what, kSay.spoilt_act(), kSay.spoilt_act_keys()});
  check_told(rows);
}

TEST_CASE("old corrections tell whole seconds that are left, rounded down, and keep before they end") {
  const auto coasts = [](StatusFacts facts, std::optional<double> left_s, const char* from = "receiver") {
    facts.correction_state = "coasting";
    facts.correction_from = from;
    facts.coast_left_s = left_s;
    return facts;
  };
  const std::string keep = kSay.coasting_act_enough("point"), open = kSay.coasting_act_open();
  check_told({
      {"nothing is open", coasts(counting(), 5.999), Tone::coasting, kSay.coasting("5 s"), kSay.coasting_act(),
       kSay.coasting_act()},
      {"a stay is open", coasts(averaging(), 12.0), Tone::coasting, kSay.coasting("12 s"), open, open},
      {"enough", coasts(enough(), 0.4), Tone::coasting, kSay.coasting("0 s"), keep, keep},
      {"past its end", coasts(enough(), -3.0), Tone::coasting, kSay.coasting("0 s"), keep, keep},
      {"nobody knows how long", coasts(counting(), std::nullopt), Tone::coasting, kSay.coasting("a while"),
       kSay.coasting_act(), kSay.coasting_act()},
      {"by the own clock there is no proof", coasts(averaging(), 7.0, "own-clock"), Tone::coasting,
       kSay.unproven("7 s"), open, open},
  });
}

TEST_CASE("a second that cannot count says why, the cause before its consequences, and what to do") {
  const auto in_state = [](const char* state, bool open, const char* what = "") {
    StatusFacts out = open ? averaging() : counting();
    out.feed_state = state;
    out.feed_what = what;
    return out;
  };
  const auto refused = [](bool open, std::vector<StatusFacts::Reason> reasons) {
    StatusFacts out = open ? averaging() : counting();
    out.accepted = false;
    out.reasons = std::move(reasons);
    return out;
  };
  const auto full = [](StatusFacts& f) { f.standstill = "the disk is full"; };
  const std::string kept = kSay.kept();
  // The advice of a reason: lib/gate/verdict.hpp.
  const std::string sky = "Wait for better satellites, or look for open sky.",
                    fresh = "Wait here for fresh corrections.";
  const std::string restart = "Restart the receiver's output; its values do not change.";
  const auto no = [](const char* name, StatusFacts facts, std::string what, const std::string& act) {
    return Told{name, std::move(facts), Tone::refused, std::move(what), act, act};
  };
  check_told({
      no("waiting", in_state("waiting", false), kSay.waiting(), kSay.waiting_act("")),
      no("waiting for a named feed", in_state("waiting", true, "tcp 127.0.0.1:9000"),
         kSay.waiting_for("tcp 127.0.0.1:9000"), kSay.waiting_act(kept)),
      no("silent", in_state("silent", false), kSay.silent(), kSay.silent_act("")),
      no("silent in a stay", in_state("silent", true), kSay.silent(), kSay.silent_act(kept)),
      no("ended", in_state("ended", false), kSay.ended(), kSay.ended_act()),
      no("ended in a stay", in_state("ended", true, "day.nmea"), kSay.ended_at("day.nmea"), kSay.ended_act_open()),
      no("frozen though the last second counted", in_state("frozen", false), kSay.frozen(), restart),
      no("a full disk before all else", changed(in_state("silent", true), full), kSay.standstill("the disk is full"),
         kSay.standstill_act(kept)),
      no("nothing was heard", refused(false, {}), kSay.nothing_heard(), kSay.nothing_heard_act()),
      no("one reason, its sentence", refused(false, {{"hdop", "HDOP is 4.2, the limit 3.0"}}),
         "HDOP is 4.2, the limit 3.0.", sky),
      no("one reason without a sentence", refused(false, {{"hdop", ""}}), "HDOP.", sky),
      no("corrections too old", refused(false, {{"correction-age", ""}}), "Corrections too old.", fresh),
      no("old corrections in a stay", refused(true, {{"correction-age", ""}}), "Corrections too old.",
         kSay.wait_here()),
      no("stale corrections in a stay", refused(true, {{"corrections-stale", ""}}), "Unproven corrections.",
         kSay.wait_here()),
      no("moving between two points", refused(false, {{"moving", ""}}), "Moving.", kSay.walk_on()),
      no("moving in a stay", refused(true, {{"moving", ""}}), "Moving.", "Stand still and hold the pole upright."),
      no("the sky in a stay", refused(true, {{"hdop", ""}}), "HDOP.", sky),
      no("a reason of a newer daemon", refused(true, {{"of-tomorrow", ""}}), "Of tomorrow.", kSay.wait()),
  });
  const Situation several =
      situation_of(refused(false, {{"of-tomorrow", ""}, {"hdop", ""}, {"correction-age", ""}}), false);
  CHECK(several.what == "Corrections too old.");
  CHECK(several.also == std::vector<std::string>{"HDOP.", "Of tomorrow."});
  CHECK_FALSE(several.counts());
}

TEST_CASE("seconds that changed sides stand before everything else that is told beside the verdict") {
  StatusFacts facts = averaging();
  facts.accepted = false;
  facts.reasons = {{"hdop", ""}, {"vdop", ""}};
  facts.stay->recounted = "2 earlier seconds fell away";
  facts.stay->unproven = {"The source was never calibrated.", "Ten visits would do it."};
  const auto also = situation_of(facts, false).also;
  REQUIRE(also.size() == 3);
  CHECK(also.front() == "2 earlier seconds fell away.");
  CHECK(also.back() == "The source was never calibrated. Ten visits would do it.");
}

TEST_CASE("a daemon that does not answer leaves nothing that holds") {
  const Json json = Json::parse(to_json(stay_status()));
  const Situation lost = situation_of(json, true);
  CHECK(lost.what == kSay.daemon_lost());
  CHECK(lost.act == kSay.daemon_lost_act());
  CHECK_FALSE(lost.counts());
  CHECK(situation_of(json, false).counts());
}

// By hand: the worst of epochs, seconds and the squared ratio of the errors.
TEST_CASE("the percentage is the worst of what is needed, and 100 only when the daemon says that it is enough") {
  using Change = std::function<void(StayFacts&)>;
  struct Row {
    const char* name;
    Change change;
    int percent;
  };
  const Change whole = [](StayFacts& s) { s.accepted = s.counted_s = 30; };
  const Row rows[] = {
      {"half of all", [](StayFacts&) {}, 50},
      {"epochs are the worst", [](StayFacts& s) { s.accepted = 6; }, 20},
      {"seconds are the worst", [](StayFacts& s) { s.counted_s = 11.9; }, 39},
      {"twice the wanted error is a quarter", [](StayFacts& s) { s.error95_horizontal_m = 0.04; }, 25},
      {"the height's error too", [](StayFacts& s) { s.wanted_error95_vertical_m = 0.03, s.error95_vertical_m = 0.06; },
       25},
      {"an error that is not known", [](StayFacts& s) { s.error95_horizontal_m.reset(); }, 0},
      {"an error of nothing", [](StayFacts& s) { s.error95_horizontal_m = 0; }, 0},
      {"no error was wanted", [](StayFacts& s) { s.wanted_error95_horizontal_m.reset(); }, 50},
      {"all is there, the daemon does not say enough", whole, 99},
      {"enough", [&](StayFacts& s) { whole(s), s.enough = true; }, 100},
      {"enough, few epochs do not matter", [](StayFacts& s) { s.enough = true; }, 100},
      {"enough, the error above", [](StayFacts& s) { s.enough = true, s.error95_horizontal_m = 0.04; }, 25},
      {"enough, but spoilt", [](StayFacts& s) { s.enough = true, s.keep_why = {"drifting"}; }, 99},
      {"nothing counted", [](StayFacts& s) { s.accepted.reset(); }, 0},
      {"seconds that nobody tells", [](StayFacts& s) { s.counted_s.reset(); }, 50},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    StayFacts stay = *averaging().stay;
    row.change(stay);
    CHECK(percent_done(stay) == row.percent);
  }
}

}  // namespace stillpoint::wire
