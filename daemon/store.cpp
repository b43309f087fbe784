#include "store.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <map>

namespace stillpoint::daemon {
namespace {

constexpr std::chrono::milliseconds kFirstBackoff{100};
constexpr std::chrono::milliseconds kLongestBackoff{2000};
constexpr std::chrono::seconds kPatience{3};

std::string title_of(const occupation::StoredPoint& stored) {
  return stored.point.name + " (visit " + std::to_string(stored.point.visit) + ")";
}
std::string title_of(const pointbook::CheckShot& shot) {
  return "the check on " + shot.mark;
}

}  // namespace

Store::Store(pointbook::Book book, pointbook::Spool spool, const std::string& pointbook)
    : book_(std::move(book)), spool_(std::move(spool)), open_stay_(pointbook) {}

Store::~Store() {
  stop();
}

Result<std::vector<occupation::StoredPoint>> Store::current() const {
  auto stored = book_.read_current();
  if (!stored) return stored;
  std::vector<occupation::StoredPoint>& points = *stored;
  std::map<std::pair<std::string, int>, std::size_t> place;
  for (std::size_t i = 0; i < points.size(); ++i) place[{points[i].point.name, points[i].point.visit}] = i;
  for (const auto& waiting : spool_.waiting()) {
    const auto [at, is_new] = place.try_emplace({waiting.point.name, waiting.point.visit}, points.size());
    if (is_new) {
      points.push_back(waiting);
    } else if (points[at->second].version < waiting.version) {
      points[at->second] = waiting;
    }
  }
  return stored;
}

std::vector<std::string> Store::spooled_before() const {
  std::vector<std::string> uuids;
  for (const auto& waiting : spool_.waiting()) uuids.push_back(waiting.uuid);
  return uuids;
}

std::vector<std::string> Store::shots_spooled_before() const {
  std::vector<std::string> uuids;
  for (const auto& waiting : spool_.waiting_shots()) uuids.push_back(waiting.uuid);
  return uuids;
}

std::vector<std::string> Store::damage() const {
  std::vector<std::string> out = spool_.damage();
  for (std::string& sentence : book_.unreadable()) out.push_back(std::move(sentence));
  if (std::string note = book_.journal_note(); !note.empty()) out.push_back(std::move(note));
  if (!open_damage_.empty()) out.push_back(open_damage_);
  return out;
}

std::optional<occupation::StoredPoint> Store::left_open(const std::vector<occupation::StoredPoint>& known) {
  auto left = open_stay_.left();
  if (!left) {
    open_damage_ = left.error().text;
    return std::nullopt;
  }
  if (!*left) return std::nullopt;
  const occupation::Point& point = (*left)->point;
  const bool is_known = std::any_of(known.begin(), known.end(), [&point](const auto& other) {
    return other.point.name == point.name && other.point.visit == point.visit;
  });
  if (!is_known) return std::move(*left);
  open_stay_.forget();
  return std::nullopt;
}

void Store::start(StoreNews news) {
  news_ = std::move(news);
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
    lasting_.push_back(std::move(row));
  }
  wake_.notify_all();
}

void Store::save_open(std::optional<occupation::StoredPoint> point) {
  {
    const std::lock_guard lock(mutex_);
    open_ = std::move(point);
    open_changed_ = true;
  }
  wake_.notify_all();
}

void Store::submit(pointbook::Event event) {
  submit(Row([event = std::move(event)](pointbook::Book& book) { return book.append(event); }));
}

void Store::submit(pointbook::Event event, std::function<void(const Result<void>&)> done) {
  const bool taken = submit(Row([event = std::move(event), done](pointbook::Book& book) {
    auto stored = book.append(event);
    if (stored) done({});
    if (!stored && stored.error().fault == pointbook::Fault::refused) done(fail(stored.error().text));
    return stored;
  }));
  if (!taken) done(fail("too much waits for the pointbook already; try again when it is stored"));
}

void Store::submit(pointbook::AntennaSetup setup) {
  submit(Row([setup = std::move(setup)](pointbook::Book& book) { return book.append(setup); }));
}

bool Store::submit(Row row) {
  {
    const std::lock_guard lock(mutex_);
    if (rows_.size() >= kMostRows) {
      if (rows_dropped_++ == 0) spdlog::warn("the pointbook is behind: events are left out of it");
      return false;
    }
    rows_.push_back(std::move(row));
  }
  wake_.notify_all();
  return true;
}

bool Store::is_full() const {
  const std::lock_guard lock(mutex_);
  return lasting_.size() >= kMostWaiting;
}

void Store::drain(std::function<void()> done) {
  {
    const std::lock_guard lock(mutex_);
    drained_ = std::move(done);
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

bool Store::has_work() const {
  return !lasting_.empty() || !rows_.empty() || open_changed_ ||
         spool_.waiting().size() + spool_.waiting_shots().size() > refused_.size();
}

void Store::run() {
  std::unique_lock lock(mutex_);
  while (!stop_) {
    if (!lasting_.empty() && (!spool_failing_ || Clock::now() >= next_try_)) spool_new(lock);
    // Never forgotten before the point that took its place is safe.
    if (open_changed_ && lasting_.empty()) save_open_stay(lock);
    if (Clock::now() >= next_try_) {
      lock.unlock();
      store_spooled();
      lock.lock();
      store_rows(lock);
    }
    if (drained_ && !has_work()) std::exchange(drained_, nullptr)();
    if (stop_) return;
    if (!has_work()) {
      wake_.wait(lock, [this] { return stop_ || drained_ || open_changed_ || !lasting_.empty() || !rows_.empty(); });
    } else {
      const auto news = [this] { return stop_ || (!spool_failing_ && (open_changed_ || !lasting_.empty())); };
      wake_.wait_until(lock, next_try_, news);
    }
  }
}

// These first, and before anything that may have to wait for another program: a client is waiting for the answer.
void Store::spool_new(std::unique_lock<std::mutex>& lock) {
  while (!lasting_.empty() && !stop_) {
    const Lasting row = lasting_.front();
    lock.unlock();
    const auto done = std::visit([this](const auto& one) { return spool_.append(one); }, row);
    spool_failing_ = !done;
    news_.spooled(std::visit([](const auto& one) { return one.uuid; }, row), done);
    if (!done) went_wrong({pointbook::Fault::disk, done.error().text});
    lock.lock();
    if (!done) return;
    lasting_.pop_front();
  }
}

void Store::save_open_stay(std::unique_lock<std::mutex>& lock) {
  const std::optional<occupation::StoredPoint> point = std::exchange(open_, std::nullopt);
  open_changed_ = false;
  lock.unlock();
  if (!point) {
    open_stay_.forget();
  } else if (const auto done = open_stay_.save(*point); !done) {
    if (!std::exchange(open_failed_, true)) spdlog::warn("{}", done.error().text);
  } else {
    open_failed_ = false;
  }
  lock.lock();
}

void Store::store_spooled() {
  // Copies: what is stored leaves the spool's lists.
  if (store_all(std::vector(spool_.waiting()))) store_all(std::vector(spool_.waiting_shots()));
}

/// False when the pointbook must be tried again later.
template <class One>
bool Store::store_all(const std::vector<One>& waiting) {
  for (const One& row : waiting) {
    if (refused_.contains(row.uuid)) continue;
    const auto done = book_.append(row);
    if (!done && done.error().fault == pointbook::Fault::refused) {
      spdlog::error("the pointbook does not take {}: {} It stays in the spool.", title_of(row), done.error().text);
      refused_.insert(row.uuid);
      continue;
    }
    if (!done) {
      went_wrong(done.error());
      return false;
    }
    if (auto settled = spool_.settle(row.uuid); !settled) {
      went_wrong({pointbook::Fault::disk, settled.error().text});
      return false;
    }
    news_.stored(row.uuid);
    went_well();
  }
  return true;
}

void Store::store_rows(std::unique_lock<std::mutex>& lock) {
  while (!rows_.empty() && !stop_ && lasting_.empty() && Clock::now() >= next_try_) {
    const Row row = rows_.front();
    lock.unlock();
    const auto done = row(book_);
    const bool settled = done || done.error().fault == pointbook::Fault::refused;
    if (!done && settled) spdlog::error("the pointbook does not take an event: {}", done.error().text);
    settled ? went_well() : went_wrong(done.error());
    lock.lock();
    if (settled) rows_.pop_front();
  }
}

void Store::went_well() {
  wrong_since_.reset();
  backoff_ = kFirstBackoff;
  next_try_ = {};
  if (std::exchange(told_waiting_, false)) news_.waiting("");
}

void Store::went_wrong(const pointbook::StoreError& error) {
  const auto now = Clock::now();
  if (!wrong_since_) {
    wrong_since_ = now;
    spdlog::warn("the pointbook waits: {}", error.text);
  }
  next_try_ = now + backoff_;
  backoff_ = std::min(backoff_ * 2, kLongestBackoff);
  if (now - *wrong_since_ < kPatience || told_waiting_) return;
  told_waiting_ = true;
  news_.waiting(error.fault == pointbook::Fault::busy
                    ? "Another program holds the pointbook; points and checks are safe in the spool and wait."
                    : "Points wait: " + error.text);
}

}  // namespace stillpoint::daemon
