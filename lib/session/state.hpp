#pragma once
/// The inside of a `Session`: what remembers something, and how an epoch passes along it. Not for other rooms.

#include <string>
#include <utility>
#include <vector>

#include "session/alert_board.hpp"
#include "session/basis.hpp"
#include "session/checks.hpp"
#include "session/corrections_of_day.hpp"
#include "session/link.hpp"
#include "session/live_stay.hpp"
#include "session/notices.hpp"
#include "session/planned_visits.hpp"
#include "session/repeats.hpp"
#include "session/session.hpp"
#include "session/stream.hpp"
#include "session/tick_grid.hpp"

namespace stillpoint::session {

struct Session::State {
  State(const config::Settings& settings, geodesy::Frames frames, const Options& options);

  // session.cpp
  void advance(SteadyTime to) {
    grid.run(to, [this] { tick(); });
  }
  void tick();
  void on_bytes(SteadyTime arrived);
  void on_sentence(std::string_view body, const nmea::Decoded& decoded, SteadyTime arrived);
  void on_epoch(const gate::Judged& judged);
  void end_stream();
  void interrupt_stays(occupation::CutOff cut_off, const std::string& why);
  void go_on();
  void begin_live(occupation::Stand stand, const std::optional<Again>& computed_anew);
  void finish_live(occupation::CutOff cut_off, const std::string& why);
  void finish_check(occupation::CutOff cut_off, const std::string& why);
  /// Why no stay can begin now; empty: one can.
  std::string why_no_stay() const;
  /// Why a new name will not do, or what has to be asked about it; empty: it will. `but`: a known one, no longer meant.
  std::optional<CommandResult> unfit_name(const std::string& name, bool is_new, const std::string& but = {}) const;
  /// With the receiver's time; while nothing is heard of it, what has passed since by our own clock is put on.
  Moment moment() const;
  void note_event(const std::string& kind, const std::string& text) { note(out, moment(), kind, text); }

  // look.cpp
  /// Looks at every condition that raises an alert.
  void look();
  void look_by_time();
  void look_at_corrections(const CorrectionsWatch::Look& look);
  void look_at_feed(const Moment& moment, Hearing hearing);
  /// Makes the next tick look at every condition: something happened that time alone would not have changed.
  void stir() noexcept { board.expect(grid.now().ms); }
  void tell_change(AlertKind kind, AlertText text, const std::string& what);

  // report.cpp
  void fill_epoch(EpochStatus& shown) const;
  void fill_feed(Status& status) const;
  void fill_verdict(Status& status) const;
  void fill_occupation(OccupationStatus& told) const;

  Basis basis;
  double antenna_height_m = 0;
  TickGrid grid{kTickMs};
  Link link;
  Stream stream;
  AlertBoard board;
  Notices notices;
  CorrectionsOfDay corrections;
  Initialization initialization;
  Repeats repeats;
  PlannedVisits planned;
  LiveStay live;
  Checks checks;
  Outputs out;
  std::optional<std::vector<std::string>> notes;  ///< of the frames, said once a day; empty: no epoch has counted yet
};

}  // namespace stillpoint::session
