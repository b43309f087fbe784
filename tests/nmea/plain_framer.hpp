#pragma once
/// The framing rules once more, a byte at a time and without any speed: what the fast framer is compared with.

#include <charconv>

#include "nmea/sentences.hpp"

namespace stillpoint::test {

class PlainFramer {
 public:
  void push(std::string_view bytes) {
    for (const char c : bytes) push(c);
  }

  Framed finish() {
    if (!held_.empty()) {
      if (held_[0] == '$') ++counters().damage.cut_short;
      drop_held();
    }
    return result_;
  }

 private:
  static constexpr std::size_t kCap = 512;
  static bool is_text(char c) { return c >= ' ' && c <= '~'; }
  static bool is_hex(char c) { return std::string_view("0123456789ABCDEFabcdef").find(c) != std::string_view::npos; }
  nmea::Counters& counters() { return result_.counters; }

  /// The last three bytes held are '*' and two hex digits.
  bool ends_in_checksum() const {
    const std::size_t n = held_.size();
    return n >= 4 && held_[n - 3] == '*' && is_hex(held_[n - 2]) && is_hex(held_[n - 1]);
  }
  bool checksum_agrees() const {
    std::string printed = held_.substr(held_.size() - 2);
    for (char& c : printed) c = c >= 'a' ? static_cast<char>(c - 'a' + 'A') : c;
    return printed == checksum_of(std::string_view(held_).substr(1, held_.size() - 4));
  }

  void drop_held() {
    counters().damage.garbage_bytes += held_.size();
    held_.clear();
    tag_time_.reset();
  }

  void push(char c) {
    ++counters().bytes;
    ++offset_;
    if (held_.empty()) {
      start(c);
    } else if (held_[0] == '$') {
      go_on_sentence(c);
    } else {
      go_on_tag(c);
    }
  }

  void start(char c) {
    if (c == '$' || c == '\\') {
      held_ = c;
      return;
    }
    tag_time_.reset();
    if (c == '\r' || c == '\n') {
      ++counters().line_end_bytes;
    } else {
      ++counters().damage.garbage_bytes;
    }
  }

  void break_off(std::uint64_t& kind, char c) {
    ++kind;
    drop_held();
    start(c);
  }

  void go_on_sentence(char c) {
    nmea::Damage& damage = counters().damage;
    if (c == '\r' || c == '\n') return break_off(damage.no_checksum, c);
    if (c == '$' || !is_text(c)) return break_off(damage.cut_short, c);
    if (held_.size() == kCap) return break_off(damage.oversize, c);
    held_ += c;
    if (!ends_in_checksum()) return;
    if (!checksum_agrees()) {
      ++damage.bad_checksum;
      return drop_held();
    }
    ++counters().sentences;
    counters().sentence_bytes += held_.size();
    const bool lower = held_.back() >= 'a' || held_[held_.size() - 2] >= 'a';
    counters().lower_case += lower ? 1U : 0U;
    result_.sentences.push_back({held_.substr(1, held_.size() - 4), offset_ - held_.size(), offset_, tag_time_});
    held_.clear();
    tag_time_.reset();
  }

  void go_on_tag(char c) {
    const bool closes = c == '\\' && ends_in_checksum();
    if (closes && checksum_agrees()) {
      counters().tag_bytes += held_.size() + 1;
      read_tag_time();
      held_.clear();
      return;
    }
    if (closes) ++counters().damage.bad_checksum;
    if (c == '\\' || c == '$' || !is_text(c) || held_.size() == kCap) {
      drop_held();
      return start(c);
    }
    held_ += c;
  }

  void read_tag_time() {
    std::string parameters(1, ',');
    parameters.append(held_, 1, held_.size() - 4).append(1, ',');
    for (std::size_t at = 0; (at = parameters.find(",c:", at)) != std::string::npos; ++at) {
      const std::string value = parameters.substr(at + 3, parameters.find(',', at + 3) - at - 3);
      std::int64_t number = 0;
      const auto [end, error] = std::from_chars(value.data(), value.data() + value.size(), number);
      if (error != std::errc() || end != value.data() + value.size() || number < 0) continue;
      tag_time_ = number;
      return;
    }
  }

  Framed result_;
  std::string held_;
  std::uint64_t offset_ = 0;
  std::optional<std::int64_t> tag_time_;
};

inline Framed frame_plainly(std::string_view bytes) {
  PlainFramer framer;
  framer.push(bytes);
  return framer.finish();
}

}  // namespace stillpoint::test
