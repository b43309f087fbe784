#pragma once
/// `--redo`: the day computed again after a human mistake, as new versions beside the old.
///
/// Rule:   first the record must give what the field stored. Then the corrections of every earlier redo, which the
///         pointbook keeps, and of this file are applied, and every stay ends where it ended on the day. A point that
///         comes out other than its newest version gets one more. A decision by hand stays: a rejected point stays
///         rejected, a point accepted for reasons that are the same still stays accepted.
/// Errors: sentences on stderr; exit status 0 done or nothing to do, 1 the record does not give the field's points, 2
///         usage, configuration or the redo file, 3 cannot write (a daemon holds the pointbook), 4 unreadable.

#include "config/settings.hpp"
#include "options.hpp"

namespace stillpoint::reduce {

int redo(const Options& options, const config::Settings& settings);

}  // namespace stillpoint::reduce
