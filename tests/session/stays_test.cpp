// The objects that keep stays: the live one, those of a list, and the visits of every name.

#include <doctest/doctest.h>

#include <cmath>

#include "session/live_stay.hpp"
#include "session/planned_visits.hpp"
#include "support/epochs.hpp"

namespace {

using namespace stillpoint;
using session::LiveStay;
using session::PlannedVisit;
using session::Repeats;

session::Basis basis() {
  config::Settings settings = support::settings();
  settings.occupation.min_epochs = 5;
  settings.occupation.min_duration_s = 4;
  settings.occupation.max_duration_s = 30;
  auto frames = geodesy::Frames::open(settings).value();
  return {settings, std::move(frames), {}};
}

gate::Judged judged(double t_s) {
  gate::Judged out;
  out.epoch = support::fixed_epoch(t_s);
  out.match.source = 0;
  out.match.station = 417;
  out.error = gate::EpochError{};
  out.error->ee_m2 = out.error->nn_m2 = 1e-4;
  out.error->uu_m2 = 2e-4;
  return out;
}

UtcTime utc(double t_s) {
  return *support::fixed_epoch(t_s).utc;
}

TEST_CASE("a live stay ends by itself at its longest, and a stay computed anew where it ended on the day") {
  struct Case {
    const char* name;
    std::optional<session::Again> again;
    int seconds;
    const char* why;
  };
  const Case cases[] = {{"the day's", {}, 31, "the longest stay of 30 s is reached"},
                        {"anew", session::Again{{}, 10, true}, 10, "it ended here on the day"},
                        {"anew to the end", session::Again{}, 40, ""}};
  const session::Basis with = basis();
  for (const Case& c : cases) {
    CAPTURE(c.name);
    LiveStay stay(with);
    CHECK_FALSE(stay.ends_by_itself());
    stay.begin({"CUL-14", 1, "", "", 1.871}, c.again);
    int seconds = 0;
    while (seconds < 40 && !stay.ends_by_itself()) stay.observe(judged(seconds++), {}, SteadyTime{});
    CHECK(seconds == c.seconds);
    const auto ended = stay.ends_by_itself();
    CHECK((ended ? ended->why : "") == c.why);
    if (ended) CHECK((ended->cut_off == occupation::CutOff::broke_off) == (c.again && c.again->broken_off));
  }
}

TEST_CASE("a stay ends by itself at the first second, from the fifth, at which both errors are as small as wanted") {
  session::Basis with = basis();
  // The position repeats to the last digit: nothing is seen to average out, and the figures stay those of one epoch.
  const auto figures = [&with] {
    LiveStay stay(with);
    stay.begin({"CUL-14", 1, "", "", 1.871}, {});
    for (int t = 0; t < 5; ++t) stay.observe(judged(t), {}, SteadyTime{});
    const auto& e = stay.stay().progress().conclusion.estimate;
    return config::PerAxis{e.error95_horizontal_m, e.error95_vertical_m};
  };
  const auto seconds_until_the_end = [&with](const config::PerAxis& wanted) {
    with.settings.occupation.finish_at_error95_m = wanted;
    LiveStay stay(with);
    stay.begin({"CUL-14", 1, "", "", 1.871}, {});
    int seconds = 0;
    while (!stay.ends_by_itself()) stay.observe(judged(seconds++), {}, SteadyTime{});
    const std::string why = stay.ends_by_itself()->why;
    CHECK((why == "the wanted error is reached") == (seconds < 31));
    return seconds;
  };
  const auto less = [](double value) { return std::nextafter(value, 0); };
  const config::PerAxis unproven = figures();
  with.settings.sources[0].error_scale_evidence = config::ScaleEvidence{10, "2026-06-03"};
  const config::PerAxis proven = figures();
  CHECK(unproven.horizontal_m > 1.2 * proven.horizontal_m);
  CHECK(seconds_until_the_end(proven) == 5);
  CHECK(seconds_until_the_end({less(proven.horizontal_m), 1}) == 31);  // the longest stay
  CHECK(seconds_until_the_end({1, less(proven.vertical_m)}) == 31);
  // Waiting cannot lower an error that is not proven.
  with.settings.sources[0].error_scale_evidence.reset();
  CHECK(seconds_until_the_end(unproven) == 5);
  CHECK(seconds_until_the_end(proven) == 31);
}

TEST_CASE("another antenna height of a stay computed anew outlasts a change of the pole before its first second") {
  const session::Basis with = basis();
  LiveStay stay(with);
  stay.begin({"CUL-14", 1, "", "", 1.871}, session::Again{2.0, {}, false});
  CHECK(stay.stay().stand().antenna_height_m == 2.0);
  stay.begin_anew(1.9);
  CHECK(stay.stay().stand().antenna_height_m == 2.0);
  stay.begin({"CUL-14", 1, "", "", 1.871}, {});
  stay.begin_anew(1.9);
  CHECK(stay.stay().stand().antenna_height_m == 1.9);
}

TEST_CASE("nothing is cut off before an epoch has counted, and cutting off ends nothing") {
  const session::Basis with = basis();
  LiveStay stay(with);
  CHECK_FALSE(stay.cut_off());
  stay.begin({"CUL-14", 1, "", "", 1.871}, {});
  CHECK_FALSE(stay.cut_off());
  for (int t = 0; t < 10; ++t) stay.observe(judged(t), utc(0), SteadyTime{});
  const auto cut = stay.cut_off();
  REQUIRE(cut);
  CHECK(cut->point.status == occupation::PointStatus::held);
  CHECK(stay.is_open());
  CHECK(stay.initialized() == utc(0));
  CHECK(stay.finish(occupation::CutOff::no).point.status == occupation::PointStatus::accepted);
  CHECK_FALSE(stay.is_open());
  CHECK(stay.name().empty());
}

TEST_CASE("planned visits take the seconds from their start to before their end, whatever their order in the list") {
  const session::Basis with = basis();
  Repeats repeats;
  const session::BaseWatch base(with);
  session::PlannedVisits planned(with, base, repeats);
  planned.plan({{"B", 1, "", utc(20), utc(30)}, {"A", 1, "", utc(0), utc(10)}, {"C", 1, "", utc(80), utc(90)}});
  session::Outputs out;
  for (int t = 0; t < 40; ++t) planned.observe(judged(t), 1.871, utc(0), out);
  REQUIRE(out.points.size() == 2);
  CHECK(out.points[0].planned == 1);
  CHECK(out.points[0].point.epochs_used == 10);
  CHECK(out.points[1].planned == 0);
  CHECK(out.points[1].point.epochs_used == 10);
  planned.finish(1.871, out);
  REQUIRE(out.points.size() == 3);
  CHECK(out.points[2].point.name == "C");
  CHECK(out.points[2].point.status == occupation::PointStatus::none);
}

TEST_CASE("one second with a wrong date closes no planned visit, five in a row do") {
  for (const int wrong : {1, 4, 5}) {
    CAPTURE(wrong);
    const session::Basis with = basis();
    Repeats repeats;
    const session::BaseWatch base(with);
    session::PlannedVisits planned(with, base, repeats);
    planned.plan({{"A", 1, "", utc(0), utc(30)}});
    session::Outputs out;
    for (int t = 0; t < 10; ++t) planned.observe(judged(t), 1.871, {}, out);
    for (int i = 0; i < wrong; ++i) planned.observe(judged(86'400 + i), 1.871, {}, out);
    CHECK(out.points.size() == (wrong == 5 ? 1 : 0));
  }
}

TEST_CASE("the number of a visit follows from what is known of its name") {
  Repeats repeats;
  occupation::Point earlier;
  earlier.name = "CUL-14";
  earlier.visit = 2;
  repeats.know(earlier, session::Weighed::no);
  struct Case {
    session::OccupyCommand command;
    int visit;
    const char* refusal;
  };
  const auto command = [](const char* name, bool again, std::optional<int> visit = {}) {
    session::OccupyCommand out;
    out.name = name;
    out.again = again;
    out.visit = visit;
    return out;
  };
  const Case cases[] = {{command("NEW", false), 1, ""},
                        {command("NEW", true), 0, "no point is called NEW yet; leave out --again for a first visit"},
                        {command("CUL-14", true), 3, ""},
                        {command("CUL-14", false), 0,
                         "CUL-14 is in the pointbook already; choose another name, or --again for a repeat visit"},
                        {command("CUL-14", false, 7), 7, ""}};
  for (const Case& c : cases) {
    CAPTURE(c.command.name);
    const auto visit = repeats.visit_for(c.command.name, c.command.again, c.command.visit);
    CHECK(visit.value_or(0) == c.visit);
    CHECK((visit ? "" : visit.error().text) == c.refusal);
  }
  repeats.begin("CUL-14", 3);
  repeats.forget("CUL-14", 3);
  CHECK(repeats.visit_for("CUL-14", true, {}).value() == 3);
  repeats.begin("NEW", 1);
  CHECK(repeats.knows("NEW"));
  repeats.forget("NEW", 1);
  CHECK_FALSE(repeats.knows("NEW"));
}

TEST_CASE("a receiver began anew when its quality, source or station changed, or after a minute away") {
  struct Case {
    const char* name;
    double t_s;
    Quality quality;
    std::optional<int> station;
    bool anew;
  };
  const Case cases[] = {{"the next second", 1, Quality::rtk_fixed, 417, false},
                        {"59.999 s away", 59.999, Quality::rtk_fixed, 417, false},
                        {"60 s away", 60, Quality::rtk_fixed, 417, true},
                        {"another quality", 1, Quality::rtk_float, 417, true},
                        {"another station", 1, Quality::rtk_fixed, 418, true}};
  for (const Case& c : cases) {
    CAPTURE(c.name);
    session::Initialization initialization;
    initialization.note(judged(0));
    CHECK(initialization.since() == utc(0));
    gate::Judged next = judged(c.t_s);
    next.epoch.quality = c.quality;
    next.match.station = c.station;
    initialization.note(next);
    CHECK(initialization.since() == utc(c.anew ? c.t_s : 0));
  }
}

}  // namespace
