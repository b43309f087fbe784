// Any bytes as a spool: it opens, nothing vanishes without a word, what waits waits once, and it takes the next point.
//
// Sound entries cannot be guessed, so parts of the input become entries with the right sums: parts end with the byte
// 0x1E, and one that begins with `P`, `C` or `S` is the body of such an entry; anything else stays as it is.

#include <set>
#include <string>
#include <string_view>

#include "base/identity.hpp"
#include "fuzz/check.hpp"
#include "pointbook/forgetful.hpp"
#include "pointbook/spool.hpp"

using namespace stillpoint;

namespace {

const std::string kFile = "/day.gpkg.spool";

std::string entry(char kind, std::string_view body) {
  std::string length = std::to_string(body.size());
  length.insert(0, 10 - length.size(), '0');
  std::string out = std::string("SP1 ") + kind + " " + length + " " + sha256_hex(body);
  out += " " + sha256_hex(out).substr(0, 16) + "\n";
  return out.append(body).append("\n");
}

std::string spool_of(std::string_view input) {
  std::string out = "stillpoint-spool 1\n";
  while (!input.empty()) {
    const std::string_view part = input.substr(0, input.find('\x1e'));
    input.remove_prefix(std::min(part.size() + 1, input.size()));
    const bool is_entry = !part.empty() && (part.front() == 'P' || part.front() == 'C' || part.front() == 'S');
    is_entry ? out += entry(part.front(), part.substr(1)) : out += part;
  }
  return out;
}

std::set<std::string> waiting_in(const pointbook::Spool& spool) {
  std::set<std::string> out;
  for (const auto& point : spool.waiting()) fuzz::check(out.insert("P" + point.uuid).second, "a point waits twice");
  for (const auto& shot : spool.waiting_shots()) fuzz::check(out.insert("C" + shot.uuid).second, "a shot waits twice");
  return out;
}

occupation::StoredPoint new_point() {
  occupation::StoredPoint out;
  out.uuid = "0197a000-0000-7000-8000-00000000f022";
  out.point.name = "HF-1";
  return out;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string bytes = spool_of(std::string_view(reinterpret_cast<const char*>(data), size));
  samples::ForgetfulStore store(samples::Files{{kFile, bytes}});
  samples::ForgetfulDisk disk(store);
  std::set<std::string> waiting;
  bool is_damaged = false;
  {
    auto spool = pointbook::Spool::open("/day.gpkg", disk);
    fuzz::check(spool.has_value(), "a spool that cannot be opened");
    for (const std::string& sentence : spool->damage()) fuzz::check_shown(sentence);
    is_damaged = !spool->damage().empty();
    waiting = waiting_in(*spool);
    fuzz::check(spool->append(new_point()).has_value(), "the next point");
  }
  waiting.insert("P" + new_point().uuid);
  samples::Files left = store.after_power_cut(samples::Loss::all, 0);
  fuzz::check(!is_damaged || left.size() > 1, "what was damaged is kept aside");
  samples::ForgetfulStore again(samples::Files{{kFile, left.at(kFile)}});
  samples::ForgetfulDisk same(again);
  const auto spool = pointbook::Spool::open("/day.gpkg", same);
  fuzz::check(spool.has_value() && waiting_in(*spool) == waiting, "what waited waits after the power went");
  return 0;
}
