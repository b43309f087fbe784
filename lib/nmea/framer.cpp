#include "nmea/framer.hpp"

#include <algorithm>
#include <charconv>

#include "nmea/machine_words.hpp"

namespace stillpoint::nmea {
namespace {

constexpr int kNoHex = -1;
constexpr std::array<std::int8_t, 256> kHexValues = [] {
  std::array<std::int8_t, 256> values{};
  values.fill(kNoHex);
  for (int i = 0; i < 10; ++i) values[static_cast<std::size_t>('0' + i)] = static_cast<std::int8_t>(i);
  for (int i = 0; i < 6; ++i) {
    values[static_cast<std::size_t>('A' + i)] = static_cast<std::int8_t>(10 + i);
    values[static_cast<std::size_t>('a' + i)] = static_cast<std::int8_t>(10 + i);
  }
  return values;
}();
constexpr int hex_value(char c) noexcept {
  return kHexValues[static_cast<unsigned char>(c)];
}

/// What stands at a '*' that is `at` bytes into the candidate.
enum class Star : std::uint8_t { unfinished, plain, checksum };
Star star_kind(std::string_view from, std::size_t at) noexcept {
  if (at + 1 >= from.size()) return Star::unfinished;
  if (hex_value(from[at + 1]) == kNoHex) return Star::plain;
  if (at + 2 >= from.size()) return Star::unfinished;
  return hex_value(from[at + 2]) == kNoHex ? Star::plain : Star::checksum;
}

int checksum_at(std::string_view from, std::size_t star) noexcept {
  return hex_value(from[star + 1]) * 16 + hex_value(from[star + 2]);
}

std::uint8_t parity_of(std::string_view text) noexcept {
  std::uint8_t parity = 0;
  for (const char c : text) parity = static_cast<std::uint8_t>(parity ^ static_cast<std::uint8_t>(c));
  return parity;
}

/// Where the text of a TAG block, which begins at the second byte, ends: at the next '\\', '$' or byte that is no text.
std::size_t tag_end(std::string_view seen) noexcept {
  const std::string_view inside = seen.substr(0, seen.find('\\', 1));
  std::size_t at = 1;
  while (at < inside.size()) {
    at += plain_run(inside.data() + at, inside.size() - at).length;
    if (at == inside.size() || inside[at] != '*') break;
    ++at;
  }
  return at;
}

/// The number behind `c:` among the comma-separated parameters of a TAG block.
std::optional<std::int64_t> tag_time_in(std::string_view parameters) noexcept {
  while (!parameters.empty()) {
    const std::string_view one = parameters.substr(0, parameters.find(','));
    parameters.remove_prefix(std::min(one.size() + 1, parameters.size()));
    if (!one.starts_with("c:")) continue;
    std::int64_t value = 0;
    const auto [end, error] = std::from_chars(one.data() + 2, one.data() + one.size(), value);
    if (error == std::errc() && end == one.data() + one.size() && value >= 0) return value;
  }
  return std::nullopt;
}

}  // namespace

Framer::Candidate Framer::drop(std::uint64_t& kind, std::size_t length) noexcept {
  ++kind;
  return skip(length);
}

Framer::Candidate Framer::skip(std::size_t length) noexcept {
  counters_.damage.garbage_bytes += length;
  return {Found::nothing, length};
}

/// `from` starts with '$'. Never decides on more than the cap plus one byte, so that chunks cannot matter.
Framer::Candidate Framer::examine_sentence(std::string_view from) noexcept {
  Damage& damage = counters_.damage;
  std::uint8_t parity = 0;
  const std::string_view seen = from.substr(0, kMaxSentence + 1);
  for (std::size_t at = 1;;) {
    const Run run = plain_run(seen.data() + at, seen.size() - at);
    parity = static_cast<std::uint8_t>(parity ^ run.parity);
    at += run.length;
    if (at > kMaxSentence) return drop(damage.oversize, kMaxSentence);
    if (at == seen.size()) return {};
    const char stop = seen[at];
    if (stop == '$') return drop(damage.cut_short, at);
    if (is_line_end(stop)) return drop(damage.no_checksum, at);
    if (stop != '*') return drop(damage.cut_short, at + 1);
    const Star star = star_kind(seen, at);
    if (star == Star::unfinished) return seen.size() > kMaxSentence ? drop(damage.oversize, kMaxSentence) : Candidate{};
    if (star == Star::checksum) {
      if (at + 3 > kMaxSentence) return drop(damage.oversize, kMaxSentence);
      if (checksum_at(seen, at) != parity) return drop(damage.bad_checksum, at + 3);
      return {Found::sentence, at + 3};
    }
    parity = static_cast<std::uint8_t>(parity ^ static_cast<std::uint8_t>('*'));
    ++at;
  }
}

/// `from` starts with '\'. A broken TAG block costs only its own bytes; what broke it is looked at afresh.
Framer::Candidate Framer::examine_tag(std::string_view from) noexcept {
  const std::string_view seen = from.substr(0, kMaxSentence + 1);
  const std::size_t at = tag_end(seen);
  if (at > kMaxSentence) return skip(kMaxSentence);
  if (at == seen.size()) return {};
  if (seen[at] != '\\' || at < 4 || seen[at - 3] != '*' || star_kind(seen, at - 3) != Star::checksum) {
    return skip(at);
  }
  const std::string_view parameters = seen.substr(1, at - 4);
  if (checksum_at(seen, at - 3) != parity_of(parameters)) return drop(counters_.damage.bad_checksum, at);
  if (const auto time = tag_time_in(parameters)) tag_time_ = time;
  return {Found::tag, at + 1};
}

Framer::Candidate Framer::examine(std::string_view from) noexcept {
  return from.front() == '$' ? examine_sentence(from) : examine_tag(from);
}

/// Books a finished candidate; true when it is a sentence.
bool Framer::accept(const Candidate& candidate, std::string_view text, Sentence& out) noexcept {
  const std::uint64_t begin = position_;
  position_ += candidate.length;
  if (candidate.found == Found::tag) {
    counters_.tag_bytes += candidate.length;
    return false;
  }
  const auto tag_time = std::exchange(tag_time_, std::nullopt);
  if (candidate.found != Found::sentence) return false;
  ++counters_.sentences;
  counters_.sentence_bytes += candidate.length;
  if (std::max(text[candidate.length - 1], text[candidate.length - 2]) >= 'a') ++counters_.lower_case;
  out = {text.substr(1, candidate.length - 4), begin, position_, tag_time};
  return true;
}

/// Passes line ends and garbage up to the next '$' or '\'. Anything between a TAG block and its '$' parts them.
void Framer::skip_to_start(std::string_view& rest) noexcept {
  std::size_t at = 0;
  std::size_t line_ends = 0;
  for (; at < rest.size(); ++at) {
    const char c = rest[at];
    if (c == '$' || c == '\\') break;
    line_ends += is_line_end(c) ? 1U : 0U;
  }
  if (at == 0) return;
  tag_time_.reset();
  counters_.line_end_bytes += line_ends;
  counters_.damage.garbage_bytes += at - line_ends;
  position_ += at;
  rest.remove_prefix(at);
}

void Framer::hold(std::string_view tail) noexcept {
  std::copy(tail.begin(), tail.end(), carry_.begin());
  held_ = tail.size();
}

/// Goes on with a candidate whose first bytes came in an earlier chunk.
bool Framer::next_held(std::string_view& rest, Sentence& out) noexcept {
  const std::size_t before = held_;
  const std::size_t added = std::min(carry_.size() - held_, rest.size());
  std::copy_n(rest.begin(), added, carry_.begin() + static_cast<std::ptrdiff_t>(held_));
  const std::string_view text(carry_.data(), held_ + added);
  const Candidate candidate = examine(text);
  if (candidate.found == Found::more) {
    held_ += added;
    rest.remove_prefix(added);
    return false;
  }
  held_ = 0;
  rest.remove_prefix(candidate.length - before);
  return accept(candidate, text, out);
}

/// Uses up bytes of `rest` until a sentence is complete (true) or none are left (false).
bool Framer::next(std::string_view& rest, Sentence& out) noexcept {
  while (!rest.empty()) {
    if (held_ > 0) {
      if (next_held(rest, out)) return true;
      continue;
    }
    if (rest.starts_with("\r\n$")) {  // nearly always just one line end stands between two sentences
      counters_.line_end_bytes += 2;
      position_ += 2;
      tag_time_.reset();
      rest.remove_prefix(2);
    } else {
      skip_to_start(rest);
      if (rest.empty()) return false;
    }
    const Candidate candidate = examine(rest);
    if (candidate.found == Found::more) {
      hold(rest);
      rest = {};
      return false;
    }
    const std::string_view text = rest;
    rest.remove_prefix(candidate.length);
    if (accept(candidate, text, out)) return true;
  }
  return false;
}

void Framer::finish() noexcept {
  if (held_ > 0 && carry_[0] == '$') ++counters_.damage.cut_short;
  counters_.damage.garbage_bytes += held_;
  position_ += held_;
  held_ = 0;
  tag_time_.reset();
}

}  // namespace stillpoint::nmea
