#include "record/log_kind.hpp"

#include <array>

#include "base/number.hpp"

namespace stillpoint::record {
namespace {

using namespace std::string_view_literals;

struct Kind {
  std::string_view begins;
  std::string_view what;
};

constexpr std::string_view kUnpack = "; unpack it first";
constexpr std::string_view kSaveAgain = "; save it as plain ASCII or UTF-8 text";

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
      return "is compressed (" + std::string(kind.what) + ")" + std::string(kUnpack);
    }
  }
  for (const std::string_view begins : kWideText) {
    if (head.starts_with(begins)) return "is text in UTF-16, two bytes a letter" + std::string(kSaveAgain);
  }
  return std::nullopt;
}

std::string why_no_sentence(const nmea::Counters& counters) {
  const nmea::Damage& damage = counters.damage;
  if (counters.bytes == 0) return "it is empty";
  if (damage.no_checksum > 0) {
    return counted(damage.no_checksum, "sentence") +
           " without a checksum and none with one: a damaged digit could not be told from a right one, so none is "
           "read; let the receiver print checksums (*hh)";
  }
  if (damage.bad_checksum > 0) {
    return "not one of " + counted(damage.bad_checksum, "sentence") + " has a checksum that agrees with it";
  }
  return counted(counters.bytes, "byte") + " of something else than NMEA sentences";
}

}  // namespace stillpoint::record
