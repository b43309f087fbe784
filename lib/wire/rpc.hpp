#pragma once
/// JSON-RPC 2.0, one message a line.
///
/// Errors: a malformed line gives the error response to send; nothing throws. Non-finite numbers are refused both ways.
/// Threads: pure.

#include <cstddef>
#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>

#include <tl/expected.hpp>

namespace stillpoint::wire {

/// Longest request, and longest answer (a day's points in one line).
inline constexpr std::size_t kMaxMessageBytes = 64 * 1024;
inline constexpr std::size_t kMaxReplyBytes = 16 * 1024 * 1024;

struct Request {
  nlohmann::json id;  ///< null for a notification
  bool is_notification = false;
  std::string method;
  nlohmann::json params;  ///< object, array or null
};

/// The request, or the whole error response (one line without LF) to send back.
tl::expected<Request, std::string> parse_request(std::string_view line);

std::string response(const nlohmann::json& id, const nlohmann::json& result);
/// `code`: -32601 unknown method, -32602 bad parameters, 1 refused by the day's rules.
/// `data`: what a program needs to know of it beside the sentence, an object; null: nothing.
std::string error_response(const nlohmann::json& id, int code, std::string_view message,
                           const nlohmann::json& data = nullptr);
std::string request(const nlohmann::json& id, std::string_view method, const nlohmann::json& params);
std::string notification(std::string_view method, const nlohmann::json& params);

struct Reply {
  nlohmann::json id;
  nlohmann::json result;
  std::optional<std::string> error;  ///< the message
  int error_code = 0;
  nlohmann::json error_data;  ///< an object, or null
  std::string method;         ///< set for a notification; `result` then holds its params
};
tl::expected<Reply, std::string> parse_reply(std::string_view line);

}  // namespace stillpoint::wire
