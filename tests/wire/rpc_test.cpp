#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <vector>

#include "wire/rpc.hpp"

namespace stillpoint::wire {
namespace {
using nlohmann::json;
}

TEST_CASE("an error carries what a program needs to know beside its sentence, or nothing") {
  CHECK(error_response(7, 1, "no") == R"({"error":{"code":1,"message":"no"},"id":7,"jsonrpc":"2.0"})");
  const nlohmann::json data{{"question", "name-near"}, {"candidate", "VM-11"}};
  const auto asked = parse_reply(error_response(7, 1, "VM 11 reads like VM-11", data));
  REQUIRE(asked.has_value());
  CHECK(asked->error == "VM 11 reads like VM-11");
  CHECK(asked->error_data == data);
  for (const char* other : {R"({"jsonrpc":"2.0","id":1,"error":{"code":1,"message":"no"}})",
                            R"({"jsonrpc":"2.0","id":1,"error":{"code":1,"message":"no","data":[1]}})"}) {
    CAPTURE(other);
    REQUIRE(parse_reply(other).has_value());
    CHECK(parse_reply(other)->error_data.is_null());
  }
}

TEST_CASE("a request is read with its id, method and parameters") {
  struct Row {
    const char* name;
    std::string line;
    const char* id;  ///< as JSON text: trees of JSON in long tables take compilers minutes
    bool is_notification;
    std::string method;
    const char* params;
  };
  const std::vector<Row> rows{
      {"a number as id", R"({"jsonrpc":"2.0","id":7,"method":"status"})", "7", false, "status", "null"},
      {"a text as id", R"({"jsonrpc":"2.0","id":"a","method":"keep","params":{}})", R"("a")", false, "keep", "{}"},
      {"null as id still wants an answer", R"({"jsonrpc":"2.0","id":null,"method":"keep"})", "null", false, "keep",
       "null"},
      {"no id is a notification", R"({"jsonrpc":"2.0","method":"follow"})", "null", true, "follow", "null"},
      {"parameters by name", R"({"jsonrpc":"2.0","id":1,"method":"begin","params":{"name":"A 1"}})", "1", false,
       "begin", R"({"name":"A 1"})"},
      {"parameters by position", R"({"jsonrpc":"2.0","id":1,"method":"x","params":[1,2]})", "1", false, "x", "[1,2]"},
      {"a line end is no fault", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"discard\"}\r\n", "1", false, "discard",
       "null"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto request = parse_request(row.line);
    REQUIRE(request);
    CHECK(request->id == json::parse(row.id));
    CHECK(request->is_notification == row.is_notification);
    CHECK(request->method == row.method);
    CHECK(request->params == json::parse(row.params));
  }
}

// Codes -32700 and -32600: JSON-RPC 2.0 Specification, section 5.1 (from memory of the published text).
TEST_CASE("a line that is no request gives the whole error answer") {
  struct Row {
    const char* name;
    std::string line;
    int code;
    const char* id;  ///< as JSON text
  };
  const std::string deep(40, '[');
  const std::vector<Row> rows{
      {"nothing", "", -32700, "null"},
      {"no JSON", "status", -32700, "null"},
      {"cut short", R"({"jsonrpc":"2.0","id":1)", -32700, "null"},
      {"two objects in one line", R"({"jsonrpc":"2.0","id":1,"method":"a"}{})", -32700, "null"},
      {"bytes that are not UTF-8", "{\"jsonrpc\":\"2.0\",\"id\":1,\"method\":\"\xFF\"}", -32700, "null"},
      {"a number beyond a double", R"({"jsonrpc":"2.0","id":1,"method":"a","params":[1e400]})", -32700, "null"},
      {"not a number", R"({"jsonrpc":"2.0","id":1,"method":"a","params":[NaN]})", -32700, "null"},
      {"nested beyond reason", R"({"jsonrpc":"2.0","id":1,"method":"a","params":)" + deep, -32700, "null"},
      {"longer than 64 KiB", std::string(kMaxMessageBytes + 1, ' '), -32700, "null"},
      {"a text alone", R"("status")", -32600, "null"},
      {"a batch", R"([{"jsonrpc":"2.0","id":1,"method":"status"}])", -32600, "null"},
      {"no version", R"({"id":1,"method":"status"})", -32600, "1"},
      {"another version", R"({"jsonrpc":"1.0","id":1,"method":"status"})", -32600, "1"},
      {"a version that is a number", R"({"jsonrpc":2.0,"id":1,"method":"status"})", -32600, "1"},
      {"no method", R"({"jsonrpc":"2.0","id":"q"})", -32600, R"("q")"},
      {"a method that is a number", R"({"jsonrpc":"2.0","id":1,"method":1})", -32600, "1"},
      {"an empty method", R"({"jsonrpc":"2.0","id":1,"method":""})", -32600, "1"},
      {"parameters that are a text", R"({"jsonrpc":"2.0","id":1,"method":"a","params":"b"})", -32600, "1"},
      {"an id that is an object", R"({"jsonrpc":"2.0","id":{},"method":"a"})", -32600, "null"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto request = parse_request(row.line);
    REQUIRE_FALSE(request);
    const json answer = json::parse(request.error());
    CHECK(answer["jsonrpc"] == "2.0");
    CHECK(answer["id"] == json::parse(row.id));
    CHECK(answer["error"]["code"] == row.code);
    CHECK(answer["error"]["message"].get<std::string>().size() > 10);
    CHECK(request.error().find('\n') == std::string::npos);
  }
}

TEST_CASE("brackets inside a text are not nesting") {
  const std::string line =
      R"({"jsonrpc":"2.0","id":1,"method":"begin","params":{"name":"\")" + std::string(50, '[') + "\"}}";
  const auto request = parse_request(line);
  REQUIRE(request);
  CHECK(request->params["name"] == "\"" + std::string(50, '['));
}

// 32 levels: the same bound on both sides, see kDeepest. RFC 8259, section 9, lets a reader set such a limit.
TEST_CASE("JSON that is valid is taken to 32 levels and refused by its depth from the 33rd") {
  const auto nested = [](std::size_t levels) {
    return R"({"jsonrpc":"2.0","id":1,"method":"a","params":)" + std::string(levels - 1, '[') +
           std::string(levels - 1, ']') + "}";
  };
  CHECK(parse_request(nested(32)).has_value());
  const auto refused = parse_request(nested(33));
  REQUIRE_FALSE(refused.has_value());
  CHECK(json::parse(refused.error())["error"]["message"] == "the message is nested too deeply");
  std::string wide = R"({"jsonrpc":"2.0","id":1,"method":"a","params":[{})";
  for (int i = 0; i < 50; ++i) wide += ",{},[]";
  CHECK(parse_request(wide + "]}").has_value());
}

TEST_CASE("a method has at most 64 bytes, a request at most 64 KiB, and an id is no truth value") {
  const auto named = [](std::size_t bytes) {
    return R"({"jsonrpc":"2.0","id":1,"method":")" + std::string(bytes, 'm') + "\"}";
  };
  CHECK(parse_request(named(64)).has_value());
  CHECK_FALSE(parse_request(named(65)).has_value());
  std::string line = named(1);
  line.resize(std::size_t{64} * 1024, ' ');
  CHECK(parse_request(line).has_value());
  CHECK_FALSE(parse_request(line + ' ').has_value());
  CHECK_FALSE(parse_request(R"({"jsonrpc":"2.0","id":true,"method":"a"})").has_value());
  CHECK(parse_request(R"({"jsonrpc":"2.0","id":1.5,"method":"a"})").has_value());
  CHECK(parse_request(R"({"jsonrpc":"2.0","id":1,"method":"a","params":null})").has_value());
}

TEST_CASE("what one side writes the other side reads") {
  const auto asked = parse_request(request(3, "begin", json::parse(R"({"name":"HF \"1\"","again":true})")));
  REQUIRE(asked);
  CHECK(asked->id == 3);
  CHECK(asked->params.dump() == R"({"again":true,"name":"HF \"1\""})");

  const auto answered = parse_reply(response(3, {{"visit", 2}}));
  REQUIRE(answered);
  CHECK(answered->id == 3);
  CHECK(answered->result == json{{"visit", 2}});
  CHECK_FALSE(answered->error);
  CHECK(answered->method.empty());

  const auto refused = parse_reply(error_response("x", 1, "nothing is open; start with begin"));
  REQUIRE(refused);
  CHECK(refused->id == "x");
  CHECK(refused->error == "nothing is open; start with begin");
  CHECK(refused->error_code == 1);

  const auto told = parse_reply(notification("status", {{"training", false}}));
  REQUIRE(told);
  CHECK(told->method == "status");
  CHECK(told->result == json{{"training", false}});
}

TEST_CASE("a number that is not finite never leaves as a result") {
  const auto answer = parse_reply(response(1, {{"points", {{{"latitude_deg", std::nan("")}}}}}));
  REQUIRE(answer);
  REQUIRE(answer->error);
  CHECK(answer->error_code == -32603);
  CHECK(parse_reply(response(1, {{"latitude_deg", INFINITY}}))->error);
}

TEST_CASE("bytes that are not UTF-8 are replaced on the way out") {
  const auto answer = parse_reply(error_response(1, 1, "no \xFF here"));
  REQUIRE(answer);
  CHECK(answer->error == "no \xEF\xBF\xBD here");
}

TEST_CASE("an answer that cannot be read is a sentence, not a crash") {
  struct Row {
    const char* name;
    std::string line;
  };
  const std::vector<Row> rows{
      {"nothing", ""},
      {"no JSON", "hello"},
      {"an array", "[]"},
      {"no version", R"({"id":1,"result":{}})"},
      {"neither result nor error", R"({"jsonrpc":"2.0","id":1})"},
      {"both result and error", R"({"jsonrpc":"2.0","id":1,"result":1,"error":{"code":1,"message":"m"}})"},
      {"an error that is a text", R"({"jsonrpc":"2.0","id":1,"error":"m"})"},
      {"an error without a code", R"({"jsonrpc":"2.0","id":1,"error":{"message":"m"}})"},
      {"an error whose message is a number", R"({"jsonrpc":"2.0","id":1,"error":{"code":1,"message":2}})"},
      {"a method that is a number", R"({"jsonrpc":"2.0","method":4})"},
      {"a method beside a result", R"({"jsonrpc":"2.0","method":"status","result":{}})"},
      {"nested beyond reason", R"({"jsonrpc":"2.0","id":1,"result":)" + std::string(100000, '[')},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const auto reply = parse_reply(row.line);
    REQUIRE_FALSE(reply);
    CHECK(reply.error().size() > 10);
  }
}

TEST_CASE("an answer may be longer than a request") {
  const std::string note(2 * kMaxMessageBytes, 'n');
  const auto reply = parse_reply(response(1, {{"note", note}}));
  REQUIRE(reply);
  CHECK(reply->result["note"] == note);
}

}  // namespace stillpoint::wire
