#pragma once
/// A correction of a day, written in the office: what was wrong, who says so, and why.
///
/// File:    TOML. `by` and `reason` are required. `[[antenna]]`: the parts as in the configuration, for the stays
///          between `from_utc` and `until_utc` (both may be left out), or between `from_local` and `until_local` by the
///          clocks of the project's zone, or for `points` by their names. `[[source]]`: the name of a source of the
///          configuration and the keys that change, those of `gate` among them. `[[mark]]`: the columns of a marks
///          file.
/// Units:   those of the keys. Times are UTC unless a name says `local`.
/// Threads: plain values.
/// Errors:  every error is one sentence with file, line, key, the value found and what to give; unknown keys are
///          errors.

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/time.hpp"
#include "config/load.hpp"
#include "config/tree.hpp"

namespace stillpoint::config {

/// The antenna as it really stood; the latest one that covers a stay counts.
struct AntennaCorrection {
  std::optional<UtcTime> from, until;  ///< a stay belongs to it from its first to its last second, `until` exclusive
  std::optional<UtcTime> from_local, until_local;   ///< the same as clocks at the place show it
  std::vector<std::pair<std::string, int>> points;  ///< names and visits; empty: whatever was measured in that time
  Antenna antenna;
  int line = 0;
};

/// The columns of one mark as texts, in the order written.
struct MarkCorrection {
  std::vector<std::pair<std::string, std::string>> columns;
  int line = 0;
};

struct Redo {
  std::string path;
  std::string by, reason;
  std::vector<AntennaCorrection> antennas;
  std::vector<Value> sources;  ///< tables with a name and the keys that change
  std::vector<MarkCorrection> marks;
};

struct LoadedRedo {
  Redo redo;  ///< meaningful only when `errors` is empty
  std::vector<Error> errors;
};

/// `path` is used in messages only. Sources are looked at when they are laid over a configuration.
LoadedRedo parse_redo(std::string_view toml_text, const std::string& path);

/// The configuration as it should have been: the sources of each redo laid over those of the file, in turn.
Loaded load_corrected(const std::string& path, std::span<const Redo> redos);

}  // namespace stillpoint::config
