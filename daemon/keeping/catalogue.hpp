#pragma once
/// The newest version of every point, in memory, with how safe each is: what `points` lists and `resolve` works on.
///
/// Threads: the I/O thread. Errors: sentences.

#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/result.hpp"
#include "occupation/point.hpp"

namespace stillpoint::daemon {

enum class Storage : std::uint8_t { memory, spooled, stored };
/// `waiting` `spooled` `stored`
std::string_view to_word(Storage storage) noexcept;

struct CatalogueEntry {
  occupation::StoredPoint stored;  ///< without epochs
  Storage storage = Storage::memory;
  /// Who gave it its status and why, where a version did; one that only calls it otherwise decides nothing.
  std::string decided_by{}, decided_why{};
};

class Catalogue {
 public:
  /// In the place of the version that it supersedes, or of its name and visit.
  void put(occupation::StoredPoint point, Storage storage);
  /// What is in the place of a version that was put here before; null: nothing, or that version still.
  const CatalogueEntry* successor_of(const std::string& uuid) const;
  /// Marks a version; versions that were superseded meanwhile are no longer known, which is fine.
  void mark(const std::string& uuid, Storage storage);
  /// Without a visit: the newest. Null: there is none.
  const CatalogueEntry* find(const std::string& name, std::optional<int> visit) const;
  /// Null: there is none, or it was superseded.
  const CatalogueEntry* find_version(const std::string& uuid) const;
  const std::vector<CatalogueEntry>& entries() const noexcept { return entries_; }

 private:
  std::vector<CatalogueEntry> entries_;  ///< oldest first
  std::map<std::pair<std::string, int>, std::size_t> place_;
  std::map<std::string, std::size_t> by_uuid_;
  std::map<std::string, std::size_t> replaced_;  ///< by uuid
};

/// What a hand decides about a point.
struct Decision {
  std::string name;
  std::optional<int> visit{};  ///< empty: the newest
  bool accept = false;
  bool sure = false;  ///< told that the wanted error is missed, they said so again
  std::string reason{}, by{};
};

/// What a hand puts right about a point: how it is called, and why. The visit is the one it got.
struct Amendment {
  occupation::Called called;
  std::string reason{}, by{};
};

/// Why nothing can be done about a point that is not there.
std::string missing_point(const std::string& name, std::optional<int> visit);

/// The version after this one, still as it is; its uuid and time are to be filled in.
occupation::StoredPoint next_version(const CatalogueEntry& entry, const std::string& by, const std::string& reason);

/// The version that is called so; its uuid and time are still to be filled in.
occupation::StoredPoint amended(const CatalogueEntry& entry, const Amendment& amendment);

/// The version that accepts or rejects a held point; its uuid and time are still to be filled in.
Result<occupation::StoredPoint> resolved(const CatalogueEntry& entry, const Decision& decision);

/// Held, and its error at 95 % is above either of these.
bool misses_error(const CatalogueEntry& entry, double horizontal_m, double vertical_m);

/// The new version that a later visit or the stays of an offset point cause; nothing where a person has already decided
/// and no stay is called otherwise.
std::optional<occupation::StoredPoint> reconsidered(const CatalogueEntry& entry, const occupation::Point& point,
                                                    const std::string& why);

}  // namespace stillpoint::daemon
