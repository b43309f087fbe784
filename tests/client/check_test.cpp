#include "client/check.hpp"

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>

namespace {

using namespace stillpoint::client;

TEST_CASE("each sentence of a diagnosis is a line of its own") {
  const auto answer = Json::parse(R"({
    "text": "the check on VM-11 did not pass", "off_east_m": 0.004, "off_north_m": -0.003, "off_up_m": 0.205,
    "off_east_error95_m": 0.02, "off_north_error95_m": 0.02, "off_up_error95_m": 0.03,
    "diagnosis": "First suspect (90 % of the likelihood): a section. To make sure: count. Then (8 %): the plate.",
    "diagnosis_sentences": ["First suspect (90 % of the likelihood): a section.", "To make sure: count.",
                            "Then (8 %): the plate."]})");
  const std::vector<std::string> lines = check_lines(answer);
  REQUIRE(lines.size() == 5);
  CHECK(lines[0] == "The check on VM-11 did not pass.");
  CHECK(lines[1].find("up 0.205 m (95 %: 0.030 m)") != std::string::npos);
  CHECK(lines[2] == "First suspect (90 % of the likelihood): a section.");
  CHECK(lines[3] == "To make sure: count.");
  CHECK(lines[4] == "Then (8 %): the plate.");
}

TEST_CASE("a check without a diagnosis has no line for one") {
  const auto answer = Json::parse(R"({"text": "VM-11 passed", "diagnosis": "", "diagnosis_sentences": []})");
  CHECK(check_lines(answer) == std::vector<std::string>{"VM-11 passed."});
}

TEST_CASE("what came out of a check stands before its numbers, and why a limit is not the configured one behind them") {
  struct Row {
    const char* answer;
    std::vector<std::string> lines;
  };
  const Row rows[] = {
      {R"json({"outcome":"pass","kind":"due","text":"VM-11: horizontal 0.021 m (limit 0.036 m)","limits":
         "horizontal limit 0.036 m is twice the errors of shot and mark, and smaller than 0.050 m in check_limit_m"})json",
       {"PASSED: VM-11: horizontal 0.021 m (limit 0.036 m).",
        "Horizontal limit 0.036 m is twice the errors of shot and mark, and smaller than 0.050 m in check_limit_m."}},
      {R"json({"outcome":"pass-with-note","kind":"due","text":"VM-13: horizontal 0.021 m","notes":["it was disturbed"]})json",
       {"PASSED, with a note: VM-13: horizontal 0.021 m.", "It was disturbed."}},
      {R"json({"outcome":"stop","kind":"due","text":"the check on VM-11 does not count: too short"})json",
       {"NOT COMPARED: The check on VM-11 does not count: too short."}},
      {R"json({"outcome":"pass","kind":"turn","text":"stay 1 of 4 on VM-11 is kept"})json",
       {"Stay 1 of 4 on VM-11 is kept."}},
  };
  for (const Row& row : rows) CHECK(check_lines(Json::parse(row.answer)) == row.lines);
  const Json stopped =
      Json::parse(R"json({"outcome":"stop","kind":"due","text":"VM-11: horizontal 0.2 m","off_east_m":0.2,
    "off_north_m":0.0,"off_up_m":null,"off_east_error95_m":0.02,"off_north_error95_m":0.02})json");
  CHECK(check_lines(stopped).front() == "FAILED: VM-11: horizontal 0.2 m.");
}

}  // namespace
