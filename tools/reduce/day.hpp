#pragma once
/// One recomputation: the stream through the session, the points out as JSON lines and into a pointbook.
///
/// Errors: sentences on stderr, and the exit status to end with.

#include <memory>

#include "config/settings.hpp"
#include "options.hpp"
#include "recompute.hpp"
#include "stream.hpp"

namespace stillpoint::reduce {

/// Whether the epochs of every stay are wanted, whatever the options say.
enum class KeepEpochs : std::uint8_t { no, yes };

struct Computed {
  std::unique_ptr<Recomputation> day;  ///< null: it failed, and that was told
  bool unread = false;                 ///< nothing in the log could be read
  int failed = 0;                      ///< the exit status then
};

/// Computes the points that the options ask for.
Computed compute(const Options& options, const config::Settings& settings, Stream stream, KeepEpochs keep);
/// Prints epochs, points, and what visits come to together. True: every visit gave an accepted point.
bool print_points(const Options& options, Recomputation& day);
/// Prints the last line. 0, or the exit status when nothing can be written.
int print_summary(Recomputation& day);

/// All of it; returns the exit status.
int run(const Options& options, const config::Settings& settings, Stream stream);

}  // namespace stillpoint::reduce
