#pragma once
/// A pole that was another one than was said: the points that were measured on it, and the file with which the office
/// computes them again.
///
/// File:    `<pointbook>.pole-<since>.toml`, as `stillpoint-office redo` reads it (config/redo.hpp). It covers whole
///          stays, from the first that the wrong pole was on to the last.
/// Units:   metres above the mark. Time: UTC of the receiver. Threads: plain functions.
/// Errors:  sentences.

#include <string>
#include <vector>

#include "config/settings.hpp"
#include "keeping/catalogue.hpp"

namespace stillpoint::daemon {

/// What is said of the pole.
struct PoleAsked {
  config::Antenna antenna;
  UtcTime since;
  std::string reason, by;
};

/// The points that it was wrong for, accepted and held ones. Refused when they were not all measured on one height: then
/// nobody can tell which of them is meant.
Result<std::vector<const CatalogueEntry*>> measured_on_another(const Catalogue& points, double antenna_height_m,
                                                               UtcTime since);

/// The version that is held for it; nothing where it is held so already.
std::optional<occupation::StoredPoint> held_for_antenna(const CatalogueEntry& entry, double antenna_height_m,
                                                        const PoleAsked& asked);

/// `until` is exclusive.
struct Span {
  UtcTime from, until;
};
std::string redo_file_of(const std::string& pointbook, UtcTime since);
std::string redo_text_of(const PoleAsked& asked, const Span& span);

}  // namespace stillpoint::daemon
