#include "day/acts.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <utility>

#include "base/number.hpp"
#include "common/clock.hpp"
#include "common/sentences.hpp"
#include "geodesy/antenna.hpp"
#include "occupation/occupation.hpp"
#include "pointbook/disk.hpp"
#include "pointbook/happened.hpp"

namespace stillpoint::daemon {
namespace {

using pointbook::EventKind;

bool begins_a_stay(const record::Command& command) {
  return std::holds_alternative<record::Occupy>(command) || std::holds_alternative<record::Check>(command);
}

/// Where a command says what it made; null: it makes nothing by itself.
std::string* made_by(record::Command& command) {
  if (auto* const keep = std::get_if<record::Keep>(&command)) return &keep->made;
  auto* const offset = std::get_if<record::Offset>(&command);
  return offset != nullptr ? &offset->made : nullptr;
}

bool makes_a_row(const session::Outputs& out) {
  return !out.points.empty() || std::any_of(out.checks.begin(), out.checks.end(), is_a_row);
}

std::optional<UtcTime> newest_epoch_utc(const session::Status& status) {
  return status.epoch ? status.epoch->utc : std::nullopt;
}

std::string stay_of(const occupation::Point& point) {
  return kSay.stay(point.name, std::to_string(point.visit));
}

pointbook::AntennaSetup setup_of(const config::Antenna& antenna) {
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
  return setup;
}

}  // namespace

Acts::Acts(const Parts& parts, const config::Antenna& antenna, std::string pointbook, Stores stores)
    : parts_(parts), antenna_(antenna), pointbook_(std::move(pointbook)), stores_(std::move(stores)) {}

std::string Acts::refusal(FeedTime at) {
  if (parts_.disks.has_stopped_record()) return kSay.disk_full_kept();
  if (parts_.session.make_ready(at)) return "";
  if (parts_.disks.has_stopped_record()) return kSay.disk_full_kept();
  return kSay.standstill(parts_.session.standstill());
}

session::CommandResult Acts::carry_out(record::Command command, const std::string& by, FeedTime at) {
  std::string why = refusal(at);
  const std::string more = begins_a_stay(command) ? parts_.disks.why_no_stay(stores_.is_full()) : "";
  if (!more.empty()) why += (why.empty() ? "" : "; ") + more;
  if (!why.empty()) return {false, std::move(why), 0};
  return carry_out_now(std::move(command), by, at);
}

session::CommandResult Acts::carry_out_now(record::Command command, const std::string& by, FeedTime at) {
  parts_.session.catch_up(at);
  const auto utc = newest_epoch_utc(parts_.session.session().status());
  auto [result, out] = parts_.session.apply(command, at);
  std::string made;
  if (result.done) {
    if (auto* const told = made_by(command); told != nullptr && makes_a_row(out)) *told = made = new_uuid();
    if (begins_a_stay(command)) parts_.saved.forget();
    if (auto* const occupy = std::get_if<record::Occupy>(&command)) {
      occupy->visit = result.visit;
      result.text += reopens();
    }
    if (auto* const offset = std::get_if<record::Offset>(&command)) offset->visit = result.visit;
    if (auto* const amend = std::get_if<record::Amend>(&command)) {
      amend->to_visit = result.visit;
      parts_.saved.save_soon();
    }
    parts_.session.enter({std::move(command), utc, by}, at);
  }
  parts_.session.hand_on(std::move(out), by, std::move(made));
  return result;
}

/// What to tell somebody who begins a point after the closing; empty while the day is open.
std::string Acts::reopens() const {
  const DayBook& book = parts_.events.book();
  if (!book.is_closed(parts_.deliveries.points())) return {};
  return kSay.reopens(clock_text(*book.closings().last()) + " UTC");
}

void Acts::keep(const std::string& by, FeedTime at, PointDone done) {
  if (const auto why = refusal(at); !why.empty()) return done(fail(why));
  if (const auto why = parts_.disks.why_no_keep(parts_.session.session().open_stand()); !why.empty()) {
    return done(fail(why));
  }
  keep_now(by, at, std::move(done));
}

void Acts::keep_now(const std::string& by, FeedTime at, PointDone done) {
  parts_.session.catch_up(at);  // a stay that ended by itself is not this one's
  parts_.outcomes.await(std::move(done));
  const auto result = carry_out_now(record::Keep{}, by, at);
  if (const PointDone nobody = parts_.outcomes.give_up())
    nobody(fail(result.done ? kSay.nothing_counted() : result.text));
}

void Acts::keep_check(const std::string& by, FeedTime at, CheckDone done) {
  parts_.outcomes.await_check(std::move(done));
  keep(by, at, [this](const Result<occupation::StoredPoint>& kept) {
    const CheckDone tell = parts_.outcomes.give_up_check();
    if (tell && !kept) tell(fail(kept.error().text));
  });
}

void Acts::keep_open_stay(FeedTime at) {
  if (parts_.session.session().open_stand() == nullptr || parts_.session.recorder().is_down()) return;
  keep_now("stillpointd", at, [](const auto&) {});
  if (parts_.session.session().open_stand() != nullptr) carry_out_now(record::Drop{}, "stillpointd", at);
}

session::CommandResult Acts::set_antenna(const config::Antenna& antenna, const std::string& reason,
                                         const std::string& by, FeedTime at) {
  if (auto why = refusal(at); !why.empty()) return {false, std::move(why), 0};
  const auto height_m = geodesy::antenna_height_m(antenna);
  if (!height_m) return {false, height_m.error().text, 0};
  auto result = carry_out_now(record::SetAntenna{*height_m, reason}, by, at);
  if (result.done) take_antenna(antenna, reason);
  return result;
}

void Acts::take_antenna(const config::Antenna& antenna, const std::string& reason) {
  antenna_ = antenna;
  antenna_since_ = UtcTime{newest_epoch_utc(parts_.session.session().status()).value_or(utc_now()).ms + 1};
  enter_antenna(reason);
}

/// From the beginning of the first stay that the wrong pole was on to the end of the last one.
Span Acts::span_of(const PoleAsked& asked, const std::vector<const CatalogueEntry*>& points, bool changes) const {
  Span span{asked.since, asked.since};
  for (const CatalogueEntry* entry : points) {
    const occupation::Point& point = entry->stored.point;
    span.from = std::min(span.from, point.started_utc.value_or(span.from));
    span.until = std::max(span.until, UtcTime{point.finished_utc.value_or(span.until).ms + 1});
  }
  if (const auto open = parts_.session.session().open_stay(); changes && open) {
    span.from = std::min(span.from, open->stay.point.started_utc.value_or(span.from));
  }
  const auto newest = newest_epoch_utc(parts_.session.session().status());
  if (changes) span.until = std::max(span.until, UtcTime{newest.value_or(utc_now()).ms + 1});
  if (!changes && antenna_since_) span.until = std::max(span.until, *antenna_since_);
  return span;
}

/// What is to be said of it.
std::string Acts::write_redo(const PoleAsked& asked, const Span& span, PoleChanged& out) const {
  const std::string path = redo_file_of(pointbook_, asked.since);
  const int code = pointbook::replace_file(pointbook::system_disk(), path, redo_text_of(asked, span));
  if (code != 0) return kSay.redo_unwritten(path, pointbook::disk_words(code));
  out.redo = path;
  return kSay.redo_with(path);
}

/// Why nothing can be said of the pole at that time; empty: it can.
std::string Acts::pole_refusal(const PoleAsked& asked, FeedTime at) {
  if (auto why = refusal(at); !why.empty()) return why;
  if (parts_.events.is_unread()) return kSay.unread_pole();
  parts_.session.catch_up(at);
  const auto newest = newest_epoch_utc(parts_.session.session().status());
  return asked.since > newest.value_or(utc_now()) ? kSay.since_later(clock_text(asked.since)) : std::string();
}

void Acts::set_pole(const PoleAsked& asked, FeedTime at, PoleDone done) {
  const auto height_m = geodesy::antenna_height_m(asked.antenna);
  if (!height_m) return done(fail(height_m.error().text));
  if (const auto why = pole_refusal(asked, at); !why.empty()) return done(fail(why));
  const auto spoilt = measured_on_another(parts_.deliveries.points(), *height_m, asked.since);
  if (!spoilt) return done(fail(spoilt.error().text));
  const session::Session& session = parts_.session.session();
  const bool changes = std::abs(session.status().antenna_height_m - *height_m) >= occupation::kSameAntennaM;
  PoleChanged changed;
  std::vector<occupation::StoredPoint> versions;
  for (const CatalogueEntry* entry : *spoilt) {
    changed.held.push_back(stay_of(entry->stored.point));
    if (auto next = held_for_antenna(*entry, *height_m, asked)) versions.push_back(std::move(*next));
  }
  // The stay that is open ends with the command.
  const auto open = changes ? session.open_stay() : std::nullopt;
  if (open && !open->on_mark) changed.held.push_back(stay_of(open->stay.point));
  const Span span = span_of(asked, *spoilt, changes);
  record::SetAntenna command{*height_m, asked.reason, asked.since};
  if (!changes && spoilt->empty()) command.since.reset();  // nothing would change: refused
  const auto result = carry_out_now(std::move(command), asked.by, at);
  if (!result.done) return done(fail(result.text));
  if (changes) take_antenna(asked.antenna, asked.reason);
  const std::string list = changed.held.empty() ? "" : ", " + listed(changed.held, ", ");
  changed.text = kSay.pole_is(fixed(*height_m, 3),
                              kSay.pole_held(clock_text(asked.since), counted(changed.held.size(), "point"), list));
  changed.text += write_redo(asked, span, changed);
  submit_all(std::move(versions), std::move(changed), std::move(done));
}

/// Answers when the last of them is safe.
void Acts::submit_all(std::vector<occupation::StoredPoint> versions, PoleChanged changed, PoleDone done) {
  if (versions.empty()) return done(std::move(changed));
  const auto left = std::make_shared<std::size_t>(versions.size());
  const auto one = [left, changed = std::move(changed), done = std::move(done)](const auto& stored) {
    if (*left == 0) return;
    *left = stored ? *left - 1 : 0;
    if (!stored) return done(fail(stored.error().text));
    if (*left == 0) done(changed);
  };
  for (auto& version : versions) parts_.deliveries.submit(std::move(version), one);
}

void Acts::enter_antenna(const std::string& reason) {
  pointbook::AntennaSetup setup = setup_of(antenna_);
  setup.reason = reason;
  stores_.antenna(std::move(setup));
}

void Acts::resolve(const Decision& decision, FeedTime at, PointDone done) {
  const auto& [name, visit, accept, sure, reason, by] = decision;
  const CatalogueEntry* entry = parts_.deliveries.points().find(name, visit);
  if (entry == nullptr) {
    if (parts_.events.is_unread()) return done(fail(kSay.unread_resolve()));
    return done(fail(missing_point(name, visit)));
  }
  auto next = resolved(*entry, decision);
  if (!next) return done(tl::unexpected(next.error()));
  parts_.events.add(to_word(EventKind::resolved),
                    kSay.resolved_because(kSay.stay(name, std::to_string(next->point.visit)),
                                          accept ? "accepted" : "rejected", reason),
                    by);
  const record::Resolve command{next->point.name, next->point.visit, accept, sure};
  parts_.deliveries.submit(std::move(*next), std::move(done));
  // While the record is down the decision stands in the pointbook alone.
  if (!parts_.session.recorder().is_down()) carry_out_now(command, by, at);
}

session::CommandResult Acts::amend(record::Amend command, const std::string& by, FeedTime at, PointDone done) {
  if (auto why = refusal(at); !why.empty()) return {false, std::move(why), 0, {}};
  const CatalogueEntry* entry = parts_.deliveries.points().find(command.name, command.visit);
  if (entry == nullptr) return {false, missing_point(command.name, command.visit), 0, {}};
  parts_.session.catch_up(at);
  const auto utc = newest_epoch_utc(parts_.session.session().status());
  auto [result, out] = parts_.session.apply(command, at);
  if (!result.done) return result;
  command.to_visit = result.visit;
  command.made = new_uuid();
  const Amendment amendment{{command.called(), result.visit, command.code, command.note}, command.reason, by};
  auto next = amended(*entry, amendment);
  parts_.session.enter({command, utc, by}, at);
  parts_.events.add("amended",
                    kSay.amended_because(kSay.stay(command.name, std::to_string(command.visit)),
                                         kSay.stay(next.point.name, std::to_string(next.point.visit)), command.reason),
                    by);
  parts_.deliveries.submit(std::move(next), std::move(done), command.made);
  parts_.session.hand_on(std::move(out), by);
  return result;
}

session::CommandResult Acts::offset(record::Offset command, const std::string& by, FeedTime at, PointDone done) {
  std::string why = refusal(at);
  if (why.empty()) why = parts_.disks.why_no_stay(stores_.is_full());
  if (!why.empty()) return {false, std::move(why), 0, {}};
  parts_.session.catch_up(at);  // a stay that ended by itself is not this one's
  const occupation::Stand* open = parts_.session.session().open_stand();
  for (MeasuredStay& stay : command.measures.stays) {
    const auto visit = stay.visit > 0 ? std::optional(stay.visit) : std::nullopt;
    const CatalogueEntry* entry = parts_.deliveries.points().find(stay.name, visit);
    // What is not there the session says, and of the open one that it is.
    const int newest = open != nullptr && open->name == stay.name ? open->visit : 1;
    stay.visit = entry != nullptr ? entry->stored.point.visit : visit.value_or(newest);
    if (entry != nullptr) stay.uuid = entry->stored.uuid;
  }
  const std::string closed = reopens();
  command.measured = utc_of(parts_.session);
  // No closing covers what was made after it.
  if (const auto last = parts_.events.book().closings().last(); last && *command.measured <= *last)
    command.measured = UtcTime{last->ms + 1};
  parts_.outcomes.await(std::move(done));
  auto result = carry_out_now(std::move(command), by, at);
  parts_.outcomes.give_up();
  if (result.done) result.text += closed;
  return result;
}

}  // namespace stillpoint::daemon
