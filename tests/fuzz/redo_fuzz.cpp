// Any bytes as a file of corrections: errors are sentences with the file's name, and what is accepted says who and why.

#include <string_view>

#include "config/redo.hpp"
#include "fuzz/check.hpp"

using namespace stillpoint;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const config::LoadedRedo loaded = config::parse_redo(text, "redo.toml");
  for (const Error& error : loaded.errors) {
    fuzz::check_shown(error.text);
    fuzz::check(error.text.starts_with("redo.toml"), "a sentence names the file");
  }
  if (!loaded.errors.empty()) return 0;
  const config::Redo& redo = loaded.redo;
  fuzz::check(!redo.by.empty() && !redo.reason.empty(), "who and why");
  fuzz::check(!redo.antennas.empty() || !redo.sources.empty() || !redo.marks.empty(), "something is corrected");
  for (const config::AntennaCorrection& antenna : redo.antennas) {
    fuzz::check(!antenna.from || !antenna.until || *antenna.from < *antenna.until, "a time range");
  }
  return 0;
}
