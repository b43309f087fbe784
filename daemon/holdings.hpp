#pragma once
/// What lies on the disk and only one daemon can have: the record's folder, the pointbook and its spool.
///
/// Threads: the I/O thread. Time: none. Errors: one sentence each.

#include <memory>
#include <optional>

#include "config/settings.hpp"
#include "geodesy/frames.hpp"
#include "keeping/pair_catalogue.hpp"
#include "keeping/store.hpp"
#include "pointbook/lock_file.hpp"
#include "session/session.hpp"

namespace stillpoint::daemon {

class Holdings {
 public:
  explicit Holdings(const config::Project& project) : project_(project), pairs_(project.record) {}

  Result<void> take(const geodesy::Frames& frames, bool training);
  PairCatalogue& pairs() noexcept { return pairs_; }
  Store& store() noexcept { return *store_; }
  /// What speaks for the errors claimed.
  Result<std::vector<session::PassedCheck>> passed_checks() const;
  /// Names what could be written nowhere; its bytes are in the record. False: something that was measured is lost.
  bool leave();

 private:
  Result<void> take_record();
  Result<void> take_store(const geodesy::Frames& frames, bool training);

  const config::Project& project_;
  std::optional<pointbook::LockFile> record_lock_;
  PairCatalogue pairs_;
  std::unique_ptr<Store> store_;
};

}  // namespace stillpoint::daemon
