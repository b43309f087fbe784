// Any bytes: the framer agrees with the plain one, however they are cut, every byte is accounted for, and whatever is
// decoded of a frame points into it. The first byte chooses the cuts.

#include "fuzz/check.hpp"
#include "nmea/sentences.hpp"
#include "rtcm/frames.hpp"
#include "rtcm/message.hpp"

using namespace stillpoint;

namespace {

bool lies_within(std::string_view part, std::string_view whole) {
  return part.empty() || (part.data() >= whole.data() && part.data() + part.size() <= whole.data() + whole.size());
}

void check_texts(std::string_view body) {
  const rtcm::Message message = rtcm::decode(body);
  if (const auto* text = std::get_if<rtcm::Text>(&message.content)) {
    fuzz::check(lies_within(text->utf8, body), "a text lies in its message");
  }
  if (const auto* base = std::get_if<rtcm::BaseEquipment>(&message.content)) {
    for (const auto part :
         {base->antenna, base->antenna_serial, base->receiver, base->firmware, base->receiver_serial}) {
      fuzz::check(lies_within(part, body), "a descriptor lies in its message");
    }
  }
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  test::Dice dice(data[0]);
  const std::string_view bytes(reinterpret_cast<const char*>(data) + 1, size - 1);
  std::vector<std::string_view> chunks;
  for (std::string_view rest = bytes; !rest.empty(); rest.remove_prefix(chunks.back().size())) {
    chunks.push_back(rest.substr(0, 1 + dice.roll(1 + data[0])));
  }
  const test::RtcmFramed plain = test::rtcm_framed_plainly(bytes);
  fuzz::check(test::rtcm_framed({bytes}) == plain, "framing in one piece");
  fuzz::check(test::rtcm_framed(chunks) == plain, "framing in chunks");
  for (const std::string& body : plain.bodies) check_texts(body);
  check_texts(bytes);
  return 0;
}
