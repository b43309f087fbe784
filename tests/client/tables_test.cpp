#include "client/tables.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "client/statuses.hpp"

namespace stillpoint::client::test {
namespace {

Json point() {
  return Json::parse(R"({"point":"HF-A-0014","visit":2,"status":"held","reasons":["too-few-epochs"],"frame":"EPSG:6319",
    "coordinate_epoch":2026.4200,"latitude_deg":47.60012345679,"longitude_deg":-87.4,"ellipsoid_height_m":151.2346,
    "orthometric_height_m":null,"error95_horizontal_m":0.0120,"error95_vertical_m":0.0204,"effective_epochs":2.1,
    "epochs_used":60,"epochs_refused":15,"refused":{"correction-age":12,"moving":15,"hdop":1},"error_scale":1.0,
    "flags":["error-scale-not-verified"],"reason_texts":["12 epochs counted, 30 needed"],"storage":"stored"})");
}

}  // namespace

TEST_CASE("the table of points keeps to 100 columns and names the main refusals in words") {
  Json other = point();
  other["point"] = "A name much longer than the column";
  other["error95_horizontal_m"] = nullptr;
  other["error95_vertical_m"] = 1234.5;
  other["epochs_used"] = 1234567;
  other["epochs_refused"] = 7654321;
  other["refused"] =
      Json::parse(R"({"horizontal-error":500000,"correction-age-missing":400000,"coarse-coordinates":300000})");
  const auto lines = points_table(Json::array({point(), other}));
  REQUIRE(lines.size() == 6);  // its source is not named: nothing to call unverified
  CHECK(lines[3] == "HF-A-0014 visit 2 is held: 12 epochs counted, 30 needed.");
  CHECK(lines[1] ==
        "HF-A-0014            2  held          12 mm      20 mm         60/15  moving 15, corrections too o..");
  for (const std::string& line : lines) {
    CAPTURE(line);
    CHECK(line.size() <= 100);
  }
  CHECK(lines[2].find("A name much lo..") == 0);
  CHECK(lines[2].find("--") != std::string::npos);
  // The heading stands over its columns.
  CHECK(lines[0].find("Status") == lines[1].find("held"));
  CHECK(lines[0].find("Main") == lines[1].find("moving"));
}

TEST_CASE("no points is a sentence, not an empty table") {
  CHECK(points_table(Json::array()) == std::vector<std::string>{"No points yet. Begin one: stillpoint begin NAME"});
}

TEST_CASE("a stay that left nothing is a line that says that it is no point") {
  const Json lost = Json::parse(R"([{"name":"CUL-9","visit":1,"check":false,"utc":"2026-06-03T14:05:10.200Z",
    "why":"nothing from the receiver for 3 s","text":"CUL-9 ended: nothing from the receiver for 3 s, nothing stored"}])");
  CHECK(lost_lines(lost) ==
        std::vector<std::string>{"No point: CUL-9 ended: nothing from the receiver for 3 s, nothing "
                                 "stored (14:05:10 UTC)."});
  CHECK(lost_lines(Json()).empty());
}

TEST_CASE("what was resolved says what it was held for, and its value") {
  Json answer = Json::parse(R"({"text":"x"})");
  answer["point"] = point();
  answer["point"]["status"] = "accepted";
  const auto lines = resolved_lines(answer);
  REQUIRE(lines.size() >= 4);
  CHECK(lines[0] == "It was held: 12 epochs counted, 30 needed.");
  CHECK(lines[1] == "HF-A-0014, visit 2: accepted.");
  CHECK(lines[2].find("At 47.600123457 -87.400000000") == 0);
  CHECK(lines[3].find("Error horizontal 12 mm, vertical 20 mm at 95 %") == 0);
}

TEST_CASE("sources whose error figure nobody verified are named once below the table") {
  Json one = point(), other = point(), verified = point();
  one["source"] = other["source"] = "sbas";
  verified["source"] = "county network";
  verified["flags"] = Json::array();
  const auto lines = points_table(Json::array({one, other, verified}));
  REQUIRE(lines.size() == 9);
  CHECK(lines[8] == "Not verified: nobody has calibrated the error figure of \"sbas\" on a known mark.");
}

TEST_CASE("repeat visits say together what they come to, what adds nothing and when the next one counts") {
  const Json combined = Json::parse(R"([
    {"combined":"CUL-14","counted":[1,3],"left_out":[{"visit":2,"why":"too-soon"}],"agree":true,"separation_m":0.1,
     "separation_up_m":0.2,"error95_horizontal_m":0.35,"error95_vertical_m":0.0512,"error_scale_verified":false,
     "next_counts_from_utc":"2026-06-03T14:32:10Z"},
    {"combined":"CUL-15","counted":[2,1],"left_out":[],"agree":false,"separation_m":4.0,"separation_up_m":0.2,
     "error95_horizontal_m":2.5,"error95_vertical_m":0.6,"error_scale_verified":true,
     "next_counts_from_utc":"2026-06-03T15:00:00Z"},
    {"combined":"CUL-16","counted":[],"left_out":[{"visit":1,"why":"not-accepted"}]}])");
  CHECK(combined_lines(combined) ==
        std::vector<std::string>{
            "CUL-14: visits 1, 3 count; together horizontal 0.35 m, vertical 51 mm at 95 %, not verified.",
            "  Adding nothing: visit 2 (too soon); another visit counts after 14:32:10 UTC.",
            "CUL-15: visits 2, 1 count; together horizontal 2.50 m, vertical 0.60 m at 95 %.",
            "  The visits disagree (4.00 m horizontally, 0.20 m in height): one is wrong; visit it again.",
            "  Another visit counts after 15:00:00 UTC.", "CUL-16: no accepted visit yet."});
  const Json second = Json::parse(R"([{"combined":"CUL-17","counted":[2],"left_out":[{"visit":1,"why":"not-accepted"}],
    "error95_horizontal_m":0.02,"error95_vertical_m":0.03,"error_scale_verified":true}])");
  CHECK(combined_lines(second).front() == "CUL-17: visit 2 counts; together horizontal 20 mm, vertical 30 mm at 95 %.");
  CHECK(combined_lines(Json()).empty());
}

TEST_CASE("a kept point says its errors with their condition, what counted and where it is") {
  CHECK(point_sentences(point(), "spooled") ==
        std::vector<std::string>{
            "HF-A-0014, visit 2: held.",
            "At 47.600123457 -87.400000000 in EPSG:6319 at 2026.42, ellipsoid height 151.235 m.",
            "Error horizontal 12 mm, vertical 20 mm at 95 %, if the receiver's own error figure holds (scale 1.00, not "
            "verified).",
            "60 epochs counted (worth 2.1 independent ones), 15 refused: moving 15, corrections too old 12, HDOP 1.",
            "Safe on disk; it goes into the pointbook next."});
}

TEST_CASE("epochs that are worth less than one say that the position moved") {
  for (const auto& [worth, says] : {std::pair{0.6, "60 epochs counted (worth less than one: the position moved), 15"},
                                    {0.96, "60 epochs counted (worth 1.0 independent ones), 15"}}) {
    Json kept = point();
    kept["effective_epochs"] = worth;
    const auto lines = point_sentences(kept, "spooled");
    CHECK(std::any_of(lines.begin(), lines.end(), [&](const auto& line) { return line.find(says) == 0; }));
  }
}

TEST_CASE("a kept point says what its error rests on without GST, and when the seconds refute it") {
  Json kept = point();
  kept["flags"] = {"assumed-sigma", "error-scale-not-verified"};
  CHECK(point_sentences(kept, "")[2] ==
        "Error horizontal 12 mm, vertical 20 mm at 95 %, if assumed_sigma_m of the configuration holds, for the "
        "receiver gives "
        "no error (scale 1.00, not verified).");
  const std::vector<std::string> table = points_table(Json::array({kept}));
  CHECK(std::count(table.begin(), table.end(),
                   "Horizontal and vertical error of 1 point: if assumed_sigma_m of the configuration holds, for the "
                   "receiver gives "
                   "no error.") == 1);
  for (const std::string& line : table) CHECK(line.find("receiver's own error figure holds") == std::string::npos);
  kept["flags"] = {"receiver-error-refuted"};
  CHECK(point_sentences(kept, "")[3] ==
        "The seconds scatter more than the receiver's own error figure allows: mistrust it here.");
}

TEST_CASE("a point without a counted epoch has no position and no errors") {
  const Json none = Json::parse(
      R"({"point":"X","visit":1,"status":"none","epochs_used":0,"epochs_refused":3,"refused":{"quality":3}})");
  CHECK(point_sentences(none, "") == std::vector<std::string>{"X, visit 1: none.",
                                                              "No second counted, so there is no position.",
                                                              "0 epochs counted, 3 refused: no corrections 3."});
}

TEST_CASE("an alert line has its time, weight, sentence and whether it was seen") {
  Json one = alert("stop-work", "corrections 70 s old");
  CHECK(alert_line(one) == "10:41:44  until now    STOP MEASURING Corrections 70 s old.  NOT SEEN");
  one["active"] = false;
  one["until_utc"] = "2026-06-03T10:43:00Z";
  one["seen"] = true;
  CHECK(alert_line(one) == "10:41:44  to 10:43:00  STOP MEASURING Corrections 70 s old.");
  CHECK(alert_lines(Json::object()) == std::vector<std::string>{"No alerts today."});
  one["times"] = 5;
  CHECK(alert_line(one) == "10:41:44  to 10:43:00  STOP MEASURING Corrections 70 s old.  coming and going x5");
  const Json outages = Json::parse(R"({"alerts":[],"outages":[{"from_utc":"2026-06-03T10:41:44Z",
      "until_utc":"2026-06-03T10:42:10Z","lasted_s":26.0,"latitude_deg":47.6,"longitude_deg":-87.4,"point":"CUL-15",
      "why":"corrections too old"}]})");
  CHECK(alert_lines(outages) ==
        std::vector<std::string>{
            "No alerts today.",
            "Outages:", "  10:41:44  to 10:42:10  26 s  corrections too old, near 47.60000 -87.40000, on CUL-15"});
}

TEST_CASE("the antenna is told with its parts in their order") {
  const Json answer = Json::parse(
      R"({"height_m":1.871,"parts":{"pole":1.8,"adapter_to_phase_centre":0.071},"text":"The antenna is 1.871 m above the mark."})");
  CHECK(antenna_lines(answer) == std::vector<std::string>{"The antenna is 1.871 m above the mark.",
                                                          "  pole                           1.800 m",
                                                          "  adapter to phase centre        0.071 m"});
}

}  // namespace stillpoint::client::test
