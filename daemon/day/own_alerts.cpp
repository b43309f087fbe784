#include "day/own_alerts.hpp"

#include <algorithm>
#include <iterator>

#include "common/clock.hpp"

namespace stillpoint::daemon {
namespace {

// Far from the numbers of the session's alerts.
constexpr std::uint64_t kFirstId = std::uint64_t{1} << 40;

}  // namespace

session::Alert* OwnAlerts::find(const std::string& key) noexcept {
  const auto at = std::find_if(all_.begin(), all_.end(), [&](const auto& a) { return a.active && a.key == key; });
  return at == all_.end() ? nullptr : &*at;
}

const session::Alert* OwnAlerts::active(const std::string& key) const noexcept {
  const auto at = std::find_if(all_.begin(), all_.end(), [&](const auto& a) { return a.active && a.key == key; });
  return at == all_.end() ? nullptr : &*at;
}

std::optional<session::Alert> OwnAlerts::raise(const std::string& key, session::Severity severity,
                                               const session::AlertText& text) {
  if (session::Alert* alert = find(key)) {
    alert->text = text.whole;
    alert->brief = text.brief;
    return std::nullopt;
  }
  session::Alert alert;
  alert.id = kFirstId + all_.size();
  alert.key = key;
  alert.severity = severity;
  alert.text = text.whole;
  alert.brief = text.brief;
  alert.since_utc = utc_now();
  all_.push_back(alert);
  return alert;
}

std::optional<session::Alert> OwnAlerts::clear(const std::string& key) {
  session::Alert* alert = find(key);
  if (alert == nullptr) return std::nullopt;
  alert->active = false;
  alert->until_utc = utc_now();
  return *alert;
}

int OwnAlerts::seen(const std::string& key, std::optional<std::uint64_t> id) {
  int count = 0;
  for (session::Alert& alert : all_) {
    if (alert.seen || (!key.empty() && alert.key != key) || (id && alert.id != *id)) continue;
    alert.seen = true;
    ++count;
  }
  return count;
}

std::vector<session::Alert> OwnAlerts::showing() const {
  std::vector<session::Alert> out;
  std::copy_if(all_.begin(), all_.end(), std::back_inserter(out), [](const auto& a) { return a.active || !a.seen; });
  return out;
}

}  // namespace stillpoint::daemon
