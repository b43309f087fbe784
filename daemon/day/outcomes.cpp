#include "day/outcomes.hpp"

#include <spdlog/spdlog.h>

#include <utility>

#include "common/sentences.hpp"
#include "pointbook/happened.hpp"

namespace stillpoint::daemon {

using pointbook::EventKind;

bool is_a_row(const session::FinishedCheck& check) {
  return check.residual && check.kind != "turn";
}

void Outcomes::hand_out(session::Outputs out, const std::string& by, std::string uuid) {
  for (auto& finished : out.points) point(std::move(finished), by, std::exchange(uuid, ""));
  for (const session::Reconsidered& earlier : out.reconsidered) reconsidered(earlier);
  for (auto& finished : out.checks) check(std::move(finished), uuid);
  for (const session::LostStay& stay : out.lost) lost(stay);
  for (const session::Event& happened : out.events) event(happened, by);
  for (const session::Alert& alert : out.alerts_in_order()) {
    time_.hear(alert.active ? alert.since_utc : alert.until_utc);
    alerts_.announce(alert);
  }
  for (const session::Alert& alert : out.repeated) alerts_.repeat(alert);
  if (out.status_changed) alerts_.status_changed();
}

void Outcomes::point(session::FinishedPoint finished, const std::string& by, std::string uuid) {
  occupation::StoredPoint stored;
  stored.point = std::move(finished.point);
  stored.epochs = std::move(finished.epochs);
  spdlog::info("{} visit {}: {}", stored.point.name, stored.point.visit, to_word(stored.point.status));
  if (events_.book().is_closed(deliveries_.points())) {
    events_.add(to_word(EventKind::day_reopened), kSay.kept_after_close(stored.point.name), by);
  }
  deliveries_.submit(std::move(stored), give_up(), std::move(uuid));
}

/// A check that is a row is answered once it is safe; any other is answered at once.
void Outcomes::check(session::FinishedCheck check, std::string uuid) {
  spdlog::info("{}", check.verdict.text);
  CheckDone tell = give_up_check();
  if (!is_a_row(check)) {
    if (tell) tell(std::move(check));
    return;
  }
  pointbook::CheckShot shot = session::shot_of(check);
  Deliveries::ShotDone done;
  if (tell) {
    done = [tell = std::move(tell), check = std::move(check)](const Result<void>& safe) {
      safe ? tell(check) : tell(fail(safe.error().text));
    };
  }
  deliveries_.submit(std::move(shot), std::move(done), std::move(uuid));
}

/// When a later visit changes the standing of an earlier one, that is a new version of the earlier one; where a person
/// has decided, it is only told.
void Outcomes::reconsidered(const session::Reconsidered& earlier) {
  const occupation::Point& point = earlier.point;
  const CatalogueEntry* entry = deliveries_.points().find(point.name, point.visit);
  if (entry == nullptr) return;
  const std::string stay = kSay.stay(point.name, std::to_string(point.visit));
  auto next = daemon::reconsidered(*entry, point, earlier.why);
  events_.add("visits", next ? kSay.reconsidered(stay, earlier.why) : kSay.decided_by_hand(stay, earlier.why));
  if (next) deliveries_.submit(std::move(*next), nullptr);
}

void Outcomes::lost(const session::LostStay& lost) {
  time_.hear(lost.utc);
  alerts_.lose(time_.utc(), {lost.name, lost.visit, lost.on_mark, lost.why});
}

/// How dates are taken stands in the record for whoever reads it; the recomputation comes to it by itself.
void Outcomes::event(const session::Event& event, const std::string& by) {
  time_.hear(event.utc);
  if (event.kind == session::kDates) {
    spdlog::warn("{}", event.text);
    enter_dates_(record::Dates{event.text});
  }
  events_.add(event.kind, event.text, by, time_.utc());
}

}  // namespace stillpoint::daemon
