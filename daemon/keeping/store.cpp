#include "keeping/store.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <map>

#include "common/sentences.hpp"
#include "common/timers.hpp"
#include "pointbook/reader.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::chrono::milliseconds kFirstBackoff{100};
constexpr std::chrono::milliseconds kLongestBackoff{2000};
constexpr std::chrono::seconds kPatience{3};

std::string title_of(const occupation::StoredPoint& stored) {
  return stored.point.name + " (visit " + std::to_string(stored.point.visit) + ")";
}
std::string title_of(const pointbook::CheckShot& shot) {
  return kSay.check_on(shot.mark);
}

template <class Lasting>
std::string uuid_of(const Lasting& row) {
  return std::visit([](const auto& one) { return one.uuid; }, row);
}

}  // namespace

Store::Store(pointbook::Book book, pointbook::Spool spool, const std::string& pointbook, pointbook::Disk& disk)
    : book_(std::move(book)), spool_(std::move(spool)), open_stay_(pointbook, disk) {}

Store::~Store() {
  stop();
}

Result<std::vector<occupation::StoredPoint>> Store::current() const {
  auto stored = is_unread() ? Result<std::vector<occupation::StoredPoint>>(std::vector<occupation::StoredPoint>())
                            : book_.read_current();
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

Result<std::vector<pointbook::Event>> Store::events() const {
  return is_unread() ? Result<std::vector<pointbook::Event>>(std::vector<pointbook::Event>()) : book_.read_events();
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

Result<Known> Store::known() const {
  Known known;
  if (!is_unread()) {
    const auto stored = book_.read_kept();
    if (!stored) return tl::unexpected(stored.error());
    known = Known(*stored);
  }
  known.add(spool_.waiting(), spool_.waiting_shots());
  return known;
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
  if (const auto forgotten = open_stay_.forget(); !forgotten) open_damage_ = forgotten.error().text;
  return std::nullopt;
}

void Store::start(StoreNews news) {
  news_ = std::move(news);
  told_damage_ = spool_.damage().size();
  thread_ = std::thread([this] { run(); });
}

void Store::submit(occupation::StoredPoint point) {
  submit_lasting(std::move(point));
}

Result<std::vector<pointbook::CheckShot>> Store::checks() const {
  if (is_unread()) return std::vector<pointbook::CheckShot>();
  auto all = book_.read_checks();
  if (!all) return all;
  return pointbook::newest_checks(*all);
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
  Lost out{{}, spool_fault_, rows_dropped_ + rows_.size()};
  for (const Lasting& row : lasting_) {
    out.titles.push_back(std::visit([](const auto& one) { return title_of(one); }, row));
  }
  return out;
}

bool Store::has_work() const {
  return !lasting_.empty() || open_changed_ || book_has_work();
}

bool Store::book_has_work() const {
  return !rows_.empty() ||
         spool_.waiting().size() + spool_.waiting_shots().size() > refused_.size() + unsettled_.size();
}

void Store::run() {
  std::unique_lock lock(mutex_);
  while (!stop_) {
    work(lock);
    if (drained_ && !has_work()) std::exchange(drained_, nullptr)();
    if (!stop_) wait_for_work(lock);
  }
  if (!lasting_.empty()) spool_new(lock);  // the last chance
}

void Store::work(std::unique_lock<std::mutex>& lock) {
  if (std::exchange(try_at_once_, false)) spool_retry_.next = book_retry_.next = open_retry_.next = {};
  if (!lasting_.empty() && spool_retry_.is_due()) spool_new(lock);
  tell_unsafe(lock);
  if (open_changed_ && may_save_open()) save_open_stay(lock);
  if (!book_retry_.is_due()) return;
  lock.unlock();
  const bool may_store = read_book();
  if (may_store) store_spooled();
  lock.lock();
  if (may_store) store_rows(lock);
}

/// False: the pointbook must be tried again later.
bool Store::read_book() {
  if (!book_.is_unread()) return true;
  if (const auto read = book_.read(); !read) {
    book_went_wrong(read.error());
    return false;
  }
  auto points = current();
  auto all = events();
  if (news_.read)
    news_.read(std::move(points).value_or(std::vector<occupation::StoredPoint>()),
               std::move(all).value_or(std::vector<pointbook::Event>()));
  return true;
}

void Store::wait_for_work(std::unique_lock<std::mutex>& lock) {
  if (!has_work() && unsettled_.empty()) {
    return wake_.wait(lock,
                      [this] { return stop_ || drained_ || open_changed_ || !lasting_.empty() || !rows_.empty(); });
  }
  auto next = Clock::now() + kLongestBackoff;
  if (!lasting_.empty()) next = std::min(next, spool_retry_.next);
  if (book_has_work()) next = std::min(next, book_retry_.next);
  if (!unsettled_.empty()) next = std::min(next, settle_retry_.next);
  if (open_changed_ && lasting_.empty()) next = std::min(next, open_retry_.next);
  wake_.wait_until(lock, next, [this] {
    if (stop_ || try_at_once_) return true;
    if (!spool_fault_.empty()) return lasting_.size() > told_unsafe_;
    return !lasting_.empty() || (open_changed_ && may_save_open());
  });
}

// These first, and before anything that may have to wait for another program: a client is waiting for the answer.
void Store::spool_new(std::unique_lock<std::mutex>& lock) {
  while (!lasting_.empty()) {
    const Lasting row = lasting_.front();
    lock.unlock();
    const auto done = std::visit([this](const auto& one) { return spool_.append(one); }, row);
    if (done) news_.spooled(uuid_of(row), done);
    while (told_damage_ < spool_.damage().size()) news_.damaged(spool_.damage()[told_damage_++]);
    lock.lock();
    if (!done) return spool_went_wrong(done.error());
    spool_retry_.went_well();
    spool_fault_.clear();
    lasting_.pop_front();
  }
}

void Store::spool_went_wrong(const Error& error) {
  if (spool_retry_.went_wrong()) spdlog::error("points and checks cannot be written: {}", error.text);
  spool_fault_ = error.text;
  told_unsafe_ = 0;
}

/// Nobody waits for an answer while the disk gives none: those behind the failed one are told as well.
void Store::tell_unsafe(std::unique_lock<std::mutex>& lock) {
  while (!spool_fault_.empty() && told_unsafe_ < lasting_.size()) {
    const std::string uuid = uuid_of(lasting_[told_unsafe_++]);
    const std::string why = spool_fault_;
    lock.unlock();
    news_.spooled(uuid, fail(why));
    lock.lock();
  }
}

void Store::save_open_stay(std::unique_lock<std::mutex>& lock) {
  const std::optional<occupation::StoredPoint> point = open_;
  open_changed_ = false;
  lock.unlock();
  const auto done = point ? open_stay_.save(*point) : open_stay_.forget();
  const bool was_well = !open_retry_.wrong_since;
  if (done) {
    open_retry_.went_well();
    if (!was_well) news_.open_unsaved("");
  } else if (open_retry_.went_wrong()) {
    news_.open_unsaved(done.error().text);
  }
  lock.lock();
  if (!done) open_changed_ = true;  // what is newest by then
}

/// The saved stay is not forgotten before the point that took its place is safe.
bool Store::may_save_open() const {
  return lasting_.empty() && open_retry_.is_due();
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
    if (unsettled_.contains(row.uuid)) {
      if (settle_retry_.is_due()) settle(row.uuid);
    } else if (!store_one(row)) {
      return false;
    }
  }
  return true;
}

template <class One>
bool Store::store_one(const One& row) {
  const auto done = book_.append(row);
  if (!done && done.error().fault == pointbook::Fault::refused) {
    spdlog::error("the pointbook does not take {}: {} It stays in the spool.", title_of(row), done.error().text);
    refused_.insert(row.uuid);
    return true;
  }
  if (!done) {
    book_went_wrong(done.error());
    return false;
  }
  settle(row.uuid);
  news_.stored(row.uuid);
  book_went_well();
  return true;
}

/// A row whose settlement failed comes back from the spool at the next start; the pointbook knows it by its uuid.
void Store::settle(const std::string& uuid) {
  if (const auto settled = spool_.settle(uuid); !settled) {
    unsettled_.insert(uuid);
    if (settle_retry_.went_wrong()) spdlog::warn("what is stored stays in the spool: {}", settled.error().text);
    return;
  }
  unsettled_.erase(uuid);
  settle_retry_.went_well();
}

void Store::store_rows(std::unique_lock<std::mutex>& lock) {
  while (!rows_.empty() && !stop_ && book_retry_.is_due()) {
    if (!lasting_.empty() && spool_retry_.is_due()) return;
    const Row row = rows_.front();
    lock.unlock();
    const auto done = row(book_);
    const bool settled = done || done.error().fault == pointbook::Fault::refused;
    if (!done && settled) spdlog::error("the pointbook does not take an event: {}", done.error().text);
    settled ? book_went_well() : book_went_wrong(done.error());
    lock.lock();
    if (settled) rows_.pop_front();
  }
}

bool Store::Retry::went_wrong() {
  const auto now = Clock::now();
  const bool is_first = !wrong_since;
  if (is_first) *this = {now, {}, scaled(kFirstBackoff)};
  next = now + backoff;
  backoff = std::min(backoff * 2, scaled(kLongestBackoff));
  return is_first;
}

void Store::book_went_well() {
  book_retry_.went_well();
  if (std::exchange(told_waiting_, false)) news_.waiting("");
}

void Store::book_went_wrong(const pointbook::StoreError& error) {
  if (book_retry_.went_wrong()) spdlog::warn("the pointbook waits: {}", error.text);
  if (Clock::now() - *book_retry_.wrong_since < kPatience || told_waiting_) return;
  told_waiting_ = true;
  news_.waiting(error.fault == pointbook::Fault::busy ? kSay.book_held() : kSay.points_wait(error.text));
}

}  // namespace stillpoint::daemon
