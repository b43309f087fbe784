#pragma once
/// The open stay as it stands, saved every few seconds beside the pointbook, so that a crash or an empty battery costs
/// at most those seconds: at the next start it becomes a held point.
///
/// File:    `<pointbook>.open`: a line `stillpoint-open 1 SHA-256` and the encoded point. It is replaced as a whole:
///          the new one is synced under another name first, and then takes the name.
/// Threads: the store thread, and `left` before it starts.
/// Errors:  sentences. What does not agree with its SHA-256, or is no ordinary file, is set aside as `.open.damaged`
///          and told.

#include <optional>
#include <string>

#include "base/result.hpp"
#include "occupation/point.hpp"
#include "pointbook/disk.hpp"

namespace stillpoint::daemon {

class OpenStay {
 public:
  explicit OpenStay(const std::string& pointbook, pointbook::Disk& disk = pointbook::system_disk())
      : disk_(disk), path_(pointbook + ".open") {}

  Result<void> save(const occupation::StoredPoint& point);
  /// The stay has ended: there is nothing to come back to. When it fails, it would come back at the next start.
  Result<void> forget();
  /// What the run before left behind; the file stays until `forget`.
  Result<std::optional<occupation::StoredPoint>> left() const;

 private:
  tl::unexpected<Error> set_aside() const;

  pointbook::Disk& disk_;
  std::string path_;
};

/// The same for a program that only looks: nothing where there is none, or none that can be read.
std::optional<occupation::StoredPoint> open_stay_in(const std::string& pointbook);

}  // namespace stillpoint::daemon
