#include "wire/rpc.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/typed.hpp"
#include "wire/sentences.hpp"

namespace stillpoint::wire {
namespace {

using nlohmann::json;

constexpr int kParseError = -32700;
constexpr int kInvalidRequest = -32600;
constexpr int kInternalError = -32603;
// Copying and printing a JSON tree recurse, so its depth must be bounded before it is built.
constexpr int kDeepest = 32;
constexpr std::size_t kLongestMethod = 64;

std::string line_of(const json& message) {
  return escape_unseen(message.dump(-1, ' ', false, json::error_handler_t::replace));
}

bool too_deep(std::string_view text) noexcept {
  int depth = 0;
  bool in_string = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (in_string) {
      if (c == '\\') ++i;
      if (c == '"') in_string = false;
    } else if (c == '"') {
      in_string = true;
    } else if (c == '[' || c == '{') {
      if (++depth > kDeepest) return true;
    } else if (c == ']' || c == '}') {
      --depth;
    }
  }
  return false;
}

bool all_finite(const json& value) {
  if (value.is_number_float()) return std::isfinite(value.get<double>());
  if (!value.is_structured()) return true;
  return std::all_of(value.begin(), value.end(), [](const json& each) { return all_finite(each); });
}

/// The object of one line, or a sentence. Bytes that are not UTF-8 and numbers beyond a double are no JSON here.
tl::expected<json, std::string> read_object(std::string_view line, std::size_t longest_bytes) {
  if (line.size() > longest_bytes) {
    return tl::unexpected(kSay.too_long(std::to_string(longest_bytes)));
  }
  if (too_deep(line)) return tl::unexpected(kSay.too_deep());
  json message = json::parse(line, nullptr, false);
  if (message.is_discarded()) return tl::unexpected(kSay.no_json());
  return message;
}

bool is_id(const json& id) {
  return id.is_null() || id.is_string() || id.is_number();
}

json id_of(const json& message) {
  const auto at = message.find("id");
  return at != message.end() && is_id(*at) ? *at : json(nullptr);
}

bool says_version_2(const json& message) {
  const auto at = message.find("jsonrpc");
  return at != message.end() && at->is_string() && at->get_ref<const std::string&>() == "2.0";
}

/// What is wrong with a request object; empty: nothing.
std::string fault_of(const json& message) {
  if (message.is_array()) return kSay.batch();
  if (!message.is_object()) return kSay.no_object();
  if (!says_version_2(message)) return kSay.no_version();
  const auto method = message.find("method");
  if (method == message.end() || !method->is_string()) return kSay.no_method();
  const auto length = method->get_ref<const std::string&>().size();
  if (length == 0 || length > kLongestMethod) return kSay.long_method();
  const auto params = message.find("params");
  if (params != message.end() && !params->is_structured() && !params->is_null()) {
    return kSay.bad_params();
  }
  const auto id = message.find("id");
  if (id != message.end() && !is_id(*id)) return kSay.bad_id();
  return {};
}

json envelope() {
  return json{{"jsonrpc", "2.0"}};
}

tl::expected<Reply, std::string> read_notification(json& message) {
  Reply out;
  out.method = message["method"].get<std::string>();
  if (message.contains("params")) out.result = std::move(message["params"]);
  return out;
}

tl::expected<Reply, std::string> read_error(json& message) {
  const json& error = message["error"];
  const bool readable = error.is_object() && error.contains("message") && error["message"].is_string() &&
                        error.contains("code") && error["code"].is_number_integer();
  if (!readable) return tl::unexpected(kSay.unreadable_error());
  Reply out;
  out.id = id_of(message);
  out.error = error["message"].get<std::string>();
  out.error_code = error["code"].get<int>();
  if (error.contains("data") && error["data"].is_object()) out.error_data = error["data"];
  return out;
}

}  // namespace

tl::expected<Request, std::string> parse_request(std::string_view line) {
  auto message = read_object(line, kMaxMessageBytes);
  if (!message) return tl::unexpected(error_response(nullptr, kParseError, message.error()));
  if (const std::string fault = fault_of(*message); !fault.empty()) {
    const json id = message->is_object() ? id_of(*message) : json(nullptr);
    return tl::unexpected(error_response(id, kInvalidRequest, fault));
  }
  Request out;
  out.is_notification = !message->contains("id");
  out.id = id_of(*message);
  out.method = (*message)["method"].get<std::string>();
  if (message->contains("params")) out.params = std::move((*message)["params"]);
  return out;
}

std::string response(const json& id, const json& result) {
  if (!all_finite(result)) return error_response(id, kInternalError, kSay.not_finite.words());
  json message = envelope();
  message["id"] = id;
  message["result"] = result;
  return line_of(message);
}

std::string error_response(const json& id, int code, std::string_view message, const json& data) {
  json out = envelope();
  out["id"] = id;
  out["error"] = {{"code", code}, {"message", std::string(message)}};
  if (!data.is_null()) out["error"]["data"] = data;
  return line_of(out);
}

std::string request(const json& id, std::string_view method, const json& params) {
  json out = envelope();
  out["id"] = id;
  out["method"] = std::string(method);
  if (!params.is_null()) out["params"] = params;
  return line_of(out);
}

std::string notification(std::string_view method, const json& params) {
  json out = envelope();
  out["method"] = std::string(method);
  if (!params.is_null()) out["params"] = params;
  return line_of(out);
}

tl::expected<Reply, std::string> parse_reply(std::string_view line) {
  auto message = read_object(line, kMaxReplyBytes);
  if (!message) return tl::unexpected(message.error());
  if (!message->is_object() || !says_version_2(*message)) {
    return tl::unexpected(kSay.no_answer());
  }
  const bool has_result = message->contains("result");
  const bool has_error = message->contains("error");
  if (message->contains("method")) {
    if ((*message)["method"].is_string() && !has_result && !has_error) return read_notification(*message);
    return tl::unexpected(kSay.unreadable_method());
  }
  if (has_result == has_error) return tl::unexpected(kSay.result_or_error());
  if (has_error) return read_error(*message);
  Reply out;
  out.id = id_of(*message);
  out.result = std::move((*message)["result"]);
  return out;
}

}  // namespace stillpoint::wire
