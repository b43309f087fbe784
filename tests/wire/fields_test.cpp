// Members of answers as clients read them. Expected: the comments of fields.hpp and the grammar of JSON (RFC 8259).

#include "wire/fields.hpp"

#include <doctest/doctest.h>

#include <string>

namespace stillpoint::wire {

TEST_CASE("a member that is absent or of another type reads as not known") {
  const Json json = Json::parse(
      R"({"text":"t","number":2.5,"large":1e15,"less":-2.5,"yes":true,"no":false,"list":[1,2],"object":{},"null":null})");
  CHECK(text_of(json, "text") == "t");
  CHECK(number_of(json, "number") == 2.5);
  CHECK(count_of(json, "number") == 3);
  CHECK(count_of(json, "less") == -3);
  CHECK(count_of(json, "large") == 0);
  CHECK(flag_of(json, "yes"));
  CHECK_FALSE(flag_of(json, "no"));
  CHECK(list_of(json, "list").size() == 2);
  for (const char* key : {"object", "null", "absent"}) {
    CAPTURE(key);
    CHECK(text_of(json, key).empty());
    CHECK_FALSE(number_of(json, key).has_value());
    CHECK(count_of(json, key) == 0);
    CHECK_FALSE(flag_of(json, key));
    CHECK(list_of(json, key).is_array());
    CHECK(list_of(json, key).empty());
  }
  CHECK_FALSE(number_of(json, "text").has_value());
  CHECK(text_of(json, "number").empty());
  CHECK_FALSE(flag_of(json, "number"));
  CHECK(member(json, "absent").is_null());
  CHECK(member(Json::parse("[1]"), "text").is_null());
  CHECK(member(Json::parse("null"), "text").is_null());
}

TEST_CASE("the bytes of a top-level member are those of the line, whatever stands in it and around it") {
  struct Row {
    const char *name, *line, *key, *bytes;
  };
  const Row rows[] = {
      {"a number", R"({"a":1.50,"b":2})", "a", "1.50"},
      {"the last", R"({"a":1.50,"b":2})", "b", "2"},
      {"a text with its quotes", R"({"a":"x"})", "a", R"("x")"},
      {"an object with commas in it", R"({"a":{"b":1,"c":[2,{"d":3},4]},"e":5})", "a", R"({"b":1,"c":[2,{"d":3},4]})"},
      {"behind an object", R"({"a":{"b":1,"c":[2,{"d":3},4]},"e":5})", "e", "5"},
      {"an array with commas in it", R"({"a":[1,[2,3],4],"b":0})", "a", "[1,[2,3],4]"},
      {"only inside another", R"({"a":{"b":1}})", "b", ""},
      {"the outer of two", R"({"a":{"b":1},"b":2})", "b", "2"},
      {"brackets and commas in a text", R"({"a":"}],{[","b":2})", "a", R"("}],{[")"},
      {"behind brackets in a text", R"({"a":"}],{[","b":2})", "b", "2"},
      {"an escaped quote", R"({"a":"x\",\"b\":1","b":2})", "b", "2"},
      {"an escaped backslash at the end", R"({"a":"x\\","b":2})", "a", R"("x\\")"},
      {"blanks are not of it", "{ \"a\" :\t[1, 2] ,\r\n\"b\" : 2 }", "a", "[1, 2]"},
      {"blanks before the end", "{ \"a\" : 1 , \"b\" : 2 }\n", "b", "2"},
      {"not there", R"({"a":1})", "c", ""},
      {"an empty object", "{}", "a", ""},
      {"no object", R"(["a"])", "a", ""},
      {"nothing", "", "a", ""},
      {"cut within a name", R"({"a)", "a", ""},
      {"cut before the colon", R"({"a")", "a", ""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(raw_member(row.line, row.key) == row.bytes);
  }
}

TEST_CASE("an answer is one line, in the order of its members, and bytes that are not UTF-8 are replaced") {
  Json json;
  json["b"] = "a\nb";
  json["a"] = 1;
  CHECK(line_of(json) == R"({"b":"a\nb","a":1})");
  json["b"] = "\xFF";
  CHECK(line_of(json) == "{\"b\":\"\xEF\xBF\xBD\",\"a\":1}");
}

}  // namespace stillpoint::wire
