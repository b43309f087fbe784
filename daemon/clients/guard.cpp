#include "clients/guard.hpp"

#include <spdlog/spdlog.h>

#include <exception>

#include "common/sentences.hpp"
#include "wire/rpc.hpp"

namespace stillpoint::daemon {
namespace {

constexpr int kInternalError = -32603;

std::string apology_to(const std::string& line) {
  const auto request = wire::parse_request(line);
  if (!request) return request.error();
  if (request->is_notification) return "";
  return wire::error_response(request->id, kInternalError, kSay.failed_at(request->method));
}

}  // namespace

void tell_failure(const char* what) noexcept {
  try {
    throw;
  } catch (const std::exception& error) {
    spdlog::error("{} failed: {}", what, error.what());
  } catch (...) {
    spdlog::error("{} failed, and nobody knows why", what);
  }
}

void handle_guarded(const std::function<void(const Call&)>& handler, const Call& call) noexcept {
  const bool done = guarded("what a client asked", [&] { handler(call); });
  if (!done) guarded("the answer to a client", [&] { call.reply(apology_to(call.line)); });
}

void run_guarded(boost::asio::io_context& io) noexcept {
  while (!guarded("a step of the loop", [&io] { io.run(); })) {
  }
}

}  // namespace stillpoint::daemon
