#include "session/turn_test.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include "session/sentences.hpp"

namespace stillpoint::session {
namespace {

constexpr std::array<Heading, 4> kHeadings{
    {{"N", "north", 0}, {"E", "east", 90}, {"S", "south", 180}, {"W", "west", 270}}};

std::string next_text(std::size_t kept, const std::string& mark, const Heading& faced, const Heading& next) {
  return kSay.turn_next(std::to_string(kept), mark, faced.name, next.name, mark, next.word);
}

}  // namespace

const Heading* heading_of(std::string_view word) {
  const auto at = std::find_if(kHeadings.begin(), kHeadings.end(), [&](const Heading& h) { return h.word == word; });
  return at == kHeadings.end() ? nullptr : &*at;
}

void TurnTest::forget() {
  mark_.clear();
  kept_.clear();
}

void TurnTest::take(const Heading& heading, FinishedCheck& done) {
  if (std::exchange(mark_, done.mark.name) != done.mark.name) kept_.clear();
  const auto& covariance = done.point.at->covariance_enu_m2;
  kept_[std::string(heading.word)] = {heading.deg, done.residual->east_m, done.residual->north_m,
                                      std::sqrt((covariance[0] + covariance[2]) / 2)};
  done.verdict.outcome = control::Outcome::pass;
  for (const Heading& next : kHeadings) {
    if (kept_.contains(std::string(next.word))) continue;
    done.verdict.text = next_text(kept_.size(), done.mark.name, heading, next);
    return;
  }
  conclude(done);
}

void TurnTest::conclude(FinishedCheck& done) {
  std::vector<control::TurnShot> shots;
  for (const auto& [word, shot] : kept_) shots.push_back(shot);
  forget();
  const auto turn = control::turn_test(shots);
  if (!turn) {
    done.verdict = no_check(turn.error().text);
    return;
  }
  done.turn = *turn;
  if (turn->leans) done.verdict.outcome = control::Outcome::stop;
  done.verdict.text = control::turn_sentence(done.mark.name, *turn);
}

}  // namespace stillpoint::session
