#include "day/recorded_session.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>

#include "common/sentences.hpp"
#include "session/apply.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::int64_t kHandOnMs = 1'000;  // also without news, for alerts to be told again

}  // namespace

RecordedSession::RecordedSession(session::Session session, std::unique_ptr<Recorder> recorder, PairCatalogue& pairs,
                                 DayTime& time, Hooks hooks)
    : session_(std::move(session)), recorder_(std::move(recorder)), time_(time), hooks_(std::move(hooks)) {
  recorder_->list().enter_in(pairs, [this] { return session_.status().time_utc; });
}

void RecordedSession::bytes(std::string_view bytes, FeedTime arrived) {
  time_.set(arrived);
  if (!bring_up(arrived) || !tell_clock(arrived)) return;
  if (!recorded(recorder_->bytes(bytes, arrived), arrived)) return;
  session_.push(bytes, arrived);
  session::Outputs out = session_.take();
  if (!out.is_empty() || arrived.ms - handed_on_.ms >= kHandOnMs) return hand_on(std::move(out), {});
  if (out.status_changed) hooks_.status_changed();  // the usual case
}

/// Before the receiver has said anything there is no record that they could be in, and nothing to judge by them.
void hear_corrections(RecordedSession& session, std::string_view bytes, bool lost, FeedTime at) {
  if (session.recorder_->is_down()) return;
  session.time_.reach(at);
  const FeedTime now = session.time_.at();
  const auto done = session.recorder_->corrections(bytes, lost, now);
  if (!session.recorded(done ? Result<void>() : tl::unexpected(done.error()), now) || !*done) return;
  session::hear_corrections(session.session_, bytes, lost, now);
  session.hand_on();
}

void RecordedSession::feed(session::FeedState state, const std::string& what, FeedTime at) {
  feed_state_ = state;
  feed_what_ = what;
  if (recorder_->is_down()) return;  // told when the day goes on
  event(record::FeedNews{std::string(session::to_word(state)), what}, at);
}

/// What was told before the record began, or while it is down, is told to it later.
void hear_delivery(RecordedSession& session, const record::Delivery& delivery, FeedTime at) {
  session.delivery_ = delivery;
  if (!session.recorder_->is_down()) session.event(delivery, at);
}

void RecordedSession::cut(FeedTime at) {
  if (recorder_->is_down()) return;  // the standstill was one
  event(record::Cut{}, at);
}

void RecordedSession::clock(const record::Clock& clock, FeedTime at) {
  clock_ = {clock, at};
  if (clock_told_) event(clock, at);
}

/// Before the first bytes: from the head of the run's first pair, which says what the computer's clock said, or by a
/// line of its own for the clock of a replay. True when bytes may follow.
bool RecordedSession::tell_clock(FeedTime at) {
  if (clock_told_) return true;
  if (!recorded(recorder_->ready(at), at)) return false;
  clock_told_ = true;
  const record::JournalHead& head = recorder_->clock().run_head();
  if (head.by_clock) session_.set_clock(head.steady, head.utc);
  if (delivery_) event(*delivery_, at);
  if (!clock_) return !recorder_->is_down();
  record::Clock clock = clock_->first;
  if (clock.said) clock.said->ms += at.ms - clock_->second.ms;
  event(clock, at);
  return !recorder_->is_down();
}

void RecordedSession::event(const record::Command& event, FeedTime at) {
  time_.reach(at);
  if (!recorded(recorder_->event(record::to_line({event}), at), at)) return;
  session::apply(session_, event, at);
  hand_on();
}

void RecordedSession::tick(FeedTime at) {
  time_.set(at);
  session_.advance(at);
  hand_on();
  if (recorded(recorder_->look(), at)) bring_up(at);
  if (const auto said = recorder_->clock_was_set(at)) event(record::Clock{*said}, at);
}

void RecordedSession::catch_up(FeedTime at) {
  time_.reach(at);
  session_.advance(at);
  hand_on();
}

void RecordedSession::hand_on(session::Outputs out, const std::string& by, std::string uuid) {
  handed_on_ = time_.at();
  hooks_.came_out(std::move(out), by, std::move(uuid));
}

std::pair<session::CommandResult, session::Outputs> RecordedSession::apply(const record::Command& command,
                                                                           FeedTime at) {
  auto result = session::apply(session_, command, at);
  return {std::move(result), session_.take()};
}

void RecordedSession::enter(const record::Entry& entry, FeedTime at) {
  recorded(recorder_->command(record::to_line(entry), at), at, entry.by);
}

bool RecordedSession::recorded(const Result<void>& done, FeedTime at, const std::string& by) {
  if (done) return true;
  hand_on(by);  // what a command brought is its giver's, what the standstill brings nobody's
  stand_still(kSay.no_record(), at);
  hooks_.failed(done.error().text);
  return false;
}

void RecordedSession::stand_still(const std::string& why, FeedTime at) {
  standstill_ = why;
  const record::Cut cut{why};
  const std::string line = record::to_line({cut});
  if (recorder_->is_down() || !recorder_->event(line, at)) recorder_->owe(line, at);
  session::apply(session_, cut, at);
  hand_on();
}

bool RecordedSession::bring_up(FeedTime at) {
  if (!recorder_->is_down()) return true;
  if (const auto done = recorder_->try_again(at); !done) {
    hooks_.stays_down(done.error().text);
    return false;
  }
  hooks_.is_back();
  feed(feed_state_, feed_what_, at);
  if (delivery_ && !recorder_->is_down()) event(*delivery_, at);
  return !recorder_->is_down();
}

bool RecordedSession::make_ready(FeedTime at) {
  return bring_up(at) && recorded(recorder_->ready(at), at);
}

Result<void> RecordedSession::pause() {
  if (!recorder_->is_down()) stand_still(kSay.disk_full(), time_.at());
  return recorder_->pause();
}

void RecordedSession::stop(FeedTime at) {
  catch_up(at);
  if (!recorder_->try_again(at, true) || !recorder_->event(record::to_line({record::Stopped{}}), at)) {
    spdlog::error("the end of the day could not be entered in the record");
  }
}

void RecordedSession::finish() {
  session_.finish();
  hand_on();
}

}  // namespace stillpoint::daemon
