#pragma once
/// One observing day without I/O: bytes, times and commands go in; status, alerts and points come out.
///
/// Replay, recomputation, simulation, tests and the live daemon run this code, and the same sequence of calls gives the
/// same answer to the last digit.
///
/// Time:    `SteadyTime` is handed in, never goes backwards, and is counted in ticks on a fixed 100 ms grid.
/// Threads: one session, one thread.
/// Errors:  a refused command says why in one sentence; bad bytes are counted.

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "config/settings.hpp"
#include "corrections/delivery.hpp"
#include "epoch/assembler.hpp"
#include "geodesy/frames.hpp"
#include "nmea/framer.hpp"
#include "occupation/point.hpp"
#include "occupation/repeats.hpp"
#include "session/check_shot.hpp"
#include "session/status.hpp"

namespace stillpoint::occupation {
struct Stand;
}

namespace stillpoint::session {

class Checks;

inline constexpr std::int64_t kTickMs = 100;

/// A stay known beforehand (recomputation). Empty bounds: from the first epoch, to the end of the stream.
struct PlannedVisit {
  std::string name;
  int visit = 1;
  std::string code;
  std::optional<UtcTime> start, end;  ///< start inclusive, end exclusive
};

/// A check on a mark that passed.
struct PassedCheck {
  std::string source;
  UtcTime utc;
};

struct Options {
  bool keep_epochs = true;  ///< hold each occupation's epochs for storage; off, memory does not grow with a stay
  bool training = false;
  bool empty_stays = false;  ///< hand out a live stay in which nothing counted, too (status `none`)
  std::string program_version{};
  std::vector<PassedCheck> earlier_checks{};  ///< on marks, of the pointbook: what speaks for the errors claimed
};

/// One thing that happened, for the pointbook's `events` and for `follow` clients.
struct Event {
  std::optional<UtcTime> utc;
  std::string kind;
  std::string text;
};

/// The kind of an event about how the dates of the stream are taken.
inline constexpr const char* kDates = "dates";

struct FinishedPoint {
  std::size_t planned = 0;  ///< index of the planned visit; not meaningful for live work
  bool live = true;
  occupation::Point point;
  std::vector<occupation::EpochRecord> epochs;
};

/// The stay that is open now, whatever it is for.
struct OpenStay {
  FinishedPoint stay;  ///< as the held point it would be if the program ended here
  bool on_mark = false;
  std::optional<control::Residual> off_mark;  ///< of a check: its mean so far minus the mark, where they compare
};

/// An earlier visit of which a later one says otherwise: the point as it is from now on.
struct Reconsidered {
  occupation::Point point;  ///< held as contradicted, or free of that again
  std::string why;          ///< one sentence
};

/// A stay that ended otherwise than by hand and left nothing: no second had counted.
struct LostStay {
  std::string name;  ///< of the point, or of the mark
  int visit = 1;
  bool on_mark = false;
  std::string why;  ///< it ended
  std::optional<UtcTime> utc{};
};

/// What has come out since the last call of `take`.
struct Outputs {
  std::vector<FinishedPoint> points;
  std::vector<Reconsidered> reconsidered;  ///< earlier points, after the ones above
  std::vector<FinishedCheck> checks;
  std::vector<LostStay> lost;
  std::vector<Alert> raised;
  std::vector<Alert> cleared;
  std::vector<Alert> repeated;  ///< stop-work alerts during an occupation that nobody has marked as seen
  std::vector<Event> events;
  bool status_changed = false;  ///< a new epoch, verdict or feed state

  /// At most the status has changed.
  bool is_empty() const noexcept;

  /// `raised` and `cleared` in an order to tell them: of one key the old one is over before the new one begins.
  std::vector<Alert> alerts_in_order() const;
};

/// A stay computed anew, long after the day: what was wrong about it then, and where it ended.
struct Again {
  std::optional<double> antenna_height_m{};  ///< empty: the day's own
  std::optional<std::uint64_t> epochs{};     ///< the stay ends after so many; empty: where the data broke off
  bool broken_off = false;                   ///< after so many the program had ended without a word: held for it
};

struct OccupyCommand {
  std::string name{};
  std::string code{}, note{};
  bool again = false;
  std::optional<int> visit{};            ///< given when a record is replayed: the visit number it got on the day
  std::optional<Again> computed_anew{};  ///< it then neither ends by itself nor wants a second that counts
  bool is_new = false;                   ///< a name that reads like a known one is meant as it stands
};

/// What a point is called from now on, and what is said of it.
struct Naming {
  std::string name{};                         ///< empty: as before
  std::optional<int> visit{};                 ///< given when a record is replayed: the number it got on the day
  std::optional<std::string> code{}, note{};  ///< empty: as before
  bool again = false;                         ///< another visit of a name that is there
  bool is_new = false;                        ///< a name that reads like a known one is meant as it stands
};

/// A point that nobody can stand on, from kept stays (occupation/offset_point.hpp).
struct OffsetCommand {
  std::string name{};
  std::string code{}, note{};
  const OffsetMeasures& measures;
  std::optional<UtcTime> at{};  ///< when it was measured; empty: at the newest second
  std::optional<int> visit{};   ///< given when a record is replayed: the number it got on the day
  bool is_new = false;          ///< a name that reads like a known one is meant as it stands
};

/// What has to be asked before a command is done: with its answer it is done.
struct Question {
  std::string word;          ///< contract word, `name-near`
  std::string candidate;     ///< what may have been meant
  std::string candidate_is;  ///< `point`, `mark` or `visit`
};

struct CommandResult {
  bool done = false;
  std::string text;                    ///< what was done, or why not; one sentence
  int visit = 0;                       ///< `occupy`, `amend`, `offset`: the visit number given
  std::optional<Question> question{};  ///< not done because of it; `text` asks it
};

struct Summary {
  nmea::Counters stream;
  epoch::AssemblerCounters assembly;
  std::uint64_t epochs = 0, accepted = 0, refused = 0;
  /// Every stretch without usable corrections, oldest first; one that goes on is last, without an end.
  std::vector<Outage> outages;
};

/// How the connection to a caster stands.
struct DeliveryNews {
  corrections::LinkState state = corrections::LinkState::none;
  corrections::Stop reason = corrections::Stop::none;
  std::string detail{};  ///< what the caster or the system says; empty: nothing
  bool operator==(const DeliveryNews&) const = default;
};

/// Whether later visits are weighed against a point. A stay that was recovered after a crash is not weighed.
enum class Weighed : std::uint8_t { no, yes };

class Session {
 public:
  /// The settings are validated and `frames` was opened from them.
  Session(const config::Settings& settings, geodesy::Frames frames, const Options& options);
  ~Session();
  Session(Session&&) noexcept;
  Session& operator=(Session&&) = delete;

  /// A point that the pointbook already has: its name, its visit, its end.
  void know(const occupation::Point& point, Weighed weighed = Weighed::yes);
  /// Arrival times are those of a clock, which judges how late the stream is. `said`: what it says of UTC at that time;
  /// then it judges and lifts the dates too.
  void set_clock(SteadyTime at, std::optional<UtcTime> said);
  /// Visits to compute. Before the first byte.
  void plan(std::vector<PlannedVisit> visits);

  /// Runs the ticks up to `arrived`, then takes the bytes.
  void push(std::string_view bytes, SteadyTime arrived);
  /// The same for a log that tells its time only in its own sentences: each arrives when `arrival_of` says.
  using ArrivalOf = std::function<SteadyTime(const nmea::Sentence&, const nmea::Decoded&)>;
  void push(std::string_view bytes, const ArrivalOf& arrival_of);
  /// Runs the ticks of the grid up to and including `now`.
  void advance(SteadyTime now);
  /// The feed opened, is being waited for, or ended; `what` names it ("tcp 127.0.0.1:9000").
  void feed(FeedState state, const std::string& what, SteadyTime now);
  /// Bytes were lost or the link was cut: what comes next is a new stretch, never joined to the old one.
  /// With a reason, nothing more is judged until bytes or news of the feed come: it is what people are told meanwhile.
  void cut(SteadyTime now, const std::string& standstill = {});
  /// The stream is over: closes the last epoch and every planned visit; a live occupation is kept as held.
  void finish();

  CommandResult occupy(const OccupyCommand& command);
  /// Finishes the occupation; the point is in the next `take`.
  CommandResult keep();
  CommandResult drop();
  /// The control marks of the project. Before the first byte.
  Result<void> set_marks(control::Marks marks);
  /// What is known about checks, the marks among it.
  const Checks& checks() const noexcept;
  /// Begins a stay on a mark; at `keep` the stay is compared with it, and the check is in the next `take`.
  CommandResult check(const std::string& mark, const CheckCommand& how = {},
                      const std::optional<Again>& computed_anew = {});
  /// Another antenna height from now on. One mean has one height: an open stay ends here, held if anything was observed
  /// on it, and so does a planned one.
  /// `since`: it stood so since then already. Points since then for which another height was subtracted are held;
  /// the session changes what it knows of them, and whoever keeps them does the same (`hold_for_antenna`).
  CommandResult set_antenna(double height_m, const std::string& reason, std::optional<UtcTime> since = {});
  /// A hand has decided about an earlier visit: it stays so, and the others are weighed anew.
  CommandResult resolve(const std::string& name, int visit, bool accept);
  /// The open point, or an earlier one, is called otherwise or something else is said of it. Visits of the old name and
  /// of the new one are weighed anew. What is not known here changes nothing.
  CommandResult amend(const std::pair<std::string, int>& which, const Naming& naming);
  /// Marks active and gone alerts as seen; an empty key means all, an `id` only that occurrence.
  CommandResult seen(const std::string& key, std::optional<std::uint64_t> id = {});

  Status status() const;
  /// What is occupied, until the next call that changes it; null: nothing.
  const occupation::Stand* open_stand() const noexcept;
  /// The open stay as the held point it would be if the program ended here; nothing before an epoch has counted.
  std::optional<OpenStay> open_stay() const;
  Outputs take();
  Summary summary() const;
  /// Every alert of the day, oldest first, cleared ones too.
  const std::vector<Alert>& alerts() const;
  /// A name and visit number that the pointbook has given at any time: they are not given again, whatever the point is
  /// called by now.
  friend void know_given(Session& session, const std::string& name, int visit);
  /// Makes an offset point, which is in the next `take`. Its name must be a new one; its stays are visits that ended.
  friend CommandResult make_offset(Session& session, const OffsetCommand& command);
  friend void hear_corrections(Session& session, std::string_view bytes, bool lost, SteadyTime arrived);
  friend bool has_corrections(const Session& session) noexcept;
  friend void hear_delivery(Session& session, const DeliveryNews& news, SteadyTime at);
  /// Whether the day can be closed now.
  friend Closing closing_of(const Session& session);
  /// What repeat visits among these points come to together, one answer a name in their order.
  friend std::vector<occupation::Combined> combined(const Session& session,
                                                    const std::vector<const occupation::Point*>& points);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

/// How the connection to the caster stands from now on.
void hear_delivery(Session& session, const DeliveryNews& news, SteadyTime at);
/// Bytes on their way to the receiver, from whoever brings them; `lost`: its link did not take them.
void hear_corrections(Session& session, std::string_view bytes, bool lost, SteadyTime arrived);
/// Frames with corrections have passed to the receiver.
bool has_corrections(const Session& session) noexcept;
void know_given(Session& session, const std::string& name, int visit);
CommandResult make_offset(Session& session, const OffsetCommand& command);
Closing closing_of(const Session& session);
std::vector<occupation::Combined> combined(const Session& session, const std::vector<const occupation::Point*>& points);

}  // namespace stillpoint::session
