#include "session/session.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/number.hpp"
#include "geodesy/antenna.hpp"
#include "session/state.hpp"

namespace stillpoint::session {
namespace {

constexpr std::size_t kLongestName = 64;
// One epoch with a wrong date must not close a visit; a date that stands does.
constexpr int kPastEnd = 5;
constexpr double kHighestAntennaM = 30.0;
constexpr double kSameAntennaM = 0.0005;

/// Empty when the name will do; else the sentence.
std::string name_fault(const std::string& name) {
  if (name.empty()) return "a point needs a name";
  if (name.size() > kLongestName) return "the name is longer than " + std::to_string(kLongestName) + " bytes";
  const bool control = std::any_of(name.begin(), name.end(), [](unsigned char c) { return c < 0x20 || c == 0x7F; });
  return control ? "the name holds a control character" : std::string();
}

}  // namespace

Session::Session(const config::Settings& settings, geodesy::Frames frames, const Options& options)
    : state_(std::make_unique<State>(settings, std::move(frames), options)) {
  // The settings were validated, so the height is there; a height that could not be computed must not become zero.
  state_->antenna_height_m = geodesy::antenna_height_m(settings.antenna).value();
}
Session::~Session() = default;
Session::Session(Session&&) noexcept = default;
Session& Session::operator=(Session&&) noexcept = default;

void Session::know(const std::string& name, int visit, std::optional<UtcTime> until) {
  int& newest = state_->known[name];
  newest = std::max(newest, visit);
  if (until) {
    UtcTime& last = state_->visited_until.try_emplace(name, *until).first->second;
    last = std::max(last, *until);
  }
}

void Session::know(const occupation::Point& point) {
  know(point.name, point.visit, point.finished_utc);
  auto& visits = state_->visits[point.name];
  const auto same = std::find_if(visits.begin(), visits.end(), [&](const auto& v) { return v.visit == point.visit; });
  if (same != visits.end()) {
    *same = point;
  } else {
    visits.push_back(point);
  }
}

bool Session::has_name(const std::string& name) const {
  return state_->known.contains(name);
}

void Session::plan(std::vector<PlannedVisit> visits) {
  State& s = *state_;
  for (PlannedVisit& visit : visits) s.planned.push_back({std::move(visit), {}, false});
  s.by_start.clear();
  for (std::size_t i = 0; i < s.planned.size(); ++i) s.by_start.push_back(i);
  std::stable_sort(s.by_start.begin(), s.by_start.end(),
                   [&s](std::size_t a, std::size_t b) { return s.planned[a].visit.start < s.planned[b].visit.start; });
  s.closed_first = s.begun_first = 0;
}

std::optional<UtcTime> Session::State::utc_now() const {
  if (!last || !last->epoch.utc) return std::nullopt;
  return last->epoch.utc;
}

void Session::State::note_event(const std::string& kind, const std::string& text) {
  out.events.push_back({utc_now(), kind, text});
}

void Session::push(std::string_view bytes, SteadyTime arrived) {
  advance(arrived);
  State& s = *state_;
  s.on_bytes(arrived);
  s.framer.push(bytes, [&s, arrived](const nmea::Sentence& sentence) {
    s.on_sentence(sentence.body, s.decoder.decode(sentence.body), arrived);
  });
}

void Session::push(std::string_view bytes, const ArrivalOf& arrival_of) {
  State& s = *state_;
  bool first = true;
  s.framer.push(bytes, [&](const nmea::Sentence& sentence) {
    const nmea::Decoded& decoded = s.decoder.decode(sentence.body);
    const SteadyTime arrived = arrival_of(sentence, decoded);
    if (std::exchange(first, false) || arrived != s.bytes_arrived) {
      advance(arrived);
      s.on_bytes(arrived);
    }
    s.on_sentence(sentence.body, decoded, arrived);
  });
}

void Session::State::on_bytes(SteadyTime arrived) {
  go_on();
  if (feed == FeedState::waiting || feed == FeedState::ended) {
    feed = FeedState::open;
    opened = now;
  }
  bytes_arrived = arrived;
}

void Session::State::on_sentence(std::string_view body, const nmea::Decoded& decoded, SteadyTime arrived) {
  heard = arrived;
  if (std::holds_alternative<nmea::Malformed>(decoded.content)) {
    ++framer.damage().malformed;
    return;
  }
  habits.sentence(decoded);
  repetition.hear(body);
  if (const auto* closed = assembler.push(decoded, arrived)) on_epoch(*closed);
}

void Session::advance(SteadyTime to) {
  State& s = *state_;
  if (!s.started) {
    s.started = true;
    s.now = to;
    s.ticks = to.ms / kTickMs;
    return;
  }
  while ((s.ticks + 1) * kTickMs <= to.ms) {
    ++s.ticks;
    s.now = SteadyTime{s.ticks * kTickMs};
    s.tick();
  }
  s.now = std::max(s.now, to);
}

void Session::State::tick() {
  if (const auto* closed = assembler.tick(now)) on_epoch(*closed);
  if (now.ms < calm_until_ms) {
    // What a full look would note, and no more.
    was_quiet = false;
    usable = now;
    return;
  }
  const bool quiet = is_quiet();
  if (quiet && !was_quiet) interrupt_stays(silence_text());
  was_quiet = quiet;
  watch();
}

/// The end of a standstill: what was not listened to was no silence.
void Session::State::go_on() {
  if (standstill.empty()) return;
  standstill.clear();
  out.status_changed = true;
  if (feed == FeedState::open) opened = now;
}

/// Nothing is joined over a gap: a live stay ends, a planned one goes on in a new stretch and is held for it, if it
/// goes on.
void Session::State::interrupt_stays(const std::string& why) {
  if (live && !live->empty()) finish_live(true, why);
  for (Planned& p : planned) p.broken = p.stay.has_value();
}

void Session::State::on_epoch(const epoch::Epoch& epoch) {
  gate::Judged& judged = judgements[last == judgements.data() ? 1 : 0];
  judged.epoch = epoch;
  judged.epoch.repeats = repetition.repeats(epoch);
  judged.match = matcher.match(epoch);
  const auto source = judged.match.source;
  judged.freshness =
      monitor.observe(judged.epoch, {source, source ? &settings.sources[*source].gate : nullptr, judged.match.station});
  if (source && epoch.position) {
    judged.frame_fault =
        frames.why_not_here(*source, epoch.position->latitude_deg, epoch.position->longitude_deg).value_or("");
  } else {
    judged.frame_fault.clear();
  }
  judge.judge(judged);
  ++epochs;
  ++(judged.accepted() ? accepted : refused);
  ++good_epochs;
  if (monitor.after_gap()) {
    good_epochs = 1;
    // A stay that has seen no time yet (a receiver starting up) has no gap in it.
    if (live && live->timed()) finish_live(true, "a gap in the receiver's data");
  }
  last = &judged;
  if (auto change = habits.epoch(epoch); !change.empty()) note_settings(std::move(change));
  occupation_fault.reset();
  note_initialization(*last);
  if (judged.accepted() && !notes_made) {
    notes_made = true;
    notes = frames.notes_at({epoch.position->latitude_deg, epoch.position->longitude_deg, 0}, *epoch.utc);
  }
  observe_planned(*last);
  observe_live(*last);
  out.status_changed = true;
  watch();
}

/// Of a whole day's visits only those between the first that is still open and the last that has begun are looked at.
void Session::State::observe_planned(const gate::Judged& judged) {
  const auto& utc = judged.epoch.utc;
  while (closed_first < by_start.size() && planned[by_start[closed_first]].done) ++closed_first;
  std::size_t next = closed_first;
  for (; next < by_start.size(); ++next) {
    Planned& p = planned[by_start[next]];
    // An epoch without a time belongs to the stay it falls into, and is refused there.
    const bool begun = !p.visit.start || (utc ? *utc >= *p.visit.start : next < begun_first);
    if (!begun) break;
    observe_planned(p, by_start[next], judged);
  }
  // An epoch with a wrong date may have reached farther.
  for (std::size_t i = next; i < begun_first; ++i) planned[by_start[i]].past_end = 0;
  begun_first = std::max(begun_first, next);
}

void Session::State::observe_planned(Planned& p, std::size_t index, const gate::Judged& judged) {
  const auto& utc = judged.epoch.utc;
  if (p.done) return;
  if (p.visit.end && utc && *utc >= *p.visit.end) {
    if (++p.past_end >= kPastEnd) close_planned(p, index);
    return;
  }
  p.past_end = 0;
  if (!p.stay && !utc && p.visit.start) return;
  if (!p.stay) open_planned(p);
  if (std::exchange(p.broken, false)) p.stay->interrupt();
  if (utc) p.last_utc = utc;
  if (p.stay->observe(judged).counted && !p.initialized) p.initialized = initialization.since;
}

void Session::State::begin_live(occupation::Stand stand) {
  words.reset();
  recounted = {};
  fell_away = came_back = 0;
  live.emplace(std::move(stand), settings, frames);
}

void Session::State::open_planned(Planned& p) {
  p.stay.emplace(occupation::Stand{p.visit.name, p.visit.visit, p.visit.code, "", antenna_height_m, options.keep_epochs,
                                   options.training},
                 settings, frames);
}

void Session::State::close_planned(Planned& p, std::size_t index) {
  p.done = true;
  if (!p.stay) open_planned(p);
  // The data broke off well before the end of the visit, whether they came back after it or not.
  const bool short_of_end =
      p.visit.end && p.last_utc && static_cast<double>(p.visit.end->ms - p.last_utc->ms) > settings.gap_s() * 1000;
  if (short_of_end) p.stay->interrupt();
  out.points.push_back(
      {index, false, p.stay->finish(), options.keep_epochs ? p.stay->epochs() : decltype(FinishedPoint::epochs){}});
  close_visit(out.points.back().point, p.initialized);
  p.stay.reset();
}

/// A second that is averaged at another place, or under other corrections, is not in the point: people are told so with
/// the second itself, and of earlier seconds that change sides with it.
void Session::State::note_elsewhere(const occupation::Observed& observed) {
  if (observed.elsewhere == occupation::Elsewhere::place)
    occupation_fault = {gate::Reason::other_segment, "at another place than this point began"};
  if (observed.elsewhere == occupation::Elsewhere::corrections)
    occupation_fault = {gate::Reason::other_segment, "other corrections than this point began with"};
  fell_away = observed.lost;
  came_back = observed.gained;
  if (fell_away == 0 && came_back == 0) return;
  const std::int64_t interval_ms = last->epoch.interval_ms;
  const std::string_view unit = interval_ms == 0 || interval_ms == 1000 ? "second" : "epoch";
  const auto seconds = [unit](std::uint64_t number) { return counted(number, unit); };
  std::string text;
  if (fell_away > 0) text = seconds(fell_away) + (fell_away == 1 ? " no longer counts" : " no longer count");
  if (fell_away > 0 && came_back > 0) text += ", ";
  if (came_back > 0) text += seconds(came_back) + (came_back == 1 ? " counts after all" : " count after all");
  if (fell_away > 0 && observed.in_point) text += ": the point lies where you measure now";
  if (!text.empty()) recounted = {now, std::move(text)};
}

void Session::State::observe_live(const gate::Judged& judged) {
  jumped = false;
  fell_away = came_back = 0;
  if (!live) return;
  const auto observed = live->observe(judged);
  note_elsewhere(observed);
  if (observed.counted && !live_initialized) live_initialized = initialization.since;
  const auto is = [&observed](gate::Reason reason) { return observed.reasons.test(static_cast<std::size_t>(reason)); };
  jumped = is(gate::Reason::jump);
  if (is(gate::Reason::outlier)) {
    occupation_fault = {gate::Reason::outlier,
                        fixed(observed.apart_m, 2) + " m from the other seconds of this stay: set apart"};
  }
  if (jumped) {
    jump_text = "position jumped " + fixed(observed.apart_m, 2) +
                " m on a standing pole (claim at 95 %: " + fixed(observed.claimed95_m, 3) + " m): set apart";
    occupation_fault = {gate::Reason::jump, jump_text};
  }
  if (!observed.frame_fault.empty()) {
    occupation_fault = {is(gate::Reason::no_date) ? gate::Reason::no_date : gate::Reason::frame, observed.frame_fault};
  }
  end_live_by_itself();
}

/// The longest stay, or an error that is small enough. A stay computed anew ends where it ended on the day.
void Session::State::end_live_by_itself() {
  if (live_anew) {
    if (live_anew->epochs && live->observed() >= *live_anew->epochs) {
      finish_live(live_anew->broken_off, "it ended here on the day");
    }
    return;
  }
  const config::OccupationRule& rule = settings.occupation;
  if (live->lasted_s() >= rule.max_duration_s) {
    finish_live(false, "the longest stay of " + fixed(rule.max_duration_s, 0) + " s is reached");
    return;
  }
  if (!rule.finish_at_error95_m) return;
  const auto progress = live->progress();
  if (progress.enough && !progress.conclusion.unresolved &&
      progress.conclusion.estimate.error95_horizontal_m <= rule.finish_at_error95_m->horizontal_m &&
      progress.conclusion.estimate.error95_vertical_m <= rule.finish_at_error95_m->vertical_m) {
    finish_live(false, "the wanted error is reached");
  }
}

void Session::State::finish_live(bool interrupted, const std::string& why) {
  if (checks.shooting) return finish_check(interrupted);
  if (interrupted) live->interrupt();
  FinishedPoint finished{0, true, live->finish(), live->epochs()};
  say_checks(finished.point);
  close_visit(finished.point, live_initialized);
  const occupation::Point& point = finished.point;
  const bool nothing = point.status == occupation::PointStatus::none;
  if (!nothing) checks.kept(point.source);
  note_event(nothing ? "abandoned" : "kept",
             point.name + " visit " + std::to_string(point.visit) + " ended: " + why + "; " +
                 (nothing ? "no second had counted" : "it is " + std::string(to_word(point.status))));
  if (nothing && point.visit == 1) known.erase(point.name);
  if (nothing && point.visit > 1) known[point.name] = point.visit - 1;
  if (!nothing || options.empty_stays) out.points.push_back(std::move(finished));
  live.reset();
  jumped = false;
  out.status_changed = true;
}

void Session::feed(FeedState state, const std::string& what, SteadyTime now) {
  advance(now);
  State& s = *state_;
  s.stir();
  s.go_on();
  if (state == FeedState::ended) {
    if (const auto* closed = s.assembler.finish()) s.on_epoch(*closed);
    s.framer.finish();
  }
  if (s.feed != state || s.feed_what != what) {
    s.note_event("feed", "feed " + std::string(to_word(state)) + ": " + what);
    s.out.status_changed = true;
  }
  if (state == FeedState::open && s.feed != FeedState::open) s.opened = s.now;
  s.feed = state;
  s.feed_what = what;
  if (state == FeedState::waiting) s.board.reword("feed-unavailable", what);
  s.watch();
}

void Session::cut(SteadyTime now, const std::string& standstill) {
  advance(now);
  State& s = *state_;
  s.stir();
  if (const auto* closed = s.assembler.finish()) s.on_epoch(*closed);
  s.framer.finish();
  s.monitor.cut();
  s.repetition.cut();
  s.matcher.cut();
  s.interrupt_stays(standstill.empty() ? "the link to the receiver was cut" : standstill);
  if (standstill.empty()) return;
  s.standstill = standstill;
  s.out.status_changed = true;
  s.watch();
}

void Session::finish() {
  State& s = *state_;
  if (const auto* closed = s.assembler.finish()) s.on_epoch(*closed);
  s.framer.finish();
  for (std::size_t i = 0; i < s.planned.size(); ++i) {
    if (!s.planned[i].done) s.close_planned(s.planned[i], i);
  }
  if (s.live) s.finish_live(true, "the program was stopped");
  s.note_outages();
}

CommandResult Session::occupy(const OccupyCommand& command) {
  State& s = *state_;
  if (s.live) return {false, s.live->stand().name + " is open; keep or drop it first", 0};
  if (!s.standstill.empty()) return {false, "nothing is judged: " + s.standstill, 0};
  if (auto fault = name_fault(command.name); !fault.empty()) return {false, std::move(fault), 0};
  const auto at = s.known.find(command.name);
  int visit = 1;
  if (command.visit) {
    visit = *command.visit;
  } else if (at != s.known.end()) {
    if (!command.again) {
      return {false, command.name + " is in the pointbook already; choose another name, or --again for a repeat visit",
              0};
    }
    visit = at->second + 1;
  } else if (command.again) {
    return {false, "no point is called " + command.name + " yet; leave out --again for a first visit", 0};
  }
  s.known[command.name] = visit;
  s.live_initialized.reset();
  s.live_anew = command.computed_anew;
  s.begin_live(
      {command.name, visit, command.code, command.note, s.live_height_m(), s.options.keep_epochs, s.options.training});
  s.note_event("occupy", "occupied " + command.name + " visit " + std::to_string(visit));
  s.out.status_changed = true;
  std::string text = "occupying " + command.name + ", visit " + std::to_string(visit);
  const Status now = status();
  if (!now.accepted) text += "; not counting yet: " + (now.reasons.empty() ? "no data" : now.reasons.front().text);
  return {true, std::move(text), visit};
}

CommandResult Session::keep() {
  State& s = *state_;
  if (!s.live) return {false, "no point is open; occupy one first", 0};
  if (!s.live_anew && s.live->progress().accepted == 0) {
    return {false, "no second has counted on " + s.live->stand().name + " yet; wait, or drop it", 0};
  }
  const std::string name = s.live->stand().name;
  const int visit = s.live->stand().visit;
  s.finish_live(false, "kept by hand");
  return {true, name + " is kept", visit};
}

CommandResult Session::drop() {
  State& s = *state_;
  if (!s.live) return {false, "no point is open; there is nothing to drop", 0};
  const occupation::Stand stand = s.live->stand();
  s.live.reset();
  s.jumped = false;
  if (std::exchange(s.checks.shooting, std::nullopt)) {
    s.note_event("abandoned", "the check on " + stand.name + " was dropped by hand");
    s.out.status_changed = true;
    return {true, "the check on " + stand.name + " is dropped", 0};
  }
  if (stand.visit > 1) {
    s.known[stand.name] = stand.visit - 1;
  } else {
    s.known.erase(stand.name);
  }
  s.note_event("abandoned", stand.name + " visit " + std::to_string(stand.visit) + " was dropped by hand");
  s.out.status_changed = true;
  return {true, stand.name + " is dropped; nothing was stored", stand.visit};
}

double Session::antenna_height_m() const noexcept {
  return state_->antenna_height_m;
}

CommandResult Session::set_antenna(double height_m, const std::string& reason) {
  State& s = *state_;
  s.stir();
  if (s.settings.antenna.already_reduced_by_receiver) {
    return {false, "the receiver reduces its heights to the mark itself; change it there and in the configuration", 0};
  }
  if (reason.empty()) return {false, "say why the antenna height changes", 0};
  if (!(height_m >= 0 && height_m <= kHighestAntennaM)) {
    return {false, "an antenna height of " + fixed(height_m, 3) + " m cannot be right; metres from 0 to 30", 0};
  }
  if (std::abs(height_m - s.antenna_height_m) < kSameAntennaM) {
    return {false, "the antenna is " + fixed(s.antenna_height_m, 3) + " m above the mark already", 0};
  }
  const std::string text =
      "antenna height " + fixed(s.antenna_height_m, 3) + " m became " + fixed(height_m, 3) + " m: " + reason;
  s.antenna_height_m = height_m;
  s.checks.change("the antenna height changed");
  if (s.live && s.live->empty()) {
    occupation::Stand stand = s.live->stand();
    stand.antenna_height_m = s.live_height_m();
    s.begin_live(std::move(stand));
  } else if (s.live) {
    s.finish_live(true, "the antenna height changed");
  }
  for (std::size_t i = 0; i < s.planned.size(); ++i) {
    if (s.planned[i].done || !s.planned[i].stay) continue;
    if (s.planned[i].past_end == 0) s.planned[i].stay->interrupt();
    s.close_planned(s.planned[i], i);
  }
  s.note_event("antenna", text);
  s.out.status_changed = true;
  return {true, text, 0};
}

CommandResult Session::seen(const std::string& key, std::optional<std::uint64_t> id) {
  const int count = state_->board.seen(key, id);
  state_->watch();
  state_->out.status_changed = true;
  return {true, count == 0 ? "no alert was waiting to be seen" : std::to_string(count) + " marked as seen", 0};
}

/// The open stay as it would be cut off here; nothing before an epoch has counted.
std::optional<FinishedPoint> Session::State::cut_stay() const {
  if (!live || live->empty()) return std::nullopt;
  occupation::Occupation stay = *live;
  stay.interrupt();
  FinishedPoint cut_off{0, true, stay.finish(), stay.epochs()};
  if (cut_off.point.status == occupation::PointStatus::none) return std::nullopt;
  return cut_off;
}

std::optional<FinishedPoint> Session::open_stay() const {
  if (is_checking()) return std::nullopt;
  auto out = state_->cut_stay();
  if (!out) return std::nullopt;
  state_->flag_repeat(out->point, state_->live_initialized);
  state_->say_checks(out->point);
  return out;
}

std::optional<OpenStay> Session::shown_stay() const {
  auto stay = is_checking() ? state_->cut_stay() : open_stay();
  if (!stay) return std::nullopt;
  OpenStay out{*std::move(stay), is_checking(), {}};
  if (out.on_mark && out.stay.point.at) {
    Checks& checks = state_->checks;
    const auto off =
        control::residual(*checks.transfers, *checks.shooting, state_->frames.project_frame(), *out.stay.point.at);
    if (off) out.off_mark = *off;
  }
  return out;
}

bool Session::is_occupied() const noexcept {
  return state_->live.has_value();
}

const occupation::Stand* Session::open_stand() const noexcept {
  return state_->live ? &state_->live->stand() : nullptr;
}

bool Session::has_news() const noexcept {
  const State& s = *state_;
  return !s.out.points.empty() || !s.out.reconsidered.empty() || !s.out.checks.empty() || !s.out.events.empty() ||
         s.board.has_news();
}

bool Session::take_status_changed() noexcept {
  return std::exchange(state_->out.status_changed, false);
}

Outputs Session::take() {
  State& s = *state_;
  s.out.raised = s.board.take_raised();
  s.out.cleared = s.board.take_cleared();
  if (s.live) s.out.repeated = s.board.take_repeats(s.now);
  return std::exchange(s.out, {});
}

Summary Session::summary() const {
  const State& s = *state_;
  return {s.framer.counters(), s.assembler.counters(), s.epochs, s.accepted, s.refused};
}

const std::vector<Alert>& Session::alerts() const {
  return state_->board.all();
}

}  // namespace stillpoint::session
