#pragma once
/// `--merge`: several crews' pointbooks as one new one. Nothing of any of them is lost, changed in its numbers or
/// counted twice.
///
/// Rule:   a point is known by the uuid of its first version. The same row in two books (equal content, by SHA-256) is
///         taken once. Equal names of different points are both kept: the later one gets the next free visit number,
///         which is the one thing about it that changes, and the pair is listed. Versions made in two copies of one
///         point follow each other in the order in which they were stored, and are listed.
/// Errors: sentences on stderr; exit status 0 merged, 1 merged with conflicts that are listed, 2 usage or books that do
///         not belong together (frames, training and live), 3 cannot write, 4 unreadable or damaged.

#include "options.hpp"

namespace stillpoint::reduce {

int merge(const Options& options);

}  // namespace stillpoint::reduce
