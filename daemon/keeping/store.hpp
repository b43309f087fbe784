#pragma once
/// The one thread that owns the spool and the pointbook.
///
/// A point or a check shot is `spooled` once the synced spool has it, and `stored` once the pointbook has it. While
/// another program holds the pointbook nothing is lost: they wait in the spool, and the store tries again.
///
/// Time:    back-off from 0.1 to 2 s, of the spool and of the pointbook each for itself; an alert after 3 s of waiting.
/// Threads: public calls from the I/O thread; news is called on the store thread and must only hand over (post).
/// Errors:  what cannot be spooled stays in memory, whoever waits for it is told, and it is tried again; other rows are
///          dropped, counted, when more than the bound wait.

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <set>
#include <string>
#include <thread>
#include <variant>
#include <vector>

#include "keeping/journaled.hpp"
#include "keeping/open_stay.hpp"
#include "pointbook/book.hpp"
#include "pointbook/scale_stays.hpp"
#include "pointbook/spool.hpp"

namespace stillpoint::daemon {

struct StoreNews {
  /// The point or shot is safe, or why it is not yet. After a failure the news comes again when it is.
  std::function<void(const std::string& uuid, const Result<void>& done)> spooled;
  std::function<void(const std::string& uuid)> stored;
  /// The pointbook could not be read at the start, and now was: as `current` and `events`.
  std::function<void(std::vector<occupation::StoredPoint>, std::vector<pointbook::Event>)> read{};
  /// Waiting for longer than it should: the sentence. Empty: no longer.
  std::function<void(const std::string& text)> waiting;
  /// The open stay is not on the disk as it stands now: the sentence. Empty: it is.
  std::function<void(const std::string& text)> open_unsaved;
  /// The spool was made anew: the sentence.
  std::function<void(const std::string& text)> damaged;
};

class Store {
 public:
  /// Points and check shots in memory; more means the day must stop and wait.
  static constexpr std::size_t kMostWaiting = 256;
  static constexpr std::size_t kMostRows = 1024;

  Store(pointbook::Book book, pointbook::Spool spool, const std::string& pointbook,
        pointbook::Disk& disk = pointbook::system_disk());
  ~Store();
  Store(const Store&) = delete;
  Store& operator=(const Store&) = delete;

  /// What pointbook and spool hold, newest version of each point. Before `start`.
  Result<std::vector<occupation::StoredPoint>> current() const;
  /// What was found damaged in the spool or cannot be read in the book; one sentence each. Before `start`.
  std::vector<std::string> damage() const;
  /// Everything the pointbook has heard so far. Before `start`.
  Result<std::vector<pointbook::Event>> events() const;
  /// Another program holds the pointbook, so that nobody knows what is in it: `current` is what the spool has, and the
  /// news say when it was read. Before `start`.
  bool is_unread() const noexcept { return book_.is_unread(); }
  /// Every check shot that the pointbook has, in its newest version. Before `start`.
  Result<std::vector<pointbook::CheckShot>> checks() const;
  /// Uuids that wait in the spool: of points, and of check shots. Before `start`.
  std::vector<std::string> spooled_before() const;
  std::vector<std::string> shots_spooled_before() const;
  /// All that pointbook and spool have; of a pointbook that is not read, what the spool has. Before `start`.
  Result<Known> known() const;

  void start(StoreNews news);
  void submit(occupation::StoredPoint point);
  void submit(pointbook::CheckShot shot);
  void submit(pointbook::Event event);
  /// `done`, on the store thread, once the pointbook has it, or never will.
  void submit(pointbook::Event event, const std::function<void(const Result<void>&)>& done);
  void submit(pointbook::AntennaSetup setup);
  /// `tell`, on the store thread: what the pointbook has by then.
  void ask_known(const std::function<void(const Result<Known>&)>& tell);
  /// The same of the stays that speak of their sources' error figures.
  void ask_scale_stays(const std::function<void(const Result<std::vector<control::ScaleStay>>&)>& tell);
  /// The open stay as it stands, or that there is none any more. Only the latest is saved; after the points.
  void save_open(std::optional<occupation::StoredPoint> point);
  /// The stay that an earlier run left open and that is neither in the pointbook nor in the spool. Before `start`.
  std::optional<occupation::StoredPoint> left_open(const std::vector<occupation::StoredPoint>& known);
  /// Too many points wait: take no new ones.
  bool is_full() const;
  /// Calls `done`, on the store thread, as soon as everything that was submitted is in the pointbook.
  void drain(std::function<void()> done);
  /// Returns after what is being written; what waits in the spool is found at the next start.
  void stop();
  /// What could be written nowhere, by name, and why. After `stop`.
  struct Lost {
    std::vector<std::string> titles;  ///< points and check shots that neither spool nor pointbook has
    std::string why;
    std::uint64_t rows = 0;  ///< events and antenna set-ups that are not in the pointbook
  };
  Lost lost() const;

 private:
  using Clock = std::chrono::steady_clock;
  /// When to try again what went wrong.
  struct Retry {
    std::optional<Clock::time_point> wrong_since{};
    Clock::time_point next{};
    std::chrono::milliseconds backoff{0};
    bool is_due() const { return Clock::now() >= next; }
    /// True: it went well until now.
    bool went_wrong();
    void went_well() { *this = {}; }
  };

  void run();
  void work(std::unique_lock<std::mutex>& lock);
  void wait_for_work(std::unique_lock<std::mutex>& lock);
  bool has_work() const;
  bool book_has_work() const;
  void spool_new(std::unique_lock<std::mutex>& lock);
  bool may_save_open() const;
  void spool_went_wrong(const Error& error);
  void tell_unsafe(std::unique_lock<std::mutex>& lock);
  void save_open_stay(std::unique_lock<std::mutex>& lock);
  bool read_book();
  void store_spooled();
  template <class One>
  bool store_all(const std::vector<One>& waiting);
  template <class One>
  bool store_one(const One& row);
  void settle(const std::string& uuid);
  /// What is acknowledged once the spool has it.
  using Lasting = std::variant<occupation::StoredPoint, pointbook::CheckShot>;
  void submit_lasting(Lasting row);
  using Row = std::function<pointbook::StoreResult<void>(pointbook::Book&)>;
  /// False: too many wait, and it is left out.
  bool submit(Row row);
  void store_rows(std::unique_lock<std::mutex>& lock);
  void book_went_well();
  void book_went_wrong(const pointbook::StoreError& error);

  pointbook::Book book_;
  pointbook::Spool spool_;
  OpenStay open_stay_;
  StoreNews news_;
  std::string open_damage_;

  // Used by the store thread only.
  std::set<std::string> refused_;    ///< uuids the pointbook will not take; they stay in the spool
  std::size_t told_damage_ = 0;      ///< sentences of the spool
  std::set<std::string> unsettled_;  ///< uuids the pointbook has, and the spool cannot be told so
  Retry spool_retry_, book_retry_, settle_retry_, open_retry_;
  bool told_waiting_ = false;

  mutable std::mutex mutex_;  ///< guards the members below
  std::condition_variable wake_;
  std::deque<Lasting> lasting_;                  ///< not yet in the spool
  std::string spool_fault_;                      ///< why the first of them cannot be written; empty: it was not tried
  std::size_t told_unsafe_ = 0;                  ///< of them, from the first on, since the last try
  bool try_at_once_ = false;                     ///< whatever went wrong before
  std::optional<occupation::StoredPoint> open_;  ///< to be saved
  bool open_changed_ = false;
  std::deque<Row> rows_;  ///< events and antenna set-ups
  std::uint64_t rows_dropped_ = 0;
  std::function<void()> drained_;
  bool stop_ = false;
  std::thread thread_;
};

}  // namespace stillpoint::daemon
