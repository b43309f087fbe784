// Any bytes as one JSON-RPC line: what is refused has a whole answer, what is read survives being written again.

#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>

#include "wire/rpc.hpp"

namespace {

using namespace stillpoint;

void require(bool holds) {
  if (!holds) std::abort();
}

void check_request(std::string_view line) {
  const auto request = wire::parse_request(line);
  if (!request) {
    const auto answer = wire::parse_reply(request.error());
    require(answer.has_value() && answer->error.has_value() && answer->error_code < 0);
    require(request.error().find('\n') == std::string::npos);
    return;
  }
  require(!request->method.empty());
  if (request->is_notification) return;
  const auto again = wire::parse_request(wire::request(request->id, request->method, request->params));
  require(again.has_value() && again->id == request->id && again->params == request->params);
}

void check_reply(std::string_view line) {
  const auto reply = wire::parse_reply(line);
  if (!reply) {
    require(!reply.error().empty());
  } else if (reply->method.empty() && !reply->error) {
    const auto again = wire::parse_reply(wire::response(reply->id, reply->result));
    require(again.has_value() && again->result == reply->result);
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view line(reinterpret_cast<const char*>(data), size);
  check_request(line);
  check_reply(line);
  return 0;
}
