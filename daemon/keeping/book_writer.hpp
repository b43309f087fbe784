#pragma once
/// Writes into the pointbook what the spool has and what else waits for it, and tries again while another program holds
/// it.
///
/// Time:    back-off from 0.1 to 2 s; an alert after 3 s of waiting. Units: none.
/// Threads: the store thread. Errors: what the pointbook will not take stays in the spool.

#include <functional>
#include <set>
#include <string>
#include <vector>

#include "keeping/retry.hpp"
#include "keeping/shelves.hpp"
#include "keeping/store_news.hpp"

namespace stillpoint::daemon {

class BookWriter {
 public:
  using Row = std::function<pointbook::StoreResult<void>(pointbook::Book&)>;
  /// Both must outlive it.
  BookWriter(Shelves& shelves, const StoreNews& news) : shelves_(shelves), news_(news) {}

  /// Something of the spool is to be written.
  bool has_work() const;
  bool is_due() const { return retry_.is_due(); }
  Retry::Clock::time_point next() const noexcept { return retry_.next(); }
  /// What is stored and cannot be taken out of the spool.
  bool has_unsettled() const noexcept { return !unsettled_.empty(); }
  Retry::Clock::time_point next_settling() const noexcept { return settle_retry_.next(); }
  void try_at_once() noexcept { retry_.try_at_once(); }

  /// False: the pointbook must be tried again later.
  bool read();
  void store_spooled();
  /// True: the row is written, or never will be.
  bool write(const Row& row);

 private:
  template <class One>
  bool store_all(const std::vector<One>& waiting);
  template <class One>
  bool store_one(const One& row);
  void settle(const std::string& uuid);
  void went_well();
  void went_wrong(const pointbook::StoreError& error);

  Shelves& shelves_;
  const StoreNews& news_;
  std::set<std::string> refused_;    ///< uuids the pointbook will not take; they stay in the spool
  std::set<std::string> unsettled_;  ///< uuids the pointbook has, and the spool cannot be told so
  Retry retry_, settle_retry_;
  bool told_waiting_ = false;
};

/// As people call it.
std::string title_of(const occupation::StoredPoint& stored);
std::string title_of(const pointbook::CheckShot& shot);

}  // namespace stillpoint::daemon
