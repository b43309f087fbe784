#include <doctest/doctest.h>

#include <algorithm>

#include "estimate/guidance.hpp"

using namespace stillpoint;
using namespace stillpoint::estimate;

namespace {

constexpr UtcTime kNow{(10 * 60 + 40) * 60'000};  // 10:40

StaySoFar so_far(double horizontal_m, double vertical_m, double unseen, int counted_s) {
  StaySoFar s;
  s.conclusion.segment = 0;
  Estimate& e = s.conclusion.estimate;
  e.epochs = static_cast<std::uint64_t>(counted_s);
  e.error95_horizontal_m = horizontal_m;
  e.error95_vertical_m = vertical_m;
  e.unseen_horizontal = e.unseen_vertical = unseen;
  e.effective_epochs = 1 / unseen;
  s.counted_ms = counted_s * 1000;
  s.now = kNow;
  return s;
}

bool says(const Guidance& guidance, std::string_view fact) {
  return std::find(guidance.facts.begin(), guidance.facts.end(), fact) != guidance.facts.end();
}

}  // namespace

TEST_CASE("what helps follows from what is missing and how fast it comes") {
  struct Row {
    const char* name;
    double error_m, wanted_m, unseen;
    int counted_s;
    Help help;
    const char* advice;
  };
  const Row rows[] = {
      {"within what was wanted", 0.010, 0.010, 0.5, 60, Help::enough,
       "Keep the point: the error is within what was wanted."},
      {"a fifth more of the same", 0.011, 0.010, 0.5, 60, Help::stay, "Stand still for about 13 s more."},
      {"four times the variance after three minutes", 0.020, 0.010, 0.8, 180, Help::come_back,
       "Come back after 11:25 UTC: another visit helps more than staying."},
      {"below what one stay can reach", 0.020, 0.010, 0.10, 60, Help::come_back,
       "Come back after 11:25 UTC: another visit helps more than staying."},
      {"far off after ten seconds", 0.50, 0.010, 1.0, 10, Help::stay,
       "Stand still: it is too early to tell how long it will take."},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    StaySoFar s = so_far(row.error_m, 0.001, row.unseen, row.counted_s);
    s.wanted_horizontal_m = row.wanted_m;
    const Guidance guidance = guide(s);
    CHECK(guidance.help == row.help);
    CHECK(guidance.advice == row.advice);
  }
}

TEST_CASE("height alone can ask for more") {
  StaySoFar s = so_far(0.001, 0.022, 0.5, 60);
  s.wanted_horizontal_m = 0.010;
  s.wanted_vertical_m = 0.020;
  CHECK(guide(s).help == Help::stay);
}

TEST_CASE("scatter that refutes the claim says move") {
  StaySoFar s = so_far(0.02, 0.02, 0.9, 120);
  s.wanted_horizontal_m = 0.5;
  s.conclusion.estimate.claim_refuted_vertical = true;
  const Guidance guidance = guide(s);
  CHECK(guidance.help == Help::move);
  CHECK(says(guidance, "The epochs scatter more than the receiver's error figure allows."));
}

TEST_CASE("a drift is told in metres, seconds and the claim, and asks for another time") {
  StaySoFar s = so_far(0.30, 0.04, 0.9, 300);
  s.wanted_horizontal_m = 0.5;
  s.conclusion.estimate.motion = {true, 0.25, 0.11, 300, 0.008};
  CHECK(says(guide(s), "The position drifts: 0.25 m in 300 s, the receiver claims 8 mm."));
  CHECK(guide(s).advice == "Come back after 11:25 UTC and measure again: the position drifts.");
  s.conclusion.estimate.motion_up = {true, 0.02, 0.52, 300, 0.015};
  CHECK(says(guide(s), "The height drifts: 0.52 m from its mean within 300 s, the receiver claims 15 mm."));
  CHECK(drift_text({}).empty());
}

TEST_CASE("a claim that is not proven says that averaging and waiting gain nothing, and what would") {
  StaySoFar s = so_far(0.05, 0.09, 2.25, 40);
  s.conclusion.estimate.claim_unproven = true;
  s.wanted_horizontal_m = 0.03;
  const char* const gains_nothing = "Averaging does not reduce the error: the receiver's claim is not proven.";
  Guidance guidance = guide(s);
  CHECK(says(guidance, gains_nothing));
  CHECK_FALSE(says(guidance, "True if the receiver's error figure holds (scale 1.00, not verified)."));
  CHECK(guidance.help == Help::come_back);
  CHECK(guidance.advice == "Come back after 11:25 UTC: staying cannot lower an error that is not proven.");
  s.checks_to_prove = 3;
  CHECK(says(guide(s), "3 more checks on marks prove it."));
  s.checks_to_prove = 1;
  CHECK(says(guide(s), "1 more check on a mark proves it."));
  s.checks_to_prove = 0;  // enough are there: only the configuration's line is missing
  CHECK(guide(s).facts.back() == gains_nothing);
}

TEST_CASE("two levels ask for another visit and name both") {
  StaySoFar s = so_far(3.1, 0.5, 0.5, 165);
  s.conclusion.unresolved = true;
  s.conclusion.separation_m = 2.61;
  s.conclusion.estimate.epochs = 120;
  s.other_level_epochs = 45;
  s.next_counts_from = UtcTime{(14 * 60 + 32) * 60'000};
  const Guidance guidance = guide(s);
  CHECK(guidance.help == Help::come_back);
  CHECK(guidance.advice == "Come back after 14:32 UTC and measure again: one place is wrong.");
  CHECK(says(guidance, "Two places 2.61 m apart (120 and 45 epochs)."));
  s.conclusion.separation_up_m = 3.0;
  CHECK(says(guide(s), "Two places 3.00 m apart in height (120 and 45 epochs)."));
}

TEST_CASE("the facts say of what, on what it rests, and what the epochs are worth") {
  StaySoFar s = so_far(0.52, 0.09, 1 / 2.1, 60);
  s.wanted_horizontal_m = 0.30;
  s.clock_offset_min = -240;
  const Guidance guidance = guide(s);
  CHECK(says(guidance, "Horizontal 0.52 m at 95 % for the average, wanted 0.30 m."));
  CHECK(says(guidance, "Vertical 90 mm at 95 % for the average."));
  CHECK(says(guidance, "True if the receiver's error figure holds (scale 1.00, not verified)."));
  CHECK(says(guidance, "60 epochs are worth 2.1 independent ones."));
  s.conclusion.estimate.effective_epochs = 0.94;
  CHECK(says(guide(s), "The position moved: 60 epochs are worth less than one."));
  s.conclusion.estimate.effective_epochs = 0.96;
  CHECK(says(guide(s), "60 epochs are worth 1.0 independent ones."));
  s.error_scale = 1.3;
  s.error_scale_verified = true;
  CHECK(says(guide(s), "True if the receiver's error figure holds (scale 1.30)."));
  s.assumed_sigma = true;
  CHECK(says(guide(s), "True if the configured assumed_sigma_m holds (scale 1.30)."));
}

TEST_CASE("a clock time is told in the crew's own time") {
  StaySoFar s = so_far(0.52, 0.09, 0.9, 200);
  s.wanted_horizontal_m = 0.10;
  s.clock_offset_min = -240;
  CHECK(guide(s).advice == "Come back after 07:25: another visit helps more than staying.");
}

TEST_CASE("a time at which a visit counts is never told too early") {
  CHECK(clock_minute(UtcTime{(14 * 60 + 32) * 60'000}, std::nullopt) == "14:32 UTC");
  CHECK(clock_minute(UtcTime{(14 * 60 + 32) * 60'000 + 1}, std::nullopt) == "14:33 UTC");
  CHECK(clock_minute(UtcTime{(23 * 60 + 59) * 60'000 + 1}, 60) == "01:00");
}

TEST_CASE("where no error is wanted nothing is missing") {
  const Guidance guidance = guide(so_far(0.52, 0.90, 0.9, 200));
  CHECK(guidance.help == Help::enough);
  CHECK(guidance.advice == "Come back after 11:25 UTC to prove it: no error was asked for.");
}

TEST_CASE("no sentence is longer than the screen's 76 characters") {
  StaySoFar s = so_far(12.34, 123.45, 0.9, 86400);
  s.wanted_horizontal_m = 10.5;
  s.wanted_vertical_m = 20.5;
  s.conclusion.separation_up_m = 123.45;
  s.other_level_epochs = 999999;
  for (const bool unresolved : {false, true}) {
    for (const bool refuted : {false, true}) {
      s.conclusion.unresolved = unresolved;
      s.conclusion.estimate.claim_refuted_horizontal = refuted;
      const Guidance guidance = guide(s);
      CHECK(guidance.advice.size() <= 76);
      for (const std::string& fact : guidance.facts) {
        CAPTURE(fact);
        CHECK(fact.size() <= 76);
      }
    }
  }
}

TEST_CASE("lengths are told in millimetres below a decimetre") {
  CHECK(length_text(0.0124) == "12 mm");
  CHECK(length_text(0.0996) == "0.10 m");
  CHECK(length_text(2.613) == "2.61 m");
}
