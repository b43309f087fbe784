/// Invented mixed days through the real session and recomputation: what people are shown of a second is what its stay
/// did with it then, and what changed sides later was told.
///
/// What the stay did is asked of the stay itself, after every look: each of its epochs is in the point or not. Shown
/// are the status, the terminal's screen, its line under `--plain` (the same screen without a clock) and what the page
/// derives. The day is lived at several paces: one look an epoch, one every third, one every second of a tenfold pace,
/// and bytes cut anywhere. Then the record is recomputed; its epochs are those of `stillpoint-reduce --epochs`.
///
///     mixed_days [--days N] [--from SEED]

#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>

#include "client/answer.hpp"
#include "client/panel.hpp"
#include "geodesy/frames.hpp"
#include "mixed/invented_day.hpp"
#include "pointbook/compare.hpp"
#include "record/journal.hpp"
#include "reduce/recompute.hpp"
#include "reduce/stream.hpp"
#include "session/apply.hpp"
#include "session/session.hpp"
#include "wire/json.hpp"
#include "wire/situation.hpp"

namespace {

using namespace stillpoint;
using session::FinishedPoint;

struct Pace {
  const char* name;
  std::size_t looks_every;   ///< so many happenings
  std::size_t most_at_once;  ///< bytes
};
constexpr Pace kPaces[] = {
    {"each epoch", 1, 4096}, {"bytes cut anywhere", 1, 37}, {"every third", 3, 4096}, {"every tenth", 10, 4096}};

const UtcTime kStart = *parse_utc("2026-06-03T14:00:00Z");

struct Tally {
  std::uint64_t days = 0, looks = 0, epochs_in_stays = 0, shown = 0, fell_away = 0, came_back = 0, points = 0;
  std::uint64_t faults = 0;
};

/// One day at one pace.
class Living {
 public:
  Living(const mixed::InventedDay& day, const Pace& pace, Tally& tally)
      : day_(day),
        pace_(pace),
        tally_(tally),
        session_(day.settings, geodesy::Frames::open(day.settings).value(), session::Options{}) {
    session_.set_clock(SteadyTime{0}, kStart);  // as the daemon does, and the recomputation by the journal's head
    session_.feed(session::FeedState::open, "a mixed day", SteadyTime{0});
    note(record::FeedNews{"open", "a mixed day"}, SteadyTime{0});
  }

  void live() {
    std::size_t number = 0;
    for (const mixed::Happening& next : day_.happenings) {
      wait_until(next.at);
      next.bytes.empty() ? command(next) : bytes(next);
      if (++number % pace_.looks_every == 0) look();
    }
    wait_until(SteadyTime{day_.happenings.back().at.ms + 900});
    look();
    note(record::Stopped{}, now_);
    session::apply(session_, record::Stopped{}, now_);
    collect();
  }

  std::vector<FinishedPoint> points;
  std::string raw, journal;

 private:
  void fault(const std::string& what) {
    ++tally_.faults;
    if (tally_.faults > 20) return;
    std::printf("WRONG (%s, %s; %s) at %lld ms: %s\n", pace_.name, day_.settings.project.name.c_str(),
                day_.manners.c_str(), static_cast<long long>(now_.ms), what.c_str());
  }

  void wait_until(SteadyTime at) {
    // A receiver's burst is over long before the next: what is shown then is looked at.
    if (at.ms - now_.ms > 500) {
      now_ = SteadyTime{now_.ms + 500};
      session_.advance(now_);
      if (pace_.looks_every == 1) look();
    }
    now_ = std::max(now_, at);
  }

  void note(const record::Command& command, SteadyTime at) {
    if (journal.empty()) {
      journal = record::to_text(record::JournalHead{kStart, SteadyTime{0}, true});
      journal += record::to_text(record::JournalLine{0, SteadyTime{0}, record::to_line({record::Started{}})});
    }
    journal += record::to_text(record::JournalLine{raw.size(), at, record::to_line({command})});
  }

  void bytes(const mixed::Happening& next) {
    for (std::string_view left = next.bytes; !left.empty();
         left.remove_prefix(std::min(pace_.most_at_once, left.size()))) {
      const std::string_view piece = left.substr(0, pace_.most_at_once);
      raw += piece;
      journal += record::to_text(record::JournalLine{raw.size(), next.at, ""});
      session_.push(piece, next.at);
    }
  }

  void command(const mixed::Happening& next) {
    session_.advance(next.at);
    look();
    collect();
    record::Command command = next.command;
    if (std::holds_alternative<record::Keep>(command) || std::holds_alternative<record::Drop>(command)) {
      if (session_.open_stand() == nullptr) return;  // it has ended by itself
    }
    auto done = session::apply(session_, command, next.at);
    if (auto* occupy = std::get_if<record::Occupy>(&command)) {
      if (!done.done) {
        occupy->again = !occupy->again;
        done = session::apply(session_, command, next.at);
      }
      occupy->visit = done.visit;
    }
    if (done.done) note(command, next.at);
    if (std::holds_alternative<record::Keep>(command) && !done.done && session_.open_stand() != nullptr) {
      note(record::Drop{}, next.at);
      session_.drop();
    }
    collect();
    if (std::holds_alternative<record::Occupy>(command) || std::holds_alternative<record::Drop>(command)) forget();
  }

  void forget() { in_point_.clear(); }

  static std::vector<bool> in_point(const std::vector<occupation::EpochRecord>& epochs) {
    std::vector<bool> out;
    for (const occupation::EpochRecord& epoch : epochs) out.push_back(epoch.accepted);
    return out;
  }

  void look() {
    ++tally_.looks;
    const session::Status status = session_.status();
    look_at_screens(status);
    if (!status.occupation) return;
    const auto open = session_.open_stay();
    if (!open) {
      if (status.accepted && status.epoch && status.occupation->accepted > 0)
        fault("shown to count without a stay that has it");
      return;
    }
    const auto now = in_point(open->stay.epochs);
    if (now.size() == in_point_.size()) return;  // nothing new was observed
    check_newest(status, open->stay.epochs.back());
    check_told(status, now);
    in_point_ = now;
  }

  void check_newest(const session::Status& status, const occupation::EpochRecord& newest) {
    tally_.epochs_in_stays += 1;
    tally_.shown += status.accepted ? 1U : 0U;
    if (!status.epoch || status.epoch->utc != newest.utc)
      return;  // something newer was shown, and is no epoch of the stay
    if (status.accepted != newest.accepted)
      fault(status.accepted ? "shown to count, and not in the point" : "in the point, and not shown to count");
    if (status.accepted == !status.reasons.empty() && status.accepted) fault("counts, and has reasons not to");
  }

  /// Earlier epochs that changed sides with the newest one are those that were told with it.
  void check_told(const session::Status& status, const std::vector<bool>& now) {
    std::uint64_t lost = 0, gained = 0;
    for (std::size_t i = 0; i < std::min(in_point_.size(), now.size()); ++i) {
      lost += in_point_[i] && !now[i] ? 1U : 0U;
      gained += !in_point_[i] && now[i] ? 1U : 0U;
    }
    tally_.fell_away += lost, tally_.came_back += gained;
    if (pace_.looks_every < 10 && (lost > 0 || gained > 0) && status.occupation->recounted.empty())
      fault("seconds changed sides, and no sentence says so");
    if (now.size() != in_point_.size() + 1) return;  // those of an epoch that came and went between two looks
    const session::OccupationStatus& told = *status.occupation;
    if (told.fell_away != lost || told.came_back != gained)
      fault(std::to_string(lost) + " fell away and " + std::to_string(gained) + " came back, told were " +
            std::to_string(told.fell_away) + " and " + std::to_string(told.came_back));
  }

  /// Terminal, `--plain` and page say of the newest second what the status says.
  void look_at_screens(const session::Status& status) {
    const wire::Json json = wire::Json::parse(wire::to_json(status));
    const wire::Situation on_page = wire::situation_of(wire::facts_of(status), true);
    const wire::Situation by_json = wire::situation_of(json, false, true);
    if (on_page.what != by_json.what || on_page.act != by_json.act || on_page.also != by_json.also)
      fault("the page says \"" + on_page.what + "\", and who reads the JSON \"" + by_json.what + "\"");
    const bool page = on_page.counts();
    client::Day day;
    client::take_status(day, json, 0);
    const client::Answer terminal = client::answer_of(day, {});
    const std::string plain = client::plain_lines(day, {}, false).at(1);
    const bool shown = status.accepted, plain_counts = plain.find("? NO") == std::string::npos;
    if (page != shown || (terminal.word != "NO") != shown || plain_counts != shown)
      fault(std::string("status ") + (shown ? "YES" : "NO") + ", page " + (page ? "YES" : "NO") +
            ", terminal: " + terminal.word + ", plain: " + plain);
    if ((terminal.word == "READY") != (shown && !status.occupation))
      fault("the terminal says " + terminal.word + (status.occupation ? " with" : " without") + " an open point");
  }

  void collect() {
    for (FinishedPoint& finished : session_.take().points) {
      if (finished.point.status == occupation::PointStatus::none) continue;
      ++tally_.points;
      const auto at_end = in_point(finished.epochs);
      const std::size_t known = std::min(at_end.size(), in_point_.size());
      if (pace_.looks_every == 1 &&
          !std::equal(at_end.begin(), at_end.begin() + static_cast<std::ptrdiff_t>(known), in_point_.begin()) &&
          at_end.size() == in_point_.size())
        fault(finished.point.name + ": kept otherwise than it was shown last");
      points.push_back(std::move(finished));
    }
    if (session_.open_stand() == nullptr) forget();
  }

  const mixed::InventedDay& day_;
  const Pace& pace_;
  Tally& tally_;
  session::Session session_;
  SteadyTime now_{0};
  std::vector<bool> in_point_;
};

void compare(const std::vector<FinishedPoint>& live, const std::string& name, const occupation::Point& point,
             const std::vector<occupation::EpochRecord>& epochs, std::size_t at, Tally& tally) {
  if (at >= live.size()) {
    ++tally.faults;
    std::printf("WRONG %s: %s comes out too\n", name.c_str(), point.name.c_str());
    return;
  }
  for (const auto& d : pointbook::differences(live[at].point, live[at].epochs, point, epochs)) {
    if (++tally.faults <= 20)
      std::printf("WRONG %s: %s visit %d: %s is %s, live %s\n", name.c_str(), point.name.c_str(), point.visit,
                  d.field.c_str(), d.other.c_str(), d.one.c_str());
  }
}

void recompute(const Living& live, const mixed::InventedDay& day, Tally& tally) {
  const std::filesystem::path folder =
      std::filesystem::temp_directory_path() / ("mixed-days-" + std::to_string(::getpid()));
  std::filesystem::create_directories(folder);
  const std::string log = (folder / "day.nmea").string();
  std::ofstream(log, std::ios::binary) << live.raw;
  std::ofstream(record::journal_path_of(log), std::ios::binary) << live.journal;
  reduce::Ask ask;
  ask.follow_commands = true;
  ask.empty_stays = false;
  reduce::Recomputation again(day.settings, std::move(ask));
  auto stream = reduce::Stream::open({log});
  const auto played = !stream          ? Result<void>(tl::unexpected(stream.error()))
                      : !again.start() ? Result<void>(fail("it does not start"))
                                       : again.play(*stream);
  if (!played) {
    ++tally.faults;
    std::printf("WRONG, recomputed: %s\n", played.error().text.c_str());
  } else {
    std::size_t at = 0;
    for (const auto& row : again.rows()) compare(live.points, "recomputed", row.point, row.epochs, at++, tally);
    if (at < live.points.size()) {
      ++tally.faults;
      std::printf("WRONG, recomputed: %zu points of %zu\n", at, live.points.size());
    }
  }
  std::filesystem::remove_all(folder);
}

void one_day(std::uint64_t seed, Tally& tally) {
  mixed::InventedDay day = mixed::invented_day(seed);
  day.settings.project.name = "day " + std::to_string(seed);
  ++tally.days;
  std::vector<FinishedPoint> first;
  for (const Pace& pace : kPaces) {
    Living living(day, pace, tally);
    living.live();
    if (pace.looks_every == 1) recompute(living, day, tally);
    if (first.empty()) {
      first = std::move(living.points);
      continue;
    }
    std::size_t at = 0;
    for (const FinishedPoint& finished : living.points)
      compare(first, pace.name, finished.point, finished.epochs, at++, tally);
  }
}

}  // namespace

int main(int argc, char** argv) {
  std::uint64_t days = 3, from = 1;
  for (int i = 1; i + 1 < argc; i += 2) {
    const std::string word = argv[i];
    if (word == "--days") days = std::strtoull(argv[i + 1], nullptr, 10);
    if (word == "--from") from = std::strtoull(argv[i + 1], nullptr, 10);
  }
  Tally tally;
  for (std::uint64_t seed = from; seed < from + days; ++seed) one_day(seed, tally);
  std::printf(
      "%llu days at %zu paces: %llu points, %llu looks, %llu of a second of a stay (%llu shown to count), %llu earlier "
      "seconds fell away and %llu came back; %llu wrong\n",
      static_cast<unsigned long long>(tally.days), std::size(kPaces), static_cast<unsigned long long>(tally.points),
      static_cast<unsigned long long>(tally.looks), static_cast<unsigned long long>(tally.epochs_in_stays),
      static_cast<unsigned long long>(tally.shown), static_cast<unsigned long long>(tally.fell_away),
      static_cast<unsigned long long>(tally.came_back), static_cast<unsigned long long>(tally.faults));
  return tally.faults == 0 && tally.fell_away > 0 && tally.points > 0 ? 0 : 1;
}
