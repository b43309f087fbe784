#pragma once
/// Who may ask the page for what: decided from the words of one request, before anything is answered.
///
/// Another site's page in the same browser can send requests here. It cannot choose the Host, Origin and Sec-Fetch-Site
/// its browser writes, so these must be the page's own; a name that somebody's DNS points at this machine is not.
/// To act takes a key that only the daemon's user can read, exchanged once for a cookie and a proof. The proof is kept
/// by the page's script: cookies go to every port of a machine, what a script stores does not.
///
/// Time:    handed in.
/// Threads: plain values.
/// Errors:  the HTTP status and one plain sentence.

#include <cstdint>
#include <deque>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <tl/expected.hpp>

#include "common/times.hpp"

namespace stillpoint::daemon {

inline constexpr std::size_t kPageMostBodyBytes = 4096;
inline constexpr std::size_t kPageMostHeaderBytes = 8192;

struct PageRequest {
  std::string method, target;
  std::vector<std::string> hosts;    ///< every Host that was given
  std::vector<std::string> origins;  ///< every Origin
  std::vector<std::string> sites;    ///< every Sec-Fetch-Site
  std::string content_type, cookie, proof;
  std::size_t body_bytes = 0;
};

/// A door: the address at which connections come in.
struct PageDoor {
  std::vector<std::string> hosts;  ///< what Host may say, e.g. `127.0.0.1:28100`
  bool from_here = true;           ///< the other end is on this machine
};

/// The names of a door at this address (in figures, an IPv6 one without brackets).
std::vector<std::string> page_hosts(const std::string& address, bool is_loopback, std::uint16_t port);

enum class PageTask : std::uint8_t { file, events, points, marks, plan, antenna, key, control };

struct PageRefusal {
  int status = 400;
  std::string_view why;
  std::string_view allow{};  ///< with 405: the method that is allowed
};

/// `files`: the paths of the page's own files.
tl::expected<PageTask, PageRefusal> admit(const PageRequest& request, const PageDoor& door,
                                          const std::vector<std::string>& files);

/// Who is at the other end: an address, or a user of this machine.
struct PagePeer {
  std::string name;
  bool owner = false;  ///< the daemon's own user, or one that has given the key
};

/// Whose stream ends for a newcomer when all places are taken; `streams` are in the order in which they came. Nothing:
/// nobody's, and the newcomer is refused. Nobody keeps more than a fair share against others, and an owner gives way to
/// owners only.
std::optional<std::size_t> gives_way(const std::vector<PagePeer>& streams, const PagePeer& newcomer);

/// Takes the same time wherever the texts differ.
bool same_secret(std::string_view a, std::string_view b) noexcept;

/// What a person may type: small letters, blanks and dashes make no difference.
std::string plain_key(std::string_view typed);

/// The keys of the page and who has exchanged one.
class PageKeys {
 public:
  static constexpr std::size_t kMostHolders = 8;
  static constexpr std::int64_t kBetweenTries_ms = 1000;

  struct Holder {
    std::string cookie, proof;
  };
  enum class Answer : std::uint8_t { given, wrong, too_soon };

  /// `fresh`: a new secret at every call.
  explicit PageKeys(std::function<std::string()> fresh) : fresh_(std::move(fresh)), key_(fresh_()) {}

  /// Good for one exchange.
  const std::string& key() const noexcept { return key_; }
  /// Exchanges the key. When it is right, `newest()` may act from now on and there is a new key. The right key is
  /// always taken: somebody who keeps trying wrong ones must not lock out the owner, and a hundred bits cannot be
  /// guessed. After a wrong key, another wrong one within a second is told that it is too soon.
  Answer exchange(std::string_view typed, MachineTime now);
  const Holder& newest() const noexcept { return holders_.back(); }
  /// `cookies`: the whole Cookie header.
  bool may_act(std::string_view cookies, std::string_view proof) const;

 private:
  std::function<std::string()> fresh_;
  std::string key_;
  std::deque<Holder> holders_;
  std::optional<MachineTime> tried_;
};

inline constexpr std::string_view kPageCookie = "stillpoint_page";

/// `ABCDE-FGHJK-…`: letters and figures that are not taken for one another, five bits of each byte.
std::string key_text(std::string_view random_bytes);

}  // namespace stillpoint::daemon
