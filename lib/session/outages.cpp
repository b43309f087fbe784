// When and where no usable corrections came: the day's summary of what the sky and the network gave.

#include <algorithm>

#include "base/number.hpp"
#include "session/state.hpp"

namespace stillpoint::session {
namespace {

// Shorter ones are the receiver changing its mind, not an outage.
constexpr std::int64_t kShortestMs = 2000;

std::string place_text(const Outage& outage) {
  std::string text;
  if (outage.latitude_deg && outage.longitude_deg) {
    text = ", near " + fixed(*outage.latitude_deg, 5) + " " + fixed(*outage.longitude_deg, 5);
  }
  if (!outage.point.empty()) text += ", on " + outage.point;
  return text;
}

}  // namespace

void Session::State::watch_outage(const corrections::Freshness& fresh, Hearing hearing) {
  if (!usable) return;  // what was never there cannot be lost
  const bool good = fresh.state == corrections::State::fresh || fresh.state == corrections::State::coasting;
  if (good && !hearing.unheard) return end_outage();
  if (out_since || feed == FeedState::ended) return;
  out_since = now;
  outage = {};
  outage.from_utc = utc_now();
  if (last->epoch.position) {
    outage.latitude_deg = last->epoch.position->latitude_deg;
    outage.longitude_deg = last->epoch.position->longitude_deg;
  }
  if (live) outage.point = live->stand().name;
  outage.why = !standstill.empty()                        ? standstill
               : hearing.unheard                          ? "no data from the receiver"
               : fresh.state == corrections::State::stale ? "corrections too old"
                                                          : "no corrections in use";
}

Outage Session::State::outage_so_far() const {
  Outage so_far = outage;
  so_far.lasted_s = seconds_between(*out_since, now);
  return so_far;
}

void Session::State::end_outage() {
  if (!out_since) return;
  Outage over = outage_so_far();
  const bool counts = now.ms - out_since->ms >= kShortestMs;
  out_since.reset();
  if (!counts) return;
  over.until_utc = utc_now();
  note_event("outage", "corrections out for " + fixed(over.lasted_s, 0) + " s: " + over.why + place_text(over));
  outages.push_back(std::move(over));
}

/// At the end of the day: one line that sums them up.
void Session::State::note_outages() {
  end_outage();
  if (outages.empty()) return;
  double all_s = 0, longest_s = 0;
  for (const Outage& each : outages) {
    all_s += each.lasted_s;
    longest_s = std::max(longest_s, each.lasted_s);
  }
  note_event("outages", counted(outages.size(), "outage") + " of corrections, " + fixed(all_s, 0) +
                            " s in all, the longest " + fixed(longest_s, 0) + " s");
}

std::vector<Outage> Session::outages() const {
  std::vector<Outage> out = state_->outages;
  if (state_->out_since && state_->now.ms - state_->out_since->ms >= kShortestMs) {
    out.push_back(state_->outage_so_far());
  }
  return out;
}

}  // namespace stillpoint::session
