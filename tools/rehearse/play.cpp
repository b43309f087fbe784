#include "play.hpp"

#include <poll.h>

#include <algorithm>
#include <chrono>
#include <iostream>

#include "processes.hpp"
#include "sentences.hpp"
#include "stop.hpp"

namespace stillpoint::rehearse {
namespace {

using Clock = std::chrono::steady_clock;

constexpr int kReconnectMs = 15'000;
constexpr int kLongestNapMs = 100;
constexpr std::chrono::milliseconds kLookEvery{200};

std::vector<std::string> words_of(const simulate::Action& action) {
  switch (action.act) {
    case simulate::Act::begin: {
      std::vector<std::string> out{"begin", action.name};
      if (!action.code.empty()) out.insert(out.end(), {"--code", action.code});
      if (!action.note.empty()) out.insert(out.end(), {"--note", action.note});
      if (action.again) out.emplace_back("--again");
      return out;
    }
    case simulate::Act::keep:
      return {"keep"};
    case simulate::Act::discard:
      return {"discard"};
    case simulate::Act::reject:
    case simulate::Act::accept: {
      const bool rejects = action.act == simulate::Act::reject;
      std::vector<std::string> out{"resolve", action.name, rejects ? "--reject" : "--accept", "--reason",
                                   action.reason};
      if (action.visit) out.insert(out.end(), {"--visit", std::to_string(*action.visit)});
      return out;
    }
    case simulate::Act::check:
      return {"check", action.name};
    case simulate::Act::close_day:
      return {"close-day"};
  }
  return {};
}

class Player {
 public:
  Player(simulate::Simulation& simulation, Outlets outlets, Observer* observer, const simulate::Crew& crew,
         const Options& options, const std::string& control)
      : simulation_(simulation),
        outlet_(outlets.receiver),
        caster_(outlets.caster),
        observer_(observer),
        crew_(crew),
        options_(options),
        control_(control),
        began_(Clock::now()),
        looked_(began_) {}

  Result<void> run();

 private:
  void nap_until(std::int64_t epoch_ms);
  Result<void> act(const simulate::Action& action);
  Result<void> act_before(double at_s);
  Result<void> look();
  Result<void> bring(const simulate::Burst& burst);
  Result<void> hand_over(const simulate::Burst& burst);

  simulate::Simulation& simulation_;
  Outlet& outlet_;
  Caster* caster_;
  Observer* observer_;
  const simulate::Crew& crew_;
  const Options& options_;
  const std::string& control_;
  Clock::time_point began_, looked_;
  std::size_t next_action_ = 0;
  std::uint64_t sent_ = 0;
  UtcTime last_epoch_;
  bool was_cut_ = false;
};

void Player::nap_until(std::int64_t epoch_ms) {
  if (!options_.pace) return;
  const auto due = began_ + std::chrono::microseconds(
                                static_cast<std::int64_t>(static_cast<double>(epoch_ms) * 1000.0 / *options_.pace));
  while (!stop_asked() && Clock::now() < due) {
    const auto left_ms = std::chrono::duration_cast<std::chrono::milliseconds>(due - Clock::now()).count() + 1;
    ::poll(nullptr, 0, static_cast<int>(std::min<std::int64_t>(left_ms, kLongestNapMs)));
    if (!look()) return;
  }
}

Result<void> Player::look() {
  if (observer_ == nullptr || !options_.pace || Clock::now() - looked_ < kLookEvery) return {};
  looked_ = Clock::now();
  return observer_->look();
}

Result<void> Player::act(const simulate::Action& action) {
  if (auto done = observer_->wait_for(sent_, last_epoch_); !done) return done;
  std::vector<std::string> arguments{"--control", control_};
  const auto words = words_of(action);
  arguments.insert(arguments.end(), words.begin(), words.end());
  const Ran ran = run_program(options_.client_program, arguments);
  if (ran.status < 0 || ran.status == 2 || ran.status == 4) {
    return fail(kSay.crew_failed(words.front(), action.name, ran.said));
  }
  std::cerr << clock_text(simulation_.scenario().utc_at(action.at_s)) << "  ";
  for (const std::string& word : words) std::cerr << word << ' ';
  std::cerr << (ran.status == 0 ? "\n" : kSay.crew_refused() + "\n");
  return observer_->look();
}

Result<void> Player::act_before(double at_s) {
  while (next_action_ < crew_.actions.size() && crew_.actions[next_action_].at_s <= at_s) {
    if (auto done = act(crew_.actions[next_action_++]); !done) return done;
  }
  return {};
}

/// Sends one epoch's bytes; a cut link comes back when the scenario says so.
Result<void> Player::hand_over(const simulate::Burst& burst) {
  if (burst.cut && !was_cut_) {
    if (observer_) {
      if (auto done = observer_->wait_for(sent_, last_epoch_); !done) return done;
    }
    outlet_.cut();
  }
  if (!burst.cut && was_cut_ && !crew_.actions.empty()) {
    // A crew's day must not depend on how fast the daemon comes back.
    if (!outlet_.wait_for_reader(kReconnectMs) && !stop_asked()) return fail(kSay.daemon_gone());
  }
  was_cut_ = burst.cut;
  if (burst.bytes.empty()) return {};
  sent_ += outlet_.send(burst.bytes);
  last_epoch_ = simulation_.truth().printed_utc;
  return {};
}

/// Sends the corrections of a second. What a crew does must not depend on which of the two links is quicker, so that
/// another base waits for what was sent before it, and all that follows waits for the base.
Result<void> Player::bring(const simulate::Burst& burst) {
  if (caster_ == nullptr) return {};
  const bool waits = observer_ != nullptr && !crew_.actions.empty() && burst.base_ecef_m && !burst.cut;
  if (waits) {
    if (auto done = observer_->wait_for(sent_, last_epoch_); !done) return done;
  }
  caster_->send(burst.corrections);
  return waits ? observer_->wait_for_base(*burst.base_ecef_m) : Result<void>();
}

Result<void> Player::run() {
  simulate::Burst burst;
  while (!stop_asked() && simulation_.next(burst)) {
    nap_until(burst.epoch_ms + burst.late_ms);
    if (auto done = act_before(static_cast<double>(burst.epoch_ms) / 1000.0); !done) return done;
    // What the receiver prints rests on them. A daemon that has not heard the receiver yet takes none.
    const bool is_first = sent_ == 0;
    if (auto done = is_first ? hand_over(burst) : bring(burst); !done) return done;
    if (auto done = is_first ? bring(burst) : hand_over(burst); !done) return done;
    if (auto done = look(); !done) return done;
  }
  if (observer_ == nullptr) return {};
  if (!stop_asked()) {
    if (auto done = act_before(simulation_.scenario().seconds_s); !done) return done;
  }
  return stop_asked() ? observer_->look() : observer_->wait_for(sent_, last_epoch_);
}

}  // namespace

Result<simulate::Crew> crew_of(const simulate::Scenario& scenario, const std::string& name) {
  if (name.empty() || name == "nothing") return simulate::Crew{name, {}};
  std::string names = kSay.always_crews();
  for (const simulate::Crew& crew : scenario.crews) {
    names += ", " + crew.name;
    if (crew.name == name) return crew;
  }
  if (name != "distrust" || scenario.crews.empty()) return fail(kSay.no_crew(name, names));
  simulate::Crew out{name, {}};
  for (simulate::Action action : scenario.crews.front().actions) {
    if (action.act == simulate::Act::keep) action.act = simulate::Act::discard;
    action.again = false;
    if (action.act == simulate::Act::begin || action.act == simulate::Act::discard) out.actions.push_back(action);
  }
  return out;
}

Result<void> play(simulate::Simulation& simulation, Outlets outlets, Observer* observer, const simulate::Crew& crew,
                  const Options& options, const std::string& control) {
  return Player(simulation, outlets, observer, crew, options, control).run();
}

}  // namespace stillpoint::rehearse
