#include "session/session.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "base/number.hpp"
#include "base/typed.hpp"
#include "base/utf8.hpp"
#include "geodesy/antenna.hpp"
#include "occupation/offset_point.hpp"
#include "occupation/place.hpp"
#include "session/sentences.hpp"
#include "session/state.hpp"

namespace stillpoint::session {
namespace {

using occupation::CutOff;

constexpr double kHighestAntennaM = 30.0;
constexpr std::size_t kLongestSaid = 120;  // of a base
constexpr std::size_t kDateLength = 10;    // of a time's text

/// Empty when the name will do; else the sentence. What is typed today is looked at more closely before it comes here
/// (base/typed.hpp); journals of before hold names that would not pass.
std::string name_fault(const std::string& name) {
  if (name.empty()) return kSay.no_name();
  if (name.size() > kLongestName) return kSay.long_name(std::to_string(kLongestName));
  const bool control = std::any_of(name.begin(), name.end(), [](unsigned char c) { return c < 0x20 || c == 0x7F; });
  return control ? kSay.control_in_name() : std::string();
}

std::string question_text(const std::string& name, const Question& near) {
  if (near.candidate_is == "mark") return kSay.near_mark(name, near.candidate, near.candidate);
  if (near.candidate_is == "visit") return kSay.near_visit(name, near.candidate);
  return kSay.near_point(name, near.candidate);
}

/// How the receiver's dates are taken from now on.
std::string text_of(const epoch::TimeWatch::Dating& dating, const epoch::Epoch& epoch) {
  const std::string date = to_text(epoch.utc.value_or(UtcTime{})).substr(0, kDateLength);
  const auto days = [](std::int32_t count) { return counted(static_cast<std::uint64_t>(count), "day"); };
  if (dating.lifted_days > 0) {
    return kSay.dates_lifted(days(dating.lifted_days), epoch.clock_days ? kSay.by_the_clock() : kSay.by_the_archive(),
                             date);
  }
  return dating.behind_days > 0 ? kSay.dates_behind(date, days(dating.behind_days)) : kSay.dates_as_printed(date);
}

/// Whether a name that is not known yet may be a known one, written otherwise. `but`: no longer meant.
std::optional<Question> near_name(const std::string& name, const std::string& but, const Repeats& repeats,
                                  const control::Marks& marks, const PlannedVisits& planned) {
  if (repeats.knows(name)) return std::nullopt;
  if (std::string point = repeats.near(name, but); !point.empty())
    return Question{"name-near", std::move(point), "point"};
  if (marks.find(name) != nullptr) return std::nullopt;
  for (const control::Mark& mark : marks.marks) {
    if (reads_like(mark.name, name)) return Question{"name-near", mark.name, "mark"};
  }
  std::string visit = planned.near(name);
  return visit.empty() ? std::nullopt : std::optional(Question{"name-near", std::move(visit), "visit"});
}

/// What the project wants beside latitude, longitude and height; held where there is no such form.
void deliver(occupation::Point& point, const geodesy::Frames& frames) {
  const auto delivered = frames.deliver(occupation::place_of(*point.at), point.at->coordinate_epoch);
  if (delivered) {
    point.at->take(*delivered);
    if (occupation::has_no_height(point)) point.at->orthometric_height_m.reset();
    return;
  }
  point.reasons.push_back(occupation::HoldReason::not_delivered);
  point.reason_texts.push_back(delivered.error().text);
  point.status = occupation::PointStatus::held;
}

bool is_open(const LiveStay& live, const MeasuredStay& stay) {
  return live.is_open() && live.name() == stay.name && live.stay().stand().visit == stay.visit;
}

/// What was made, from what, and how well it is known.
std::string offset_text(const occupation::Point& point) {
  const auto stay = [&point](std::size_t i) {
    const MeasuredStay& from = point.measures.stays[i];
    return kSay.visit(from.name, std::to_string(from.visit));
  };
  const auto far = [&point](std::size_t i) { return fixed(point.measures.stays[i].distance_m, 3); };
  const std::string error = fixed(point.at->error95_horizontal_m, 3);
  if (point.measures.bearing_deg) {
    return kSay.offset_by_bearing(point.name, far(0), stay(0), fixed(true_bearing_deg(point.measures), 1), error);
  }
  return kSay.offset_by_distances(point.name, far(0), stay(0), far(1), stay(1), error);
}

}  // namespace

Session::State::State(const config::Settings& settings, geodesy::Frames frames, const Options& options)
    : basis{settings, std::move(frames), options},
      // The settings were validated, so the height is there; one that could not be computed must not become zero.
      antenna_height_m(geodesy::antenna_height_m(settings.antenna).value()),
      link(settings.gap_s()),
      stream(basis),
      corrections(basis),
      planned(basis, corrections.base, repeats),
      live(basis),
      checks(basis) {}

Session::Session(const config::Settings& settings, geodesy::Frames frames, const Options& options)
    : state_(std::make_unique<State>(settings, std::move(frames), options)) {}
Session::~Session() = default;
Session::Session(Session&&) noexcept = default;

void Session::know(const occupation::Point& point, Weighed weighed) {
  state_->repeats.know(point, weighed);
}

void know_given(Session& session, const std::string& name, int visit) {
  session.state_->repeats.know_given(name, visit);
}

void Session::set_clock(SteadyTime at, std::optional<UtcTime> said) {
  state_->stream.set_clock(at, said);
}

void Session::plan(std::vector<PlannedVisit> visits) {
  state_->planned.plan(std::move(visits));
}

Result<void> Session::set_marks(control::Marks marks) {
  state_->stir();
  return state_->checks.set_marks(std::move(marks));
}

const Checks& Session::checks() const noexcept {
  return state_->checks;
}

void Session::push(std::string_view bytes, SteadyTime arrived) {
  State& s = *state_;
  s.advance(arrived);
  s.on_bytes(arrived);
  s.stream.push(bytes, [&s, arrived](const nmea::Sentence& sentence, const nmea::Decoded& decoded) {
    s.on_sentence(sentence.body, decoded, arrived);
  });
}

void Session::push(std::string_view bytes, const ArrivalOf& arrival_of) {
  State& s = *state_;
  std::optional<SteadyTime> before;
  s.stream.push(bytes, [&](const nmea::Sentence& sentence, const nmea::Decoded& decoded) {
    const SteadyTime arrived = arrival_of(sentence, decoded);
    if (std::exchange(before, arrived) != arrived) {
      s.advance(arrived);
      s.on_bytes(arrived);
    }
    s.on_sentence(sentence.body, decoded, arrived);
  });
}

void hear_delivery(Session& session, const DeliveryNews& news, SteadyTime at) {
  Session::State& s = *session.state_;
  s.advance(at);
  if (!s.corrections.sent.tell(news, s.grid.now())) return;
  s.stir();
  s.out.status_changed = true;
}

bool has_corrections(const Session& session) noexcept {
  return session.state_->corrections.sent.watch().last_frame().has_value();
}

void hear_corrections(Session& session, std::string_view bytes, bool lost, SteadyTime arrived) {
  Session::State& s = *session.state_;
  Delivery& sent = s.corrections.sent;
  BaseWatch& base = s.corrections.base;
  s.advance(arrived);
  const bool was_expected = sent.is_expected();
  if (sent.take(bytes, lost, {arrived, s.moment().utc}) || !was_expected) s.stir();
  const bool rests = s.stream.last() != nullptr && BaseWatch::rests_on_base(*s.stream.last());
  if (const auto change = sent.watch().take_change()) {
    base.note_change(*change, s.moment(), rests);
    s.note_event("base", base.change_text());
    s.stir();
    if (rests) s.checks.change(kSay.base_did_change());
    // What is measured with the corrections of one base is not joined to what is measured with those of another.
    if (rests) s.interrupt_stays(CutOff::base_changed, base.change_text());
    s.out.status_changed = true;
  }
  base.note(sent.watch(), s.stream.last());
  if (const auto reached = sent.last_reached()) s.stream.hear_frame(*reached);
  if (const std::string text = sent.watch().take_text(); !text.empty())
    s.note_event("base", kSay.base_says(shown(text, kLongestSaid)));
}

void Session::advance(SteadyTime now) {
  state_->advance(now);
}

void Session::State::on_bytes(SteadyTime arrived) {
  go_on();
  link.hear_bytes(arrived, grid.now());
}

void Session::State::on_sentence(std::string_view body, const nmea::Decoded& decoded, SteadyTime arrived) {
  if (link.hear_sentence(arrived, std::holds_alternative<nmea::Gga>(decoded.content))) stir();
  if (const auto* closed = stream.read(body, decoded, arrived)) on_epoch(*closed);
}

void Session::State::tick() {
  if (const auto* closed = stream.tick(grid.now())) on_epoch(*closed);
  if (grid.now().ms < board.next_look_ms()) return corrections.used.pass(grid.now());
  look_by_time();
}

/// Ends a standstill. The time in which nobody listened is no silence.
void Session::State::go_on() {
  if (!link.go_on(grid.now())) return;
  stir();
  out.status_changed = true;
}

/// Nothing is joined over a gap: a live stay ends. A planned stay that continues after the gap continues in a new
/// stretch, and is held for it.
void Session::State::interrupt_stays(CutOff cut_off, const std::string& why) {
  if (live.is_open() && !live.stay().empty()) finish_live(cut_off, why);
  planned.interrupt(cut_off);
}

void Session::State::on_epoch(const gate::Judged& judged) {
  link.hear_epoch(judged.epoch.last_arrival, stream.is_after_gap(), judged.epoch.interval_ms);
  // A stay without any time yet (a receiver starting up) cannot have a gap. A stay that a gap ends does not get the
  // epoch behind the gap.
  const bool back = judged.epoch.step == epoch::TimeStep::backward;
  if (stream.is_after_gap() && live.is_open() && live.stay().timed())
    finish_live(back ? CutOff::clock_back : CutOff::broke_off, back ? kSay.clock_back() : kSay.gap());
  stream.make_newest(judged);
  if (std::string change = stream.changed_settings(); !change.empty()) {
    note_event("receiver", change);
    tell_change(AlertKind::settings_changed, {std::move(change), kSayBriefly.settings_changed()},
                kSay.settings_changed());
  }
  if (const auto dating = stream.dating_news()) note_event(kDates, text_of(*dating, judged.epoch));
  initialization.note(judged);
  corrections.base.note(corrections.sent.watch(), &judged);
  if (corrections.base.prove(checks.marks(), judged)) note_event("base", corrections.base.proof_text());
  if (judged.accepted() && !notes) {
    const auto& position = *judged.epoch.position;
    notes = basis.frames.notes_at({position.latitude_deg, position.longitude_deg, 0}, *judged.epoch.utc);
  }
  planned.observe(judged, antenna_height_m, initialization.since(), out);
  live.observe(judged, initialization.since(), grid.now());
  if (const auto ended = live.ends_by_itself()) finish_live(ended->cut_off, ended->why);
  out.status_changed = true;
  look();
}

void Session::State::finish_live(occupation::CutOff cut_off, const std::string& why) {
  if (checks.is_open()) return finish_check(cut_off, why);
  FinishedPoint finished = live.finish(cut_off);
  stir();
  corrections.base.say(finished.point);
  checks.say(finished.point, grid.now());
  repeats.close(finished.point, live.initialized(), out);
  const occupation::Point& point = finished.point;
  const bool nothing = point.status == occupation::PointStatus::none;
  if (!nothing) checks.keep(point.source);
  if (nothing) {
    out.lost.push_back({point.name, point.visit, false, why, stream.utc()});
    repeats.forget(point.name, point.visit);
  } else {
    note_event("kept",
               kSay.ended(kSay.visit(point.name, std::to_string(point.visit)), why, kSay.it_is(to_word(point.status))));
  }
  if (!nothing || basis.options.empty_stays) out.points.push_back(std::move(finished));
  out.status_changed = true;
}

/// The stay on a mark ends.
void Session::State::finish_check(occupation::CutOff cut_off, const std::string& why) {
  occupation::Point point = live.finish(cut_off).point;
  const gate::Judged* last = stream.last();
  FinishedCheck done =
      checks.finish(std::move(point), grid.now(), last != nullptr ? last->epoch.geoid_separation_m : std::nullopt);
  note_event(done.kind == "turn" ? "turn-test" : "check-result", done.verdict.text);
  if (cut_off != CutOff::no && !done.residual) out.lost.push_back({done.mark.name, 1, true, why, stream.utc()});
  for (const control::Overlap& overlap : done.overlaps) note_event("overlap-check", overlap.text);
  if (const auto shot = passed_shot(done); shot && corrections.base.prove(*shot, done.point))
    note_event("base", corrections.base.proof_text());
  out.checks.push_back(std::move(done));
  out.status_changed = true;
  stir();
  checks.look(moment(), board);
}

/// Closes what is open in the stream, because nothing more comes or what comes is not joined to it.
void Session::State::end_stream() {
  if (const auto* closed = stream.end()) on_epoch(*closed);
  stream.drop_sentence();
}

void Session::feed(FeedState state, const std::string& what, SteadyTime now) {
  State& s = *state_;
  s.advance(now);
  s.go_on();
  if (state == FeedState::ended) s.end_stream();
  if (s.link.tell(state, what, s.grid.now())) {
    s.note_event("feed", "feed " + std::string(to_word(state)) + ": " + what);
    s.out.status_changed = true;
  }
  if (state == FeedState::waiting) s.board.reword(AlertKind::feed_unavailable, what);
  s.look();
}

void Session::cut(SteadyTime now, const std::string& standstill) {
  State& s = *state_;
  s.advance(now);
  s.stir();
  s.end_stream();
  s.stream.cut(!standstill.empty());
  s.interrupt_stays(CutOff::broke_off, standstill.empty() ? kSay.link_cut() : standstill);
  if (standstill.empty()) return;
  s.link.stand_still(standstill);
  s.out.status_changed = true;
  s.look();
}

void Session::finish() {
  State& s = *state_;
  s.end_stream();
  s.planned.finish(s.antenna_height_m, s.out);
  if (std::string missed = s.planned.missed(); !missed.empty()) s.note_event(kDates, missed);
  if (s.live.is_open()) s.finish_live(CutOff::broke_off, kSay.program_stopped());
  s.corrections.used.sum_up(s.moment(), s.out);
}

std::string Session::State::why_no_stay() const {
  if (live.is_open()) return kSay.is_open(live.name());
  return link.standstill().empty() ? std::string() : kSay.nothing_judged(link.standstill());
}

void Session::State::begin_live(occupation::Stand stand, const std::optional<Again>& computed_anew) {
  stand.antenna_height_m = antenna_height_m;
  stand.keep_epochs = basis.options.keep_epochs;
  stand.training = basis.options.training;
  live.begin(std::move(stand), computed_anew);
  stir();
  out.status_changed = true;
}

CommandResult Session::occupy(const OccupyCommand& command) {
  State& s = *state_;
  if (std::string why = s.why_no_stay(); !why.empty()) return {false, std::move(why), 0};
  if (auto unfit = s.unfit_name(command.name, command.visit || command.is_new)) return *std::move(unfit);
  const Result<int> visit = s.repeats.visit_for(command.name, command.again, command.visit);
  if (!visit) return {false, visit.error().text, 0};
  s.repeats.begin(command.name, *visit);
  s.begin_live({command.name, *visit, command.code, command.note}, command.computed_anew);
  s.note_event("occupy", kSay.began(kSay.visit(command.name, std::to_string(*visit))));
  std::string text = kSay.is_begun(command.name, std::to_string(*visit));
  const Status now = status();
  if (!now.accepted)
    text = kSay.not_counting_yet(text, now.reasons.empty() ? kSay.no_data() : now.reasons.front().text);
  return {true, std::move(text), *visit};
}

CommandResult Session::check(const std::string& mark, const CheckCommand& how,
                             const std::optional<Again>& computed_anew) {
  State& s = *state_;
  if (std::string why = s.why_no_stay(); !why.empty()) return {false, std::move(why), 0};
  Result<std::string> begun = s.checks.begin(mark, how);
  if (!begun) return {false, begun.error().text, 0};
  s.begin_live({mark, 1, "", ""}, computed_anew);
  s.note_event("check", kSay.began_check(mark));
  std::string text = *std::move(begun);
  const UtcTime utc = s.stream.utc().value_or(UtcTime{});
  for (const std::string& caution : control::cautions(*s.checks.marks().find(mark), utc)) text += "; " + caution;
  return {true, std::move(text), 1};
}

CommandResult Session::keep() {
  State& s = *state_;
  if (!s.live.is_open()) return {false, kSay.none_to_keep(), 0};
  const std::string name = s.live.name();
  const int visit = s.live.stay().stand().visit;
  if (!s.live.is_computed_anew() && s.live.stay().progress().accepted == 0) {
    return {false, kSay.none_counted_yet(name), 0};
  }
  s.finish_live(CutOff::no, kSay.kept_by_hand());
  return {true, kSay.kept(name), visit};
}

CommandResult Session::drop() {
  State& s = *state_;
  if (!s.live.is_open()) return {false, kSay.none_to_discard(), 0};
  const occupation::Stand stand = s.live.stay().stand();
  s.live.drop();
  s.stir();
  s.out.status_changed = true;
  if (s.checks.is_open()) {
    s.checks.drop();
    s.note_event("abandoned", kSay.discarded_by_hand(kSay.check_on(stand.name)));
    return {true, kSay.discarded_check(kSay.check_on(stand.name)), 0};
  }
  s.repeats.forget(stand.name, stand.visit);
  s.note_event("abandoned", kSay.discarded_by_hand(kSay.visit(stand.name, std::to_string(stand.visit))));
  return {true, kSay.discarded(stand.name), stand.visit};
}

CommandResult Session::set_antenna(double height_m, const std::string& reason, std::optional<UtcTime> since) {
  State& s = *state_;
  s.stir();
  if (s.basis.settings.antenna.already_reduced_by_receiver) {
    return {false, kSay.reduced_by_receiver(), 0};
  }
  if (reason.empty()) return {false, kSay.why_antenna(), 0};
  if (!(height_m >= 0 && height_m <= kHighestAntennaM)) {
    return {false, kSay.bad_antenna(readable(height_m, 3)), 0};
  }
  if (std::abs(height_m - s.antenna_height_m) < occupation::kSameAntennaM) {
    if (!since) return {false, kSay.same_antenna(fixed(s.antenna_height_m, 3)), 0};
    s.repeats.hold_for_antenna(height_m, *since, s.out);
    return {true, kSay.antenna_is(fixed(height_m, 3)), 0};
  }
  const std::string text = kSay.antenna_became(fixed(s.antenna_height_m, 3), fixed(height_m, 3), reason);
  s.antenna_height_m = height_m;
  s.checks.change(kSay.antenna_changed());
  if (s.live.is_open()) {
    s.live.stay().empty() ? s.live.begin_anew(height_m) : s.finish_live(CutOff::broke_off, kSay.antenna_changed());
  }
  s.planned.end_open(height_m, s.out);
  if (since) {
    s.repeats.hold_for_antenna(height_m, *since, s.out);
    for (FinishedPoint& ended : s.out.points) occupation::hold_for_antenna(ended.point, height_m, *since);
  }
  s.note_event("antenna", text);
  s.out.status_changed = true;
  return {true, text, 0};
}

CommandResult Session::resolve(const std::string& name, int visit, bool accept) {
  state_->repeats.decide(name, visit, accept, state_->out);
  return {true, "", visit};
}

std::optional<CommandResult> Session::State::unfit_name(const std::string& name, bool is_new,
                                                        const std::string& but) const {
  if (std::string fault = name_fault(name); !fault.empty()) return CommandResult{false, std::move(fault), 0, {}};
  auto near = is_new ? std::nullopt : near_name(name, but, repeats, checks.marks(), planned);
  if (!near) return std::nullopt;
  std::string text = question_text(name, *near);
  return CommandResult{false, std::move(text), 0, std::move(near)};
}

CommandResult Session::amend(const std::pair<std::string, int>& which, const Naming& naming) {
  State& s = *state_;
  const auto& [name, visit] = which;
  const bool renames = !naming.name.empty() && naming.name != name;
  if (renames && !naming.visit) {
    if (auto unfit = s.unfit_name(naming.name, naming.is_new, name)) return *std::move(unfit);
  }
  const Result<int> given = renames ? s.repeats.visit_for(naming.name, naming.again, naming.visit) : Result<int>(visit);
  if (!given) return {false, given.error().text, 0};
  const bool open =
      s.live.is_open() && !s.checks.is_open() && s.live.name() == name && s.live.stay().stand().visit == visit;
  const occupation::Called called{renames ? naming.name : name, *given, naming.code, naming.note};
  if (open) {
    s.repeats.forget(name, visit);
    s.repeats.begin(called.name, called.visit);
    s.live.call(called);
    s.stir();
    s.note_event("amended", kSay.amended(kSay.visit(name, std::to_string(visit)), called.name));
  } else {
    s.repeats.call(which, called, s.out);
  }
  s.out.status_changed = true;
  return {true, kSay.is_amended(kSay.visit(called.name, std::to_string(called.visit))), called.visit, {}};
}

CommandResult make_offset(Session& session, const OffsetCommand& command) {
  Session::State& s = *session.state_;
  if (auto unfit = s.unfit_name(command.name, command.visit || command.is_new)) return *std::move(unfit);
  if (s.repeats.knows(command.name) && !command.visit) return {false, kSay.known_offset(command.name), 0, {}};
  const Result<int> visit = s.repeats.visit_for(command.name, false, command.visit);
  if (!visit) return {false, visit.error().text, 0, {}};
  std::vector<const occupation::Point*> stays;
  for (const MeasuredStay& stay : command.measures.stays) {
    stays.push_back(s.repeats.find(stay.name, stay.visit));
    const std::string title = kSay.visit(stay.name, std::to_string(stay.visit));
    if (stays.back() != nullptr) continue;
    return {false, is_open(s.live, stay) ? kSay.stay_is_open(title) : kSay.no_stay(title), 0, {}};
  }
  auto point = occupation::offset_point(command.measures, stays, command.at ? command.at : s.stream.utc());
  if (!point) return {false, point.error().text, 0, {}};
  occupation::Called{command.name, *visit, command.code, command.note}.give(*point);
  deliver(*point, s.basis.frames);
  s.repeats.take_offset(*point);
  const std::string text = offset_text(*point);
  s.note_event("offset", text);
  s.out.points.push_back({0, true, *std::move(point), {}});
  s.out.status_changed = true;
  return {true, text, *visit, {}};
}

CommandResult Session::seen(const std::string& key, std::optional<std::uint64_t> id) {
  const int count = state_->board.seen(key, id);
  state_->look();
  state_->out.status_changed = true;
  return {true, count == 0 ? kSay.none_to_see() : kSay.seen(std::to_string(count)), 0};
}

Closing closing_of(const Session& session) {
  const Session::State& s = *session.state_;
  Closing closing;
  if (s.live.is_open()) {
    closing.why_not.push_back(kSay.is_open(s.checks.is_open() ? kSay.check_on(s.live.name()) : s.live.name()));
  }
  Closing checked = s.checks.closing(s.grid.now());
  if (closing.why_not.empty()) return checked;
  for (std::string& why : checked.why_not) closing.why_not.push_back(std::move(why));
  return closing;
}

std::optional<OpenStay> Session::open_stay() const {
  const State& s = *state_;
  auto stay = s.live.cut_off();
  if (!stay) return std::nullopt;
  OpenStay out{*std::move(stay), s.checks.is_open(), {}};
  occupation::Point& point = out.stay.point;
  if (out.on_mark) {
    if (point.at) out.off_mark = s.checks.off_mark(*point.at);
    return out;
  }
  s.repeats.flag(point, s.live.initialized());
  s.corrections.base.say(point);
  s.checks.say(point, s.grid.now());
  return out;
}

const occupation::Stand* Session::open_stand() const noexcept {
  return state_->live.is_open() ? &state_->live.stay().stand() : nullptr;
}

bool Outputs::is_empty() const noexcept {
  return points.empty() && reconsidered.empty() && checks.empty() && lost.empty() && events.empty() && raised.empty() &&
         cleared.empty() && repeated.empty();
}

Outputs Session::take() {
  State& s = *state_;
  Outputs taken;
  if (!s.out.is_empty()) taken = std::exchange(s.out, {});
  taken.status_changed |= std::exchange(s.out.status_changed, false);
  if (s.board.has_news()) {
    taken.raised = s.board.take_raised();
    taken.cleared = s.board.take_cleared();
  }
  if (s.live.is_open()) taken.repeated = s.board.take_repeats(s.grid.now());
  return taken;
}

Summary Session::summary() const {
  Summary out = state_->stream.summary();
  out.outages = state_->corrections.used.outages(state_->grid.now());
  return out;
}

const std::vector<Alert>& Session::alerts() const {
  return state_->board.all();
}

std::vector<occupation::Combined> combined(const Session& session,
                                           const std::vector<const occupation::Point*>& points) {
  const Basis& basis = session.state_->basis;
  std::vector<std::string> order;
  std::map<std::string, std::vector<const occupation::Point*>> by_name;
  for (const occupation::Point* point : points) {
    if (!point->measures.empty()) continue;  // nobody stood there
    auto& visits = by_name[point->name];
    if (visits.empty()) order.push_back(point->name);
    visits.push_back(point);
  }
  std::vector<occupation::Combined> out;
  for (const std::string& name : order) {
    auto& visits = by_name[name];
    std::stable_sort(visits.begin(), visits.end(), [](const auto* a, const auto* b) { return a->visit < b->visit; });
    auto together = occupation::combine(visits, basis.settings.sources);
    if (!together) continue;
    if (auto& at = together->at) {
      const auto delivered = basis.frames.deliver(occupation::place_of(*at), at->coordinate_epoch);
      if (delivered) at->take(*delivered);
    }
    out.push_back(std::move(*together));
  }
  return out;
}

}  // namespace stillpoint::session
