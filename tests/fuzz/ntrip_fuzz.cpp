// Any bytes as a caster's answer: the same outcome however they are cut, limits kept, and what is said of it printable.
// The first byte chooses the cuts.

#include <algorithm>

#include "fuzz/check.hpp"
#include "nmea/sentences.hpp"
#include "ntrip/reply.hpp"
#include "ntrip/source_table.hpp"

using namespace stillpoint;

namespace {

struct Read {
  ntrip::Reply reply;
  std::string corrections;
};

bool is_same(const Read& a, const Read& b) {
  return a.reply.outcome() == b.reply.outcome() && a.reply.table() == b.reply.table() &&
         a.reply.has_ended() == b.reply.has_ended() && a.reply.fault(false) == b.reply.fault(false) &&
         a.corrections == b.corrections;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  test::Dice dice(data[0]);
  const std::string_view bytes(reinterpret_cast<const char*>(data) + 1, size - 1);
  Read whole, cut;
  whole.reply.push(bytes, whole.corrections);
  for (std::string_view rest = bytes; !rest.empty();) {
    const std::string_view piece = rest.substr(0, 1 + dice.roll(1 + data[0]));
    cut.reply.push(piece, cut.corrections);
    rest.remove_prefix(piece.size());
  }
  fuzz::check(is_same(whole, cut), "the same however it is cut");
  fuzz::check(whole.corrections.size() <= bytes.size(), "no byte is made up");
  fuzz::check(whole.reply.table().size() <= ntrip::Reply::kLongestTable, "the table's limit");
  const std::string said = whole.reply.fault(true);
  fuzz::check(std::all_of(said.begin(), said.end(), [](char c) { return c >= ' ' && c <= '~'; }), "printable");
  const ntrip::SourceTable table = ntrip::source_table_of(bytes);
  fuzz::check(table.mounts.size() <= ntrip::kMostMounts, "the limit of streams");
  return 0;
}
