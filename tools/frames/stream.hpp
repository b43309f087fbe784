#pragma once
/// One connection to a caster: TCP, and TLS over it where that is wanted.
///
/// TLS:     1.2 and up; the certificate must be good, not expired and made for the host's name before a byte of ours is
///          sent.
/// Time:    no call waits longer than ten seconds. Threads: one. Errors: one sentence.

#include <memory>
#include <string>
#include <string_view>

#include "base/result.hpp"

namespace stillpoint::frames {

struct Encryption {
  bool tls = false;
  std::string authority;  ///< file of certificates that vouch for the caster; empty: the system's own
};

class Stream {
 public:
  static Result<Stream> open(const std::string& host, int port, const Encryption& encryption);
  Stream(Stream&&) noexcept;
  Stream& operator=(Stream&&) = delete;
  ~Stream();

  /// False: it did not all go.
  bool send(std::string_view bytes);
  /// What came, in place of what `bytes` held. False: the end, or nothing in time.
  bool receive(std::string& bytes);

 private:
  struct State;
  explicit Stream(std::unique_ptr<State> state) noexcept;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::frames
