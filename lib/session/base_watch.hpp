#pragma once
/// The base that corrections come from: which one it is, how far away, whether it changed, and in which frame it
/// believes that it stands. Not for other rooms.
///
/// Rule:    what is told here is of seconds that rest on the base's corrections (fixed and float ones). The frame is
///          proven by the mark with the status `base` nearest to where the base says that it stands, within a kilometre.
///          A base that is worked out near the rover proves nothing: it says so of itself, or keeps its number and moves
///          by more than ten metres to a place within a kilometre of the rover.
/// Checks:  where the base's place proves nothing, a check proves the frame that passed on corrections of this base
///          under this source. What the base contradicts, no check proves.
/// Units:   metres. Time: the session's. Threads: the session's.
/// Errors:  what cannot be compared is open, with its sentence.

#include <optional>
#include <string>
#include <utility>

#include "control/base_proof.hpp"
#include "control/marks.hpp"
#include "corrections/stream_watch.hpp"
#include "gate/judge.hpp"
#include "geodesy/transfers.hpp"
#include "session/alert_board.hpp"
#include "session/basis.hpp"

namespace stillpoint::session {

class BaseWatch {
 public:
  /// `basis` must outlive the watch.
  explicit BaseWatch(const Basis& basis) noexcept : basis_(&basis) {}

  /// The base changed. What it was is told; `rests`: the newest second rests on its corrections.
  void note_change(const corrections::BaseChange& change, const Moment& moment, bool rests);
  /// What is known of it now; with the newest second, whose place is the rover's.
  void note(const corrections::StreamWatch& watch, const gate::Judged* last);
  /// Proves the frame anew when base or source are others. True: the answer is another one.
  bool prove(const control::Marks& marks, const gate::Judged& judged);

  /// A check passed under its source. True: it says more of the frame than was known.
  bool prove(const control::PassedShot& shot, const occupation::Point& point);

  /// The sentence about the last change.
  const std::string& change_text() const noexcept { return change_.whole; }
  const std::string& proof_text() const noexcept { return proof_.text; }
  FrameProofState proof_state() const noexcept { return proof_.state; }
  /// What the base means for a point that is finished now.
  void say(occupation::Point& point) const;
  void look(const Moment& moment, AlertBoard& board) const;
  void fill(std::optional<BaseStatus>& told) const;

  /// A second whose position rests on the corrections of a base.
  static bool rests_on_base(const gate::Judged& judged) noexcept;

 private:
  struct Proof {
    FrameProofState state = FrameProofState::open;
    std::string text;
    std::string source;  ///< of which it is the frame
  };
  struct Checked {
    int station = 0;
    std::string source, text;
  };
  const config::Source* source_named(const std::string& name) const;
  Result<geodesy::Transfers*> transfers();
  /// What a check says where the base says nothing.
  void take_check(Proof& proof) const;
  bool is_virtual() const noexcept { return base_ && (base_->is_computed || has_followed_); }
  Proof proof_of(const control::Marks& marks, const config::Source& source, UtcTime utc);

  const Basis* basis_;
  std::optional<int> station_;
  std::optional<corrections::Base> base_;
  std::optional<double> distance_m_;
  std::optional<double> moved_m_;  ///< the last time that it kept its number
  bool has_followed_ = false;      ///< the rover
  std::optional<SteadyTime> changed_;
  AlertText change_;
  std::optional<std::pair<corrections::Base, std::size_t>> tried_;  ///< base and source of the proof
  Proof proof_;
  std::optional<Checked> checked_;               ///< the newest check that proves the frame
  std::optional<geodesy::Transfers> transfers_;  ///< opened with the first proof
};

}  // namespace stillpoint::session
