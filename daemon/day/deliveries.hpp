#pragma once
/// Points and check shots on their way from the session to the pointbook: where each one is, and who waits to be told
/// that it is safe.
///
/// Order:   each goes to the store once the record has synced the command it came from (`handover.hpp`).
/// Time:    `stored_at` is the machine's UTC. Threads: the I/O thread.
/// Errors:  whoever waits is told in a sentence that something is measured but not yet safe.

#include <cstddef>
#include <cstdint>
#include <functional>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "day/handover.hpp"
#include "keeping/catalogue.hpp"
#include "pointbook/book.hpp"
#include "session/status.hpp"

namespace stillpoint::daemon {

using PointDone = std::function<void(const Result<occupation::StoredPoint>&)>;

class Deliveries {
 public:
  using ShotDone = std::function<void(const Result<void>&)>;
  /// What takes them.
  struct To {
    std::function<void(occupation::StoredPoint)> point;
    std::function<void(pointbook::CheckShot)> shot;
  };
  Deliveries(Handover handover, To to);
  /// Where other things for the store wait with them.
  Handover& handover() noexcept { return handover_; }

  /// Points of earlier days, and which rows still wait in the spool.
  void know(std::vector<occupation::StoredPoint> points, const std::vector<std::string>& spooled,
            const std::vector<std::string>& spooled_shots);
  /// Adds a point that the pointbook has; false: another one has its name, visit and version.
  bool learn(occupation::StoredPoint stored);

  /// `uuid`: empty for a new one. `done` is called once it is safe, or when it is not; null: nobody waits.
  void submit(occupation::StoredPoint stored, PointDone done, std::string uuid = {});
  void submit(pointbook::CheckShot shot, ShotDone done, std::string uuid = {});

  /// The spool has it. Whoever waits for it is told with `answer`. The point, where it still is the newest version.
  const occupation::StoredPoint* spooled(const std::string& uuid);
  void stored(const std::string& uuid);
  bool is_awaited(const std::string& uuid) const { return points_done_.contains(uuid) || shots_done_.contains(uuid); }
  /// Tells whoever waits for it that it is safe, or why it is not.
  void answer(const std::string& uuid, const Result<void>& done);

  /// Nothing is in memory alone.
  bool are_all_safe() const;
  /// How many are not yet in the pointbook.
  std::size_t waiting() const noexcept { return on_the_way_.size(); }
  const Catalogue& points() const noexcept { return points_; }
  session::StoreStatus status() const noexcept { return {spooled_, stored_, on_the_way_.size()}; }

 private:
  const occupation::StoredPoint* newest(const std::string& uuid) const;

  Handover handover_;
  To to_;
  Catalogue points_;
  std::map<std::string, PointDone> points_done_;  ///< by uuid: who waits for a point to be safe
  std::map<std::string, ShotDone> shots_done_;    ///< the same for check shots
  std::map<std::string, Storage> on_the_way_;     ///< every version and check shot not yet stored
  std::set<std::string> shots_on_the_way_;        ///< those of them that are check shots
  std::uint64_t spooled_ = 0, stored_ = 0;        ///< points
};

}  // namespace stillpoint::daemon
