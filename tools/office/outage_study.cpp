// The study of a recording in which the corrections were taken away once: how this receiver shows it.
//
// Errors: one sentence on stderr; exit 0 a loss was found, 1 none in the recording, 2 usage, 4 unreadable input.

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>

#include "corrections/outage_study.hpp"
#include "epoch/assembler.hpp"
#include "nmea/decode.hpp"
#include "nmea/framer.hpp"
#include "office.hpp"
#include "record/log_kind.hpp"
#include "reduce/say.hpp"
#include "reduce/stream.hpp"
#include "sentences.hpp"

namespace stillpoint::office {
namespace {

Result<void> play(Stream& stream, corrections::OutageStudy& study) {
  nmea::Framer framer;
  nmea::Decoder decoder;
  epoch::Assembler assembler;
  const auto take = [&](const nmea::Decoded& decoded, SteadyTime arrived) {
    if (const auto* closed = assembler.push(decoded, arrived)) study.observe(*closed);
  };
  Sink sink;
  sink.bytes = [&](std::string_view bytes, SteadyTime arrived) {
    framer.push(bytes, [&](const nmea::Sentence& sentence) { take(decoder.decode(sentence.body), arrived); });
  };
  sink.untimed = [&](std::string_view bytes, record::SentenceClock& clock) {
    framer.push(bytes, [&](const nmea::Sentence& sentence) {
      const nmea::Decoded& decoded = decoder.decode(sentence.body);
      take(decoded, clock.hear(sentence, decoded));
    });
  };
  sink.command = [](const std::string&, SteadyTime) {};
  sink.clock = [](SteadyTime, std::optional<UtcTime>) {};
  sink.restart = [](SteadyTime) { return false; };
  auto played = stream.play(sink);
  framer.finish();
  if (const auto* closed = assembler.finish()) study.observe(*closed);
  if (played && framer.counters().sentences == 0) {
    return fail(kSay.no_log(record::why_no_sentence(framer.counters())));
  }
  return played;
}

int study(const std::vector<std::string>& logs) {
  auto stream = Stream::open(logs);
  if (!stream) return complain(stream.error().text, kCannotRead);
  corrections::OutageStudy outages;
  if (const auto played = play(*stream, outages); !played) return complain(played.error().text, kCannotRead);
  const auto findings = outages.findings();
  for (const std::string& line : in_words(findings)) std::cout << line << '\n';
  const auto lines = toml_lines(findings);
  if (!lines.empty()) std::cout << "\n" << kSay.for_this_gate() << "\n";
  for (const std::string& line : lines) std::cout << line << '\n';
  return findings.found ? kAllAccepted : kSomeHeld;
}

}  // namespace

void add_outage_study(CLI::App& office, int& status) {
  auto* verb = office.add_subcommand(
      "outage-study",
      "How a receiver shows that its corrections are gone, from a recording in which they were taken away once: half a "
      "minute of good corrections at least, then none for longer than the receiver lives without, then again");
  const auto logs = std::make_shared<std::vector<std::string>>();
  verb->add_option("--log", *logs, "Recorded log; several are read in the order given")->required()->type_name("FILE");
  verb->footer("Exit status: 0 a loss was found, 1 none in the recording, 2 usage, 4 unreadable input.");
  verb->callback([logs, &status] { status = study(*logs); });
}

}  // namespace stillpoint::office
