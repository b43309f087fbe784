#include "corrections/delivery.hpp"

#include <doctest/doctest.h>

#include <set>

namespace stillpoint {
namespace {

using corrections::Stop;

constexpr int kStops = static_cast<int>(Stop::program_silent) + 1;

TEST_CASE("every reason has a word, a sentence and a brief one that no other reason has") {
  std::set<std::string> words, texts, briefs;
  for (int i = 0; i < kStops; ++i) {
    const auto stop = static_cast<Stop>(i);
    CAPTURE(i);
    CHECK(corrections::stop_from_word(corrections::to_word(stop)) == stop);
    CHECK(words.insert(std::string(corrections::to_word(stop))).second);
    CHECK(texts.insert(corrections::why_text(stop, "")).second);
    CHECK(briefs.insert(corrections::why_briefly(stop)).second);
    CHECK(corrections::why_briefly(stop).size() <= 48);
  }
  CHECK_FALSE(corrections::stop_from_word("weather"));
}

TEST_CASE("what a caster says of itself stands in brackets, short and visible") {
  CHECK(corrections::why_text(Stop::caster_error, "HTTP/1.1 503 busy") ==
        "the caster cannot serve this mount now (HTTP/1.1 503 busy)");
  CHECK(corrections::why_text(Stop::caster_error, "a\x1b[31mb") == "the caster cannot serve this mount now (a?[31mb)");
  // 47 bytes and a letter of two: half a letter is no text, and nothing that reads JSON takes it.
  CHECK(corrections::why_text(Stop::caster_error, std::string(47, 'w') + "\xC3\xA9") ==
        "the caster cannot serve this mount now (" + std::string(47, 'w') + ")");
  CHECK(corrections::why_text(Stop::caster_error, std::string(500, 'w')) ==
        "the caster cannot serve this mount now (" + std::string(48, 'w') + ")");
}

TEST_CASE("who was refused is told apart from who was cut off") {
  for (const Stop stop : {Stop::tls, Stop::login_file, Stop::login_refused, Stop::mount_unknown, Stop::no_caster}) {
    CHECK(corrections::is_refusal(stop));
  }
  for (const Stop stop : {Stop::no_name, Stop::refused, Stop::timed_out, Stop::reset, Stop::closed, Stop::caster_error,
                          Stop::caster_silent, Stop::mount_silent, Stop::damaged}) {
    CHECK_FALSE(corrections::is_refusal(stop));
  }
}

TEST_CASE("the states of the link have words that are read back") {
  using corrections::LinkState;
  for (const auto state : {LinkState::none, LinkState::connecting, LinkState::running, LinkState::stopped}) {
    CHECK(corrections::link_state_from_word(corrections::to_word(state)) == state);
  }
  CHECK_FALSE(corrections::link_state_from_word("asleep"));
}

}  // namespace
}  // namespace stillpoint
