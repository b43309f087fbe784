// How a day is closed: the points reach the pointbook, the record is looked at, then the closing is stored.

#include <spdlog/spdlog.h>

#include <boost/asio/post.hpp>

#include "base/number.hpp"
#include "common/clock.hpp"
#include "common/sentences.hpp"
#include "common/timers.hpp"
#include "day/day.hpp"
#include "pointbook/happened.hpp"

namespace stillpoint::daemon {
namespace {

// A point that was kept a moment ago is in the pointbook in less, unless another program holds it.
constexpr std::chrono::milliseconds kWaitForStore{3'000};

}  // namespace

Day::~Day() {
  stop_looking_ = true;
  if (looker_.joinable()) looker_.join();
}

/// The receiver's time; without a receiver, that of the last point.
UtcTime Day::closing_time() const {
  if (const auto status = session_.status(); status.time_utc) return *status.time_utc;
  std::optional<UtcTime> newest;
  for (const CatalogueEntry& entry : points_.entries()) {
    newest = std::max(newest, entry.stored.point.finished_utc);
  }
  return newest.value_or(utc_now());
}

void Day::note_left_open() {
  if (is_book_unread()) return;  // when it is read
  const std::size_t left = book_.left_open(points_, utc_now());
  if (left == 0) return;
  left_open_text_ = kSay.left_open(counted(left, "point"));
  add_event(to_word(pointbook::EventKind::day_left_open), left_open_text_);
}

/// What to tell somebody who occupies a point after the closing; empty while the day is open.
std::string Day::reopens() const {
  if (!book_.is_closed(points_)) return {};
  return kSay.reopens(clock_text(*book_.closings().last()) + " UTC");
}

void Day::close_day(CloseAsked asked, SteadyTime at, CloseDone done) {
  if (closing_) return done(fail(kSay.closing_already()));
  if (auto why = refusal_after_trying(at); !why.empty()) return done(fail(kSay.not_closed(why)));
  session_.advance(at);
  drain();
  closing_ = Closing{std::move(asked), std::move(done), steady_now()};
  go_on_closing(at);
}

std::vector<std::string> Day::why_not_closed(SteadyTime at) {
  session_.advance(at);
  drain();
  std::vector<std::string> why = session_.closing().why_not;
  if (is_book_unread()) why.push_back(kSay.unread_close());
  const DayTally tally = book_.tally(points_, closing_time());
  if (tally.held > 0 && closing_->asked.leave_held.empty()) {
    why.push_back(kSay.held_undecided(counted(tally.held, "point is", "points are"), listed(tally.held_points, ", ")));
  }
  if (book_.is_closed(points_)) why.push_back(kSay.closed_before());
  return why;
}

/// At every tick while a closing is on its way.
void Day::go_on_closing(SteadyTime at) {
  if (!closing_ || closing_->looking) return;
  std::vector<std::string> why = why_not_closed(at);
  if (!on_the_way_.empty()) {
    const bool patient = steady_now().ms - closing_->since.ms < scaled(kWaitForStore).count();
    if (patient) return;  // what was kept a moment ago is no fault of another program
    why.push_back(kSay.spool_waits(counted(on_the_way_.size(), "point or check waits", "points or checks wait")));
  }
  if (closing_->record && !closing_->record->faults.empty() && closing_->asked.leave_record.empty()) {
    why.push_back(kSay.record_changed(listed(closing_->record->faults, ", ")));
  }
  if (!why.empty()) return refuse_closing(why);
  closing_->record ? close_now(at) : look_at_book();
}

/// What the journals say was kept is held against what the pointbook has.
void Day::look_at_book() {
  if (const auto sealed = recorder_->seal(last_at_); !sealed) return refuse_closing({sealed.error().text});
  closing_->looking = true;
  closing_->until = recorder_->current();
  store_.ask_known([this](const Result<Known>& known) {
    boost::asio::post(io_, [this, known] {
      if (!closing_) return;
      known ? look_at_record(*known) : refuse_closing({known.error().text});
    });
  });
}

void Day::look_at_record(Known known) {
  const PairList list = pairs_.list();
  const std::string current = pair_name(closing_->until);
  if (looker_.joinable()) looker_.join();
  looker_ =
      std::thread([this, folder = settings_.project.record, faults = list.faults,
                   day = pairs_of_day(list.pairs, current, closing_time()), known = std::move(known), now = utc_now()] {
        RecordChecked seen = check_record(folder, day, stop_looking_);
        seen.faults.insert(seen.faults.begin(), faults.begin(), faults.end());
        for (std::string& sentence : missing_keeps(keeps_in(folder, now, LastRun::goes_on), known))
          seen.faults.push_back(std::move(sentence));
        boost::asio::post(io_, [this, seen = std::move(seen)] {
          if (!closing_) return;
          closing_->looking = false;
          closing_->record = seen;
          const auto& doubtful = recorder_->doubtful();
          closing_->record->faults.insert(closing_->record->faults.end(), doubtful.begin(), doubtful.end());
          miss_record(*closing_->record);
        });
      });
}

/// True when points are known and no record of their bytes is: then somebody removed more than files of the record.
void Day::miss_record(RecordChecked& seen) {
  const DayTally tally = book_.tally(points_, closing_time());
  if (tally.accepted + tally.held + tally.rejected == 0 || !seen.files.empty() || !seen.faults.empty()) return;
  seen.faults.emplace_back(kSay.no_files_known());
}

void Day::close_now(SteadyTime at) {
  DayClosed day;
  day.utc = closing_time();
  day.asked = closing_->asked;
  day.tally = book_.tally(points_, day.utc);
  day.proof = session_.closing().proof;
  day.record = *closing_->record;
  const CloseDone tell = std::move(closing_->done);
  const std::string until = closing_->until;
  closing_.reset();
  record_command({record::CloseDay{day.utc}, {}, day.asked.by}, at);
  const pointbook::Event event = close_event(day);
  store_.submit(event, [this, day, event, tell, until](const Result<void>& done) {
    boost::asio::post(io_, [this, day, event, tell, until, done] {
      if (!done) return tell(fail(done.error().text));
      book_.hear(event);
      // Looking at a file twice costs only time.
      if (const auto entered = recorder_->day_closed(until); !entered) spdlog::warn("{}", entered.error().text);
      tell_closed(day, tell);
    });
  });
}

/// With where the error scale of each source stands. It changes nothing: people may paste what it says.
void Day::tell_closed(const DayClosed& day, const CloseDone& tell) {
  store_.ask_scale_stays([this, day, tell](const Result<std::vector<control::ScaleStay>>& stays) {
    boost::asio::post(io_, [this, day, tell, stays] {
      DayClosed told = day;
      if (!stays) told.scales = {kSay.no_scales(stays.error().text)};
      if (stays) {
        for (const auto& scale : control::scales_of(settings_.sources, marks(), *stays))
          for (std::string& sentence : control::told(scale)) told.scales.push_back(std::move(sentence));
      }
      tell(told);
    });
  });
}

void Day::refuse_closing(const std::vector<std::string>& why) {
  const CloseDone tell = std::move(closing_->done);
  closing_.reset();
  tell(fail(kSay.not_closed(listed(why, "; "))));
}

}  // namespace stillpoint::daemon
