#pragma once
/// A stay on a control mark: how it is asked for, what it came to, and what it proves.
///
/// Units:   metres. Time: the receiver's. Threads: values.
/// Errors:  a shot that cannot be compared is a check that did not pass, with its sentence.

#include <optional>
#include <string>
#include <vector>

#include "control/base_proof.hpp"
#include "control/compare.hpp"
#include "control/diagnosis.hpp"
#include "control/marks.hpp"
#include "control/shot.hpp"
#include "occupation/point.hpp"

namespace stillpoint::session {

/// How a mark is occupied.
struct CheckCommand {
  bool closing = false;  ///< meant as the last of the day: only its name in the pointbook
  std::string turn{};    ///< `N` `E` `S` `W`: one stay of a turn test, the pole facing there; empty: a check
};

/// A stay on a mark, and what it came to.
struct FinishedCheck {
  control::Mark mark;
  std::string kind;  ///< `opening`, `due`, `extra`, `closing`; `turn`: no check, but a stay of a turn test
  occupation::Point point;
  std::optional<control::Residual> residual;  ///< empty: nothing could be compared
  control::Verdict verdict;
  control::Diagnosis diagnosis;              ///< of a check that did not pass
  std::vector<control::Overlap> overlaps{};  ///< with shots on the same mark under other sources
  std::optional<control::Turn> turn{};       ///< the turn test that this stay completed
};

/// The check as a proof of the source's frame; empty: it did not pass, or was none.
std::optional<control::PassedShot> passed_shot(const FinishedCheck& done);

/// What proves a day that is closed now.
struct Proof {
  std::string mark, text;
  std::optional<UtcTime> utc;
};

/// Whether the day can be closed now.
struct Closing {
  std::vector<std::string> why_not;  ///< whatever of the session's own speaks against it; one sentence each
  std::optional<Proof> proof;        ///< what proves the day; nothing without marks, or while something speaks against
};

/// A verdict without a comparison, and why there is none.
control::Verdict no_check(const std::string& why);

/// A check that was compared, as it is written down; its uuid and when it was stored are the storer's.
control::CheckShot shot_of(const FinishedCheck& check);

}  // namespace stillpoint::session
