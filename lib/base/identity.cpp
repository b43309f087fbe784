#include "base/identity.hpp"

#include <openssl/evp.h>

#include <fstream>
#include <new>
#include <vector>

#include "base/plain_file.hpp"
#include "base/sentences.hpp"

namespace stillpoint {
namespace {

constexpr std::string_view kHex = "0123456789abcdef";
constexpr std::size_t kAtOnce = 16'384;

std::string hex_of(std::span<const unsigned char> bytes) {
  std::string out;
  out.reserve(bytes.size() * 2);
  for (const unsigned char b : bytes) {
    out.push_back(kHex[b >> 4U]);
    out.push_back(kHex[b & 15U]);
  }
  return out;
}

}  // namespace

struct Sha256::State {
  EVP_MD_CTX* context = EVP_MD_CTX_new();
  std::string waiting;  // little pieces are digested together
  State() {
    if (context == nullptr || EVP_DigestInit_ex(context, EVP_sha256(), nullptr) != 1) throw std::bad_alloc();
  }
  ~State() { EVP_MD_CTX_free(context); }
  State(const State&) = delete;
  State& operator=(const State&) = delete;
};

Sha256::Sha256() : state_(std::make_unique<State>()) {}
Sha256::~Sha256() = default;
Sha256::Sha256(Sha256&&) noexcept = default;
Sha256& Sha256::operator=(Sha256&&) noexcept = default;

void Sha256::add(std::string_view bytes) {
  std::string& waiting = state_->waiting;
  if (waiting.size() + bytes.size() <= kAtOnce) {
    waiting += bytes;
    return;
  }
  EVP_DigestUpdate(state_->context, waiting.data(), waiting.size());
  waiting.clear();
  EVP_DigestUpdate(state_->context, bytes.data(), bytes.size());
}

std::string Sha256::hex() const {
  State copy;
  EVP_MD_CTX_copy_ex(copy.context, state_->context);
  EVP_DigestUpdate(copy.context, state_->waiting.data(), state_->waiting.size());
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned int size = 0;
  EVP_DigestFinal_ex(copy.context, digest.data(), &size);
  return hex_of(std::span(digest.data(), size));
}

std::string sha256_hex(std::string_view bytes) {
  Sha256 hash;
  hash.add(bytes);
  return hash.hex();
}

Result<std::string> sha256_file(const std::string& path) {
  if (const auto fault = plain_file_fault(path)) return fail(kSayOfBase.cannot_read(path, fault->words));
  std::ifstream in(path, std::ios::binary);
  if (!in) return fail(kSayOfBase.cannot_read_at_all(path));
  Sha256 hash;
  std::vector<char> buffer(1U << 16U);
  while (in.read(buffer.data(), static_cast<std::streamsize>(buffer.size())) || in.gcount() > 0) {
    hash.add({buffer.data(), static_cast<std::size_t>(in.gcount())});
  }
  if (in.bad()) return fail(kSayOfBase.half_way(path));
  return hash.hex();
}

std::string make_uuid7(UtcTime when, const UuidEntropy& entropy) {
  std::array<unsigned char, 16> raw{};
  const auto ms = static_cast<std::uint64_t>(when.ms);
  for (unsigned i = 0; i < 6; ++i) raw[i] = static_cast<unsigned char>(ms >> (40U - 8U * i));
  for (std::size_t i = 0; i < entropy.size(); ++i) raw[6 + i] = entropy[i];
  raw[6] = static_cast<unsigned char>((raw[6] & 0x0FU) | 0x70U);
  raw[8] = static_cast<unsigned char>((raw[8] & 0x3FU) | 0x80U);
  std::string text = hex_of(raw);
  for (const std::size_t at : {8U, 13U, 18U, 23U}) text.insert(at, 1, '-');
  return text;
}

}  // namespace stillpoint
