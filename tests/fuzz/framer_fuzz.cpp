// Any bytes: the fast framer agrees with the plain one, however they are cut, and every byte is accounted for.
// The first byte chooses the cuts.

#include "fuzz/check.hpp"
#include "nmea/plain_framer.hpp"

using namespace stillpoint;

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  test::Dice dice(data[0]);
  const std::string_view bytes(reinterpret_cast<const char*>(data) + 1, size - 1);
  std::vector<std::string_view> chunks;
  for (std::string_view rest = bytes; !rest.empty(); rest.remove_prefix(chunks.back().size())) {
    chunks.push_back(rest.substr(0, 1 + dice.roll(1 + data[0])));
  }
  const test::Framed plain = test::frame_plainly(bytes);
  fuzz::check(test::account_closes(plain.counters), "the account of bytes");
  fuzz::check(test::frame(bytes) == plain, "framing in one piece");
  fuzz::check(test::frame(chunks) == plain, "framing in chunks");
  return 0;
}
