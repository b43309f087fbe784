#include "stream.hpp"

#include <arpa/inet.h>
#include <netdb.h>
#include <openssl/err.h>
#include <openssl/ssl.h>
#include <openssl/x509v3.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <optional>
#include <system_error>
#include <utility>

#include "sentences.hpp"

namespace stillpoint::frames {
namespace {

constexpr int kPatienceMs = 10'000;

class Socket {
 public:
  explicit Socket(int fd) noexcept : fd_(fd) {}
  Socket(Socket&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}
  Socket& operator=(Socket&&) = delete;
  ~Socket() {
    if (fd_ >= 0) ::close(fd_);
  }
  int get() const noexcept { return fd_; }

 private:
  int fd_;
};

bool is_ready(int fd, short what) {
  pollfd look{fd, what, 0};
  return ::poll(&look, 1, kPatienceMs) == 1;
}

/// Connected within the patience, or nothing.
std::optional<Socket> connected(const addrinfo& to) {
  Socket out(::socket(to.ai_family, to.ai_socktype | SOCK_CLOEXEC | SOCK_NONBLOCK, to.ai_protocol));
  if (out.get() < 0) return std::nullopt;
  if (::connect(out.get(), to.ai_addr, to.ai_addrlen) != 0) {
    int why = 0;
    socklen_t size = sizeof why;
    if (errno != EINPROGRESS || !is_ready(out.get(), POLLOUT)) return std::nullopt;
    if (::getsockopt(out.get(), SOL_SOCKET, SO_ERROR, &why, &size) != 0 || why != 0) return std::nullopt;
  }
  return out;
}

Result<Socket> reached(const std::string& host, int port) {
  addrinfo hints{};
  hints.ai_socktype = SOCK_STREAM;
  addrinfo* found = nullptr;
  if (::getaddrinfo(host.c_str(), std::to_string(port).c_str(), &hints, &found) != 0) return fail(kSay.no_host(host));
  const std::unique_ptr<addrinfo, void (*)(addrinfo*)> all(found, ::freeaddrinfo);
  for (const addrinfo* each = found; each != nullptr; each = each->ai_next) {
    if (auto socket = connected(*each)) return std::move(*socket);
  }
  return fail(kSay.no_answer_from(host, std::to_string(port)));
}

template <class T, void (*kFree)(T*)>
struct Freed {
  void operator()(T* one) const noexcept { kFree(one); }
};
using Context = std::unique_ptr<SSL_CTX, Freed<SSL_CTX, SSL_CTX_free>>;
using Session = std::unique_ptr<SSL, Freed<SSL, SSL_free>>;

/// Why the last call failed, in the library's words or the system's.
std::string tls_words() {
  const unsigned long code = ERR_get_error();
  if (code == 0) return kSay.no_tls_answer();
  if (ERR_SYSTEM_ERROR(code)) return std::generic_category().message(ERR_GET_REASON(code));
  const char* words = ERR_reason_error_string(code);
  return words != nullptr ? words : kSay.no_tls_answer();
}

bool is_address(const std::string& host) {
  std::array<unsigned char, sizeof(in6_addr)> none{};
  return ::inet_pton(AF_INET, host.c_str(), none.data()) == 1 || ::inet_pton(AF_INET6, host.c_str(), none.data()) == 1;
}

/// What must be so of the certificate that the other end shows.
bool expect(SSL* session, const std::string& host) {
  X509_VERIFY_PARAM* wanted = SSL_get0_param(session);
  if (is_address(host)) return X509_VERIFY_PARAM_set1_ip_asc(wanted, host.c_str()) == 1;
  // A caster of many names shows the certificate of the one that is asked for.
  std::string name = host;
  SSL_ctrl(session, SSL_CTRL_SET_TLSEXT_HOSTNAME, TLSEXT_NAMETYPE_host_name, name.data());
  return X509_VERIFY_PARAM_set1_host(wanted, host.c_str(), host.size()) == 1;
}

}  // namespace

struct Stream::State {
  explicit State(Socket open) : socket(std::move(open)) {}
  Socket socket;
  Context context;
  Session session;  ///< null: not encrypted

  /// Waits for what an encrypted call wants. False: it failed for good, or nothing came in time.
  bool waited_for(int result) const {
    const int wants = SSL_get_error(session.get(), result);
    if (wants == SSL_ERROR_WANT_READ) return is_ready(socket.get(), POLLIN);
    return wants == SSL_ERROR_WANT_WRITE && is_ready(socket.get(), POLLOUT);
  }
  Result<void> encrypt(const std::string& host, const std::string& authority);
};

Result<void> Stream::State::encrypt(const std::string& host, const std::string& authority) {
  context.reset(SSL_CTX_new(TLS_client_method()));
  if (!context) return fail(kSay.no_tls(host, tls_words()));
  SSL_CTX_set_min_proto_version(context.get(), TLS1_2_VERSION);
  SSL_CTX_set_verify(context.get(), SSL_VERIFY_PEER, nullptr);
  const int loaded = authority.empty() ? SSL_CTX_set_default_verify_paths(context.get())
                                       : SSL_CTX_load_verify_file(context.get(), authority.c_str());
  if (loaded != 1) return fail(kSay.no_authority(authority, tls_words()));
  session.reset(SSL_new(context.get()));
  if (!session || !expect(session.get(), host) || SSL_set_fd(session.get(), socket.get()) != 1)
    return fail(kSay.no_tls(host, tls_words()));
  for (int done = SSL_connect(session.get()); done != 1; done = SSL_connect(session.get())) {
    if (waited_for(done)) continue;
    const long why = SSL_get_verify_result(session.get());
    return fail(kSay.no_tls(host, why != X509_V_OK ? std::string(X509_verify_cert_error_string(why)) : tls_words()));
  }
  return {};
}

Stream::Stream(std::unique_ptr<State> state) noexcept : state_(std::move(state)) {}
Stream::Stream(Stream&&) noexcept = default;
Stream::~Stream() = default;

Result<Stream> Stream::open(const std::string& host, int port, const Encryption& encryption) {
  auto socket = reached(host, port);
  if (!socket) return tl::unexpected(socket.error());
  auto state = std::make_unique<State>(std::move(*socket));
  if (encryption.tls) {
    if (auto done = state->encrypt(host, encryption.authority); !done) return tl::unexpected(done.error());
  }
  return Stream(std::move(state));
}

bool Stream::send(std::string_view bytes) {
  SSL* session = state_->session.get();
  if (session == nullptr) {
    const ssize_t sent = ::send(state_->socket.get(), bytes.data(), bytes.size(), MSG_NOSIGNAL);
    return sent == static_cast<ssize_t>(bytes.size());
  }
  for (;;) {
    const int done = SSL_write(session, bytes.data(), static_cast<int>(bytes.size()));
    if (done > 0) return static_cast<std::size_t>(done) == bytes.size();
    if (!state_->waited_for(done)) return false;
  }
}

bool Stream::receive(std::string& bytes) {
  std::array<char, 8192> buffer{};
  SSL* session = state_->session.get();
  ssize_t size = 0;
  if (session == nullptr) {
    if (!is_ready(state_->socket.get(), POLLIN)) return false;
    size = ::recv(state_->socket.get(), buffer.data(), buffer.size(), 0);
  } else {
    for (;;) {
      size = SSL_read(session, buffer.data(), static_cast<int>(buffer.size()));
      if (size > 0 || !state_->waited_for(static_cast<int>(size))) break;
    }
  }
  bytes.assign(buffer.data(), size > 0 ? static_cast<std::size_t>(size) : 0);
  return size > 0;
}

}  // namespace stillpoint::frames
