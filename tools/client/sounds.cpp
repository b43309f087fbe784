#include "client/sounds.hpp"

#include <algorithm>
#include <string_view>
#include <utility>

namespace stillpoint::client {
namespace {

constexpr std::int64_t kBetweenGoodNews_ms = 10'000;

/// The state is on the screen at once; the sound waits for these, which often pass by themselves.
std::int64_t sound_wait_ms(std::string_view key) {
  if (key == "corrections-stale") return 2000;
  if (key == "feed-silent") return 7000;  // raised 3 s into the silence
  return 0;
}

Sound sound_of(const std::string& severity) {
  if (severity == "stop-work") return Sound::high;
  return severity == "warning" ? Sound::medium : Sound::low;
}

/// When the strokes fall after the first: the rhythm alone tells them apart, for a bell has one pitch.
std::vector<std::int64_t> rhythm_ms(Sound sound) {
  switch (sound) {
    case Sound::high:
      return {0, 300, 600, 1400, 1700};
    case Sound::medium:
      return {0, 900};
    case Sound::good:
      return {0, 250};
    case Sound::low:
      return {0};
    case Sound::none:
      break;
  }
  return {};
}

}  // namespace

Sound Ears::of_alert(const Json& alert, std::int64_t now_ms, std::map<std::string, Known>& present) {
  const std::string key = text_of(alert, "key");
  const std::string id = key + '/' + std::to_string(count_of(alert, "id"));
  const auto old = known_.find(id);
  Known known = old == known_.end() ? Known{now_ms, 0, 1, false} : old->second;
  const long long times = count_of(alert, "times"), repeats = count_of(alert, "repeats");
  const bool first = !known.told && now_ms - known.since_ms >= sound_wait_ms(key);
  const bool again = known.told && repeats > known.repeats && !quiet(now_ms);
  std::int64_t& muted_until_ms = muted_until_ms_[key];
  if (times > 1 && times > known.times && now_ms >= muted_until_ms) muted_until_ms = now_ms + kQuiet_ms;
  const bool muted = now_ms < muted_until_ms;
  known.told = known.told || first;
  known.repeats = repeats;
  known.times = times;
  present[id] = known;
  return (first || again) && !muted && !flag_of(alert, "seen") ? sound_of(text_of(alert, "severity")) : Sound::none;
}

/// Counting again while a point is open, or enough of it.
bool Ears::good_news(const Json& status, bool counts) {
  const Json& stay = member(status, "occupation");
  const bool enough = text_of(stay, "keep_gives") == "accepted";
  const std::string point = text_of(stay, "name");
  const bool same = !point.empty() && point == point_;
  const bool news = same && counts && (!counted_ || (enough && !was_enough_));
  counted_ = counts;
  was_enough_ = enough;
  point_ = point;
  return news;
}

Sound Ears::hear(const Json& status, bool counts, bool lost, std::int64_t now_ms) {
  const bool lost_now = lost && !was_lost_;
  was_lost_ = lost;
  Sound out = lost_now ? Sound::high : Sound::none;
  std::map<std::string, Known> present;
  for (const Json& alert : list_of(status, "alerts")) {
    if (!is_gone(alert) && !lost) out = std::max(out, of_alert(alert, now_ms, present));
  }
  if (!lost) known_ = std::move(present);
  if (good_news(status, counts) && !quiet(now_ms) && now_ms >= good_at_ms_) {
    good_at_ms_ = now_ms + kBetweenGoodNews_ms;
    out = std::max(out, Sound::good);
  }
  return flag_of(status, "training") ? Sound::none : out;
}

void Bell::ring(Sound sound, std::int64_t now_ms) {
  if (sound == Sound::none || (!strokes_ms_.empty() && sound < sound_)) return;
  sound_ = sound;
  strokes_ms_ = rhythm_ms(sound);
  for (std::int64_t& stroke_ms : strokes_ms_) stroke_ms += now_ms;
  std::reverse(strokes_ms_.begin(), strokes_ms_.end());
}

bool Bell::stroke(std::int64_t now_ms) {
  if (strokes_ms_.empty() || now_ms < strokes_ms_.back()) return false;
  strokes_ms_.pop_back();
  return true;
}

std::int64_t Bell::wait_ms(std::int64_t now_ms) const {
  return strokes_ms_.empty() ? -1 : std::max<std::int64_t>(strokes_ms_.back() - now_ms, 0);
}

}  // namespace stillpoint::client
