#pragma once
/// Identities and fingerprints: UUID version 7 (RFC 9562) and SHA-256 (FIPS 180-4, by OpenSSL).
///
/// Time:    the caller gives the instant and the randomness; nothing here reads a clock or a random device.
/// Threads: `Sha256` belongs to one thread; the functions are pure.
/// Errors:  `sha256_file` says in a sentence why a file cannot be read.

#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>

#include "base/result.hpp"
#include "base/time.hpp"

namespace stillpoint {

/// Ten random bytes; 74 of their bits end up in the UUID.
using UuidEntropy = std::array<std::uint8_t, 10>;

/// `018f2b1e-…`: time-ordered, 36 characters, lower case.
std::string make_uuid7(UtcTime when, const UuidEntropy& entropy);

class Sha256 {
 public:
  Sha256();
  ~Sha256();
  Sha256(Sha256&&) noexcept;
  Sha256& operator=(Sha256&&) noexcept;
  void add(std::string_view bytes);
  /// 64 lower-case hexadecimal digits of all bytes added so far; adding may go on afterwards.
  std::string hex() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

std::string sha256_hex(std::string_view bytes);
Result<std::string> sha256_file(const std::string& path);

}  // namespace stillpoint
