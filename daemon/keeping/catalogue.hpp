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
};

class Catalogue {
 public:
  void put(occupation::StoredPoint point, Storage storage);
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
};

/// What a hand decides about a point.
struct Decision {
  std::string name;
  std::optional<int> visit{};  ///< empty: the newest
  bool accept = false;
  bool sure = false;  ///< told that the wanted error is missed, they said so again
  std::string reason{}, by{};
};

/// The version that accepts or rejects a held point; its uuid and time are still to be filled in.
Result<occupation::StoredPoint> resolved(const CatalogueEntry& entry, const Decision& decision);

/// Held, and its error at 95 % is above either of these.
bool misses_error(const CatalogueEntry& entry, double horizontal_m, double vertical_m);

/// The new version that a later visit causes; nothing where a person has already decided.
std::optional<occupation::StoredPoint> reconsidered(const CatalogueEntry& entry, const occupation::Point& point,
                                                    const std::string& why);

}  // namespace stillpoint::daemon
