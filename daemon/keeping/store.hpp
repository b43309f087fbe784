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

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <variant>
#include <vector>

#include "keeping/book_writer.hpp"
#include "pointbook/scale_stays.hpp"

namespace stillpoint::daemon {

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

  /// What lies there. Before `start`.
  Shelves& before() noexcept { return shelves_; }

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
  /// What is acknowledged once the spool has it.
  using Lasting = std::variant<occupation::StoredPoint, pointbook::CheckShot>;
  using Row = BookWriter::Row;
  /// What waits to be written.
  struct Waiting {
    std::deque<Lasting> lasting;                  ///< not yet in the spool
    std::string spool_fault;                      ///< why the first of them cannot be written; empty: it was not tried
    std::size_t told_unsafe = 0;                  ///< of them, from the first on, since the last try
    std::optional<occupation::StoredPoint> open;  ///< to be saved
    bool open_changed = false;
    std::deque<Row> rows;  ///< events and antenna set-ups
    std::uint64_t rows_dropped = 0;
  };

  void run();
  void work(std::unique_lock<std::mutex>& lock);
  void wait_for_work(std::unique_lock<std::mutex>& lock);
  bool has_work() const;
  void spool_new(std::unique_lock<std::mutex>& lock);
  bool may_save_open() const;
  void tell_unsafe(std::unique_lock<std::mutex>& lock);
  void save_open_stay(std::unique_lock<std::mutex>& lock);
  void submit_lasting(Lasting row);
  /// False: too many wait, and it is left out.
  bool submit(Row row);
  void store_rows(std::unique_lock<std::mutex>& lock);

  Shelves shelves_;
  StoreNews news_;

  // Used by the store thread only.
  BookWriter writer_{shelves_, news_};
  Retry spool_retry_, open_retry_;
  std::size_t told_damage_ = 0;  ///< sentences of the spool

  mutable std::mutex mutex_;  ///< guards the members below
  std::condition_variable wake_;
  Waiting waiting_;
  bool try_at_once_ = false;  ///< whatever went wrong before
  std::function<void()> drained_;
  bool stop_ = false;
  std::thread thread_;
};

}  // namespace stillpoint::daemon
