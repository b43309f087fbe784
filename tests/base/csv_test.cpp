#include "base/csv.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

namespace {

using namespace stillpoint;
using Fields = std::vector<std::string>;

// RFC 4180, section 2, rules 3 to 7.
TEST_CASE("the fields of a line are read as spreadsheets write them") {
  struct Row {
    const char* name;
    const char* line;
    Fields fields;  ///< none: refused
  };
  const Row rows[] = {
      {"plain", "aaa,bbb,ccc", {"aaa", "bbb", "ccc"}},
      {"spaces belong to the field", " a , b ", {" a ", " b "}},
      {"nothing is one empty field", "", {""}},
      {"a comma at either end", ",a,", {"", "a", ""}},
      {"quotes around a field", "\"aaa\",bbb", {"aaa", "bbb"}},
      {"a comma in quotes", "\"a,b\",c", {"a,b", "c"}},
      {"a quote in quotes is written twice", "\"a\"\"b\",c", {"a\"b", "c"}},
      {"nothing but a quote", "\"\"\"\"", {"\""}},
      {"an empty field in quotes", "\"\",a", {"", "a"}},
      {"quotes end the line", "a,\"b\"", {"a", "b"}},
      {"a quote left open", "a,\"b", {}},
      {"a quote that closes and opens again", "\"a\"\"", {}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto fields = csv_fields(row.line);
    CHECK(fields.has_value() == !row.fields.empty());
    if (fields) CHECK(*fields == row.fields);
  }
}

TEST_CASE("what lies behind a line is not looked at") {
  const std::string_view text = "\"a\"\",b";
  const auto fields = csv_fields(text.substr(0, 3));
  REQUIRE(fields.has_value());
  CHECK(*fields == Fields{"a"});
}

TEST_CASE("lines end as any system writes them, and the last one needs no end") {
  std::string_view rest = "a,b\r\nc\n\nd";
  for (const std::string_view expected : {"a,b", "c", "", "d"}) CHECK(next_line(rest) == expected);
  CHECK(rest.empty());
  rest = "a\n";
  CHECK(next_line(rest) == "a");
  CHECK(rest.empty());
}

TEST_CASE("the mark before UTF-8 is taken off, once, and nothing else is") {
  CHECK(without_byte_order_mark("\xEF\xBB\xBFname") == "name");
  CHECK(without_byte_order_mark("\xEF\xBB\xBF\xEF\xBB\xBFname") == "\xEF\xBB\xBFname");
  CHECK(without_byte_order_mark("name") == "name");
  CHECK(without_byte_order_mark("\xEF\xBB") == "\xEF\xBB");
}

TEST_CASE("a text that a spreadsheet takes for a formula gets an apostrophe, and our reader takes it off") {
  struct Row {
    const char* name;
    std::string text, field;
  };
  const Row rows[] = {
      {"a plain text", "VM-11", "VM-11"},
      {"nothing", "", ""},
      {"a formula", "=1+1", "'=1+1"},
      {"a sum", "+1", "'+1"},
      {"a difference", "-1", "'-1"},
      {"a function of old", "@SUM(A1)", "'@SUM(A1)"},
      {"a sign later on", "a=b", "a=b"},
      {"an apostrophe of its own", "'a", "'a"},
      {"an apostrophe before a sign", "'=a", "''=a"},
      {"two of them", "''-", "'''-"},
      {"apostrophes alone", "''", "''"},
      {"with a comma", "=a,b", "\"'=a,b\""},
      {"with a quote", "=\"a\"", "\"'=\"\"a\"\"\""},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(csv_text(row.text) == row.field);
    CHECK(csv_fields("x," + csv_text(row.text)) == std::vector<std::string>{"x", row.text});
  }
  CHECK(csv_field("-87.4") == "-87.4");
  CHECK(csv_fields("-87.4,+1") == std::vector<std::string>{"-87.4", "+1"});
}

}  // namespace
