#include "record/log_kind.hpp"

#include <array>

#include "base/number.hpp"
#include "record/sentences.hpp"

namespace stillpoint::record {
namespace {

using namespace std::string_view_literals;

struct Kind {
  std::string_view begins;
  std::string_view what;
};

constexpr std::array<Kind, 5> kCompressed{{{"\x1F\x8B"sv, "gzip"},
                                           {"PK\x03\x04"sv, "zip"},
                                           {"\xFD\x37\x7A\x58\x5A\x00"sv, "xz"},
                                           {"\x28\xB5\x2F\xFD"sv, "zstd"},
                                           {"BZh"sv, "bzip2"}}};
constexpr std::array<std::string_view, 4> kWideText{"\xFF\xFE"sv, "\xFE\xFF"sv, "$\0"sv, "\0$"sv};

}  // namespace

std::optional<std::string> why_no_log(std::string_view head) {
  for (const Kind& kind : kCompressed) {
    if (head.starts_with(kind.begins)) {
      return kSay.compressed(kind.what, kSay.unpack_first());
    }
  }
  for (const std::string_view begins : kWideText) {
    if (head.starts_with(begins)) return kSay.utf16(kSay.save_again());
  }
  return std::nullopt;
}

std::string why_no_sentence(const nmea::Counters& counters) {
  const nmea::Damage& damage = counters.damage;
  if (counters.bytes == 0) return kSay.empty();
  if (damage.no_checksum > 0) {
    return kSay.no_checksums(counted(damage.no_checksum, "sentence"));
  }
  if (damage.bad_checksum > 0) {
    return kSay.no_checksum_agrees(counted(damage.bad_checksum, "sentence"));
  }
  return kSay.no_nmea(counted(counters.bytes, "byte"));
}

}  // namespace stillpoint::record
