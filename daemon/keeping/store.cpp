#include "keeping/store.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <utility>

#include "common/sentences.hpp"

namespace stillpoint::daemon {
namespace {

template <class Lasting>
std::string uuid_of(const Lasting& row) {
  return std::visit([](const auto& one) { return one.uuid; }, row);
}

}  // namespace

Store::Store(pointbook::Book book, pointbook::Spool spool, const std::string& pointbook, pointbook::Disk& disk)
    : shelves_(std::move(book), std::move(spool), pointbook, disk) {}

Store::~Store() {
  stop();
}

void Store::start(StoreNews news) {
  news_ = std::move(news);
  told_damage_ = shelves_.spool().damage().size();
  thread_ = std::thread([this] { run(); });
}

void Store::submit(occupation::StoredPoint point) {
  submit_lasting(std::move(point));
}

void Store::submit(pointbook::CheckShot shot) {
  submit_lasting(std::move(shot));
}

void Store::submit_lasting(Lasting row) {
  {
    const std::lock_guard lock(mutex_);
    waiting_.lasting.push_back(std::move(row));
  }
  wake_.notify_all();
}

void Store::save_open(std::optional<occupation::StoredPoint> point) {
  {
    const std::lock_guard lock(mutex_);
    waiting_.open = std::move(point);
    waiting_.open_changed = true;
  }
  wake_.notify_all();
}

void Store::submit(pointbook::Event event) {
  submit(Row([event = std::move(event)](pointbook::Book& book) { return book.append(event); }));
}

void Store::submit(pointbook::Event event, const std::function<void(const Result<void>&)>& done) {
  const bool taken = submit(Row([event = std::move(event), done](pointbook::Book& book) {
    auto stored = book.append(event);
    if (stored) done({});
    if (!stored && stored.error().fault == pointbook::Fault::refused) done(fail(stored.error().text));
    return stored;
  }));
  if (!taken) done(fail(kSay.book_behind()));
}

void Store::ask_known(const std::function<void(const Result<Known>&)>& tell) {
  const bool taken = submit(Row([tell](pointbook::Book& book) -> pointbook::StoreResult<void> {
    const auto stored = book.read_kept();
    stored ? tell(Known(*stored)) : tell(tl::unexpected(stored.error()));
    return {};
  }));
  if (!taken) tell(fail(kSay.book_behind()));
}

void Store::ask_scale_stays(const std::function<void(const Result<std::vector<control::ScaleStay>>&)>& tell) {
  const bool taken = submit(Row([tell](pointbook::Book& book) -> pointbook::StoreResult<void> {
    tell(pointbook::scale_stays(book));
    return {};
  }));
  if (!taken) tell(fail(kSay.book_behind()));
}

void Store::submit(pointbook::AntennaSetup setup) {
  submit(Row([setup = std::move(setup)](pointbook::Book& book) { return book.append(setup); }));
}

bool Store::submit(Row row) {
  {
    const std::lock_guard lock(mutex_);
    if (waiting_.rows.size() >= kMostRows) {
      if (waiting_.rows_dropped++ == 0) spdlog::warn("the pointbook is behind: events are left out of it");
      return false;
    }
    waiting_.rows.push_back(std::move(row));
  }
  wake_.notify_all();
  return true;
}

bool Store::is_full() const {
  const std::lock_guard lock(mutex_);
  return waiting_.lasting.size() >= kMostWaiting;
}

void Store::drain(std::function<void()> done) {
  {
    const std::lock_guard lock(mutex_);
    drained_ = std::move(done);
    try_at_once_ = true;
  }
  wake_.notify_all();
}

void Store::stop() {
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
  }
  wake_.notify_all();
  if (thread_.joinable()) thread_.join();
}

Store::Lost Store::lost() const {
  const std::lock_guard lock(mutex_);
  Lost out{{}, waiting_.spool_fault, waiting_.rows_dropped + waiting_.rows.size()};
  for (const Lasting& row : waiting_.lasting) {
    out.titles.push_back(std::visit([](const auto& one) { return title_of(one); }, row));
  }
  return out;
}

bool Store::has_work() const {
  return !waiting_.lasting.empty() || waiting_.open_changed || !waiting_.rows.empty() || writer_.has_work();
}

void Store::run() {
  std::unique_lock lock(mutex_);
  while (!stop_) {
    work(lock);
    if (drained_ && !has_work()) std::exchange(drained_, nullptr)();
    if (!stop_) wait_for_work(lock);
  }
  if (!waiting_.lasting.empty()) spool_new(lock);  // the last chance
}

void Store::work(std::unique_lock<std::mutex>& lock) {
  if (std::exchange(try_at_once_, false)) {
    spool_retry_.try_at_once();
    writer_.try_at_once();
    open_retry_.try_at_once();
  }
  if (!waiting_.lasting.empty() && spool_retry_.is_due()) spool_new(lock);
  tell_unsafe(lock);
  if (waiting_.open_changed && may_save_open()) save_open_stay(lock);
  if (!writer_.is_due()) return;
  lock.unlock();
  const bool may_store = writer_.read();
  if (may_store) writer_.store_spooled();
  lock.lock();
  if (may_store) store_rows(lock);
}

void Store::wait_for_work(std::unique_lock<std::mutex>& lock) {
  if (!has_work() && !writer_.has_unsettled()) {
    return wake_.wait(lock, [this] {
      return stop_ || drained_ || waiting_.open_changed || !waiting_.lasting.empty() || !waiting_.rows.empty();
    });
  }
  auto next = Retry::Clock::now() + Retry::kLongest;
  if (!waiting_.lasting.empty()) next = std::min(next, spool_retry_.next());
  if (!waiting_.rows.empty() || writer_.has_work()) next = std::min(next, writer_.next());
  if (writer_.has_unsettled()) next = std::min(next, writer_.next_settling());
  if (waiting_.open_changed && waiting_.lasting.empty()) next = std::min(next, open_retry_.next());
  wake_.wait_until(lock, next, [this] {
    if (stop_ || try_at_once_) return true;
    if (!waiting_.spool_fault.empty()) return waiting_.lasting.size() > waiting_.told_unsafe;
    return !waiting_.lasting.empty() || (waiting_.open_changed && may_save_open());
  });
}

// These first, and before anything that may have to wait for another program: a client is waiting for the answer.
void Store::spool_new(std::unique_lock<std::mutex>& lock) {
  while (!waiting_.lasting.empty()) {
    const Lasting row = waiting_.lasting.front();
    lock.unlock();
    const auto done = std::visit([this](const auto& one) { return shelves_.spool().append(one); }, row);
    if (done) news_.spooled(uuid_of(row), done);
    while (told_damage_ < shelves_.spool().damage().size()) news_.damaged(shelves_.spool().damage()[told_damage_++]);
    lock.lock();
    if (!done) {
      if (spool_retry_.went_wrong()) spdlog::error("points and checks cannot be written: {}", done.error().text);
      waiting_.spool_fault = done.error().text;
      waiting_.told_unsafe = 0;
      return;
    }
    spool_retry_.went_well();
    waiting_.spool_fault.clear();
    waiting_.lasting.pop_front();
  }
}

/// Nobody waits for an answer while the disk gives none: those behind the failed one are told as well.
void Store::tell_unsafe(std::unique_lock<std::mutex>& lock) {
  while (!waiting_.spool_fault.empty() && waiting_.told_unsafe < waiting_.lasting.size()) {
    const std::string uuid = uuid_of(waiting_.lasting[waiting_.told_unsafe++]);
    const std::string why = waiting_.spool_fault;
    lock.unlock();
    news_.spooled(uuid, fail(why));
    lock.lock();
  }
}

void Store::save_open_stay(std::unique_lock<std::mutex>& lock) {
  const std::optional<occupation::StoredPoint> point = waiting_.open;
  waiting_.open_changed = false;
  lock.unlock();
  const auto done = point ? shelves_.open_stay().save(*point) : shelves_.open_stay().forget();
  const bool was_well = !open_retry_.is_wrong();
  if (done) {
    open_retry_.went_well();
    if (!was_well) news_.open_unsaved("");
  } else if (open_retry_.went_wrong()) {
    news_.open_unsaved(done.error().text);
  }
  lock.lock();
  if (!done) waiting_.open_changed = true;  // what is newest by then
}

/// The saved stay is not forgotten before the point that took its place is safe.
bool Store::may_save_open() const {
  return waiting_.lasting.empty() && open_retry_.is_due();
}

void Store::store_rows(std::unique_lock<std::mutex>& lock) {
  while (!waiting_.rows.empty() && !stop_ && writer_.is_due()) {
    if (!waiting_.lasting.empty() && spool_retry_.is_due()) return;
    const Row row = waiting_.rows.front();
    lock.unlock();
    const bool settled = writer_.write(row);
    lock.lock();
    if (settled) waiting_.rows.pop_front();
  }
}

}  // namespace stillpoint::daemon
