#include "wire/words.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "base/number.hpp"
#include "base/quality.hpp"
#include "gate/verdict.hpp"
#include "wire/fields.hpp"

namespace stillpoint::wire {
namespace {

using Word = std::pair<std::string_view, std::string_view>;

/// A code that nobody has words for.
std::string plain_words(const std::string& code) {
  std::string plain = ascii(code);
  std::replace(plain.begin(), plain.end(), '-', ' ');
  return plain;
}

template <std::size_t N>
std::string look_up(const std::array<Word, N>& words, const std::string& code) {
  const auto at = std::find_if(words.begin(), words.end(), [&](const Word& word) { return word.first == code; });
  return at == words.end() ? plain_words(code) : std::string(at->second);
}

// In the order of the enumeration.
constexpr std::array<std::string_view, kQualityCount> kQualities{"no position",
                                                                 "without corrections",
                                                                 "differential",
                                                                 "PPS",
                                                                 "fixed",
                                                                 "float",
                                                                 "estimated by the receiver",
                                                                 "typed into the receiver",
                                                                 "simulated",
                                                                 "SBAS"};

constexpr std::array<Word, 3> kSeverities{
    {{"stop-work", "STOP MEASURING"}, {"warning", "WARNING"}, {"notice", "NOTICE"}}};

}  // namespace

std::string ascii(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte >= 0x80 && byte < 0xC0) continue;  // the rest of a character already shown as '?'
    out += byte >= 0x80 ? '?' : byte < 0x20 || byte == 0x7F ? ' ' : c;
  }
  return out;
}

std::string cut(const std::string& text, std::size_t width) {
  if (text.size() <= width) return text;
  return width < 2 ? text.substr(0, width) : text.substr(0, width - 2) + "..";
}

std::vector<std::string> wrap(const std::string& text, std::size_t width, std::size_t rows) {
  std::vector<std::string> out;
  std::string rest = text;
  while (out.size() + 1 < rows && rest.size() > width) {
    auto blank = rest.rfind(' ', width);
    if (blank == std::string::npos || blank == 0) blank = width;
    out.push_back(rest.substr(0, blank));
    rest.erase(0, rest.find_first_not_of(' ', blank));
  }
  out.push_back(cut(rest, width));
  out.resize(rows);
  return out;
}

std::string padded(const std::string& text, std::size_t width) {
  return text.size() >= width ? text : text + std::string(width - text.size(), ' ');
}

std::string sentence(const std::string& text) {
  std::string out = ascii(text);
  if (out.empty()) return out;
  if (out.front() >= 'a' && out.front() <= 'z') out.front() = static_cast<char>(out.front() - 'a' + 'A');
  const char last = out.back();
  return last == '.' || last == '!' || last == '?' ? out : out + '.';
}

std::string work_of(const Json& status) {
  const std::string project = ascii(text_of(status, "project")), crew = ascii(text_of(status, "crew"));
  return project + (crew.empty() ? "" : (project.empty() ? "crew " : ", crew ") + crew);
}

std::string length_text(std::optional<double> length_m) {
  constexpr double kShownInMillimetresM = 0.0995;
  if (!length_m || !std::isfinite(*length_m)) return "--";
  if (std::abs(*length_m) < kShownInMillimetresM) return fixed(*length_m * 1000, 0) + " mm";
  return fixed(*length_m, 2) + " m";
}

std::string seconds_text(std::optional<double> time_s) {
  if (!time_s || !std::isfinite(*time_s)) return "--";
  return fixed(*time_s, *time_s < 100 ? 1 : 0) + " s";
}

std::string clock_of(const std::string& utc) {
  return utc.size() >= 19 && utc[10] == 'T' ? ascii(utc.substr(11, 8)) : "--:--:--";
}

std::string since_of(const Json& alert) {
  const std::string utc = text_of(alert, "since_utc"), time = text_of(alert, "since_time");
  return utc.empty() && !time.empty() ? ascii(time) : clock_of(utc);
}

std::string quality_words(const std::string& code) {
  const auto quality = quality_from_word(code);
  return quality ? std::string(kQualities[static_cast<std::size_t>(*quality)]) : plain_words(code);
}
std::string refusal_words(const std::string& code) {
  const auto reason = gate::reason_from_word(code);
  return reason ? std::string(gate::words_of(*reason).short_words) : plain_words(code);
}

std::string reasons_of(const Json& point) {
  std::string out;
  const auto add = [&out](const std::string& why) { out += (out.empty() ? "" : "; ") + why; };
  for (const Json& text : list_of(point, "reason_texts")) {
    if (text.is_string()) add(ascii(text.get<std::string>()));
  }
  if (!out.empty()) return out;
  for (const Json& code : list_of(point, "reasons")) {
    if (code.is_string()) add(refusal_words(code.get<std::string>()));
  }
  return out;
}

bool is_gone(const Json& alert) {
  return member(alert, "active").is_boolean() && !flag_of(alert, "active");
}

bool has_flag(const Json& point, std::string_view flag) {
  const Json& flags = list_of(point, "flags");
  return std::any_of(flags.begin(), flags.end(), [flag](const Json& each) { return each.is_string() && each == flag; });
}

std::string_view newer_name(std::string_view old) noexcept {
  const auto* const at =
      std::find_if(kRenamed.begin(), kRenamed.end(), [old](const auto& each) { return each.first == old; });
  return at == kRenamed.end() ? std::string_view() : at->second;
}

std::string severity_words(const std::string& code) {
  return look_up(kSeverities, code);
}

}  // namespace stillpoint::wire
