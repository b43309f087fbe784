// Any day: sentences, silences, damage and commands in any order. What comes out holds together, and does not depend on
// how the bytes were cut.
//
// Each line is a body without its checksum, unless it starts with one of these:
//   ~123   123 ms pass        !text  bytes as they are, without '$' and checksum
//   +NAME  occupy             =      keep             -   drop
//   |      the link is cut    ?      the feed waits   .   the feed ended
//   /      nothing is judged until bytes come

#include <algorithm>
#include <cmath>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "fuzz/check.hpp"
#include "nmea/fields.hpp"
#include "session/session.hpp"
#include "support/epochs.hpp"
#include "support/nmea_text.hpp"
#include "wire/json.hpp"

using namespace stillpoint;
using occupation::PointStatus;

namespace {

/// Both sources are in the project's own frame: the fuzzer is after the day, not after PROJ.
config::Settings settings() {
  config::Settings s = support::settings();
  for (config::Source& source : s.sources) source.frame = s.project.frame;
  s.sources[1].coordinate_epoch = 2010.0;
  s.occupation.min_epochs = 3;
  s.occupation.min_duration_s = 2;
  s.occupation.max_duration_s = 20;
  return s;
}

class Day {
 public:
  explicit Day(std::size_t most_at_once) : most_at_once_(most_at_once) {
    static const config::Settings kSettings = settings();
    day_.emplace(kSettings, geodesy::Frames::open(kSettings).value(), session::Options{});
    day_->feed(session::FeedState::open, "a fuzzer", SteadyTime{0});
  }

  void line(std::string_view text) {
    const char first = text.empty() ? ' ' : text.front();
    const std::string_view rest = text.substr(std::min<std::size_t>(text.size(), 1));
    switch (first) {
      case '~':
        pass(nmea::to_whole(rest.substr(0, 5)).value_or(0));
        break;
      case '!':
        push(rest);
        break;
      case '+':
        occupy(std::string(rest));
        break;
      case '=':
        day_->keep();
        break;
      case '-':
        day_->drop();
        break;
      case '/':
        day_->cut(SteadyTime{now_ms_}, "the record cannot be written");
        fuzz::check(!day_->occupy({"NOW"}).done && !day_->status().accepted, "a standstill");
        break;
      case '|':
        day_->cut(SteadyTime{now_ms_});
        break;
      case '?':
        day_->feed(session::FeedState::waiting, "it hung up", SteadyTime{now_ms_});
        break;
      case '.':
        day_->feed(session::FeedState::ended, "the end", SteadyTime{now_ms_});
        break;
      default:
        push(support::sentence(std::string(text)));
    }
    collect();
  }

  std::string finish() {
    day_->finish();
    collect();
    const session::Summary s = day_->summary();
    fuzz::check(s.accepted + s.refused == s.epochs, "accepted and refused add up");
    fuzz::check(s.epochs == s.assembly.epochs, "every epoch is judged");
    const nmea::Counters& c = s.stream;
    fuzz::check(c.bytes == pushed_, "every byte is counted");
    fuzz::check(c.bytes == c.sentence_bytes + c.tag_bytes + c.line_end_bytes + c.damage.garbage_bytes,
                "the account of bytes");
    return told_ + wire::to_json(s, points_);
  }

 private:
  void pass(int ms) {
    now_ms_ += ms;
    day_->advance(SteadyTime{now_ms_});
  }

  void push(std::string_view bytes) {
    pushed_ += bytes.size();
    if (bytes.empty()) day_->advance(SteadyTime{now_ms_});
    for (; !bytes.empty(); bytes.remove_prefix(std::min(most_at_once_, bytes.size()))) {
      day_->push(bytes.substr(0, most_at_once_), SteadyTime{now_ms_});
    }
  }

  void occupy(std::string name) {
    session::OccupyCommand command;
    command.name = std::move(name);
    const bool was_open = day_->status().occupation.has_value();
    auto result = day_->occupy(command);
    command.again = true;
    if (!result.done) result = day_->occupy(command);
    fuzz::check(!(result.done && was_open), "two stays at once");
    fuzz::check(!result.text.empty(), "an answer");
  }

  void collect() {
    const session::Outputs out = day_->take();
    for (const session::FinishedPoint& finished : out.points) take(finished);
    for (const session::Alert& alert : out.alerts_in_order()) {
      told_ += alert.key + (alert.active ? "^" : "v");
      if (alert.active) {
        fuzz::check(raised_.insert(alert.id).second, "an alert is raised once");
        fuzz::check(active_.insert(alert.key).second, "a key is active once");
      } else {
        fuzz::check(raised_.contains(alert.id), "what clears was raised");
        fuzz::check(active_.erase(alert.key) == 1, "what clears was active");
      }
    }
    fuzz::check(!wire::to_json(day_->status()).empty(), "a status");
  }

  void take(const session::FinishedPoint& finished) {
    const occupation::Point& p = finished.point;
    ++points_;
    fuzz::check(finished.epochs.size() == p.epochs_used + p.epochs_refused, "every epoch has its verdict");
    fuzz::check(p.at.has_value() == (p.epochs_used > 0), "coordinates come from epochs");
    if (p.at) {
      for (const double value : {p.at->latitude_deg, p.at->longitude_deg, p.at->ellipsoid_height_m}) {
        fuzz::check(std::isfinite(value), "a coordinate");
      }
      for (const double value : {p.at->error95_horizontal_m, p.at->error95_vertical_m}) {
        fuzz::check(std::isfinite(value) && value > 0, "an error");
      }
    }
    if (p.status == PointStatus::accepted) {
      fuzz::check(p.reasons.empty() && p.epochs_used >= 3, "what is accepted keeps the rules of completion");
      fuzz::check(!p.source.empty(), "what is accepted has a source");
    }
    told_ += wire::to_json(p);
  }

  std::optional<session::Session> day_;
  std::size_t most_at_once_;
  std::int64_t now_ms_ = 0;
  std::uint64_t pushed_ = 0, points_ = 0;
  std::set<std::uint64_t> raised_;
  std::set<std::string> active_;
  std::string told_;
};

std::string live(std::string_view text, std::size_t most_at_once) {
  Day day(most_at_once);
  while (!text.empty()) {
    const std::string_view line = text.substr(0, text.find('\n'));
    day.line(line);
    text.remove_prefix(std::min(line.size() + 1, text.size()));
  }
  return day.finish();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  fuzz::check(live(text, 4096) == live(text, 1 + size % 7), "the same day, cut otherwise");
  return 0;
}
