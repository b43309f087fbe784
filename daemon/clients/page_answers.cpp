#include "clients/page_answers.hpp"

#include <array>
#include <optional>

#include "wire/json_object.hpp"
#include "wire/situation.hpp"

namespace stillpoint::daemon {
namespace {

std::string_view phrase_of(int status) {
  switch (status) {
    case 200:
      return "OK";
    case 403:
      return "Forbidden";
    case 404:
      return "Not Found";
    case 405:
      return "Method Not Allowed";
    case 408:
      return "Request Timeout";
    case 413:
      return "Content Too Large";
    case 415:
      return "Unsupported Media Type";
    case 429:
      return "Too Many Requests";
    case 431:
      return "Request Header Fields Too Large";
    case 503:
      return "Service Unavailable";
    default:
      return "Bad Request";
  }
}

}  // namespace

std::string head_of(int status, std::string_view type, std::string_view more) {
  return "HTTP/1.1 " + std::to_string(status) + " " + std::string(phrase_of(status)) +
         "\r\nContent-Type: " + std::string(type) +
         "\r\nX-Content-Type-Options: nosniff\r\nReferrer-Policy: no-referrer\r\nX-Frame-Options: DENY\r\n"
         "Cross-Origin-Resource-Policy: same-origin\r\nCross-Origin-Opener-Policy: same-origin\r\n"
         "Connection: close\r\n" +
         std::string(more);
}

std::string answer(int status, std::string_view type, std::string_view text, std::string_view more) {
  const bool lasts = more.find("Cache-Control") != std::string_view::npos;
  return head_of(status, type, more) + (lasts ? "" : "Cache-Control: no-store\r\n") +
         "Content-Length: " + std::to_string(text.size()) + "\r\n\r\n" + std::string(text);
}

std::string sentence_answer(int status, std::string_view sentence, std::string_view more) {
  return answer(status, "text/plain; charset=utf-8", std::string(sentence) + "\n", more);
}

std::string json_answer(int status, std::string_view body, std::string_view more) {
  return answer(status, "application/json", body, more);
}

std::string stream_event(std::string_view name, std::string_view data) {
  return "event: " + std::string(name) + "\ndata: " + std::string(data) + "\n\n";
}

std::string status_event(const StatusNews& now, UtcTime sent) {
  const wire::StatusFacts facts = wire::facts_of(now.status);
  const wire::Situation so = wire::situation_of(facts, true);
  constexpr std::array<std::string_view, 3> kTones{"counts", "coasting", "refused"};
  const auto percent = facts.stay ? std::optional(wire::percent_done(*facts.stay)) : std::nullopt;
  return stream_event("status", wire::json_object(
                                    [&](wire::JsonObject& out) {
                                      out.object("situation", [&](wire::JsonObject& situation) {
                                        situation.text("tone", kTones[static_cast<std::size_t>(so.tone)]);
                                        situation.text("what", so.what);
                                        situation.text("act", so.act);
                                        situation.texts("also", so.also);
                                        situation.integer("percent", percent);
                                      });
                                      out.count("sent_ms", static_cast<std::uint64_t>(sent.ms));
                                      out.raw("status", now.json);
                                    },
                                    now.json.size() + 1024));
}

}  // namespace stillpoint::daemon
