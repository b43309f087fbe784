#include "day/day.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <boost/asio/post.hpp>
#include <utility>

#include "base/number.hpp"
#include "common/clock.hpp"
#include "common/file.hpp"
#include "common/sentences.hpp"
#include "common/timers.hpp"
#include "day/checks.hpp"
#include "geodesy/antenna.hpp"
#include "occupation/occupation.hpp"
#include "pointbook/disk.hpp"
#include "pointbook/happened.hpp"
#include "session/apply.hpp"
#include "session/checks.hpp"

namespace stillpoint::daemon {
namespace {

using pointbook::EventKind;
using session::Severity;

constexpr std::chrono::milliseconds kDiskLook{10'000};
constexpr std::chrono::milliseconds kDiskLookFull{1'000};
constexpr std::chrono::milliseconds kSyncPatience{2'000};  // a point is safer in the spool than behind a slow record
constexpr std::int64_t kSaveOpenMs = 4'000;
constexpr std::int64_t kDrainMs = 1'000;     // also without news, for alerts to be told again
constexpr std::int64_t kSavedASecond = 600;  // epochs; a long stay is written whole each time, so the less often

std::optional<UtcTime> newest_epoch_utc(const session::Status& status) {
  return status.epoch ? status.epoch->utc : std::nullopt;
}

bool begins_a_stay(const record::Command& command) {
  return std::holds_alternative<record::Occupy>(command) || std::holds_alternative<record::Check>(command);
}

/// A stay of a turn test proves the pole and not the day, so its result is an event and no check.
bool is_a_row(const session::FinishedCheck& check) {
  return check.residual && check.kind != "turn";
}

/// An open stay before a second has counted: a crash must not make it vanish.
session::OpenStay nothing_yet(const occupation::Stand& stand) {
  session::OpenStay out;
  occupation::Point& point = out.stay.point;
  point.name = stand.name;
  point.visit = stand.visit;
  point.code = stand.code;
  point.note = stand.note;
  point.antenna_height_m = stand.antenna_height_m;
  return out;
}

bool makes_a_row(const session::Outputs& out) {
  return !out.points.empty() || std::any_of(out.checks.begin(), out.checks.end(), is_a_row);
}

}  // namespace

Day::Day(boost::asio::io_context& io, const config::Settings& settings, session::Session session,
         std::unique_ptr<Recorder> recorder, PairCatalogue& pairs, Store& store)
    : io_(io),
      settings_(settings),
      session_(std::move(session)),
      recorder_(std::move(recorder)),
      pairs_(pairs),
      store_(store),
      disks_(settings.project.record, folder_of(pointbook::real_path(settings.project.pointbook)),
             settings.alerts.disk_free_mib),
      antenna_(settings.antenna) {
  recorder_->enter_in(pairs_, [this] { return session_.status().time_utc; });
}

void Day::know(std::vector<occupation::StoredPoint> points, const std::vector<pointbook::Event>& events) {
  for (const pointbook::Event& event : events) book_.hear(event);
  for (const std::string& uuid : store_.spooled_before()) on_the_way_[uuid] = Storage::spooled;
  for (const std::string& uuid : store_.shots_spooled_before()) {
    on_the_way_[uuid] = Storage::spooled;
    shots_on_the_way_.insert(uuid);
  }
  left_open_ = store_.left_open(points);
  book_unread_ = store_.is_unread();
  for (auto& stored : points) {
    session_.know(stored.point);
    const bool waits = on_the_way_.contains(stored.uuid);
    points_.put(std::move(stored), waits ? Storage::spooled : Storage::stored);
  }
}

std::vector<occupation::Combined> Day::combined() const {
  std::vector<const occupation::Point*> points;
  for (const CatalogueEntry& entry : points_.entries()) points.push_back(&entry.stored.point);
  return session::combined(session_, points);
}

void Day::start(DayHooks hooks, const std::string& version) {
  hooks_ = std::move(hooks);
  const auto damage = store_.damage();
  Known known = store_.known().value_or(Known());
  hear_store();
  for (const std::string& sentence : damage) {
    spdlog::error("{}", sentence);
    raise("spool-damaged", Severity::warning, sentence);
  }
  note_left_open();
  if (left_open_) known.add({*left_open_}, {});
  recover_open_stay();
  tell_lost_stays();
  missing_keeps_ = keeps_in(settings_.project.record, utc_now());
  look_for_keeps(known);
  book_unread_ ? on_waiting(kSay.book_unread()) : tell_missing_keeps();
  store_antenna();
  add_event(to_word(EventKind::started), kSay.started(version, settings_.path));
  watch_disk();
}

void Day::store_antenna(const std::string& reason) {
  const config::Antenna& antenna = antenna_;
  pointbook::AntennaSetup setup;
  setup.uuid = new_uuid();
  setup.utc = utc_now();
  setup.height_m = geodesy::antenna_height_m(antenna).value_or(0.0);
  setup.vertical_parts_m = antenna.vertical_parts_m;
  if (antenna.slant_m) {
    setup.slant_length_m = antenna.slant_m->length_m;
    setup.slant_radius_m = antenna.slant_m->radius_m;
    setup.slant_plane_to_phase_centre_m = antenna.slant_m->plane_to_phase_centre_m;
  }
  setup.also_measured_ft = antenna.also_measured_ft;
  setup.already_reduced_by_receiver = antenna.already_reduced_by_receiver;
  setup.reason = reason;
  store_.submit(std::move(setup));
}

// The store speaks on its own thread; everything of the day happens on ours.
void Day::hear_store() {
  StoreNews news;
  news.spooled = [this](const std::string& uuid, const Result<void>& done) {
    boost::asio::post(io_, [this, uuid, done] { on_spooled(uuid, done); });
  };
  news.stored = [this](const std::string& uuid) { boost::asio::post(io_, [this, uuid] { on_stored(uuid); }); };
  news.read = [this](std::vector<occupation::StoredPoint> points, std::vector<pointbook::Event> events) {
    boost::asio::post(io_, [this, points = std::move(points), events = std::move(events)]() mutable {
      on_read(std::move(points), events);
    });
  };
  news.waiting = [this](const std::string& text) { boost::asio::post(io_, [this, text] { on_waiting(text); }); };
  news.open_unsaved = [this](const std::string& text) {
    boost::asio::post(
        io_, [this, text] { text.empty() ? clear("stay-unsaved") : raise("stay-unsaved", Severity::warning, text); });
  };
  news.damaged = [this](const std::string& text) {
    boost::asio::post(io_, [this, text] {
      clear("spool-damaged");
      raise("spool-damaged", Severity::warning, text);
    });
  };
  store_.start(std::move(news));
}

void Day::on_spooled(const std::string& uuid, const Result<void>& done) {
  if (done) {
    on_the_way_[uuid] = Storage::spooled;
    points_.mark(uuid, Storage::spooled);
    spooled_ += shots_on_the_way_.contains(uuid) ? 0U : 1U;
    spool_went_well();
  } else {
    spool_failed(done.error().text);
  }
  const bool awaited = pending_.contains(uuid) || pending_shots_.contains(uuid);
  if (done && awaited && !recorder_->is_down()) record_event(record::Safe{uuid}, last_at_);
  const auto unsafe = [&done](const std::string& what) {
    return fail(kSay.not_safe(what, done ? std::string("superseded") : done.error().text));
  };
  if (const auto shot = pending_shots_.extract(uuid); !shot.empty()) {
    done ? shot.mapped()({}) : shot.mapped()(unsafe(kSay.the_check()));
  }
  if (const auto waits = pending_.extract(uuid); !waits.empty()) {
    const auto& entries = points_.entries();
    const auto at = std::find_if(entries.begin(), entries.end(), [&](const auto& e) { return e.stored.uuid == uuid; });
    done&& at != entries.end() ? waits.mapped()(at->stored) : waits.mapped()(unsafe(kSay.the_point()));
  }
  hooks_.status_changed();
}

void Day::on_stored(const std::string& uuid) {
  on_the_way_.erase(uuid);
  points_.mark(uuid, Storage::stored);
  stored_ += shots_on_the_way_.erase(uuid) == 0 ? 1U : 0U;
  hooks_.status_changed();
}

/// Takes over what the start would have read from the pointbook. When a name was given meanwhile that the pointbook
/// already has, people must decide: the pointbook does not take the later point, which stays in the spool.
void Day::on_read(std::vector<occupation::StoredPoint> points, const std::vector<pointbook::Event>& events) {
  book_unread_ = false;
  spdlog::info("the pointbook is read");
  book_ = DayBook();
  for (const pointbook::Event& event : events) book_.hear(event);
  for (const pointbook::Event& event : std::exchange(heard_unread_, {})) book_.hear(event);
  for (auto& stored : points) {
    session_.know(stored.point);
    const CatalogueEntry* mine = points_.find(stored.point.name, stored.point.visit);
    if (mine == nullptr) {
      points_.put(std::move(stored), Storage::stored);
    } else if (mine->stored.uuid != stored.uuid && mine->stored.version == stored.version) {
      raise("name-taken", Severity::warning, kSay.name_taken(stored.point.name, std::to_string(stored.point.visit)));
    }
  }
  clear("store-waiting");
  tell_lost_stays();
  note_left_open();
  store_.ask_known([this](const Result<Known>& known) {
    boost::asio::post(io_, [this, known] {
      if (known) look_for_keeps(*known);
      tell_missing_keeps();
    });
  });
  hooks_.status_changed();
}

void Day::on_waiting(const std::string& text) {
  if (text.empty()) return clear("store-waiting");
  raise("store-waiting", Severity::notice, text);
}

void Day::bytes(std::string_view bytes, SteadyTime arrived) {
  last_at_ = arrived;
  if (!try_to_go_on(arrived) || !tell_clock(arrived)) return;
  if (!recorded(recorder_->bytes(bytes, arrived), arrived)) return;
  session_.push(bytes, arrived);
  session::Outputs out = session_.take();
  if (!out.is_empty() || arrived.ms - drained_.ms >= kDrainMs) return hand_out(std::move(out), {});
  if (out.status_changed && hooks_.status_changed) hooks_.status_changed();  // the usual case
}

void Day::feed(session::FeedState state, const std::string& what, SteadyTime at) {
  feed_state_ = state;
  feed_what_ = what;
  if (recorder_->is_down()) return;  // told when the day goes on
  record_event(record::FeedNews{std::string(session::to_word(state)), what}, at);
}

void Day::cut(SteadyTime at) {
  if (recorder_->is_down()) return;  // the standstill was one
  record_event(record::Cut{}, at);
}

void Day::clock(const record::Clock& clock, SteadyTime at) {
  clock_ = {clock, at};
  if (clock_told_) record_event(clock, at);
}

/// Before the first bytes: from the head of the run's first pair, which says what the computer's clock said, or by a
/// line of its own for the clock of a replay.
bool Day::tell_clock(SteadyTime at) {
  if (clock_told_) return true;
  if (!recorded(recorder_->ready(at), at)) return false;
  clock_told_ = true;
  const record::JournalHead& head = recorder_->run_head();
  if (head.by_clock) session_.set_clock(head.steady, head.utc);
  if (!clock_) return true;
  record::Clock clock = clock_->first;
  if (clock.said) clock.said->ms += at.ms - clock_->second.ms;
  record_event(clock, at);
  return !recorder_->is_down();
}

/// Bytes reach the session only after the record has them.
void Day::record_event(const record::Command& event, SteadyTime at) {
  last_at_ = std::max(last_at_, at);
  if (!recorded(recorder_->event(record::to_line({event}), at), at)) return;
  session::apply(session_, event, at);
  drain();
}

void Day::tick(SteadyTime at) {
  last_at_ = at;
  session_.advance(at);
  drain();
  if (recorded(recorder_->look(), at)) try_to_go_on(at);
  if (const auto said = recorder_->clock_was_set(at)) record_event(record::Clock{*said}, at);
  if (!held_.empty() && steady_now().ms - held_.front().since.ms > scaled(kSyncPatience).count())
    give_to_store(handed_);
  go_on_closing(at);
  save_open_stay();
  if (steady_now().ms - disk_looked_.ms >= scaled(disks_.full_text().empty() ? kDiskLook : kDiskLookFull).count()) {
    watch_disk();
  }
}

session::CommandResult Day::carry_out(record::Command command, const std::string& by, SteadyTime at) {
  std::string why = refusal_after_trying(at);
  if (const auto more = begins_a_stay(command) ? why_no_stay() : ""; !more.empty()) {
    why += (why.empty() ? "" : "; ") + more;
  }
  if (!why.empty()) return {false, std::move(why), 0};
  return carry_out_now(std::move(command), by, at);
}

/// The record gets the command before anything that came of it is handed on.
session::CommandResult Day::carry_out_now(record::Command command, const std::string& by, SteadyTime at) {
  catch_up(at);
  const auto utc = newest_epoch_utc(session_.status());
  auto result = session::apply(session_, command, at);
  session::Outputs out = session_.take();
  std::string made;
  if (result.done) {
    if (auto* const keep = std::get_if<record::Keep>(&command); keep != nullptr && makes_a_row(out)) {
      keep->made = made = new_uuid();
    }
    if (begins_a_stay(command)) forget_open_stay();
    if (auto* const occupy = std::get_if<record::Occupy>(&command)) {
      occupy->visit = result.visit;
      result.text += reopens();
    }
    record_command({std::move(command), utc, by}, at);
  }
  hand_out(std::move(out), by, std::move(made));
  return result;
}

void Day::catch_up(SteadyTime at) {
  last_at_ = std::max(last_at_, at);
  session_.advance(at);
  drain();
}

void Day::keep(const std::string& by, SteadyTime at, PointDone done) {
  if (const auto why = refusal_after_trying(at); !why.empty()) return done(fail(why));
  if (const auto why = why_no_keep(); !why.empty()) return done(fail(why));
  keep_now(by, at, std::move(done));
}

void Day::keep_now(const std::string& by, SteadyTime at, PointDone done) {
  catch_up(at);  // a stay that ended by itself is not this one's
  keeping_ = std::move(done);
  const auto result = carry_out_now(record::Keep{}, by, at);
  if (const PointDone nobody = std::exchange(keeping_, nullptr))
    nobody(fail(result.done ? kSay.nothing_counted() : result.text));
}

session::CommandResult Day::set_antenna(const config::Antenna& antenna, const std::string& reason,
                                        const std::string& by, SteadyTime at) {
  if (auto why = refusal_after_trying(at); !why.empty()) return {false, std::move(why), 0};
  const auto height_m = geodesy::antenna_height_m(antenna);
  if (!height_m) return {false, height_m.error().text, 0};
  auto result = carry_out_now(record::SetAntenna{*height_m, reason}, by, at);
  if (result.done) {
    antenna_ = antenna;
    store_antenna(reason);
  }
  return result;
}

void Day::resolve(const Decision& decision, SteadyTime at, PointDone done) {
  const auto& [name, visit, accept, sure, reason, by] = decision;
  const CatalogueEntry* entry = points_.find(name, visit);
  if (entry == nullptr) {
    if (book_unread_) return done(fail(kSay.unread_resolve()));
    return done(fail(visit ? kSay.no_visit(name, std::to_string(*visit)) : kSay.no_point(name)));
  }
  auto next = resolved(*entry, decision);
  if (!next) return done(tl::unexpected(next.error()));
  add_event(to_word(EventKind::resolved),
            kSay.resolved_because(kSay.stay(name, std::to_string(next->point.visit)), accept ? "accepted" : "rejected",
                                  reason),
            by);
  const record::Resolve command{next->point.name, next->point.visit, accept, sure};
  submit(std::move(*next), std::move(done));
  // While the record is down the decision stands in the pointbook alone.
  if (!recorder_->is_down()) carry_out_now(command, by, at);
}

void Day::seen(const std::string& key, std::optional<std::uint64_t> id, SteadyTime at) {
  session_.advance(at);
  session_.seen(key, id);
  own_.seen(key, id);
  if (const session::Alert* lost = own_.active(kStayLost); lost != nullptr && lost->seen) clear(kStayLost);
  drain();
}

void Day::submit(occupation::StoredPoint stored, PointDone done, std::string uuid) {
  stored.uuid = uuid.empty() ? new_uuid() : std::move(uuid);
  stored.stored_at = utc_now();
  if (done) pending_[stored.uuid] = std::move(done);
  on_the_way_[stored.uuid] = Storage::memory;
  points_.put(stored, Storage::memory);
  hand_to_store([this, stored = std::move(stored)] { store_.submit(stored); });
}

/// When a later visit changes the standing of an earlier one, that is a new version of the earlier one; where a person
/// has decided, it is only told.
void Day::reconsider(const session::Reconsidered& earlier) {
  const occupation::Point& point = earlier.point;
  const CatalogueEntry* entry = points_.find(point.name, point.visit);
  if (entry == nullptr) return;
  const std::string stay = kSay.stay(point.name, std::to_string(point.visit));
  auto next = reconsidered(*entry, point, earlier.why);
  add_event("visits", next ? kSay.reconsidered(stay, earlier.why) : kSay.decided_by_hand(stay, earlier.why));
  if (next) submit(std::move(*next), nullptr);
}

/// What has come out of the session goes where it belongs.
void Day::drain(const std::string& by) {
  hand_out(session_.take(), by);
}

void Day::hand_out(session::Outputs out, const std::string& by, std::string uuid) {
  drained_ = last_at_;
  for (auto& finished : out.points) {
    occupation::StoredPoint stored;
    stored.point = std::move(finished.point);
    stored.epochs = std::move(finished.epochs);
    spdlog::info("{} visit {}: {}", stored.point.name, stored.point.visit, to_word(stored.point.status));
    if (book_.is_closed(points_)) {
      add_event(to_word(EventKind::day_reopened), kSay.kept_after_close(stored.point.name), by);
    }
    submit(std::move(stored), std::exchange(keeping_, nullptr), std::exchange(uuid, ""));
  }
  for (const session::Reconsidered& earlier : out.reconsidered) reconsider(earlier);
  for (auto& check : out.checks) submit(std::move(check), uuid);
  for (const session::LostStay& lost : out.lost) {
    hear_time(lost.utc);
    lose(day_utc(), {lost.name, lost.visit, lost.on_mark, lost.why});
  }
  for (const session::Event& event : out.events) {
    hear_time(event.utc);
    if (event.kind == session::kDates) note_dates(event.text);
    add_event(event.kind, event.text, by, day_utc());
  }
  for (const session::Alert& alert : out.alerts_in_order()) {
    hear_time(alert.active ? alert.since_utc : alert.until_utc);
    announce(alert);
  }
  for (const session::Alert& alert : out.repeated) repeat(alert);
  if (out.status_changed && hooks_.status_changed) hooks_.status_changed();
}

/// How dates are taken stands in the record for whoever reads it; the recomputation comes to it by itself.
void Day::note_dates(const std::string& text) {
  spdlog::warn("{}", text);
  if (!recorder_->is_down()) record_event(record::Dates{text}, last_at_);
}

void Day::keep_check(const std::string& by, SteadyTime at, CheckDone done) {
  keeping_check_ = std::move(done);
  keep(by, at, [this](const Result<occupation::StoredPoint>& kept) {
    const CheckDone tell = std::exchange(keeping_check_, nullptr);
    if (tell && !kept) tell(fail(kept.error().text));
  });
}

/// A check that was compared is answered once it is safe; any other is answered at once.
void Day::submit(session::FinishedCheck check, std::string uuid) {
  spdlog::info("{}", check.verdict.text);
  CheckDone tell = std::exchange(keeping_check_, nullptr);
  if (!is_a_row(check)) {
    if (tell) tell(std::move(check));
    return;
  }
  control::CheckShot shot = session::shot_of(check);
  shot.uuid = uuid.empty() ? new_uuid() : std::move(uuid);
  shot.stored_at = utc_now();
  on_the_way_[shot.uuid] = Storage::memory;
  shots_on_the_way_.insert(shot.uuid);
  if (tell) {
    pending_shots_[shot.uuid] = [tell = std::move(tell), check = std::move(check)](const Result<void>& done) {
      done ? tell(check) : tell(fail(done.error().text));
    };
  }
  hand_to_store([this, shot = std::move(shot)] { store_.submit(shot); });
}

void Day::hear_time(std::optional<UtcTime> told) {
  if (told) told_at_ = {*told, last_at_};
}

UtcTime Day::day_utc() const {
  if (!told_at_) return recorder_->utc_at(last_at_);
  return UtcTime{told_at_->first.ms + (last_at_.ms - told_at_->second.ms)};
}

void Day::announce(const session::Alert& alert) {
  const std::string text = alert.active ? alert.text : "over: " + alert.text;
  spdlog::log(alert.active ? spdlog::level::warn : spdlog::level::info, "alert {}: {}", alert.key, text);
  // Each occurrence of an alert has one number, so that a reader of the events can tell which end belongs to which
  // beginning.
  std::uint64_t& number = occurrences_[alert.key];
  number += alert.active ? 1U : 0U;
  const auto utc = alert.active ? alert.since_utc : alert.until_utc;
  hear(pointbook::alert_event(utc.value_or(day_utc()), alert.key, alert.text, {number, !alert.active}));
  if (hooks_.alert) hooks_.alert(alert);
  if (hooks_.status_changed) hooks_.status_changed();
}

/// Told again because nobody has seen it: no new occurrence, so no new event.
void Day::repeat(const session::Alert& alert) {
  if (hooks_.alert) hooks_.alert(alert);
}

void Day::raise(const std::string& key, Severity severity, const std::string& text) {
  if (const auto alert = own_.raise(key, severity, text)) announce(*alert);
}

void Day::own_alert(const std::string& key, Severity severity, const std::string& text) {
  raise(key, severity, text);
}

void Day::clear(const std::string& key) {
  if (const auto alert = own_.clear(key)) announce(*alert);
}

void Day::add_event(std::string_view kind, const std::string& text, const std::string& by, std::optional<UtcTime> utc) {
  hear(pointbook::event_of(utc.value_or(utc_now()), kind, text, by));
}

void Day::hear(pointbook::Event event) {
  if (book_unread_) heard_unread_.push_back(event);
  book_.hear(event);
  store_.submit(std::move(event));
}

/// Forgets the saved stay, which is over; the next one may have begun before any tick noticed.
void Day::forget_open_stay() {
  if (!std::exchange(save_open_again_, std::nullopt)) return;
  after_held([this] { store_.save_open(std::nullopt); });
}

/// A crash costs only the seconds of a stay since it was last saved: four seconds, or a thirtieth of a stay at 20 Hz.
void Day::save_open_stay() {
  const SteadyTime now = steady_now();
  if (session_.open_stand() == nullptr) return forget_open_stay();
  if (save_open_again_ && now < *save_open_again_) return;
  if (session_.checks().is_open()) return;
  auto open = session_.open_stay();
  if (!open) open.emplace(nothing_yet(*session_.open_stand()));
  session::FinishedPoint& stay = open->stay;
  const auto epochs = static_cast<std::int64_t>(stay.epochs.size());
  save_open_again_ = SteadyTime{now.ms + std::max(kSaveOpenMs, epochs * 1000 / kSavedASecond)};
  occupation::StoredPoint stored;
  stored.uuid = new_uuid();
  stored.point = std::move(stay.point);
  stored.epochs = std::move(stay.epochs);
  after_held([this, stored = std::move(stored)] { store_.save_open(stored); });
}

void Day::recover_open_stay() {
  if (!left_open_) return;
  occupation::StoredPoint stored = std::move(*left_open_);
  left_open_.reset();
  const occupation::Point& point = stored.point;
  if (point.status == occupation::PointStatus::none) {
    lose(utc_now(), {point.name, point.visit, false, kSay.no_word()});
    return after_held([this] { store_.save_open(std::nullopt); });
  }
  const auto event = pointbook::event_of(utc_now(), pointbook::Recovered{point.name, point.visit, point.epochs_used});
  spdlog::warn("{}", event.text);
  hear(event);
  session_.know(point, session::Weighed::no);
  submit(std::move(stored), nullptr);
  after_held([this] { store_.save_open(std::nullopt); });
}

/// A stay that vanished is an event, and an alert until somebody has seen it.
void Day::lose(UtcTime utc, const pointbook::LostStay& lost) {
  pointbook::Event event = pointbook::event_of(utc, lost);
  spdlog::warn("{}", event.text);
  hear(std::move(event));
  tell_lost_stays();
}

void Day::tell_lost_stays() {
  const std::string text = book_.unseen_stays();
  if (text.empty() || !hooks_.alert) return;
  const bool told = own_.active(kStayLost) != nullptr;
  raise(kStayLost, Severity::warning, text);
  // One more while nobody has seen the last: the row says both, and is told again.
  if (told) repeat(*own_.active(kStayLost));
}

session::Status Day::status() const {
  session::Status status = session_.status();
  for (auto& alert : own_.showing()) status.alerts.push_back(std::move(alert));
  std::stable_sort(status.alerts.begin(), status.alerts.end(),
                   [](const auto& a, const auto& b) { return a.severity > b.severity; });
  if (!own_counters_.empty()) {
    for (const auto& [what, value] : own_counters_) status.counters.push_back({what, value});
    std::sort(status.counters.begin(), status.counters.end(),
              [](const auto& a, const auto& b) { return a.name < b.name; });
  }
  status.store = {spooled_, stored_, on_the_way_.size()};
  if (!left_open_text_.empty()) status.notes.push_back(left_open_text_);
  return status;
}

std::vector<session::Alert> Day::alerts() const {
  std::vector<session::Alert> all = session_.alerts();
  all.insert(all.end(), own_.all().begin(), own_.all().end());
  return all;
}

bool Day::finish(SteadyTime at) {
  catch_up(at);
  if (!recorder_->try_again(at, true) || !recorder_->event(record::to_line({record::Stopped{}}), at)) {
    spdlog::error("the end of the day could not be entered in the record");
  }
  if (closing_) refuse_closing({kSay.being_stopped()});
  session_.finish();
  drain();
  forget_open_stay();
  add_event(to_word(EventKind::stopped), kSay.stopped());
  const auto closed = recorder_->close();
  give_to_store(handed_);
  if (!closed) spdlog::error("LOST: perhaps the last seconds of the record, {}", closed.error().text);
  return closed.has_value();
}

}  // namespace stillpoint::daemon
