#include "setup/heard.hpp"

#include <algorithm>
#include <variant>

#include "base/number.hpp"
#include "nmea/decode.hpp"
#include "nmea/kind.hpp"
#include "setup/sentences.hpp"

namespace stillpoint::setup {
namespace {

void note_fewest(std::optional<int>& fewest, int decimals) {
  if (decimals < nmea::kMostDecimals) fewest = std::min(fewest.value_or(decimals), decimals);
}

std::string stations_of(const HeardQuality& heard) {
  std::string out;
  for (const int station : heard.stations) out += (out.empty() ? "" : ", ") + std::to_string(station);
  if (heard.blank > 0) out += (out.empty() ? "" : ", ") + std::string(kSay.blank());
  return out;
}

}  // namespace

const HeardQuality* Heard::of(Quality quality) const {
  const auto at = qualities.find(quality);
  return at == qualities.end() ? nullptr : &at->second;
}

void Listening::push(std::string_view bytes, SteadyTime arrived) {
  if (!first_) first_ = arrived;
  heard_.seconds = seconds_between(*first_, arrived);
  if (const auto* closed = assembler_.tick(arrived)) take(*closed);
  framer_.push(bytes, [&](const nmea::Sentence& sentence) {
    const nmea::Decoded decoded = nmea::decode(sentence.body);
    if (std::holds_alternative<nmea::Malformed>(decoded.content)) {
      ++framer_.damage().malformed;
      return;
    }
    ++heard_.kinds[nmea::kind_of(decoded)];
    if (const auto* closed = assembler_.push(decoded, arrived)) take(*closed);
  });
  const nmea::Counters& counters = framer_.counters();
  heard_.bytes = counters.bytes;
  heard_.sentences = counters.sentences;
  heard_.damaged = counters.damage.bad_checksum + counters.damage.malformed;
  heard_.without_checksum = counters.damage.no_checksum;
}

void Listening::finish() {
  if (const auto* closed = assembler_.finish()) take(*closed);
  framer_.finish();
}

void Listening::take(const epoch::Epoch& epoch) {
  ++heard_.epochs;
  HeardQuality& quality = heard_.qualities[epoch.quality];
  ++quality.epochs;
  quality.ages += epoch.age ? 1U : 0U;
  quality.blank += epoch.station ? 0U : 1U;
  if (epoch.station) quality.stations.insert(*epoch.station);
  heard_.errors += epoch.error ? 1U : 0U;
  heard_.dates += epoch.utc ? 1U : 0U;
  heard_.dops += epoch.pdop ? 1U : 0U;
  if (epoch.utc) heard_.utc = epoch.utc;
  const auto height_m = epoch.ellipsoid_height_m();
  heard_.heights += height_m ? 1U : 0U;
  if (height_m) note_fewest(heard_.height_decimals, epoch.height_decimals);
  if (!epoch.position) return;
  note_fewest(heard_.minute_decimals, epoch.position->minute_decimals);
  heard_.place =
      geodesy::Geographic{epoch.position->latitude_deg, epoch.position->longitude_deg, height_m.value_or(0.0)};
}

std::vector<std::string> lines_of(const Heard& heard) {
  if (heard.bytes == 0) return {kSay.nothing_came()};
  if (heard.sentences == 0) {
    return {heard.without_checksum > 0 ? kSay.no_checksums() : kSay.no_sentence(std::to_string(heard.bytes))};
  }
  std::vector<std::string> out;
  const double seconds = std::max(1.0, heard.seconds);
  std::string kinds;
  for (const auto& [kind, count] : heard.kinds) {
    const double each_s = seconds / static_cast<double>(count);
    kinds += (kinds.empty() ? "" : ", ") + kind + ' ' + kSay.every(fixed(each_s, each_s < 1.0 ? 1 : 0));
  }
  out.push_back(kSay.sentences_heard(kinds));
  for (const auto& [quality, of] : heard.qualities) {
    const std::string age = of.ages == 0 ? std::string(kSay.no_age()) : std::string(kSay.with_age());
    out.push_back(kSay.quality_heard(to_word(quality), counted(of.epochs, "second"), stations_of(of), age));
  }
  if (heard.minute_decimals && heard.height_decimals) {
    out.push_back(kSay.digits_heard(std::to_string(*heard.minute_decimals), std::to_string(*heard.height_decimals)));
  }
  if (!heard.place) out.push_back(kSay.no_position());
  if (heard.dates == 0) out.push_back(kSay.no_date());
  if (heard.errors == 0) out.push_back(kSay.no_error());
  if (heard.damaged > 0) out.push_back(kSay.damaged(counted(heard.damaged, "sentence")));
  return out;
}

}  // namespace stillpoint::setup
