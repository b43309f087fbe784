// Any bytes as a visits file: a fault is one sentence that a terminal can show, and what is read keeps its promises.

#include <map>
#include <string>
#include <string_view>

#include "fuzz/check.hpp"
#include "session/visits.hpp"

using namespace stillpoint;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view csv(reinterpret_cast<const char*>(data), size);
  const auto visits = session::parse_visits(csv, "visits.csv");
  if (!visits) {
    const std::string& text = visits.error().text;
    fuzz::check(text.starts_with("visits.csv"), "a sentence names the file");
    for (const char c : text) fuzz::check(static_cast<unsigned char>(c) >= 0x20 && c != 0x7F, "a control character");
    return 0;
  }
  fuzz::check(!visits->empty(), "a file without visits is a fault");
  std::map<std::string, int> count;
  for (const session::PlannedVisit& visit : *visits) {
    fuzz::check(!visit.name.empty() && visit.start && visit.end && *visit.start < *visit.end, "a visit");
    for (const std::string* text : {&visit.name, &visit.code}) {
      for (const char c : *text) fuzz::check(static_cast<unsigned char>(c) >= 0x20 && c != 0x7F, "a name");
    }
    fuzz::check(visit.visit == ++count[visit.name], "visits of one name count up");
  }
  return 0;
}
