#include "holdings.hpp"

#include <spdlog/spdlog.h>

#include <utility>

#include "base/number.hpp"
#include "common/clock.hpp"
#include "common/file.hpp"
#include "common/sentences.hpp"

namespace stillpoint::daemon {

Result<void> Holdings::take(const geodesy::Frames& frames, bool training) {
  if (auto done = take_record(); !done) return done;
  return take_store(frames, training);
}

/// Two daemons in one folder would seal each other's pairs. The lock lies inside, so that it is one under any name.
Result<void> Holdings::take_record() {
  const std::string& folder = project_.record;
  if (auto done = ensure_folder(folder, kSay.record_folder.words()); !done) return done;
  auto lock = pointbook::LockFile::take(folder + "/.lock", kSay.the_record_folder(folder));
  if (!lock) return tl::unexpected(lock.error());
  record_lock_ = std::move(*lock);
  return pairs_.open();
}

Result<void> Holdings::take_store(const geodesy::Frames& frames, bool training) {
  pointbook::Identity identity;
  identity.project = project_.name;
  identity.frame = frames.project_frame();
  identity.frame_wkt = frames.project_frame_wkt();
  identity.frame_is_projected = frames.project_frame_is_projected();
  identity.frame_wkt1 = frames.project_frame_wkt1();
  identity.created_at = utc_now();
  identity.crew = project_.crew;
  if (const auto& contact = project_.contact) {
    identity.contact = {contact->name, contact->organisation, contact->email};
  }
  identity.training = training;
  pointbook::OpenOptions options;
  options.may_be_held = true;
  auto book = pointbook::Book::open(project_.pointbook, identity, options);
  if (!book) return tl::unexpected(book.error());
  if (const std::string note = book->height_note(); !note.empty()) spdlog::info("{}", note);
  auto spool = pointbook::Spool::open(project_.pointbook);
  if (!spool) return tl::unexpected(spool.error());
  store_ = std::make_unique<Store>(std::move(*book), std::move(*spool), pointbook::real_path(project_.pointbook));
  return {};
}

Result<std::vector<session::PassedCheck>> Holdings::passed_checks() const {
  const auto checks = store_->before().checks();
  if (!checks) return tl::unexpected(checks.error());
  std::vector<session::PassedCheck> out;
  for (const pointbook::CheckShot& check : *checks) {
    // What does not say what was claimed proves nothing.
    if (check.passed && check.claim_plan_m2) out.push_back({check.source, check.utc});
  }
  return out;
}

bool Holdings::leave() {
  store_->stop();
  const Store::Lost lost = store_->lost();
  for (const std::string& title : lost.titles) {
    spdlog::error("LOST: {} could not be written ({}); recompute it from the record with stillpoint-reduce", title,
                  lost.why);
  }
  if (lost.rows > 0) {
    spdlog::warn("the pointbook could not be written in time: it lacks {}{}",
                 counted(lost.rows, "event or antenna set-up", "events or antenna set-ups"),
                 lost.titles.empty() ? kSay.points_are_safe.words() : "");
  }
  return lost.titles.empty();
}

}  // namespace stillpoint::daemon
