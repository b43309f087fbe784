#include "feeds/latest_position.hpp"

#include <array>
#include <variant>

#include "nmea/decode.hpp"

namespace stillpoint::daemon {
namespace {

/// Estimated, typed in and simulated positions are no measured ones.
bool is_measured(Quality quality) noexcept {
  return quality != Quality::none && quality != Quality::estimated && quality != Quality::manual &&
         quality != Quality::simulated;
}

std::string with_checksum(std::string_view body) {
  constexpr std::string_view kDigits = "0123456789ABCDEF";
  unsigned sum = 0;
  for (const char c : body) sum ^= static_cast<unsigned char>(c);
  return "$" + std::string(body) + "*" + kDigits[sum >> 4U] + kDigits[sum & 15U];
}

}  // namespace

void LatestPosition::hear(std::string_view bytes, MachineTime now) {
  framer_.push(bytes, [&](const nmea::Sentence& sentence) {
    const nmea::Decoded decoded = nmea::decode(sentence.body);
    const auto* gga = std::get_if<nmea::Gga>(&decoded.content);
    if (gga == nullptr) return;
    sentence_.clear();
    if (!gga->position || !is_measured(gga->quality)) return;
    sentence_ = with_checksum(sentence.body);
    heard_ = now;
  });
}

std::string LatestPosition::fresh(MachineTime now) const {
  return ms_between(heard_, now) <= kFreshMs ? sentence_ : std::string();
}

}  // namespace stillpoint::daemon
