#pragma once
// The situations a screen must tell apart, as the daemon would report them. All names are invented.

#include <string>

#include "client/wire_names.hpp"

namespace stillpoint::client::test {

inline Json fresh() {
  return Json::parse(R"({"time_utc":"2026-06-03T10:42:17Z","training":false,
    "feed":{"state":"open","what":"tcp localhost:9001"},
    "epoch":{"utc":"2026-06-03T10:42:17Z","quality":"rtk-fixed","satellites":14,"hdop":0.8,"pdop":1.4,
             "error95_horizontal_m":0.031,"error95_vertical_m":0.05,"station":417},
    "source":"county network",
    "correction":{"state":"fresh","age_s":1.0,"from":"receiver","coast_left_s":null,"fresh_limit_s":3.0,
                  "age_limit_s":60.0,"settling":false,"settle_left_s":0.0},
    "verdict":{"accepted":true,"reasons":[]},"occupation":null,"alerts":[],
    "store":{"spooled":3,"stored":2,"waiting":1},"counters":{},"project":"Harrowfen culvert inventory","notes":[]})");
}

inline Json refused(const std::string& code, const std::string& text) {
  Json status = fresh();
  status["verdict"] = {{"accepted", false}, {"reasons", Json::array({{{"code", code}, {"text", text}}})}};
  return status;
}

inline Json coasting() {
  Json status = fresh();
  status["correction"]["state"] = "coasting";
  status["correction"]["age_s"] = 48.0;
  status["correction"]["coast_left_s"] = 12.0;
  return status;
}

/// No age is printed: the quality is trusted, or our own clock runs.
inline Json unknown_age() {
  Json status = fresh();
  status["correction"]["state"] = "unknown";
  status["correction"]["age_s"] = nullptr;
  status["correction"]["from"] = "quality";
  return status;
}

inline Json unproven() {
  Json status = coasting();
  status["correction"]["from"] = "own-clock";
  return status;
}

inline Json stale() {
  Json status = refused("correction-age", "correction age 70 s, limit 60 s");
  status["correction"]["state"] = "stale";
  status["correction"]["age_s"] = 70.0;
  return status;
}

inline Json silent() {
  Json status = refused("no-position", "nothing from the receiver for 12 s");
  status["feed"]["state"] = "silent";
  return status;
}

inline Json moving() {
  return refused("moving", "moving: speed 0.42 m/s, limit 0.1 m/s");
}

inline Json no_fix() {
  Json status = refused("quality", "the receiver has no position");
  status["epoch"]["quality"] = "none";
  status["correction"] = {{"state", "none"}};
  status["source"] = nullptr;
  return status;
}

inline Json averaging(int accepted) {
  Json status = fresh();
  status["occupation"] = Json::parse(R"({"name":"HF-A-0014","visit":1,"code":"CUL-U","since_utc":"2026-06-03T10:42:05Z",
    "accepted":12,"refused":2,"needed_epochs":30,"needed_s":30.0,"enough":false,"error95_horizontal_m":0.52,
    "error95_vertical_m":0.81,"effective_epochs":1.3,"advice":"Stay: 12 of 30 s, 12 of 30 epochs.","counted_s":12.0})");
  status["occupation"]["accepted"] = accepted;
  status["occupation"]["counted_s"] = accepted;
  return status;
}

inline Json averaging_scaled(bool verified) {
  Json status = averaging(13);
  status["occupation"]["error_scale"] = 1.0;
  status["occupation"]["error_scale_verified"] = verified;
  return status;
}

inline Json enough() {
  Json status = averaging(60);
  status["occupation"]["enough"] = true;
  status["occupation"]["keep_gives"] = "accepted";
  status["occupation"]["advice"] = "Keep it: enough. A second visit after 45 min helps more than staying.";
  return status;
}

/// Enough was collected at two places: no more seconds mend it.
inline Json two_places() {
  Json status = enough();
  status["occupation"]["keep_gives"] = "held";
  status["occupation"]["keep_why"] = {"unresolved"};
  status["occupation"]["keep_texts"] = {"two places 0.38 m apart and 0.00 m in height (60 and 31 epochs)"};
  status["occupation"]["apart_m"] = 0.38;
  return status;
}

/// The point has just moved to the second place.
inline Json recounted() {
  Json status = averaging(20);
  status["occupation"]["recounted"] = "31 seconds no longer count: the point lies where you measure now";
  return status;
}

/// Enough was collected, and a check holds the point.
inline Json enough_but_unchecked() {
  Json status = enough();
  status["occupation"]["keep_gives"] = "held";
  status["occupation"]["keep_why"] = {"check-failed"};
  status["occupation"]["keep_texts"] = {"the last check failed: VM-11 0.20 m off"};
  return status;
}

inline Json training() {
  Json status = fresh();
  status["training"] = true;
  return status;
}

inline Json alert(const std::string& severity, const std::string& text) {
  return {{"key", "k"},     {"severity", severity},
          {"text", text},   {"since_utc", "2026-06-03T10:41:44Z"},
          {"seen", false},  {"id", 1},
          {"active", true}, {"until_utc", nullptr}};
}

inline Json late_and_averaging() {
  Json status = averaging(12);
  status["correction"] = coasting()["correction"];
  return status;
}

inline Json stale_with_stay() {
  Json status = averaging(57);
  for (const char* key : {"correction", "verdict"}) status[key] = stale()[key];
  return status;
}

inline Json settling() {
  Json status = averaging(57);
  status["verdict"] = refused("settling", "settling: counts in 4 s")["verdict"];
  status["correction"]["settling"] = true;
  status["correction"]["settle_left_s"] = 4.6;
  return status;
}

inline Json walking() {
  Json status = moving();
  status["epoch"]["speed_mps"] = 1.3;
  return status;
}

inline Json set_apart() {
  Json status = averaging(31);
  status["verdict"] = refused("jump", "the position jumped 0.52 m while the pole stood still")["verdict"];
  return status;
}

/// The point has moved farther than an honest claim allows: no longer stay mends it.
inline Json drifting() {
  Json status = enough();
  status["occupation"]["keep_gives"] = "held";
  status["occupation"]["keep_why"] = {"drifting"};
  status["occupation"]["keep_texts"] = {"it drifted 0.09 m, more than an honest claim allows"};
  return status;
}

inline Json averaging_of_unknown_age() {
  Json status = averaging(12);
  status["correction"] = unknown_age()["correction"];
  return status;
}

inline Json on_a_mark(int accepted) {
  Json status = accepted < 60 ? averaging(accepted) : enough();
  status["occupation"]["name"] = "VM-11";
  status["occupation"]["check"] = true;
  return status;
}

inline Json checked() {
  Json status = fresh();
  status["check"] = Json::parse(
      R"({"configured":true,"due":false,"failed":false,"last_utc":"2026-06-03T10:05:10Z","due_in_s":5100,"text":""})");
  return status;
}

inline Json point(const std::string& name, const std::string& status, const std::string& clock) {
  return {{"point", name},
          {"visit", 1},
          {"status", status},
          {"error95_horizontal_m", 0.009},
          {"error95_vertical_m", 0.015},
          {"finished_utc", "2026-06-03T" + clock + "Z"},
          {"code", "CUL-D"},
          {"reason_texts", status == "held" ? Json::array({"two places 0.31 m apart in one stay"}) : Json::array()}};
}

}  // namespace stillpoint::client::test
