#include "simulate/link.hpp"

#include <string>

namespace stillpoint::simulate {
namespace {

/// Rebuilds the burst sentence by sentence; `change` returns the bytes that stand for one.
template <class Change>
void rebuild(Burst& burst, Change&& change) {
  std::string bytes;
  std::size_t begin = 0;
  for (Burst::Sent& sent : burst.sent) {
    bytes += change(burst.bytes.substr(begin, sent.end - begin));
    begin = sent.end;
    sent.end = bytes.size();
  }
  burst.bytes = std::move(bytes);
}

void flip_bits(Burst& burst, double rate, Random& random) {
  for (char& c : burst.bytes) {
    if (random.uniform() < rate) c = static_cast<char>(static_cast<unsigned char>(c) ^ (1U << random.below(8)));
  }
}

std::string without_line_end(std::string sentence) {
  while (!sentence.empty() && (sentence.back() == '\r' || sentence.back() == '\n')) sentence.pop_back();
  return sentence;
}

/// Random bytes, or a frame as binary protocols send it: two fixed bytes, a length, then anything.
std::string noise(bool frame, Random& random) {
  const std::size_t length = 8 + random.below(56);
  std::string out = frame ? std::string("\xB5\x62") + static_cast<char>(length) + '\0' : std::string();
  for (std::size_t i = 0; i < length; ++i) out += static_cast<char>(random.below(256));
  return out;
}

}  // namespace

void spoil(Burst& burst, std::span<const Fault* const> active, Random& random) {
  for (const Fault* fault : active) {
    const auto hit = [&] { return random.uniform() < fault->rate; };
    switch (fault->kind) {
      case FaultKind::bit_errors:
        flip_bits(burst, fault->rate, random);
        break;
      case FaultKind::drops:
        rebuild(burst, [&](const std::string& s) { return hit() ? s.substr(0, random.below(s.size())) : s; });
        break;
      case FaultKind::merges:
        rebuild(burst, [&](std::string s) { return hit() ? without_line_end(std::move(s)) : s; });
        break;
      case FaultKind::garbage:
      case FaultKind::binary:
        if (hit() && !burst.sent.empty()) {
          const std::size_t before = random.below(burst.sent.size());
          std::size_t number = 0;
          const std::string bytes = noise(fault->kind == FaultKind::binary, random);
          rebuild(burst, [&](const std::string& s) { return number++ == before ? bytes + s : s; });
        }
        break;
      default:
        break;
    }
  }
}

}  // namespace stillpoint::simulate
