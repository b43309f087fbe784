#pragma once
/// The inside of a `Session`: what the files of this room share. Not for other rooms.

#include <array>
#include <limits>
#include <map>
#include <set>
#include <utility>

#include "corrections/monitor.hpp"
#include "epoch/fingerprint.hpp"
#include "epoch/repetition.hpp"
#include "estimate/guidance.hpp"
#include "gate/judge.hpp"
#include "occupation/occupation.hpp"
#include "session/alert_board.hpp"
#include "session/session.hpp"

namespace stillpoint::session {

struct Session::State {
  State(const config::Settings& given, geodesy::Frames given_frames, const Options& given_options)
      : settings(given),
        frames(std::move(given_frames)),
        options(given_options),
        matcher(settings.sources),
        judge(settings.sources),
        monitor(settings.gap_s()) {}

  config::Settings settings;
  geodesy::Frames frames;
  Options options;
  double antenna_height_m = 0;

  nmea::Framer framer;
  nmea::Decoder decoder;
  epoch::Assembler assembler;
  gate::Matcher matcher;
  gate::Judge judge;
  corrections::Monitor monitor;
  AlertBoard board;
  /// Before it, only commands and sentences that say something else than those before can bring or end an alert: ticks
  /// need not look.
  std::int64_t calm_until_ms = std::numeric_limits<std::int64_t>::min();

  SteadyTime now;
  std::int64_t ticks = 0;  ///< grid points already run
  bool started = false;
  std::optional<SteadyTime> heard;          ///< arrival of the last valid sentence
  std::optional<SteadyTime> bytes_arrived;  ///< of any bytes, readable or not
  std::optional<SteadyTime> opened;         ///< when the feed was opened last
  bool was_quiet = false;                   ///< silent, or without a position, at the last tick
  FeedState feed = FeedState::waiting;
  std::string feed_what;
  std::string standstill;  ///< why nothing is judged until bytes or news of the feed come; empty: it is

  std::array<gate::Judged, 2> judgements;            ///< the newest epoch and the one before, in turn
  const gate::Judged* last = nullptr;                ///< the newest epoch
  std::optional<gate::ReasonText> occupation_fault;  ///< why the occupation did not count it, beyond the gate
  std::optional<std::size_t> last_good_source;
  std::optional<SteadyTime> usable;  ///< when corrections last were fresh or coasting
  /// Something that happened once: its notice is shown for a while. A second one within that time is an occurrence of
  /// its own.
  struct Passing {
    std::optional<SteadyTime> at;
    std::string text;
  };
  Passing source_changed, settings_changed;
  std::vector<Outage> outages;
  std::optional<SteadyTime> out_since;  ///< when corrections stopped being usable
  Outage outage;                        ///< the one that goes on, while `out_since`
  epoch::Fingerprint habits;
  epoch::Repetition repetition;
  int good_epochs = 0;                         ///< in a row since the last silence
  bool silence = false;                        ///< it is over only after some of them
  std::uint64_t fell_away = 0, came_back = 0;  ///< seconds of the live stay, with the newest one
  Passing recounted;                           ///< the sentence about them
  bool jumped = false;                         ///< the newest second of the live stay was set apart as a jump
  std::string jump_text;                       ///< of the last jump
  std::uint64_t epochs = 0, accepted = 0, refused = 0;

  struct Planned {
    PlannedVisit visit;
    std::optional<occupation::Occupation> stay;
    bool done = false;
    std::optional<UtcTime> initialized{};  ///< when the receiver of its first counted epoch had begun
    std::optional<UtcTime> last_utc{};     ///< of the last epoch that fell into it
    bool broken = false;                   ///< silence or a cut since then
    int past_end = 0;                      ///< epochs in a row dated at or after its end
  };
  std::vector<Planned> planned;
  std::vector<std::size_t> by_start;  ///< of `planned`, those without a start first
  std::size_t closed_first = 0;       ///< of `by_start`: all in front are done
  std::size_t begun_first = 0;        ///< of `by_start`: some epoch lay behind the start of those in front
  std::optional<occupation::Occupation> live;
  std::optional<Again> live_anew;  ///< of a live stay that is computed anew
  bool live_enough_told = false;
  /// The sentences about the live stay, and what they were made for.
  struct Words {
    std::string advice;
    std::vector<std::string> facts{};
    std::vector<occupation::HoldReason> keep_why{};
    std::vector<std::string> keep_texts{};
    SteadyTime newest{};  ///< arrival of the newest epoch then
    bool begun = false, enough = false, unresolved = false;
  };
  mutable std::optional<Words> words;
  std::optional<UtcTime> live_initialized;  ///< as `Planned::initialized`
  struct Initialization {
    std::optional<UtcTime> since;
    Quality quality = Quality::none;
    std::optional<std::size_t> source;
    std::optional<int> station;
    std::optional<std::int64_t> stream_ms;  ///< of the newest epoch
  };
  Initialization initialization;
  std::map<std::string, UtcTime> visited_until;                  ///< name to the end of its newest visit
  std::map<std::string, int> known;                              ///< name to its newest visit
  std::set<std::pair<std::string, int>> decided;                 ///< visits about which a hand has decided
  std::map<std::string, std::vector<occupation::Point>> visits;  ///< by name, as they are by now
  Checks checks;
  Outputs out;
  std::vector<std::string> notes;
  bool notes_made = false;

  // session.cpp
  void on_bytes(SteadyTime arrived);
  void on_sentence(std::string_view body, const nmea::Decoded& decoded, SteadyTime arrived);
  void on_epoch(const epoch::Epoch& epoch);
  void observe_planned(const gate::Judged& judged);
  void observe_planned(Planned& planned, std::size_t index, const gate::Judged& judged);
  void observe_live(const gate::Judged& judged);
  void note_elsewhere(const occupation::Observed& observed);
  void end_live_by_itself();
  double live_height_m() const noexcept {
    return live_anew ? live_anew->antenna_height_m.value_or(antenna_height_m) : antenna_height_m;
  }
  void begin_live(occupation::Stand stand);
  void open_planned(Planned& planned);
  void close_planned(Planned& planned, std::size_t index);
  void interrupt_stays(const std::string& why);
  void go_on();
  void finish_live(bool interrupted, const std::string& why);
  std::optional<FinishedPoint> cut_stay() const;
  void tick();
  void note_event(const std::string& kind, const std::string& text);
  std::optional<UtcTime> utc_now() const;

  // watch.cpp
  /// What is looked at more than once in a look at everything.
  struct Hearing {
    bool quiet = false, unheard = false;
  };
  void watch_corrections(const corrections::Freshness& fresh, Hearing hearing);
  void watch_feed(Hearing hearing);
  void watch();
  /// What was known to stay calm may not.
  void stir() noexcept { calm_until_ms = now.ms; }
  bool stays_calm(const corrections::Freshness& fresh, Hearing hearing) const noexcept;
  std::int64_t calm_end_ms(const corrections::Freshness& fresh, Hearing hearing) const;
  void watch_passing(const AlertRule& rule, const Passing& what);
  void note_passing(const AlertRule& rule, Passing& what, std::string text);
  void note_settings(std::string change);
  void watch_outage(const corrections::Freshness& fresh, Hearing hearing);
  void end_outage();
  void note_source(const corrections::Freshness& fresh);
  /// Seconds since the feed last said anything valid, or was opened.
  double unheard_s() const noexcept;
  /// Seconds since the last position, or since the feed was opened.
  double unplaced_s() const noexcept;
  /// Nothing valid comes over an open feed; or no position among what comes.
  bool silent() const noexcept;
  bool without_position() const noexcept;
  /// One of the two: what else could be said follows from it.
  bool is_quiet() const noexcept { return silent() || without_position(); }
  Hearing hearing_now() const noexcept {
    const bool quiet = is_quiet();
    const bool anew = opened && last && last->epoch.last_arrival < *opened;  // no epoch yet since the link is back
    return {quiet, feed != FeedState::open || !standstill.empty() || anew || quiet};
  }
  std::string silence_text() const;

  // checks.cpp
  void finish_check(bool interrupted);
  void judge_check(FinishedCheck& done);
  bool place_check(FinishedCheck& done);
  void tie_sources(FinishedCheck& done);
  void finish_turn(FinishedCheck& done);
  void diagnose_check(FinishedCheck& done);
  void remember_check(const FinishedCheck& done);
  void watch_checks();
  void say_checks(occupation::Point& point) const;
  void fill_check(CheckStatus& told) const;

  // repeats.cpp
  void note_initialization(const gate::Judged& judged);
  void flag_repeat(occupation::Point& point, std::optional<UtcTime> initialized) const;
  void close_visit(occupation::Point& point, std::optional<UtcTime> initialized);
  void weigh_visits(const std::string& name, const std::string& because, occupation::Point* newest);
  void say_repeats(OccupationStatus& stay) const;
  // outages.cpp
  Outage outage_so_far() const;
  void note_outages();

  // report.cpp
  std::string check_advice() const;
  const Words& words_on(const occupation::Progress& progress) const;
  std::string advice(const occupation::Progress& progress, std::vector<std::string>& facts) const;
  estimate::Situation situation_of(const occupation::Progress& progress) const;
  void fill_keep(OccupationStatus& stay, const Words& said) const;
  void fill_occupation(OccupationStatus& stay) const;
  void fill_epoch(EpochStatus& shown) const;
  void fill_verdict(Status& status) const;
};

}  // namespace stillpoint::session
