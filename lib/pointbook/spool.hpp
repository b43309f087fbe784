#pragma once
/// A small synced log in front of the pointbook: a point is acknowledged once it is here, even while a GIS holds the book.
///
/// Durable: `append` returns after fdatasync; a torn last entry (length and SHA-256 checked) is ignored at start.
/// Threads: one spool, one thread.

#include <memory>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "occupation/point.hpp"

namespace stillpoint::pointbook {

/// A stored point as bytes that read back to the same value, bit for bit.
std::string encode(const occupation::StoredPoint& point);
Result<occupation::StoredPoint> decode_stored_point(std::string_view bytes);

class Spool {
 public:
  /// Opens or creates `<pointbook path>.spool` and reads what is waiting in it.
  static Result<Spool> open(const std::string& path);
  Spool(Spool&&) noexcept;
  Spool& operator=(Spool&&) noexcept;
  ~Spool();

  /// Points appended and not yet settled, oldest first.
  const std::vector<occupation::StoredPoint>& waiting() const noexcept;
  Result<void> append(const occupation::StoredPoint& point);
  /// The pointbook has it: forget it here. The file is emptied when nothing waits.
  Result<void> settle(const std::string& uuid);

 private:
  struct State;
  explicit Spool(std::unique_ptr<State> state) noexcept;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::pointbook
