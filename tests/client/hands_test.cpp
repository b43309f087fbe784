#include "client/hands.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "client/keys.hpp"
#include "client/methods.hpp"
#include "client/replies.hpp"
#include "client/statuses.hpp"

namespace stillpoint::client::test {
namespace {

/// A person at the keys, and a daemon that says what the test wants.
struct Bench {
  Hands hands;
  Panel panel;
  bool stays = true;

  explicit Bench(const Json& status) { show(status); }
  void show(const Json& status) { take_status(hands.day(), status, panel.now.ms); }
  void press(std::string_view bytes) {
    for (const std::string_view key : keys_in(bytes)) {
      panel.sheet = hands.desk().sheet();
      stays = hands.press(key, panel) && stays;
    }
  }
  void wait(std::int64_t ms) {
    panel.now.ms += ms;
    hands.look(panel.now);
  }
  /// The one request that goes out.
  Request request() {
    const auto all = hands.desk().take_requests();
    REQUIRE(all.size() == 1);
    return all.front();
  }
  bool asks_nothing() { return hands.desk().take_requests().empty(); }
  std::string told() { return hands.desk().take_told(); }
  std::string title() { return hands.desk().is_open() ? hands.desk().sheet()->title : ""; }
  std::string text() { return hands.desk().is_open() ? hands.desk().sheet()->text : ""; }
};

nlohmann::json parsed(const char* text) {
  return nlohmann::json::parse(text);
}

Json with_marks() {
  Json status = checked();
  status["epoch"]["latitude_deg"] = 47.6;
  status["epoch"]["longitude_deg"] = -87.4;
  status["antenna_height_m"] = 1.871;
  return status;
}

/// 0.0009 degrees of latitude are 100 m: a degree has 111 km (circumference of the Earth 40,000 km / 360).
void give_marks(Day& day) {
  day.marks = Json::parse(R"([{"mark":"VM-13","latitude_deg":47.6042,"longitude_deg":-87.4},
    {"mark":"VM-99","latitude_deg":null,"longitude_deg":null},
    {"mark":"VM-11","latitude_deg":47.6009,"longitude_deg":-87.4}])");
}

}  // namespace

TEST_CASE("a point is begun with the next free name, a code and a note") {
  Bench at(fresh());
  at.hands.day().points = Json::array({point("CUL-14", "accepted", "10:00:00"), point("CUL-15", "held", "09:00:00")});
  at.press("1");
  CHECK(at.title() == "New point");
  CHECK(at.hands.desk().value(0) == "CUL-16");  // CUL-15 is taken
  CHECK(at.hands.desk().value(1) == "CUL-D");   // of the point before
  at.press(
      "\t\x7f"
      "U\tleft bank\r");
  const Request request = at.request();
  CHECK(request.method == kBegin);
  CHECK(request.params == parsed(R"({"name":"CUL-16","code":"CUL-U","note":"left bank"})"));
  CHECK(at.title() == "New point");  // until the daemon has said yes
  at.hands.desk().answered(request, Json::parse(R"({"text":"averaging on CUL-16"})"));
  CHECK(at.title().empty());
  CHECK(at.told() == "Averaging on CUL-16.");
}

TEST_CASE("the first key replaces what was offered, and an empty name is asked for again") {
  Bench at(fresh());
  at.hands.day().last_name = "CUL-14";
  at.press("1X\r");
  CHECK(at.request().params["name"] == "X");
  at.press("\x7f\r");
  CHECK(at.asks_nothing());
  CHECK(at.text() == "A point needs a name.");
  at.press("\x1b");
  CHECK(at.title().empty());
}

TEST_CASE("a number behind a name goes on, and none is made up") {
  struct Row {
    const char *name, *next;
  };
  for (const Row& row :
       {Row{"HF-A-0014", "HF-A-0015"}, Row{"CUL-19", "CUL-20"}, Row{"P-99", ""}, Row{"mark", ""}, Row{"", ""}}) {
    CAPTURE(row.name);
    CHECK(next_name(row.name) == row.next);
  }
}

TEST_CASE("a name that reads like a known one begins with N alone, a known one with A") {
  Bench at(fresh());
  at.press("1VM 11\r");
  Failure near;
  near.text = "reads like";
  near.data = Json::parse(R"({"question":"name-near","candidate":"VM-11"})");
  at.hands.desk().refused(at.request(), near);
  CHECK(at.text() == "VM 11 reads like VM-11. Use that name, or say that this one is new.");
  at.press("\rx");
  CHECK(at.asks_nothing());
  at.press("n");
  CHECK(at.request().params == parsed(R"({"name":"VM 11","new":true})"));

  Bench other(fresh());
  other.hands.day().points = Json::array({point("CUL-14", "accepted", "10:00:00")});
  other.press("1CUL-14\t\x7f\r");
  other.hands.desk().refused(other.request(), Failure{kExitRefused, "is there already"});
  CHECK(other.text() == "CUL-14 is known already. Choose another name, or visit it again.");
  other.press("a");
  CHECK(other.request().params["again"] == true);
}

TEST_CASE("any other refusal stays in the question, and beside it once that is closed") {
  Bench at(fresh());
  at.press("1X\r");
  const Request request = at.request();
  at.hands.desk().refused(request, Failure{kExitRefused, "the spool cannot be written"});
  CHECK(at.text() == "The spool cannot be written.");
  at.press("\x1b");
  at.hands.desk().refused(request, Failure{kExitRefused, "the spool cannot be written"});
  CHECK(at.told() == "The spool cannot be written.");
}

TEST_CASE("keep is asked for at once when it is enough, and for the point on the screen") {
  Bench at(enough());
  at.press("2");
  const Request request = at.request();
  CHECK(request.method == kKeep);
  CHECK(request.params == parsed(R"({"name":"HF-A-0014","visit":1})"));
}

TEST_CASE("discard wants a second press and five seconds, keep before it is enough too") {
  struct Row {
    const char* name;
    Json status;
    const char *key, *method;
  };
  for (const Row& row :
       {Row{"discard", averaging(12), "3", kDiscard}, Row{"discard of what is enough", enough(), "3", kDiscard},
        Row{"keep too early", averaging(12), "2", kKeep}, Row{"keep what will be held", two_places(), "2", kKeep}}) {
    CAPTURE(row.name);
    Bench at(row.status);
    at.press(row.key);
    CHECK(at.told().find("again") != std::string::npos);
    at.wait(4000);
    at.press(row.key);
    CHECK(at.told() == "U takes it back for 5 s.");
    at.press(row.key);  // a held key goes on
    at.wait(4999);
    CHECK(at.asks_nothing());
    at.wait(1);
    const Request request = at.request();
    CHECK(request.method == row.method);
    CHECK(request.params == parsed(R"({"name":"HF-A-0014","visit":1})"));
    at.wait(10'000);
    CHECK(at.asks_nothing());
  }
}

TEST_CASE("what was only asked is off after five seconds and with any other key") {
  for (const char* other : {"", "s", "2"}) {
    CAPTURE(other);
    Bench at(averaging(12));
    at.press("3");
    if (*other == 0) at.wait(5000);
    at.press(other);
    at.press("3");
    at.wait(6000);
    CHECK(at.asks_nothing());
  }
}

TEST_CASE("U takes back what waits, and nothing is asked of the daemon") {
  Bench at(averaging(12));
  at.press("33u");
  CHECK(at.told() == "HF-A-0014 goes on: nothing was discarded.");
  at.wait(6000);
  CHECK(at.asks_nothing());
  at.press("u");
  CHECK(at.told() == "There is nothing to take back.");
}

TEST_CASE("what waits is not done to another point, nor without the daemon") {
  Bench at(averaging(12));
  at.press("33");
  Json other = averaging(3);
  other["occupation"]["since_utc"] = "2026-06-03T10:42:20Z";
  at.show(other);
  at.wait(6000);
  CHECK(at.asks_nothing());
  CHECK(at.told() == "Nothing was done: another point is open.");
  at.press("33");
  at.panel.now.lost = true;
  at.wait(6000);
  CHECK(at.asks_nothing());
  CHECK(at.told() == "Nothing was done: Stillpoint does not answer.");
}

TEST_CASE("an act that cannot be done says why and asks nothing") {
  struct Row {
    const char* name;
    Json status;
    const char *key, *says;
  };
  for (const Row& row :
       {Row{"begin", averaging(12), "1", "Begin: point open."}, Row{"keep", fresh(), "2", "Keep: no point."},
        Row{"discard", fresh(), "3", "Discard: no point."}, Row{"seen", fresh(), "a", "Seen: no alerts."},
        Row{"no receiver", silent(), "1", "Begin: no receiver."},
        Row{"another key", fresh(), "x", "This key does nothing: press ? for help."}}) {
    CAPTURE(row.name);
    Bench at(row.status);
    at.press(row.key);
    CHECK(at.asks_nothing());
    CHECK(at.title().empty());
    CHECK(at.told() == row.says);
  }
}

TEST_CASE("an arrow key is no letter") {
  Bench at(fresh());
  at.press("\x1b[A\x1bOP");
  CHECK(at.told().empty());
  CHECK(keys_in("\x1b[A1\x1b") == std::vector<std::string_view>{"\x1b[A", "1", "\x1b"});
}

TEST_CASE("seen marks the alert that is shown, and no other") {
  Json status = stale();
  status["alerts"] = Json::array({alert("stop-work", "x"), alert("warning", "y")});
  status["alerts"][0]["id"] = 7;
  status["alerts"][1]["key"] = "other";
  Bench at(status);
  at.press("a");
  const Request request = at.request();
  CHECK(request.method == kAlerts);
  CHECK(request.params == parsed(R"({"seen":true,"key":"k","id":7})"));
}

TEST_CASE("where all alerts are over, one press sees them all") {
  Json status = fresh();
  status["alerts"] = Json::array({alert("stop-work", "x"), alert("warning", "y")});
  for (Json& each : status["alerts"]) each["active"] = false;
  status["alerts"][0]["id"] = 7;
  Bench at(status);
  at.press("a");
  const auto requests = at.hands.desk().take_requests();
  REQUIRE(requests.size() == 2);
  CHECK(requests[0].params == parsed(R"({"seen":true,"key":"k","id":7})"));
  CHECK(requests[1].params == parsed(R"({"seen":true,"key":"k","id":1})"));
}

TEST_CASE("marks are offered the nearest first, those of no known place last") {
  Bench at(with_marks());
  give_marks(at.hands.day());
  at.press("mc");
  CHECK(at.title() == "Check on a mark");
  const auto& choices = at.hands.desk().sheet()->choices;
  REQUIRE(choices.size() == 3);
  CHECK(choices[0].label == "VM-11");
  CHECK(choices[0].about == "100 m north");
  CHECK(choices[1].label == "VM-13");
  CHECK(choices[2].about == "how far is not known");
  at.press("1");
  const Request request = at.request();
  CHECK(request.method == kCheck);
  CHECK(request.params == parsed(R"({"mark":"VM-11"})"));
}

TEST_CASE("with a point open neither a check, nor a planned point, nor the pole, nor closing can be chosen") {
  Bench at(averaging(12));
  give_marks(at.hands.day());
  at.press("m");
  for (const char key : {'C', 'G', 'P', 'D'}) {
    CAPTURE(key);
    at.press(std::string_view(&key, 1));
    CHECK(at.title() == "More");
  }
  for (const Choice& choice : at.hands.desk().sheet()->choices) {
    const bool forbidden = choice.key == 'C' || choice.key == 'G' || choice.key == 'P' || choice.key == 'D';
    CHECK((choice.about == "point open") == forbidden);
  }
}

TEST_CASE("a held point is decided with a reason, once more when it misses what was wanted") {
  Bench at(fresh());
  at.hands.day().points = Json::array({point("CUL-14", "accepted", "10:00:00"), point("CUL-21", "held", "10:20:00")});
  at.press("mh");
  CHECK(at.title() == "Held points");
  at.press("1");
  CHECK(at.title() == "Decide CUL-21");
  CHECK(at.text() == "Held: two places 0.31 m apart in one stay.");
  at.press("a\r");
  CHECK(at.text() == "Say why: the report shows it.");
  CHECK(at.asks_nothing());
  at.press("good enough\r");
  const Request request = at.request();
  CHECK(request.method == kResolve);
  CHECK(request.params == parsed(R"({"name":"CUL-21","visit":1,"accept":true,"reason":"good enough"})"));
  Failure missed;
  missed.data = Json::parse(R"({"question":"wanted-missed","error95_horizontal_m":0.02,"error95_vertical_m":0.03})");
  at.hands.desk().refused(request, missed);
  CHECK(at.text() == "CUL-21 misses the wanted error: 20 mm and 30 mm (95 %). Accept it although?");
  at.press("a");
  CHECK(at.request().params["sure"] == true);
}

TEST_CASE("the pole is changed with a height and a reason") {
  Bench at(with_marks());
  at.hands.day().antenna = Json::parse(R"({"parts":{"pole":1.8}})");
  at.press("mp");
  CHECK(at.text() == "Now pole 1.800 m, antenna 1.871 m above the mark.");
  at.press("long\r");
  CHECK(at.text() == "Type the height that is set on the pole, in metres.");
  at.press(
      "\x7f\x7f\x7f\x7f"
      "1,881\r");
  CHECK(at.text() == "Say why: the report shows it.");
  at.press("\tthe tip was changed\r");
  const Request request = at.request();
  CHECK(request.method == kPole);
  CHECK(request.params == parsed(R"({"height_m":1.881,"reason":"the tip was changed"})"));
}

TEST_CASE("a pole that was wrong since some time says since when, and another time of day is asked for again") {
  Bench at(with_marks());
  at.press("mp");
  at.press("2,0\tthe lower stop\tnoon\r");
  CHECK(at.text() == "Say since when as HH:MM, or leave it empty.");
  CHECK(at.asks_nothing());
  at.press(
      "\x7f\x7f\x7f\x7f"
      "0:05\r");
  const Request request = at.request();
  CHECK(request.method == kPole);
  CHECK(request.params["height_m"] == 2.0);
  CHECK(request.params["since_utc"].get<std::string>().substr(10, 6) == "T00:05");
}

TEST_CASE("a time of day is the newest one of the zone that is not to come") {
  struct Row {
    const char *clock, *now;
    int zone_s;
    const char* utc;
  };
  for (const Row& row : {Row{"14:05", "2026-06-03T15:00:00Z", 0, "2026-06-03T14:05:00Z"},
                         Row{"9:05", "2026-06-03T15:00:00Z", -5 * 3600, "2026-06-03T14:05:00Z"},
                         Row{"23:30", "2026-06-03T15:00:00Z", 0, "2026-06-02T23:30:00Z"},
                         Row{"01:30", "2026-06-03T23:00:00Z", 2 * 3600, "2026-06-02T23:30:00Z"},
                         Row{"15:00", "2026-06-03T15:00:00Z", 0, "2026-06-03T15:00:00Z"}}) {
    CAPTURE(row.clock);
    const auto utc = utc_of_clock(row.clock, *parse_utc(row.now), row.zone_s);
    REQUIRE(utc);
    CHECK(to_text(*utc) == to_text(*parse_utc(row.utc)));
  }
  for (const char* wrong : {"noon", "25:00", "14", "14:65", ""}) {
    CHECK_FALSE(utc_of_clock(wrong, *parse_utc("2026-06-03T15:00:00Z"), 0));
  }
}

TEST_CASE("a kept point is amended or made void with a reason, and a name that is taken is asked about") {
  Bench at(fresh());
  at.hands.day().points = Json::array({point("CUL-14", "accepted", "10:00:00"), point("CUL-21", "held", "10:20:00")});
  at.press("ml2");
  CHECK(at.title() == "CUL-14");
  at.press("a");
  CHECK(at.title() == "Amend CUL-14");
  at.press("CUL-21\r");
  CHECK(at.text() == "Say why: the report shows it.");
  at.press("\t\t\tmisread\r");
  const Request request = at.request();
  CHECK(request.method == kAmend);
  CHECK(request.params == parsed(R"({"name":"CUL-14","visit":1,"new_name":"CUL-21","reason":"misread"})"));
  Failure taken;
  taken.text = "CUL-21 is in the pointbook already";
  at.hands.desk().refused(request, taken);
  at.press("a");
  CHECK(at.request().params["again"] == true);
  at.press("\x1b");
  at.press("ml2v");
  CHECK(at.title() == "Make CUL-14 void");
  at.press("\r");
  CHECK(at.asks_nothing());
  at.press("the neighbour's\r");
  CHECK(at.request().params == parsed(R"({"name":"CUL-14","visit":1,"void":true,"reason":"the neighbour's"})"));
}

namespace {

Json placed(const std::string& name, const std::string& status, const std::string& clock) {
  Json out = point(name, status, clock);
  out["latitude_deg"] = 47.6;
  return out;
}

/// Two accepted points, a rejected one and one that nobody stood on.
Json kept_points() {
  Json offset = placed("WALL", "accepted", "10:30:00");
  offset["offset"] = Json::parse(R"({"from":[{"name":"CUL-14","visit":1,"distance_m":4.2,"error_m":0.02}],
    "bearing_deg":123.4,"declination_deg":-4.5,"bearing_true_deg":118.9,"up_m":null})");
  return Json::array({placed("CUL-14", "accepted", "10:00:00"), placed("CUL-15", "rejected", "10:10:00"), offset,
                      placed("CUL-21", "held", "10:40:00")});
}

}  // namespace

TEST_CASE("what cannot be stood on is measured from a kept point by distance and bearing") {
  Bench at(averaging(12));  // a point may be open meanwhile
  at.hands.day().points = kept_points();
  at.press("ml5o");  // the open one is the first
  CHECK(at.title() == "Offset point");
  CHECK(at.text() == "Measured from CUL-14, with what?");
  at.press("b");
  CHECK(at.text().find("From CUL-14: horizontal metres") == 0);
  at.press("\r");
  CHECK(at.text() == "A point needs a name.");
  at.press("WALL-1\tfour\t\t123,4\t\t\t0.35\r");
  CHECK(at.asks_nothing());
  CHECK(at.text() == "The distance must be a number, such as 4.20 or 4,20; got \"four\".");
  at.press(
      "\t\t\x7f\x7f\x7f\x7f"
      "4,2\r");
  Request request = at.request();
  CHECK(request.method == kOffset);
  CHECK(request.params ==
        parsed(R"({"name":"WALL-1","from":[{"name":"CUL-14","visit":1,"distance_m":4.2,"error_m":0.02}],
    "bearing_deg":123.4,"bearing_error_deg":2.0,"north":"true","up_m":0.35})"));
  // A declination makes it a bearing of a compass.
  at.press("\t\t\t\t-4.5\r");
  request = at.request();
  CHECK(request.params["north"] == "magnetic");
  CHECK(request.params["declination_deg"] == -4.5);
  Failure near;
  near.text = "reads like";
  near.data = Json::parse(R"({"question":"name-near","candidate":"WALL"})");
  at.hands.desk().refused(request, near);
  at.press("n");
  CHECK(at.request().params["new"] == true);
}

TEST_CASE("two distances want the second point and the side") {
  Bench at(fresh());
  at.hands.day().points = kept_points();
  at.press("ml4ot");
  REQUIRE(at.hands.desk().sheet()->choices.size() == 1);  // not the first one again
  at.press("1TREE\t12.5\t10\t\tbehind\r");
  CHECK(at.asks_nothing());
  CHECK(at.text() == "Type left or right, as you look from the first point to the second.");
  at.press(
      "\x7f\x7f\x7f\x7f\x7f\x7f"
      "R\r");
  CHECK(at.request().params == parsed(R"({"name":"TREE","side":"right","from":[
    {"name":"CUL-14","visit":1,"distance_m":12.5,"error_m":0.02},{"name":"CUL-21","visit":1,"distance_m":10.0,"error_m":0.02}]})"));
}

TEST_CASE("what came of an offset point is said in the daemon's words, and a held one with its reason") {
  Json result = {{"text", "WALL is 4.200 m from CUL-14 visit 1"}, {"point", placed("WALL", "accepted", "10:30:00")}};
  CHECK(reply_text(kOffset, result) == "WALL is 4.200 m from CUL-14 visit 1.");
  result["point"] = placed("WALL", "held", "10:30:00");
  CHECK(reply_text(kOffset, result) == "WALL held: two places 0.31 m apart in one stay.");
}

TEST_CASE("a point says from what it was measured, and nothing is measured from it or from a rejected one") {
  Bench at(fresh());
  at.hands.day().points = kept_points();
  at.press("ml3o");
  CHECK(at.title() == "CUL-15");
  at.press("\x1bml2o");
  CHECK(at.title() == "WALL");
  const auto& body = at.hands.desk().sheet()->body;
  CHECK(
      std::find(
          body.begin(), body.end(),
          "From     4.200 m from CUL-14 at 123.4 degrees from magnetic north, -4.5 degrees of declination: 118.9 from "
          "true north; its height was not measured") != body.end());
}

TEST_CASE("the open point is the first of the points, and is called otherwise without a reason") {
  Bench at(averaging(12));
  at.hands.day().points = Json::array({point("CUL-13", "accepted", "10:00:00")});
  const std::string name = text_of(member(at.hands.day().status, "occupation"), "name");
  at.press("ml1");
  CHECK(at.title() == "Amend " + name);
  at.press("CUL-99\r");
  const Request request = at.request();
  CHECK(request.method == kAmend);
  CHECK(request.params["name"] == name);
  CHECK(request.params["new_name"] == "CUL-99");
  CHECK_FALSE(request.params.contains("reason"));
}

TEST_CASE("closing asks for what is missing, and may be told why it is left so") {
  Bench at(with_marks());
  give_marks(at.hands.day());
  at.hands.day().points = Json::array({point("CUL-21", "held", "10:20:00")});
  at.press("md");
  CHECK(at.text() == "A check on a mark comes last, then the day is closed.");
  at.press("c");
  CHECK(at.title() == "Closing check");
  at.press("1");
  CHECK(at.request().params == parsed(R"({"mark":"VM-11","closing":true})"));
  at.press(
      "\x1b"
      "md\r");
  Request request = at.request();
  CHECK(request.method == kCloseDay);
  CHECK(request.params == nlohmann::json::object());
  at.hands.desk().refused(request, Failure{kExitRefused, "1 held point is not decided"});
  CHECK(at.text() == "1 held point is not decided.");
  at.press("l\r");
  CHECK(at.text() == "Say why: the report shows it.");
  at.press("the office decides\r");
  request = at.request();
  CHECK(request.params == parsed(R"({"leave_held":"the office decides"})"));
  at.hands.desk().answered(request, Json::parse(R"({"text":"the day is closed: 4 points"})"));
  CHECK(at.title() == "The day is closed");
  CHECK(at.text() == "The day is closed: 4 points.");
}

TEST_CASE("what a closing check and a closing came to is remembered until a point is begun") {
  Day day;
  const Json check = Json::parse(
      R"({"check":{"mark":"VM-11","kind":"closing","outcome":"pass","off_east_m":0.003,"off_north_m":0.004,"limit_horizontal_m":0.03}})");
  take_result(day, kKeep, check);
  CHECK(day.closing == "5 mm off VM-11");  // 3, 4 and 5
  take_result(day, kCloseDay, Json::object());
  CHECK(day.closed);
  CHECK(day.closing.empty());
  take_status(day, averaging(1), 0);
  CHECK_FALSE(day.closed);
}

TEST_CASE("many choices stand on pages, and every one can be reached") {
  Bench at(fresh());
  for (int i = 10; i < 35; ++i)
    at.hands.day().points.push_back(point("CUL-" + std::to_string(i), "accepted", "10:00:00"));
  at.press("ml");
  at.panel.sheet = at.hands.desk().sheet();
  const std::size_t rows = rows_for_choices(at.panel), at_once = choices_at_once(*at.panel.sheet, rows);
  CHECK(at_once > 3);
  CHECK(at_once < rows + 1);
  at.press("n2");
  CHECK(at.title() == "CUL-" + std::to_string(34 - static_cast<int>(at_once) - 1));
  at.press("\x1bml");
  for (std::size_t i = 0; i < (25 + at_once - 1) / at_once; ++i) at.press("n");
  at.press("1");
  CHECK(at.title() == "CUL-34");
}

TEST_CASE("what came of a keep or a check is said with its status first") {
  struct Row {
    const char *name, *method, *result, *says;
  };
  for (
      const Row& row :
      {Row{"accepted", kKeep,
           R"({"point":{"point":"X","status":"accepted","error95_horizontal_m":0.009,"error95_vertical_m":0.015}})",
           "X accepted, 9 mm horizontal, 15 mm vertical (95 %)."},
       Row{"in doubt", kKeep, R"({"point":{"point":"X","status":"accepted","flags":["receiver-error-refuted"]}})",
           "X accepted. It scatters more than the receiver claims."},
       Row{"held", kKeep, R"({"point":{"point":"X","status":"held","reason_texts":["12 epochs, 30 needed","11 s"]}})",
           "X held: 12 epochs, 30 needed; 11 s."},
       Row{"nothing", kKeep, R"({"point":{"point":"X","status":"none"}})", "X has no second that counts."},
       Row{"passed", kKeep,
           R"({"check":{"mark":"VM-11","outcome":"pass","off_east_m":0.003,"off_north_m":0.004,"off_up_m":-0.012,"limit_horizontal_m":0.03}})",
           "PASSED: 5 mm off VM-11, 12 mm in height; limit 30 mm."},
       Row{"failed", kKeep,
           R"({"check":{"mark":"VM-11","outcome":"stop","off_east_m":0.3,"off_north_m":0.4,"limit_horizontal_m":0.03,"diagnosis_sentences":["the foot stands beside the mark"]}})",
           "FAILED: 0.50 m off VM-11; limit 30 mm. The foot stands beside the mark."},
       Row{"not compared", kKeep, R"({"check":{"mark":"VM-11","outcome":"stop","text":"nothing was compared"}})",
           "Nothing was compared."},
       Row{"decided", kResolve, R"({"text":"X is accepted","point":{"point":"X"}})", "X is accepted."},
       Row{"seen", kAlerts, R"({"text":"x"})", ""}}) {
    CAPTURE(row.name);
    CHECK(reply_text(row.method, Json::parse(row.result)) == row.says);
  }
}

TEST_CASE("quiet and leaving are no requests, from the screen and from More") {
  Bench at(fresh());
  at.press("s");
  CHECK(at.hands.take_quiet());
  CHECK_FALSE(at.hands.take_quiet());
  at.press("ms");
  CHECK(at.hands.take_quiet());
  CHECK(at.title().empty());
  CHECK(at.stays);
  at.press("q");
  CHECK_FALSE(at.stays);
  CHECK(at.asks_nothing());
}

}  // namespace stillpoint::client::test
