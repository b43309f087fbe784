#include "base/typed.hpp"

#include <algorithm>
#include <array>
#include <cstdint>
#include <iterator>

#include "base/sentences.hpp"
#include "base/utf8.hpp"

namespace stillpoint {
namespace {

struct Range {
  char32_t first, last;
};

constexpr std::array<Range, 22> kUnseen{
    {{0x0000, 0x001F},   {0x007F, 0x009F},   {0x00AD, 0x00AD}, {0x034F, 0x034F}, {0x061C, 0x061C}, {0x115F, 0x1160},
     {0x17B4, 0x17B5},   {0x180B, 0x180F},   {0x200B, 0x200F}, {0x2028, 0x2029}, {0x202A, 0x202E}, {0x2060, 0x206F},
     {0x3164, 0x3164},   {0xFE00, 0xFE0F},   {0xFEFF, 0xFEFF}, {0xFFA0, 0xFFA0}, {0xFFF0, 0xFFFB}, {0x1BCA0, 0x1BCA3},
     {0x1D173, 0x1D17A}, {0xE0000, 0xE0FFF}, {0xFDD0, 0xFDEF}, {0xFFFE, 0xFFFF}}};

// Signs, marks and blanks above ASCII; what is left there are letters and digits of some script.
constexpr std::array<Range, 12> kSigns{{{0x0080, 0x00A9},
                                        {0x00AB, 0x00B4},
                                        {0x00B6, 0x00B9},
                                        {0x00BB, 0x00BF},
                                        {0x00D7, 0x00D7},
                                        {0x00F7, 0x00F7},
                                        {0x2000, 0x2BFF},
                                        {0x3000, 0x3004},
                                        {0x3008, 0x3020},
                                        {0xFE10, 0xFE6F},
                                        {0xFF01, 0xFF0F},
                                        {0xFF1A, 0xFF20}}};

// Blanks, hyphens, dashes and underscores: nobody says them.
constexpr std::array<Range, 7> kUnread{{{0x0020, 0x0020},
                                        {0x002D, 0x002D},
                                        {0x005F, 0x005F},
                                        {0x00A0, 0x00A0},
                                        {0x2000, 0x200A},
                                        {0x2010, 0x2015},
                                        {0x2212, 0x2212}}};

template <std::size_t N>
bool is_among(const std::array<Range, N>& ranges, char32_t c) noexcept {
  return std::any_of(ranges.begin(), ranges.end(),
                     [c](const Range& each) { return c >= each.first && c <= each.last; });
}

/// The code point of the character that takes `length` bytes of UTF-8 from `at` on.
char32_t code_point(std::string_view text, std::size_t at, std::size_t length) noexcept {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[at + i]); };
  if (length == 1) return byte(0);
  char32_t out = byte(0) & (0x7FU >> length);
  for (std::size_t i = 1; i < length; ++i) out = (out << 6U) | (byte(i) & 0x3FU);
  return out;
}

/// Calls `take(c, at, length)` for each character until it returns false. Bytes that are no character are skipped.
template <class Take>
void each_character(std::string_view text, Take take) {
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = utf8_length(text, at);
    if (length > 0 && !take(code_point(text, at, length), at, length)) return;
    at += std::max<std::size_t>(length, 1);
  }
}

std::string hex(char32_t c, std::size_t least_digits) {
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string out;
  for (; c != 0 || out.size() < least_digits; c >>= 4U) out.insert(out.begin(), kDigits[c & 15U]);
  return out;
}

void append_escape(std::string& out, char32_t c) {
  if (c > 0xFFFF) {
    out += "\\u" + hex(0xD800 + ((c - 0x10000) >> 10U), 4);
    c = 0xDC00 + ((c - 0x10000) & 0x3FFU);
  }
  out += "\\u" + hex(c, 4);
}

bool begins_a_label(std::string_view text) noexcept {
  bool out = false;
  each_character(text, [&out](char32_t c, std::size_t, std::size_t) {
    const bool ascii = (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
    out = ascii || (c >= 0x80 && !is_among(kSigns, c));
    return false;
  });
  return out;
}

}  // namespace

bool is_unseen(char32_t c) noexcept {
  return is_among(kUnseen, c);
}

bool holds_unseen(std::string_view text) noexcept {
  bool out = false;
  each_character(text, [&out](char32_t c, std::size_t, std::size_t) {
    out = is_unseen(c);
    return !out;
  });
  return out;
}

std::string typed_fault(std::string_view what, std::string_view text, std::size_t longest) {
  if (text.size() > longest) return kSayOfBase.too_long(what, std::to_string(longest));
  if (!is_utf8(text)) return kSayOfBase.no_utf8(what);
  std::string out;
  each_character(text, [&](char32_t c, std::size_t, std::size_t) {
    if (is_unseen(c)) out = kSayOfBase.unseen(what, hex(c, 4));
    return out.empty();
  });
  return out;
}

std::string new_label_fault(std::string_view what, std::string_view text, std::size_t longest) {
  std::string out = typed_fault(what, text, longest);
  if (!out.empty() || text.empty() || begins_a_label(text)) return out;
  return kSayOfBase.no_letter_first(what);
}

std::string read_aloud(std::string_view name) {
  std::string out;
  each_character(name, [&](char32_t c, std::size_t at, std::size_t length) {
    const bool capital = (c >= 'A' && c <= 'Z') || (c >= 0x00C0 && c <= 0x00DE && c != 0x00D7);
    if (is_among(kUnread, c)) return true;
    out += name.substr(at, length);
    // Small letters stand 32 behind their capitals, which in UTF-8 is the last byte alone.
    if (capital) out.back() = static_cast<char>(static_cast<unsigned char>(out.back()) + 0x20U);
    return true;
  });
  return out;
}

bool reads_like(std::string_view a, std::string_view b) {
  if (a == b) return false;
  const std::string aloud = read_aloud(a);
  return !aloud.empty() && aloud == read_aloud(b);
}

std::string escape_unseen(std::string json) {
  // JSON has already escaped all control characters below the blank. Most texts hold nothing else to escape.
  if (std::none_of(json.begin(), json.end(), [](char c) { return static_cast<unsigned char>(c) >= 0x7F; })) return json;
  std::string out;
  std::size_t done = 0;
  each_character(json, [&](char32_t c, std::size_t at, std::size_t length) {
    if (c < 0x7F || !is_unseen(c)) return true;
    out += json.substr(done, at - done);
    append_escape(out, c);
    done = at + length;
    return true;
  });
  return out + json.substr(done);
}

}  // namespace stillpoint
