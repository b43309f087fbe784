#include <doctest/doctest.h>

#include <limits>
#include <nlohmann/json.hpp>

#include "wire/json.hpp"
#include "wire/json_object.hpp"

namespace stillpoint::wire {
namespace {

using nlohmann::ordered_json;

UtcTime at(const char* text) {
  return *parse_utc(text);
}

occupation::Point full_point() {
  occupation::Point p;
  p.name = "HF-A-0014";
  p.visit = 2;
  p.code = "CUL-U";
  p.note = "upstream \"lip\"";
  p.status = occupation::PointStatus::held;
  p.reasons = {occupation::HoldReason::too_few_epochs, occupation::HoldReason::too_short};
  p.reason_texts = {"12 epochs counted, 30 needed", "11 s counted, 30 s needed"};
  p.frame = "EPSG:6319";
  p.at.emplace();
  p.at->latitude_deg = 47.600123456789;
  p.at->longitude_deg = -87.4;
  p.at->ellipsoid_height_m = 151.23456;
  p.at->coordinate_epoch = 2026.42;
  p.at->error95_horizontal_m = 0.01;
  p.at->error95_vertical_m = 0.0204;
  p.at->covariance_enu_m2 = {1e-6, -2.5e-7, 2e-6, 4e-6};
  p.at->repeatability_m = 0.00345;
  p.at->effective_epochs = 2.1;
  p.epochs_used = 12;
  p.epochs_refused = 3;
  p.refused[static_cast<std::size_t>(gate::Reason::hdop)] = 2;
  p.refused[static_cast<std::size_t>(gate::Reason::correction_age)] = 1;
  p.source = "county network";
  p.station = 417;
  p.quality = Quality::rtk_fixed;
  p.antenna_height_m = 1.871;
  p.started_utc = at("2026-06-03T14:05:10Z");
  p.finished_utc = at("2026-06-03T14:05:25.200Z");
  p.flags = {"coasted", "error-scale-not-verified"};
  p.error_scale = 1.0;
  p.estimator = 2;
  p.rules = 3;
  return p;
}

std::vector<std::string> keys_of(const std::string& text) {
  std::vector<std::string> keys;
  const auto json = ordered_json::parse(text);
  for (const auto& item : json.items()) keys.push_back(item.key());
  return keys;
}

}  // namespace

TEST_CASE("a point is written member by member in the order of the contract") {
  CHECK(to_json(full_point()) ==
        R"({"point":"HF-A-0014","visit":2,"status":"held","reasons":["too-few-epochs","too-short"],)"
        R"("frame":"EPSG:6319","coordinate_epoch":2026.4200,"latitude_deg":47.60012345679,)"
        R"("longitude_deg":-87.40000000000,"easting_m":null,"northing_m":null,"ellipsoid_height_m":151.2346,)"
        R"("orthometric_height_m":null,"geoid":null,"error95_horizontal_m":0.0100,"error95_vertical_m":0.0204,)"
        R"("covariance_enu_m2":[0.00000100,-0.00000025,0.00000200,0.00000400],"repeatability_m":0.00345000,)"
        R"("effective_epochs":2.1000,"epochs_used":12,"epochs_refused":3,"refused":{"correction-age":1,"hdop":2},)"
        R"("source":"county network","station":417,"quality":"rtk-fixed","antenna_height_m":1.8710,)"
        R"("started_utc":"2026-06-03T14:05:10Z","finished_utc":"2026-06-03T14:05:25.200Z",)"
        R"("flags":["coasted","error-scale-not-verified"],"error_scale":1.0000,"estimator":2,"rules":3,"code":"CUL-U",)"
        R"("note":"upstream \"lip\"","reason_texts":["12 epochs counted, 30 needed","11 s counted, 30 s needed"]})");
}

TEST_CASE("a point without an accepted epoch has the same members, its coordinates null") {
  occupation::Point empty;
  empty.name = "X";
  const auto json = ordered_json::parse(to_json(empty));
  CHECK(keys_of(to_json(empty)) == keys_of(to_json(full_point())));
  for (const char* key : {"coordinate_epoch", "latitude_deg", "longitude_deg", "easting_m", "northing_m",
                          "ellipsoid_height_m", "orthometric_height_m", "geoid", "error95_horizontal_m",
                          "error95_vertical_m", "covariance_enu_m2", "repeatability_m", "effective_epochs", "source",
                          "station", "quality", "started_utc", "finished_utc", "error_scale"}) {
    CAPTURE(key);
    CHECK(json[key].is_null());
  }
  CHECK(json["status"] == "none");
  CHECK(json["refused"] == ordered_json::object());
}

TEST_CASE("an offset point says what was measured, and neither seconds nor a height that nobody measured") {
  occupation::Point point = full_point();
  point.measures.stays = {{"CUL-7", 2, "0197-a", 4.205, 0.02}};
  point.measures.bearing_deg = 2.4;
  point.measures.declination_deg = -4.5;
  auto json = ordered_json::parse(to_json(point));
  CHECK(
      json["offset"].dump() ==
      R"({"from":[{"name":"CUL-7","visit":2,"uuid":"0197-a","distance_m":4.205,"error_m":0.02}],"bearing_deg":2.4,)"
      R"("bearing_error_deg":2.0,"declination_deg":-4.5,"bearing_true_deg":357.9,"side":null,"up_m":null,"up_error_m":null})");
  for (const char* key :
       {"ellipsoid_height_m", "orthometric_height_m", "error95_vertical_m", "repeatability_m", "effective_epochs"}) {
    CAPTURE(key);
    CHECK(json[key].is_null());
  }
  CHECK(json["error95_horizontal_m"] == 0.01);
  point.measures.up_m = 0.35;
  json = ordered_json::parse(to_json(point));
  CHECK(json["ellipsoid_height_m"] == 151.2346);
  CHECK(json["offset"]["up_m"] == 0.35);
}

TEST_CASE("a point that rests on a known base says which one, and where it said that it stands") {
  occupation::Point point = full_point();
  CHECK_FALSE(ordered_json::parse(to_json(point)).contains("base"));
  point.base_station = 2003;
  CHECK(ordered_json::parse(to_json(point))["base"].dump() == R"({"station":2003,"ecef_m":null})");
  // The message of the standard's example: lib/rtcm's test says where it is from.
  point.base_x_m = 1114104.5999, point.base_y_m = -4850729.7108, point.base_z_m = 3975521.4643;
  CHECK(ordered_json::parse(to_json(point))["base"].dump() ==
        R"({"station":2003,"ecef_m":[1114104.5999,-4850729.7108,3975521.4643]})");
}

TEST_CASE("a number that is not finite becomes null") {
  struct Row {
    const char* name;
    double value;
  };
  for (const Row& row : {Row{"not a number", std::numeric_limits<double>::quiet_NaN()},
                         Row{"infinite", std::numeric_limits<double>::infinity()},
                         Row{"negative infinite", -std::numeric_limits<double>::infinity()}}) {
    CAPTURE(row.name);
    occupation::Point p = full_point();
    p.at->latitude_deg = row.value;
    p.at->covariance_enu_m2[1] = row.value;
    const auto json = ordered_json::parse(to_json(p));
    CHECK(json["latitude_deg"].is_null());
    CHECK(json["covariance_enu_m2"][1].is_null());
    CHECK(json["covariance_enu_m2"][0].is_number());
  }
}

TEST_CASE("any text survives the way into JSON and back") {
  struct Row {
    const char* name;
    std::string text, back;
  };
  const std::vector<Row> rows{
      {"plain", "VM-11 Sluice", "VM-11 Sluice"},
      {"quotes and backslashes", "a\"b\\c", "a\"b\\c"},
      {"control characters", "a\nb\tc\x01", "a\nb\tc\x01"},
      {"letters beyond ASCII", "Vår\xC3\xA9", "Vår\xC3\xA9"},
      {"what turns the writing is written out", "a\u202Eb", "a\u202Eb"},
      {"a byte that is no UTF-8 is replaced",
       "a\xFF"
       "b",
       "a\xEF\xBF\xBD"
       "b"},
      {"a sequence cut short is replaced", "a\xE2\x82", "a\xEF\xBF\xBD"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const std::string text = json_string(row.text);
    CHECK(text.find('\n') == std::string::npos);
    CHECK(text.find("\u202E") == std::string::npos);
    CHECK(ordered_json::parse(text).get<std::string>() == row.back);
  }
}

TEST_CASE("objects and arrays within others are set off by commas and end by themselves") {
  const std::string text = json_object([](JsonObject& out) {
    out.object("empty", [](JsonObject&) {});
    out.array("none", [](JsonArray&) {});
    out.object("inner", [](JsonObject& inner) {
      inner.integer("a", -1);
      inner.array("b", [](JsonArray& list) {
        list.text("x\"y");
        list.number(0.25, 1);
        list.object([](JsonObject& last) { last.null("c"); });
        list.array([](JsonArray& last) {
          last.number(-1.25, 1);
          last.number(2, 0);
        });
      });
    });
    out.count("d", 18'446'744'073'709'551'615U);
  });
  CHECK(text ==
        R"({"empty":{},"none":[],"inner":{"a":-1,"b":["x\"y",0.2,{"c":null},[-1.2,2]]},"d":18446744073709551615})");
}

TEST_CASE("an epoch is written with its final verdict") {
  occupation::EpochRecord e;
  e.utc = at("2026-06-03T14:05:10.200Z");
  e.quality = Quality::rtk_fixed;
  e.station = 417;
  e.source = "county network";
  e.age_s = 12.0;
  e.correction = corrections::State::stale;
  e.reasons.set(static_cast<std::size_t>(gate::Reason::moving));
  e.reasons.set(static_cast<std::size_t>(gate::Reason::correction_age));
  CHECK(to_json(e) == R"({"utc":"2026-06-03T14:05:10.200Z","quality":"rtk-fixed","station":417,)"
                      R"("source":"county network","age_s":12.000,"correction":"stale","verdict":"refused",)"
                      R"("reasons":["correction-age","moving"]})");
  occupation::EpochRecord bare;
  bare.accepted = true;
  CHECK(to_json(bare) == R"({"utc":null,"quality":"none","station":null,"source":null,"age_s":null,)"
                         R"("correction":"none","verdict":"accepted","reasons":[]})");
}

TEST_CASE("the summary counts the stream") {
  session::Summary s;
  s.stream.bytes = 1000;
  s.stream.sentences = 12;
  s.stream.damage.bad_checksum = 2;
  s.stream.damage.cut_short = 1;
  s.epochs = 6;
  s.accepted = 4;
  s.refused = 2;
  CHECK(to_json(s, 1) ==
        R"({"summary":{"bytes":1000,"sentences":12,"damaged":{"bad-checksum":2,"no-checksum":0,"oversize":0,)"
        R"("cut-short":1,"malformed":0,"garbage-bytes":0},"epochs":6,"accepted":4,"refused":2,"points":1}})");
}

TEST_CASE("a status of the first moment says what is not known as null") {
  CHECK(
      to_json(session::Status{}) ==
      R"({"time_utc":null,"training":false,"feed":{"state":"waiting","what":null,"standstill":null},"epoch":null,"source":null,)"
      R"("correction":{"state":"none","age_s":null,"from":null,"coast_left_s":null,"fresh_limit_s":null,)"
      R"("age_limit_s":null,"settling":false,"settle_left_s":0.000},"verdict":{"accepted":false,"reasons":[]},)"
      R"("occupation":null,"alerts":[],"check":{"configured":false,"due":false,"failed":false,"last_utc":null,"due_in_s":null,"text":null},)"
      R"("store":{"spooled":0,"stored":0,"waiting":0},"counters":{},)"
      R"("project":null,"crew":null,"antenna_height_m":0.0000,"notes":[],"base":null,"delivery":null})");
}

TEST_CASE("a full status holds every member of the contract in its order") {
  session::Status s;
  s.epoch.emplace();
  s.epoch->hdop = 0.8;
  s.reasons = {{gate::Reason::correction_age, "correction age 1212 s, limit 1200 s"}};
  s.occupation.emplace();
  s.occupation->name = "HF-A-0014";
  s.occupation->error95_horizontal_m = 0.52;
  session::Alert alert;
  alert.key = "corrections-stale";
  alert.severity = session::Severity::stop_work;
  alert.text = "Corrections are too old";
  alert.brief = "corrections too old, over 60 s";
  alert.since_utc = at("2026-06-03T14:05:10Z");
  s.alerts = {alert};
  s.counters = {{"sentences", 12}};
  const auto json = ordered_json::parse(to_json(s));
  CHECK(keys_of(json["epoch"].dump()) ==
        std::vector<std::string>{"utc", "quality", "satellites", "hdop", "pdop", "error95_horizontal_m",
                                 "error95_vertical_m", "station", "latitude_deg", "longitude_deg", "speed_mps"});
  CHECK(json["verdict"]["reasons"][0] ==
        ordered_json{{"code", "correction-age"}, {"text", "correction age 1212 s, limit 1200 s"}});
  CHECK(keys_of(json["occupation"].dump()) == std::vector<std::string>{"name",
                                                                       "visit",
                                                                       "code",
                                                                       "since_utc",
                                                                       "accepted",
                                                                       "refused",
                                                                       "needed_epochs",
                                                                       "needed_s",
                                                                       "enough",
                                                                       "error95_horizontal_m",
                                                                       "error95_vertical_m",
                                                                       "effective_epochs",
                                                                       "advice",
                                                                       "counted_s",
                                                                       "facts",
                                                                       "unproven",
                                                                       "error_scale",
                                                                       "error_scale_verified",
                                                                       "assumed_sigma",
                                                                       "counts_from_utc",
                                                                       "next_counts_from_utc",
                                                                       "wanted_error95_horizontal_m",
                                                                       "wanted_error95_vertical_m",
                                                                       "check",
                                                                       "keep_gives",
                                                                       "keep_why",
                                                                       "keep_texts",
                                                                       "apart_m",
                                                                       "fell_away",
                                                                       "came_back",
                                                                       "recounted"});
  CHECK(json["occupation"]["error95_horizontal_m"] == 0.52);
  CHECK(
      to_json(alert) ==
      R"({"key":"corrections-stale","severity":"stop-work","text":"Corrections are too old",)"
      R"("short":"corrections too old, over 60 s",)"
      R"("since_utc":"2026-06-03T14:05:10Z","seen":false,"id":0,"active":true,"until_utc":null,"times":1,"repeats":0})");
  CHECK(json["counters"]["sentences"] == 12);
}

}  // namespace stillpoint::wire
