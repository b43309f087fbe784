#include "client/wire_names.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <limits>

#include "base/quality.hpp"

#include "client/liveness.hpp"
#include "gate/verdict.hpp"

namespace stillpoint::client {

TEST_CASE("lengths are in millimetres below a decimetre and say when they are not known") {
  struct Row {
    const char* name;
    std::optional<double> length_m;
    const char* text;
  };
  for (const Row& row :
       {Row{"millimetres", 0.011, "11 mm"}, Row{"zero", 0.0, "0 mm"}, Row{"just below", 0.0994, "99 mm"},
        Row{"a decimetre", 0.1, "0.10 m"}, Row{"rounds up to a decimetre", 0.0996, "0.10 m"},
        Row{"metres", 12.345, "12.35 m"}, Row{"not known", std::nullopt, "--"},
        Row{"not a number", std::numeric_limits<double>::quiet_NaN(), "--"}}) {
    CAPTURE(row.name);
    CHECK(length_text(row.length_m) == row.text);
  }
}

TEST_CASE("seconds keep a decimal as long as it matters") {
  CHECK(seconds_text(48.04) == "48.0 s");
  CHECK(seconds_text(1212.0) == "1212 s");
  CHECK(seconds_text(std::nullopt) == "--");
}

TEST_CASE("every reason and quality has words of its own without hyphens") {
  std::vector<std::string> seen;
  for (int i = 0; i < gate::kReasonCount; ++i) {
    const std::string code(gate::to_word(static_cast<gate::Reason>(i)));
    const std::string words = refusal_words(code);
    CAPTURE(code);
    CHECK_FALSE(words.empty());
    CHECK(words.find('-') == std::string::npos);
    CHECK(std::count(seen.begin(), seen.end(), words) == 0);
    seen.push_back(words);
  }
  seen.clear();
  for (int i = 0; i < kQualityCount; ++i) {
    const std::string code(to_word(static_cast<Quality>(i)));
    const std::string words = quality_words(code);
    CAPTURE(code);
    CHECK_FALSE(words.empty());
    CHECK(words.find('-') == std::string::npos);
    CHECK(std::count(seen.begin(), seen.end(), words) == 0);
    seen.push_back(words);
  }
  CHECK(refusal_words("brand-new-reason") == "brand new reason");
  CHECK(quality_words("brand-new-quality") == "brand new quality");
}

TEST_CASE("a code is told in the words of its own row") {
  CHECK(refusal_words("quality") == "no corrections");
  CHECK(refusal_words("satellites") == "few satellites");
  CHECK(refusal_words("vdop") == "VDOP");
  CHECK(quality_words("none") == "no position");
  CHECK(quality_words("rtk-fixed") == "fixed");
  CHECK(quality_words("rtk-float") == "float");
  CHECK(quality_words("manual") == "typed into the receiver");
  CHECK(quality_words("sbas") == "SBAS");
}

TEST_CASE("text is wrapped at blanks, a word longer than a row is broken") {
  CHECK(wrap("one two three", 8, 2) == std::vector<std::string>{"one two", "three"});
  CHECK(wrap("one", 8, 2) == std::vector<std::string>{"one", ""});
  CHECK(wrap("abcdefghij", 4, 2) == std::vector<std::string>{"abcd", "ef.."});
  CHECK(wrap("", 8, 2) == std::vector<std::string>{"", ""});
}

TEST_CASE("a sentence starts large and ends with a stop") {
  CHECK(sentence("moving: 0.4 m/s") == "Moving: 0.4 m/s.");
  CHECK(sentence("Done.") == "Done.");
  CHECK(sentence("") == "");
}

TEST_CASE("a clock is read from a time, anything else shows none") {
  CHECK(clock_of("2026-06-03T10:41:44.200Z") == "10:41:44");
  CHECK(clock_of("") == "--:--:--");
  CHECK(clock_of("10:41:44") == "--:--:--");
  CHECK(since_of(Json::parse(R"({"since_utc":"2026-06-03T10:41:44.200Z"})")) == "10:41:44");
  CHECK(since_of(Json::parse(R"({"since_utc":null,"since_time":"10:41:44"})")) == "10:41:44");
  CHECK(since_of(Json::parse(R"({"since_utc":null})")) == "--:--:--");
}

TEST_CASE("the bytes of a member are those of the line") {
  const std::string line = R"({"jsonrpc":"2.0", "id":3 , "result" : {"a":0.0100,"b":[1,{"c":"}\","}]} ,"z":true})";
  CHECK(raw_member(line, "result") == R"({"a":0.0100,"b":[1,{"c":"}\","}]})");
  CHECK(raw_member(line, "id") == "3");
  CHECK(raw_member(line, "z") == "true");
  CHECK(raw_member(line, "a") == "");
  CHECK(raw_member("{}", "result") == "");
  CHECK(raw_member("", "result") == "");
  CHECK(raw_member(R"({"result)", "result") == "");
}

TEST_CASE("a silent daemon is asked once and lost when no answer comes, within 2.5 s") {
  Liveness alive(1000, 1000);
  CHECK_FALSE(alive.ask_once(1999));
  CHECK_FALSE(alive.lost(1999));
  CHECK(alive.ask_once(2000));
  CHECK_FALSE(alive.ask_once(2001));
  CHECK_FALSE(alive.lost(2999));
  CHECK(alive.lost(3000));
  CHECK(alive.silent_for_s(3500) == 2.5);
  alive.heard(3600);
  CHECK_FALSE(alive.lost(3700));
  CHECK(alive.ask_once(4600));
}

}  // namespace stillpoint::client
