#include "base/identity.hpp"

#include <doctest/doctest.h>

namespace {

using namespace stillpoint;

TEST_CASE("SHA-256 of the examples of FIPS 180-4") {
  CHECK(sha256_hex("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(sha256_hex("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST_CASE("a hash may go on after it was read") {
  Sha256 hash;
  hash.add("a");
  const std::string early = hash.hex();
  hash.add("bc");
  CHECK(early == sha256_hex("a"));
  CHECK(hash.hex() == sha256_hex("abc"));
}

TEST_CASE("a hash does not depend on the pieces in which the bytes come") {
  std::string all;
  for (int i = 0; i < 100'000; ++i) all += static_cast<char>(i * 7 % 251);
  const std::string whole = sha256_hex(all);
  for (const std::size_t piece : {1U, 1000U, 16'383U, 16'384U, 16'385U, 40'000U}) {
    CAPTURE(piece);
    Sha256 hash;
    for (std::size_t at = 0; at < all.size(); at += piece) {
      hash.add(std::string_view(all).substr(at, piece));
      if (at == 0) CHECK(hash.hex() == sha256_hex(all.substr(0, piece)));
    }
    CHECK(hash.hex() == whole);
  }
}

TEST_CASE("a UUID of version 7 is the example of RFC 9562, appendix A.6") {
  // 2022-02-22T19:22:22Z, rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F
  const UuidEntropy entropy{0x0C, 0xC3, 0x18, 0xC4, 0xDC, 0x0C, 0x0C, 0x07, 0x39, 0x8F};
  CHECK(make_uuid7(*parse_utc("2022-02-22T19:22:22Z"), entropy) == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f");
}

TEST_CASE("a file that is not there is a sentence") {
  const auto hash = sha256_file("/nowhere/at/all");
  REQUIRE_FALSE(hash.has_value());
  CHECK(hash.error().text.find("/nowhere/at/all") != std::string::npos);
}

}  // namespace
