#include "day/day.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <boost/asio/dispatch.hpp>
#include <boost/asio/post.hpp>
#include <utility>

#include "common/clock.hpp"
#include "common/file.hpp"
#include "common/sentences.hpp"
#include "common/timers.hpp"
#include "occupation/occupation.hpp"
#include "pointbook/disk.hpp"
#include "pointbook/happened.hpp"
#include "pointbook/versions.hpp"
#include "session/alert_board.hpp"

namespace stillpoint::daemon {
namespace {

using pointbook::EventKind;
using session::Severity;

constexpr std::chrono::milliseconds kSyncPatience{2'000};  // a point is safer in the spool than behind a slow record

/// For what another thread says: everything of the day happens on its own.
template <class... Told>
auto on_day_thread(boost::asio::io_context& io, std::function<void(Told...)> tell) {
  return [&io, tell = std::move(tell)](std::decay_t<Told>... told) {
    boost::asio::post(io, [tell, ... told = std::move(told)]() mutable { tell(std::move(told)...); });
  };
}

Handover::Sync sync_of(boost::asio::io_context& io, RecordedSession& session) {
  return [&io, &session](const std::function<void()>& then) {
    session.recorder().when_synced([&io, then](const Result<void>&) { boost::asio::dispatch(io, then); });
  };
}

Deliveries::To to(Store& store) {
  return {[&store](occupation::StoredPoint point) { store.submit(std::move(point)); },
          [&store](pointbook::CheckShot shot) { store.submit(std::move(shot)); }};
}

DayCloser::Store closings_in(boost::asio::io_context& io, Store& store) {
  DayCloser::Store out;
  out.ask_known = [&io, &store](auto tell) { store.ask_known(on_day_thread(io, std::move(tell))); };
  out.ask_scale_stays = [&io, &store](auto tell) { store.ask_scale_stays(on_day_thread(io, std::move(tell))); };
  out.close = [&io, &store](const pointbook::Event& event, auto done) {
    store.submit(event, on_day_thread(io, std::move(done)));
  };
  return out;
}

DayCloser::Run in_background(boost::asio::io_context& io) {
  const auto post = [&io](std::function<void()> then) { boost::asio::post(io, std::move(then)); };
  return [background = std::make_shared<Background>(post)](Background::Work work) { background->run(std::move(work)); };
}

DiskWatch disks_of(const config::Settings& settings) {
  return {settings.project.record, folder_of(pointbook::real_path(settings.project.pointbook)),
          settings.alerts.disk_free_mib};
}

}  // namespace

Day::Day(boost::asio::io_context& io, const config::Settings& settings, session::Session session,
         std::unique_ptr<Recorder> recorder, PairCatalogue& pairs, Store& store)
    : io_(io),
      settings_(settings),
      store_(store),
      time_([this](FeedTime at) { return session_.recorder().clock().utc_at(at); }),
      events_([&store](pointbook::Event event) { store.submit(std::move(event)); }, utc_now),
      alerts_(events_, time_),
      session_(
          std::move(session), std::move(recorder), pairs, time_,
          {[this](session::Outputs out, const std::string& by, std::string uuid) {
             outcomes_.hand_out(std::move(out), by, std::move(uuid));
           },
           [this] { alerts_.status_changed(); }, [this](const std::string& why) { machine_.disks.record_failed(why); },
           [this](const std::string& why) { machine_.disks.record_stays_down(why); },
           [this] { machine_.disks.record_is_back(); }}),
      deliveries_(Handover(sync_of(io, session_), machine_now), to(store)),
      outcomes_(
          [this](const record::Dates& dates) {
            if (!session_.recorder().is_down()) session_.event(dates, time_.at());
          },
          deliveries_, events_, alerts_, time_),
      saved_(session_.session(), deliveries_.handover(),
             [&store](std::optional<occupation::StoredPoint> stay) { store.save_open(std::move(stay)); }),
      machine_{DiskGuard(disks_of(settings), alerts_, machine_now,
                         {[this] { acts_.keep_open_stay(time_.at()); }, [this] { return session_.pause(); },
                          [this] { session_.recorder().resume(); }}),
               BatteryGuard(alerts_, machine_now)},
      acts_({session_, outcomes_, deliveries_, events_, machine_.disks, saved_}, settings.antenna,
            settings.project.pointbook,
            {[&store] { return store.is_full(); },
             [&store](pointbook::AntennaSetup setup) { store.submit(std::move(setup)); }}),
      closer_({settings_, session_, deliveries_, events_, acts_, time_, pairs}, closings_in(io, store),
              in_background(io)),
      missing_(alerts_, settings.project.pointbook) {}

void Day::know(std::vector<occupation::StoredPoint> points, const std::vector<pointbook::Event>& events) {
  events_.know(events, store_.before().is_unread());
  saved_.find(store_.before().left_open(points));
  for (const auto& stored : pointbook::newest_of_each(points)) session_.know(stored.point);
  deliveries_.know(std::move(points), store_.before().spooled(), store_.before().spooled_shots());
}

std::vector<occupation::Combined> Day::combined() const {
  std::vector<const occupation::Point*> points;
  for (const CatalogueEntry& entry : deliveries_.points().entries()) points.push_back(&entry.stored.point);
  return session::combined(session(), points);
}

void Day::start(DayHooks hooks, const std::string& version) {
  alerts_.start(std::move(hooks));
  const auto damage = store_.before().damage();
  Known known = store_.before().known().value_or(Known());
  hear_store();
  for (const std::string& sentence : damage) {
    spdlog::error("{}", sentence);
    alerts_.raise("spool-damaged", Severity::warning, {sentence, kSayBriefly.spool_damaged()});
  }
  closer_.note_left_open();
  if (saved_.earlier()) known.add({*saved_.earlier()}, {});
  know_given(session_, known.visits());
  recover_open_stay();
  alerts_.tell_lost_stays();
  missing_.miss(keeps_in(settings_.project.record, utc_now()));
  missing_.find(known);
  events_.is_unread() ? on_waiting(kSay.book_unread()) : missing_.tell();
  acts_.enter_antenna();
  events_.add(to_word(EventKind::started), kSay.started(version, settings_.path));
  machine_.disks.look();
}

void Day::recover_open_stay() {
  if (!saved_.earlier()) return;
  occupation::StoredPoint stored = *saved_.earlier();
  const occupation::Point& point = stored.point;
  if (point.status == occupation::PointStatus::none) {
    alerts_.lose(utc_now(), {point.name, point.visit, false, kSay.no_word()});
    return saved_.forget_earlier();
  }
  const auto event = pointbook::event_of(utc_now(), pointbook::Recovered{point.name, point.visit, point.epochs_used});
  spdlog::warn("{}", event.text);
  events_.hear(event);
  session_.know(point, session::Weighed::no);
  deliveries_.submit(std::move(stored), nullptr);
  saved_.forget_earlier();
}

void Day::hear_store() {
  const auto heard = [this](auto hear) { return on_day_thread(io_, std::function(std::move(hear))); };
  StoreNews news;
  news.spooled = heard([this](const std::string& uuid, const Result<void>& done) { on_spooled(uuid, done); });
  news.stored = heard([this](const std::string& uuid) {
    deliveries_.stored(uuid);
    alerts_.status_changed();
  });
  news.read = heard([this](std::vector<occupation::StoredPoint> points, const std::vector<pointbook::Event>& events) {
    on_read(std::move(points), events);
  });
  news.waiting = heard([this](const std::string& text) { on_waiting(text); });
  news.open_unsaved = heard([this](const std::string& text) {
    text.empty() ? alerts_.clear("stay-unsaved")
                 : alerts_.raise("stay-unsaved", Severity::warning, {text, kSayBriefly.stay_unsaved()});
  });
  news.damaged = heard([this](const std::string& text) {
    alerts_.clear("spool-damaged");
    alerts_.raise("spool-damaged", Severity::warning, {text, kSayBriefly.spool_damaged()});
  });
  store_.start(std::move(news));
}

void Day::on_spooled(const std::string& uuid, const Result<void>& done) {
  if (!done) machine_.disks.spool_failed(done.error().text);
  if (const auto* const point = done ? deliveries_.spooled(uuid) : nullptr) alerts_.point_is_safe(*point);
  if (done && deliveries_.are_all_safe()) machine_.disks.spool_went_well();
  const bool safe = done && deliveries_.is_awaited(uuid);
  if (safe && !session_.recorder().is_down()) session_.event(record::Safe{uuid}, time_.at());
  deliveries_.answer(uuid, done);
  alerts_.status_changed();
}

/// Takes over what the start would have read from the pointbook. When a name was given meanwhile that the pointbook
/// already has, people must decide: the pointbook does not take the later point, which stays in the spool.
void Day::on_read(std::vector<occupation::StoredPoint> points, const std::vector<pointbook::Event>& events) {
  spdlog::info("the pointbook is read");
  events_.read(events);
  for (auto& stored : points) {
    // A version of it was made meanwhile, perhaps under another name.
    if (deliveries_.points().successor_of(stored.uuid) != nullptr) continue;
    session_.know(stored.point);
    const std::string text = kSay.name_taken(stored.point.name, std::to_string(stored.point.visit));
    if (deliveries_.learn(std::move(stored))) continue;
    alerts_.raise("name-taken", Severity::warning, {text, kSayBriefly.name_taken()});
  }
  alerts_.clear("store-waiting");
  alerts_.tell_lost_stays();
  closer_.note_left_open();
  store_.ask_known(on_day_thread(io_, std::function([this](const Result<Known>& known) {
                                   if (known) know_given(session_, known->visits());
                                   if (known) missing_.find(*known);
                                   missing_.tell();
                                 })));
  alerts_.status_changed();
}

void Day::on_waiting(const std::string& text) {
  if (text.empty()) return alerts_.clear("store-waiting");
  alerts_.raise("store-waiting", Severity::notice, {text, kSayBriefly.store_waiting()});
}

void Day::tick(FeedTime at) {
  session_.tick(at);
  deliveries_.handover().look(scaled(kSyncPatience));
  closer_.go_on(at);
  saved_.look(machine_now());
  machine_.disks.look_when_due();
  machine_.battery.look_when_due();
}

void Day::close(CloseAsked asked, FeedTime at, CloseDone done) {
  closer_.close(std::move(asked), at, std::move(done));
}

void Day::seen(const std::string& key, std::optional<std::uint64_t> id, FeedTime at) {
  session_.advance(at);
  session_.seen(key, id);
  alerts_.seen(key, id);
  session_.hand_on();
}

void Day::own_alert(const std::string& key, Severity severity, const session::AlertText& text) {
  alerts_.raise(key, severity, text);
}

session::Status Day::status() const {
  session::Status status = session().status();
  for (auto& alert : alerts_.own().showing()) status.alerts.push_back(std::move(alert));
  session::sort_to_show(status.alerts);
  if (!own_counters_.empty()) {
    for (const auto& [what, value] : own_counters_) status.counters.push_back({what, value});
    std::sort(status.counters.begin(), status.counters.end(),
              [](const auto& a, const auto& b) { return a.name < b.name; });
  }
  status.store = deliveries_.status();
  if (!closer_.left_open_text().empty()) status.notes.push_back(closer_.left_open_text());
  return status;
}

std::vector<session::Alert> Day::alerts() const {
  std::vector<session::Alert> all = session().alerts();
  all.insert(all.end(), alerts_.own().all().begin(), alerts_.own().all().end());
  return all;
}

bool Day::finish(FeedTime at) {
  session_.stop(at);
  closer_.stop();
  session_.finish();
  saved_.forget();
  events_.add(to_word(EventKind::stopped), kSay.stopped());
  const auto closed = session_.recorder().close();
  deliveries_.handover().give_all();
  if (!closed) spdlog::error("LOST: perhaps the last seconds of the record, {}", closed.error().text);
  return closed.has_value();
}

}  // namespace stillpoint::daemon
