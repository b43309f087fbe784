#include "day/day_closer.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <chrono>
#include <utility>

#include "base/number.hpp"
#include "common/clock.hpp"
#include "common/sentences.hpp"
#include "common/timers.hpp"
#include "pointbook/happened.hpp"
#include "session/checks.hpp"

namespace stillpoint::daemon {
namespace {

// A point that was kept a moment ago is in the pointbook in less, unless another program holds it.
constexpr std::chrono::milliseconds kWaitForStore{3'000};

/// What the journals say was kept is held against what the pointbook has.
RecordInspection looked_at(const std::string& folder, const std::vector<std::string>& faults,
                           const std::vector<RecordedPair>& day, const Known& known, UtcTime now,
                           const std::atomic<bool>& stop) {
  RecordInspection seen = inspect_record(folder, day, stop);
  seen.faults.insert(seen.faults.begin(), faults.begin(), faults.end());
  for (std::string& sentence : missing_keeps(keeps_in(folder, now, LastRun::goes_on), known))
    seen.faults.push_back(std::move(sentence));
  return seen;
}

}  // namespace

DayCloser::DayCloser(const Parts& parts, Store store, Run in_background)
    : parts_(parts), store_(std::move(store)), in_background_(std::move(in_background)) {}

UtcTime DayCloser::closing_time() const {
  if (const auto status = parts_.session.session().status(); status.time_utc) return *status.time_utc;
  std::optional<UtcTime> newest;
  for (const CatalogueEntry& entry : parts_.deliveries.points().entries()) {
    newest = std::max(newest, entry.stored.point.finished_utc);
  }
  return newest.value_or(utc_now());
}

void DayCloser::note_left_open() {
  if (parts_.events.is_unread()) return;  // when it is read
  const std::size_t left = parts_.events.book().left_open(parts_.deliveries.points(), utc_now());
  if (left == 0) return;
  left_open_text_ = kSay.left_open(counted(left, "point"));
  parts_.events.add(to_word(pointbook::EventKind::day_left_open), left_open_text_);
}

void DayCloser::close(CloseAsked asked, FeedTime at, CloseDone done) {
  if (closing_) return done(fail(kSay.closing_already()));
  if (auto why = parts_.acts.refusal(at); !why.empty()) return done(fail(kSay.not_closed(why)));
  closing_ = Closing{std::move(asked), std::move(done), machine_now()};
  go_on(at);
}

std::vector<std::string> DayCloser::why_not() const {
  std::vector<std::string> why = closing_of(parts_.session.session()).why_not;
  if (parts_.events.is_unread()) why.push_back(kSay.unread_close());
  const DayBook& book = parts_.events.book();
  const DayTally tally = book.tally(parts_.deliveries.points(), closing_time());
  if (tally.held > 0 && closing_->asked.leave_held.empty()) {
    why.push_back(kSay.held_undecided(counted(tally.held, "point is", "points are"), listed(tally.held_points, ", ")));
  }
  if (book.is_closed(parts_.deliveries.points())) why.push_back(kSay.closed_before());
  return why;
}

void DayCloser::go_on(FeedTime at) {
  if (!closing_ || closing_->looking) return;
  parts_.session.advance(at);
  parts_.session.hand_on();
  std::vector<std::string> why = why_not();
  if (const std::size_t waiting = parts_.deliveries.waiting(); waiting > 0) {
    const bool patient = ms_between(closing_->since, machine_now()) < scaled(kWaitForStore).count();
    if (patient) return;  // what was kept a moment ago is no fault of another program
    why.push_back(kSay.spool_waits(counted(waiting, "point or check waits", "points or checks wait")));
  }
  if (closing_->record && !closing_->record->faults.empty() && closing_->asked.leave_record.empty()) {
    why.push_back(kSay.record_changed(listed(closing_->record->faults, ", ")));
  }
  if (!why.empty()) return refuse(why);
  closing_->record ? close_now(at) : look_at_book();
}

void DayCloser::look_at_book() {
  if (const auto sealed = parts_.session.recorder().seal(parts_.time.at()); !sealed) {
    return refuse({sealed.error().text});
  }
  closing_->looking = true;
  closing_->until = parts_.session.recorder().current();
  store_.ask_known([this](const Result<Known>& known) {
    if (!closing_) return;
    known ? look_at_record(*known) : refuse({known.error().text});
  });
}

void DayCloser::look_at_record(Known known) {
  const PairList list = parts_.pairs.list();
  const auto day = pairs_of_day(list.pairs, pair_name(closing_->until), closing_time());
  in_background_([this, folder = parts_.settings.project.record, faults = list.faults, day, known = std::move(known),
                  now = utc_now()](const std::atomic<bool>& stop) {
    return [this, seen = looked_at(folder, faults, day, known, now, stop)] { take_record(seen); };
  });
}

/// When points are known and no record of their bytes is, somebody removed more than files of the record.
void DayCloser::take_record(RecordInspection seen) {
  if (!closing_) return;
  closing_->looking = false;
  const auto& doubtful = parts_.session.recorder().list().doubtful();
  seen.faults.insert(seen.faults.end(), doubtful.begin(), doubtful.end());
  const DayTally tally = parts_.events.book().tally(parts_.deliveries.points(), closing_time());
  const bool has_points = tally.accepted + tally.held + tally.rejected > 0;
  if (has_points && seen.files.empty() && seen.faults.empty()) seen.faults.emplace_back(kSay.no_files_known());
  closing_->record = std::move(seen);
}

void DayCloser::close_now(FeedTime at) {
  DayClosed day;
  day.utc = closing_time();
  day.asked = closing_->asked;
  day.tally = parts_.events.book().tally(parts_.deliveries.points(), day.utc);
  day.proof = closing_of(parts_.session.session()).proof;
  day.record = *closing_->record;
  const CloseDone done = std::move(closing_->done);
  const std::string until = closing_->until;
  closing_.reset();
  parts_.session.enter({record::CloseDay{day.utc}, {}, day.asked.by}, at);
  const pointbook::Event event = close_event(day);
  store_.close(event, [this, day, event, done, until](const Result<void>& stored) {
    if (!stored) return done(fail(stored.error().text));
    parts_.events.count(event);
    // Looking at a file twice costs only time.
    if (const auto entered = parts_.session.recorder().list().day_closed(until); !entered) {
      spdlog::warn("{}", entered.error().text);
    }
    tell(day, done);
  });
}

/// With where the error scale of each source stands. It changes nothing: people may paste what it says.
void DayCloser::tell(const DayClosed& day, const CloseDone& done) {
  store_.ask_scale_stays([this, day, done](const Result<std::vector<control::ScaleStay>>& stays) {
    DayClosed told = day;
    if (!stays) told.scales = {kSay.no_scales(stays.error().text)};
    if (stays) {
      const control::Marks& marks = parts_.session.session().checks().marks();
      for (const auto& scale : control::scales_of(parts_.settings.sources, marks, *stays))
        for (std::string& sentence : control::told(scale)) told.scales.push_back(std::move(sentence));
    }
    done(told);
  });
}

void DayCloser::stop() {
  if (closing_) refuse({kSay.being_stopped()});
}

void DayCloser::refuse(const std::vector<std::string>& why) {
  const CloseDone done = std::move(closing_->done);
  closing_.reset();
  done(fail(kSay.not_closed(listed(why, "; "))));
}

}  // namespace stillpoint::daemon
