#include "record/log_clock.hpp"

#include <algorithm>
#include <utility>

#include "epoch/calendar.hpp"
#include "nmea/fields.hpp"

namespace stillpoint::record {
namespace {

constexpr std::int64_t kMsPerDay = 86'400'000;
constexpr std::int64_t kHeldStepMs = 5000;
constexpr std::int64_t kLeastMsStamp = 100'000'000'000;          ///< as seconds, the year 5138; as milliseconds, 1973
constexpr std::int64_t kGreatestMsStamp = kLeastMsStamp * 1000;  ///< beyond it no stamp makes sense

constexpr std::uint32_t letters(const char* three) noexcept {
  const auto at = [three](int i) { return static_cast<std::uint32_t>(static_cast<unsigned char>(three[i])); };
  return at(0) << 16U | at(1) << 8U | at(2);
}

/// Which field holds the time; 0: none that we know.
int time_field_of(const char* formatter) noexcept {
  switch (letters(formatter)) {
    case letters("RMC"):
    case letters("GGA"):
    case letters("GST"):
    case letters("ZDA"):
    case letters("GNS"):
      return 1;
    case letters("GLL"):
      return 5;
    default:
      return 0;
  }
}

}  // namespace

std::optional<std::int32_t> peek_time_of_day(std::string_view body) noexcept {
  if (body.size() < 12 || body[5] != ',' || (body[0] == 'P' && body[1] != 'Q')) return std::nullopt;
  const int field = time_field_of(body.data() + 2);
  if (field == 0) return std::nullopt;
  std::string_view rest = body.substr(6);
  for (int i = 1; i < field; ++i) {
    const std::size_t comma = rest.find(',');
    if (comma == std::string_view::npos) return std::nullopt;
    rest.remove_prefix(comma + 1);
  }
  const std::string_view text = rest.substr(0, rest.find(','));
  return nmea::to_time_of_day(text, rest.size() - text.size());
}

bool begins_with_tag(std::string_view head) noexcept {
  nmea::Framer framer;
  bool first = true, tagged = false;
  framer.push(head, [&](const nmea::Sentence& sentence) {
    if (std::exchange(first, false)) tagged = sentence.tag_time.has_value();
  });
  return tagged;
}

void RunningTime::run_to(std::int64_t stream_ms) noexcept {
  const std::int64_t reached_ms = stream_ms - origin_ms_;
  if (reached_ms < now_ms_ - kHeldStepMs) {
    origin_ms_ = stream_ms - now_ms_;
  } else {
    now_ms_ = std::max(now_ms_, reached_ms);
  }
}

void RunningTime::utc(std::int32_t time_of_day_ms) noexcept {
  if (source_ == TimeSource::tag) return;
  if (source_ == TimeSource::none) {
    source_ = TimeSource::utc;
    origin_ms_ = time_of_day_ms;
  } else {
    days_ms_ += kMsPerDay * epoch::midnights_between(last_time_of_day_ms_, time_of_day_ms);
  }
  last_time_of_day_ms_ = time_of_day_ms;
  run_to(days_ms_ + time_of_day_ms);
}

void RunningTime::tag(std::int64_t printed) noexcept {
  if (printed > kGreatestMsStamp) return;
  const std::int64_t ms = printed >= kLeastMsStamp ? printed : printed * 1000;
  if (source_ != TimeSource::tag) origin_ms_ = ms - now_ms_;
  source_ = TimeSource::tag;
  run_to(ms);
}

SteadyTime SentenceClock::hear(const nmea::Sentence& sentence) noexcept {
  if (sentence.tag_time) {
    time_.tag(*sentence.tag_time);
  } else if (const auto time_of_day_ms = peek_time_of_day(sentence.body)) {
    time_.utc(*time_of_day_ms);
  }
  return time_.now();
}

SteadyTime SentenceClock::hear(const nmea::Sentence& sentence, const nmea::Decoded& decoded) noexcept {
  using nmea::Other, nmea::Malformed;
  const auto& content = decoded.content;
  const bool unread = std::holds_alternative<Other>(content) || std::holds_alternative<Malformed>(content);
  if (sentence.tag_time || unread) return hear(sentence);
  std::visit(
      [this](const auto& read) {
        if constexpr (requires { read.time_of_day_ms; }) {
          if (read.time_of_day_ms) time_.utc(*read.time_of_day_ms);
        }
      },
      content);
  return time_.now();
}

/// The offset behind the line end that follows a sentence of this call, as far as it has come.
std::uint64_t LogClock::behind_line_end(std::uint64_t offset) const noexcept {
  std::size_t at = offset - chunk_begin_;
  while (at < chunk_.size() && nmea::is_line_end(chunk_[at])) ++at;
  return chunk_begin_ + at;
}

/// The bytes from what was handed out last up to `offset`, which lies in this call's chunk.
std::string_view LogClock::bytes_until(std::uint64_t offset) {
  if (handed_out_ >= chunk_begin_) return chunk_.substr(handed_out_ - chunk_begin_, offset - handed_out_);
  kept_.append(chunk_.substr(0, offset - chunk_begin_));
  return kept_;
}

void LogClock::keep_rest() {
  if (handed_out_ >= chunk_begin_) {
    kept_.assign(chunk_.substr(handed_out_ - chunk_begin_));
  } else {
    kept_.append(chunk_);
  }
  chunk_begin_ += chunk_.size();
  chunk_ = {};
}

}  // namespace stillpoint::record
