#include "wire/situation.hpp"

#include <doctest/doctest.h>

#include <limits>
#include <vector>

#include "wire/json.hpp"

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

}  // namespace stillpoint::wire
