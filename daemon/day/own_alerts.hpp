#pragma once
/// Alerts about the machine itself (the store, the disk): what the session, which knows no files, cannot see.
///
/// Time:    since and until are the machine's UTC. Threads: one. Errors: none.

#include <optional>
#include <string>
#include <vector>

#include "session/status.hpp"

namespace stillpoint::daemon {

class OwnAlerts {
 public:
  /// The alert when it was not active before; once for each occurrence.
  std::optional<session::Alert> raise(const std::string& key, session::Severity severity,
                                      const session::AlertText& text);
  std::optional<session::Alert> clear(const std::string& key);
  /// Null: it is not active.
  const session::Alert* active(const std::string& key) const noexcept;
  /// An empty key means all; says how many there were.
  int seen(const std::string& key, std::optional<std::uint64_t> id = {});

  const std::vector<session::Alert>& all() const noexcept { return all_; }
  /// Active, or gone and not seen.
  std::vector<session::Alert> showing() const;

 private:
  session::Alert* find(const std::string& key) noexcept;
  std::vector<session::Alert> all_;
};

}  // namespace stillpoint::daemon
