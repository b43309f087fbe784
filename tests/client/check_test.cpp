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

}  // namespace
