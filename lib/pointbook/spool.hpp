#pragma once
/// A small synced log in front of the pointbook: a point or a check shot is acknowledged once it is here, even while a
/// GIS holds the book.
///
/// File:    `stillpoint-spool 1` and LF, then entries. Each has a line of 99 characters (`SP1`, kind, length, SHA-256
///          of the body, and sixteen digits of the SHA-256 of the line so far), the body, and LF. Kind `P` holds an
///          encoded point, kind `C` an encoded check shot, kind `S` the uuid of one that the pointbook has. Unknown
///          bytes are searched for the next whole line.
/// Time:    none.
/// Threads: one spool, one thread; the file is locked.
/// Errors:  sentences. Damage is told in `damage`, the file as it was found is kept as `<spool>.damaged-<hash>`, and
///          the other entries count; so is an entry cut short at the end, although most often it was never
///          acknowledged.
/// Gone:    `append` asks first whether the open file still has its name. When it was deleted or replaced, that entry
///          is refused; the next one makes the spool anew with everything that waits, and `damage` says so, unless
///          another file has the name, which is left alone.
/// Durable: `append` returns after fdatasync. `settle` is not synced: what comes back after a power cut is already in
///          the pointbook, which knows it by its uuid.

#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "occupation/point.hpp"
#include "pointbook/book.hpp"
#include "pointbook/disk.hpp"

namespace stillpoint::pointbook {

/// A stored point as bytes that read back to the same value, bit for bit.
std::string encode(const occupation::StoredPoint& point);
Result<occupation::StoredPoint> decode_stored_point(std::string_view bytes);
std::string encode(const CheckShot& shot);
Result<CheckShot> decode_check_shot(std::string_view bytes);

/// What waits in the spool of a pointbook, for who only looks; nothing where there is none, or none of ours.
struct Waiting {
  std::vector<occupation::StoredPoint> points;
  std::vector<CheckShot> shots;
};
Waiting waiting_in(const std::string& path);

class Spool {
 public:
  /// Opens or creates `<pointbook path>.spool` and reads what is waiting in it. `path` is the pointbook's.
  static Result<Spool> open(const std::string& path, Disk& disk = system_disk());
  Spool(Spool&&) noexcept;
  Spool& operator=(Spool&&) noexcept;
  ~Spool();

  /// Points appended and not yet settled, oldest first.
  const std::vector<occupation::StoredPoint>& waiting() const noexcept;
  /// The same for check shots.
  const std::vector<CheckShot>& waiting_shots() const noexcept;
  /// One sentence for each damaged stretch found at `open`, and for each time that the file was made anew since.
  const std::vector<std::string>& damage() const noexcept;

  /// When it fails, nothing is acknowledged and the file is as before. A uuid that already waits is left as it is.
  Result<void> append(const occupation::StoredPoint& point);
  Result<void> append(const CheckShot& shot);
  /// Forgets a row that the pointbook has. The file is emptied when nothing waits. After a failure the row still waits,
  /// here and at the next start: try again.
  Result<void> settle(const std::string& uuid);

 private:
  struct State;
  explicit Spool(std::unique_ptr<State> state) noexcept;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::pointbook
