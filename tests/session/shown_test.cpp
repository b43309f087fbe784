// What people are shown of a second is what the stay did with it at that second; what changes later is told.

#include <doctest/doctest.h>

#include <algorithm>
#include <functional>
#include <optional>
#include <string>

#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"

using namespace stillpoint;
using session::FeedState;
using session::KeepGives;
using support::Second;

namespace {

constexpr int kBegun_s = 20;

/// A stay from 20 s on; `spoil` changes single seconds.
class ShownStay {
 public:
  explicit ShownStay(const std::function<void(Second&)>& spoil)
      : settings_(support::settings()), day_(settings_, geodesy::Frames::open(settings_).value(), {}), spoil_(spoil) {
    day_.feed(FeedState::open, "a test", SteadyTime{0});
  }

  void run_to(int end_s) {
    for (; now_s_ < end_s; ++now_s_) {
      if (now_s_ == kBegun_s) {
        session::OccupyCommand command;
        command.name = "ST-1";
        REQUIRE(day_.occupy(command).done);
      }
      Second second;
      second.t_s = now_s_;
      second.up_m += 0.0001 * (now_s_ % 7);
      spoil_(second);
      day_.push(second.text(), SteadyTime{now_s_ * 1000 + 80});
      day_.advance(SteadyTime{now_s_ * 1000 + 900});  // the burst is over
      look();
    }
  }
  session::Status status() const { return day_.status(); }
  session::FinishedPoint keep() {
    REQUIRE(day_.keep().done);
    session::Outputs out = day_.take();
    REQUIRE(out.points.size() == 1);
    return out.points.front();
  }

  long shown = 0, lost = 0, gained = 0;
  std::optional<gate::ReasonText> first_no{};
  std::string recounted{};

 private:
  void look() {
    const session::Status status = day_.status();
    if (!status.occupation) return;
    shown += status.accepted ? 1 : 0;
    lost += static_cast<long>(status.occupation->fell_away);
    gained += static_cast<long>(status.occupation->came_back);
    if (!status.occupation->recounted.empty()) recounted = status.occupation->recounted;
    if (!status.accepted && !status.reasons.empty() && status.reasons.back().reason == gate::Reason::other_segment &&
        !first_no)
      first_no = status.reasons.back();
  }

  config::Settings settings_;
  session::Session day_;
  std::function<void(Second&)> spoil_;
  int now_s_ = 0;
};

void turn_to_satellites(Second& second) {
  second.quality = 2;
  second.station = "0131";
  second.age = "5.0";
  second.sigma_m = 0.4;
}

}  // namespace

TEST_CASE("a second is shown to count only while it is in the point, and what changes sides is told") {
  struct Row {
    const char* name;
    std::function<void(Second&)> spoil;
    int until_s;
    const char* first_no;  ///< the sentence of the first second elsewhere; empty: none is
  };
  const Row rows[] = {
      {"a clean stay", [](Second&) {}, 100, ""},
      {"a step of 0.38 m after a minute",
       [](Second& s) {
         if (s.t_s >= 80) s.north_m = 0.38;
       },
       110, "at another place than this point began"},
      {"a step soon, so that the second place wins",
       [](Second& s) {
         if (s.t_s >= 40) s.north_m = 0.38;
       },
       120, "at another place than this point began"},
      {"a false fix that ends",
       [](Second& s) {
         if (s.t_s >= 60 && s.t_s < 90) s.east_m = 0.30;
       },
       150, "at another place than this point began"},
      {"satellite corrections after a minute",
       [](Second& s) {
         if (s.t_s >= 80) turn_to_satellites(s);
       },
       160, "other corrections than this point began with"},
      {"the network joins after a minute of satellite corrections",
       [](Second& s) {
         if (s.t_s < 80) turn_to_satellites(s);
       },
       160, "other corrections than this point began with"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    ShownStay stay(row.spoil);
    stay.run_to(row.until_s);
    const session::FinishedPoint kept = stay.keep();
    CHECK(stay.shown - stay.lost + stay.gained == static_cast<long>(kept.point.epochs_used));
    CHECK(stay.first_no.has_value() == !std::string(row.first_no).empty());
    if (stay.first_no) CHECK(stay.first_no->text == row.first_no);
    const auto in_point =
        std::count_if(kept.epochs.begin(), kept.epochs.end(), [](const auto& epoch) { return epoch.accepted; });
    CHECK(in_point == static_cast<std::ptrdiff_t>(kept.point.epochs_used));
  }
}

TEST_CASE("what falls away when the point moves to the second place is said in a sentence") {
  ShownStay stay([](Second& s) {
    if (s.t_s >= 40) s.north_m = 0.38;
  });
  stay.run_to(120);
  CHECK(stay.lost > 0);
  CHECK(stay.recounted.find(" no longer count") != std::string::npos);
}

TEST_CASE("the status says what keep would give, and keep gives it") {
  struct Row {
    const char* name;
    std::function<void(Second&)> spoil;
    int until_s;
    KeepGives gives;
    std::optional<occupation::HoldReason> why;
  };
  const Row rows[] = {
      {"nothing yet", [](Second& s) { s.quality = 1; }, 40, KeepGives::nothing, {}},
      {"too early", [](Second&) {}, 40, KeepGives::held, occupation::HoldReason::too_few_epochs},
      {"enough", [](Second&) {}, 90, KeepGives::accepted, {}},
      {"enough, then a second place",
       [](Second& s) {
         if (s.t_s >= 80) s.north_m = 0.38;
       },
       110, KeepGives::held, occupation::HoldReason::unresolved},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    ShownStay stay(row.spoil);
    stay.run_to(row.until_s);
    const auto occupation = *stay.status().occupation;
    CHECK(occupation.keep_gives == row.gives);
    CHECK(occupation.keep_why.size() == occupation.keep_texts.size());
    if (row.why) CHECK(std::count(occupation.keep_why.begin(), occupation.keep_why.end(), *row.why) == 1);
    if (row.gives == KeepGives::nothing) continue;
    const auto kept = stay.keep();
    CHECK((kept.point.status == occupation::PointStatus::accepted) == (row.gives == KeepGives::accepted));
    CHECK(kept.point.reasons == occupation.keep_why);
  }
}
