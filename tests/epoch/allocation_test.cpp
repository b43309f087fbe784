#include <doctest/doctest.h>

#include <cstdlib>
#include <new>

#include "epoch/feed.hpp"
#include "nmea/framer.hpp"
#include "nmea/sentences.hpp"

namespace {
std::size_t allocations = 0;
}

void* operator new(std::size_t size) {
  ++allocations;
  if (void* memory = std::malloc(size == 0 ? 1 : size)) return memory;
  throw std::bad_alloc();
}
void operator delete(void* memory) noexcept {
  std::free(memory);
}
void operator delete(void* memory, std::size_t) noexcept {
  std::free(memory);
}

namespace stillpoint {
namespace {

TEST_CASE("from bytes to epochs nothing is allocated") {
  std::string stream;
  for (int s = 0; s < 100; ++s) {
    const std::int64_t t = test::at(14, 0, 0) + s * 1000;
    for (const std::string& body : {test::rmc(t), test::gga(t), test::gns(t), test::gsa(), test::kGsv, test::gst(t),
                                    test::vtg(1), test::zda(t), std::string("GPDTM,W84,,0.0,N,0.0,E,0.0,W84")}) {
      stream += test::line(body);
    }
    stream += "noise$GN";
  }
  nmea::Framer framer;
  nmea::Decoder decoder;
  epoch::Assembler assembler;
  int epochs = 0;
  const std::size_t before = allocations;
  for (std::string_view rest = stream; !rest.empty(); rest.remove_prefix(std::min<std::size_t>(rest.size(), 61))) {
    framer.push(rest.substr(0, 61), [&](const nmea::Sentence& sentence) {
      epochs += assembler.push(decoder.decode(sentence.body), SteadyTime{0}) ? 1 : 0;
    });
  }
  const std::size_t after = allocations;
  CHECK(after == before);
  CHECK(epochs == 100);
  CHECK(before > 0);
}

}  // namespace
}  // namespace stillpoint
