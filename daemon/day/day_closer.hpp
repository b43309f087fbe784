#pragma once
/// How a day is closed: the points reach the pointbook, the record is looked at, then the closing is stored.
///
/// Rule:    every reason against it is told at once; the questions are asked anew at every tick until it is done. One
///          closing at a time.
/// Time:    the feed's is handed in; the time of a closing is the receiver's, without one that of the last point.
/// Threads: the I/O thread; the record is read in the background.
/// Errors:  one sentence with all reasons.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "common/times.hpp"
#include "day/acts.hpp"
#include "day/background.hpp"
#include "day/closed_day.hpp"
#include "keeping/journaled.hpp"
#include "pointbook/scale_stays.hpp"

namespace stillpoint::daemon {

using CloseDone = std::function<void(const Result<DayClosed>&)>;

class DayCloser {
 public:
  /// The parts of the day that a closing looks at; all must outlive it.
  struct Parts {
    const config::Settings& settings;
    RecordedSession& session;
    Deliveries& deliveries;
    EventBook& events;
    Acts& acts;
    const DayTime& time;
    PairCatalogue& pairs;
  };
  /// What of the store it asks; every answer comes on the day's thread.
  struct Store {
    std::function<void(std::function<void(const Result<Known>&)>)> ask_known;
    std::function<void(std::function<void(const Result<std::vector<control::ScaleStay>>&)>)> ask_scale_stays;
    std::function<void(const pointbook::Event&, std::function<void(const Result<void>&)>)> close;
  };
  using Run = std::function<void(Background::Work)>;
  DayCloser(const Parts& parts, Store store, Run in_background);

  /// Earlier days whose points no closing covers any more: an event, and a note for people.
  void note_left_open();
  const std::string& left_open_text() const noexcept { return left_open_text_; }

  /// `done` is called once the closing is in the pointbook, or with every reason why the day cannot be closed.
  void close(CloseAsked asked, FeedTime at, CloseDone done);
  /// At every tick.
  void go_on(FeedTime at);
  /// The program ends.
  void stop();

 private:
  /// A closing on its way.
  struct Closing {
    CloseAsked asked;
    CloseDone done;
    MachineTime since;
    bool looking = false;  ///< at the record
    std::string until{};   ///< the pair that was begun for it, which it does not cover
    std::optional<RecordInspection> record{};
  };

  UtcTime closing_time() const;
  std::vector<std::string> why_not() const;
  void look_at_book();
  void look_at_record(Known known);
  void take_record(RecordInspection seen);
  void close_now(FeedTime at);
  void tell(const DayClosed& day, const CloseDone& done);
  void refuse(const std::vector<std::string>& why);

  Parts parts_;
  Store store_;
  Run in_background_;
  std::optional<Closing> closing_;
  std::string left_open_text_;  ///< empty: nothing
};

}  // namespace stillpoint::daemon
