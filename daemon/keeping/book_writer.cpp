#include "keeping/book_writer.hpp"

#include <spdlog/spdlog.h>

#include <chrono>
#include <utility>

#include "common/sentences.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::chrono::seconds kPatience{3};

}  // namespace

std::string title_of(const occupation::StoredPoint& stored) {
  return stored.point.name + " (visit " + std::to_string(stored.point.visit) + ")";
}
std::string title_of(const pointbook::CheckShot& shot) {
  return kSay.check_on(shot.mark);
}

bool BookWriter::has_work() const {
  const pointbook::Spool& spool = shelves_.spool();
  return spool.waiting().size() + spool.waiting_shots().size() > refused_.size() + unsettled_.size();
}

bool BookWriter::write(const Row& row) {
  const auto done = row(shelves_.book());
  const bool settled = done || done.error().fault == pointbook::Fault::refused;
  if (!done && settled) spdlog::error("the pointbook does not take an event: {}", done.error().text);
  settled ? went_well() : went_wrong(done.error());
  return settled;
}

/// False: the pointbook must be tried again later.
bool BookWriter::read() {
  if (!shelves_.is_unread()) return true;
  if (const auto read = shelves_.book().read(); !read) {
    went_wrong(read.error());
    return false;
  }
  auto points = shelves_.current();
  auto all = shelves_.events();
  if (news_.read)
    news_.read(std::move(points).value_or(std::vector<occupation::StoredPoint>()),
               std::move(all).value_or(std::vector<pointbook::Event>()));
  return true;
}

void BookWriter::store_spooled() {
  // Copies: what is stored leaves the spool's lists.
  if (store_all(std::vector(shelves_.spool().waiting()))) store_all(std::vector(shelves_.spool().waiting_shots()));
}

/// False when the pointbook must be tried again later.
template <class One>
bool BookWriter::store_all(const std::vector<One>& waiting) {
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
bool BookWriter::store_one(const One& row) {
  const auto done = shelves_.book().append(row);
  if (!done && done.error().fault == pointbook::Fault::refused) {
    spdlog::error("the pointbook does not take {}: {} It stays in the spool.", title_of(row), done.error().text);
    refused_.insert(row.uuid);
    return true;
  }
  if (!done) {
    went_wrong(done.error());
    return false;
  }
  settle(row.uuid);
  news_.stored(row.uuid);
  went_well();
  return true;
}

/// A row whose settlement failed comes back from the spool at the next start; the pointbook knows it by its uuid.
void BookWriter::settle(const std::string& uuid) {
  if (const auto settled = shelves_.spool().settle(uuid); !settled) {
    unsettled_.insert(uuid);
    if (settle_retry_.went_wrong()) spdlog::warn("what is stored stays in the spool: {}", settled.error().text);
    return;
  }
  unsettled_.erase(uuid);
  settle_retry_.went_well();
}

void BookWriter::went_well() {
  retry_.went_well();
  if (std::exchange(told_waiting_, false)) news_.waiting("");
}

void BookWriter::went_wrong(const pointbook::StoreError& error) {
  if (retry_.went_wrong()) spdlog::warn("the pointbook waits: {}", error.text);
  if (retry_.wrong_for() < kPatience || told_waiting_) return;
  told_waiting_ = true;
  news_.waiting(error.fault == pointbook::Fault::busy ? kSay.book_held() : kSay.points_wait(error.text));
}

}  // namespace stillpoint::daemon
