#include "rtcm/framer.hpp"

#include <algorithm>
#include <cstring>

namespace stillpoint::rtcm {
namespace {

constexpr std::uint32_t kPolynomial = 0x864CFB;
constexpr std::uint32_t kTopBit = 0x800000;
constexpr std::uint32_t kMask = 0xFFFFFF;
constexpr char kPreamble = '\xD3';

constexpr std::array<std::uint32_t, 256> kRemainders = [] {
  std::array<std::uint32_t, 256> table{};
  for (std::uint32_t i = 0; i < table.size(); ++i) {
    std::uint32_t rest = i << 16;
    for (int bit = 0; bit < 8; ++bit) rest = ((rest << 1) ^ ((rest & kTopBit) != 0 ? kPolynomial : 0)) & kMask;
    table[i] = rest;
  }
  return table;
}();

constexpr std::uint32_t byte_at(std::string_view bytes, std::size_t at) noexcept {
  return static_cast<unsigned char>(bytes[at]);
}

/// The whole length of the frame that begins here, by its head.
std::size_t length_by_head(std::string_view head) noexcept {
  return Framer::kHead + ((byte_at(head, 1) & 3) << 8 | byte_at(head, 2)) + Framer::kChecksum;
}

bool checksum_agrees(std::string_view frame) noexcept {
  const std::size_t at = frame.size() - Framer::kChecksum;
  const std::uint32_t said = byte_at(frame, at) << 16 | byte_at(frame, at + 1) << 8 | byte_at(frame, at + 2);
  return crc24q(frame.substr(0, at)) == said;
}

}  // namespace

std::uint32_t crc24q(std::string_view bytes) noexcept {
  std::uint32_t rest = 0;
  for (const char c : bytes) {
    rest = ((rest << 8) & kMask) ^ kRemainders[(rest >> 16) ^ static_cast<unsigned char>(c)];
  }
  return rest;
}

std::size_t Framer::hold(std::string_view bytes) noexcept {
  // Less than one frame is ever left over, so that there is room behind it once it stands at the front.
  if (buffer_.size() - end_ < std::min(bytes.size(), kLongest)) {
    std::memmove(buffer_.data(), buffer_.data() + begin_, held());
    end_ -= begin_;
    begin_ = 0;
  }
  const std::size_t taken = std::min(bytes.size(), buffer_.size() - end_);
  std::memcpy(buffer_.data() + end_, bytes.data(), taken);
  end_ += taken;
  return taken;
}

bool Framer::next(Frame& out) noexcept {
  while (held() > 0) {
    const std::string_view rest(buffer_.data() + begin_, held());
    const std::size_t start = std::min(rest.find(kPreamble), rest.size());
    if (start > 0) {
      skip(start);
      continue;
    }
    if (rest.size() >= 2 && (byte_at(rest, 1) & 0xFC) != 0) {  // the six bits that a frame has as zeros
      skip(1);
      continue;
    }
    if (rest.size() < kHead) return false;
    const std::size_t length = length_by_head(rest);
    if (rest.size() < length) return false;
    if (!checksum_agrees(rest.substr(0, length))) {
      ++counters_.damage.bad_checksum;
      skip(1);
      continue;
    }
    out = {rest.substr(kHead, length - kHead - kChecksum), position_, position_ + length};
    ++counters_.frames;
    counters_.frame_bytes += length;
    begin_ += length;
    position_ += length;
    return true;
  }
  return false;
}

/// What began like a frame cannot be one any more; frames that lie inside of it may be whole.
void Framer::drop_unfinished() noexcept {
  if (held() == 0) return;
  ++counters_.damage.cut_short;
  skip(1);
}

void Framer::skip(std::size_t bytes) noexcept {
  counters_.damage.garbage_bytes += bytes;
  begin_ += bytes;
  position_ += bytes;
}

}  // namespace stillpoint::rtcm
