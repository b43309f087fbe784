#include "options.hpp"

#include <CLI/CLI.hpp>
#include <iostream>
#include <vector>

#include "geodesy/typed.hpp"
#include "sentences.hpp"

namespace stillpoint::frames {
namespace {

int say(const std::string& fault) {
  std::cerr << "stillpoint-frames: " << fault << "\n";
  return kUsage;
}

}  // namespace

Parsed parse(int argc, char** argv) {
  Parsed out;
  std::vector<std::string> at;
  CLI::App app{"Which reference frames serve a place, and how far they lie apart there on a day."};
  app.set_version_flag("--version", "stillpoint-frames " STILLPOINT_VERSION);
  app.add_option("--at", at, "The place in decimal degrees, south and west negative")
      ->required()
      ->expected(2)
      ->type_name("LAT LON");
  app.add_option("--date", out.options.date, "The day, YYYY-MM-DD; frames move some centimetres a year")
      ->type_name("DAY");
  app.add_option("--caster", out.options.caster, "Instead of frames: the mounts of this caster, nearest first")
      ->type_name("HOST:PORT");
  app.add_flag("--tls", out.options.encryption.tls, "With --caster: encrypted, and it must prove its name");
  app.add_option("--authority", out.options.encryption.authority,
                 "With --tls: certificates that vouch for the caster; else the system's own")
      ->type_name("FILE.pem");
  app.add_option("--config", out.options.config,
                 "A configuration: its correction sources against its project frame. Without it: ITRF2020 against the "
                 "usual frames whose area holds the place")
      ->type_name("FILE");
  app.footer("Exit status: 0 answered, 2 usage or configuration.");
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const bool asked = error.get_exit_code() == static_cast<int>(CLI::ExitCodes::Success);
    out.exit = asked ? app.exit(error) : say(std::string(error.what()) + "; see --help");
    return out;
  }
  Encryption& encryption = out.options.encryption;
  encryption.tls |= !encryption.authority.empty();
  if (encryption.tls && out.options.caster.empty()) {
    out.exit = say(kSay.tls_wants_caster() + "; see --help");
    return out;
  }
  const auto place = geodesy::place_of(at[0], at[1]);
  if (!out.options.caster.empty() && place) {
    out.options.place = *place;
    return out;
  }
  if (out.options.date.empty()) {
    out.exit = say(kSay.date_wanted() + "; see --help");
    return out;
  }
  const auto day = geodesy::day_of(out.options.date);
  if (!place || !day) {
    out.exit = say(place ? day.error().text : place.error().text);
    return out;
  }
  out.options.place = *place;
  out.options.utc = *day;
  return out;
}

}  // namespace stillpoint::frames
