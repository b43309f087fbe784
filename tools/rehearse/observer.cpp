#include "observer.hpp"

#include <poll.h>

#include <algorithm>
#include <cstdlib>

#include "sentences.hpp"
#include "stop.hpp"

namespace stillpoint::rehearse {
namespace {

constexpr int kLookMs = 5;
constexpr int kBytesMs = 20'000;  // to take the bytes
constexpr int kEpochMs = 700;     // to close an epoch whose end nothing tells: longer than the daemon waits
constexpr std::int64_t kRolloverMs = 7168LL * 86'400'000;

UtcTime time_of(const client::Json& object, std::string_view key) {
  return parse_utc(client::text_of(object, key)).value_or(UtcTime{});
}

template <class T>
Result<T> said(const client::Outcome<T>& outcome) {
  if (!outcome) return fail(outcome.error().text);
  return *outcome;
}

void add_texts(const client::Json& list, std::vector<std::string>& out) {
  for (const client::Json& each : list) {
    if (each.is_string()) out.push_back(each.get<std::string>());
  }
}

}  // namespace

Result<Observer> Observer::open(const std::string& control) {
  auto link = client::Link::open(control, {});
  if (!link) return fail(link.error().text);
  Observer out(std::move(*link));
  if (auto looked = out.look(); !looked) return tl::unexpected(looked.error());
  return out;
}

Result<void> Observer::look() {
  const auto answer = link_.call("status");
  if (!answer) return fail(answer.error().text);
  note(answer->value);
  return {};
}

void Observer::note(const client::Json& status) {
  training_ = client::flag_of(status, "training");
  bytes_ = static_cast<std::uint64_t>(client::count_of(client::member(status, "counters"), "bytes"));
  epoch_ = parse_utc(client::text_of(client::member(status, "epoch"), "utc"));
  base_x_m_.reset();
  for (const client::Json& x : client::list_of(client::member(status, "base"), "ecef_m")) {
    if (x.is_number()) base_x_m_ = x.get<double>();
    break;
  }
  note_check(client::member(status, "check"));
  const client::Json& open = client::member(status, "occupation");
  if (!open.is_object()) return;
  Seen now{client::text_of(open, "name"), static_cast<int>(client::count_of(open, "visit")), time_of(open, "since_utc"),
           epoch_.value_or(UtcTime{})};
  if (now.since.ms == 0) now.since = now.last;
  Seen* last = seen_.empty() ? nullptr : &seen_.back();
  if (last && last->name == now.name && last->visit == now.visit && std::abs(last->since.ms - now.since.ms) < 2000) {
    last->last = now.last;
  } else {
    seen_.push_back(now);
  }
}

/// A check is no point: it shows in the status alone, and its mark is that of the stay that was open before.
void Observer::note_check(const client::Json& check) {
  const auto made = parse_utc(client::text_of(check, "last_utc"));
  if (!made || seen_.empty() || (!checks_.empty() && checks_.back().to == *made)) return;
  simulate::Stay stay;
  stay.name = seen_.back().name;
  stay.status = client::flag_of(check, "failed") ? "stopped" : "passed";
  stay.from = seen_.back().since;
  stay.to = *made;
  seen_.pop_back();
  checks_.push_back(std::move(stay));
}

Result<void> Observer::wait_for(std::uint64_t bytes, UtcTime last_epoch) {
  for (int waited_ms = 0; waited_ms < kBytesMs; waited_ms += kLookMs) {
    if (auto looked = look(); !looked) return looked;
    if (bytes_ >= bytes || stop_asked()) break;
    ::poll(nullptr, 0, kLookMs);
  }
  if (stop_asked()) return {};
  if (bytes_ < bytes) return fail(kSay.daemon_deaf());
  // A date 1024 weeks back is put right by the daemon.
  const auto is_last = [&] { return epoch_ && (epoch_->ms - last_epoch.ms) % kRolloverMs == 0; };
  for (int waited_ms = 0; waited_ms < kEpochMs && !is_last(); waited_ms += kLookMs) {
    ::poll(nullptr, 0, kLookMs);
    if (auto looked = look(); !looked) return looked;
  }
  return {};
}

Result<void> Observer::wait_for_base(const std::array<double, 3>& ecef_m) {
  constexpr double kStepM = 0.0002;
  for (int waited_ms = 0; waited_ms < kBytesMs && !stop_asked(); waited_ms += kLookMs) {
    if (auto looked = look(); !looked) return looked;
    if (base_x_m_ && std::abs(*base_x_m_ - ecef_m[0]) < kStepM) return {};
    ::poll(nullptr, 0, kLookMs);
  }
  return stop_asked() ? Result<void>() : fail(kSay.corrections_lost());
}

simulate::Stay Observer::stay_of(const client::Json& point) const {
  simulate::Stay out;
  out.name = client::text_of(point, "point");
  out.visit = static_cast<int>(client::count_of(point, "visit"));
  out.status = client::text_of(point, "status");
  const auto latitude_deg = client::number_of(point, "latitude_deg"),
             longitude_deg = client::number_of(point, "longitude_deg");
  const auto height_m = client::number_of(point, "ellipsoid_height_m");
  if (latitude_deg && longitude_deg && height_m) out.at = geodesy::Geographic{*latitude_deg, *longitude_deg, *height_m};
  out.error95_horizontal_m = client::number_of(point, "error95_horizontal_m").value_or(0);
  out.error95_vertical_m = client::number_of(point, "error95_vertical_m").value_or(0);
  out.from = time_of(point, "started_utc");
  out.to = time_of(point, "finished_utc");
  add_texts(client::list_of(point, "reasons"), out.words);
  add_texts(client::list_of(point, "flags"), out.words);
  for (const auto& [code, count] : client::member(point, "refused").items()) out.words.push_back(code);
  return out;
}

Result<simulate::DayOut> Observer::day() {
  if (auto looked = look(); !looked) return tl::unexpected(looked.error());
  const auto points = link_.call("points");
  if (!points) return fail(points.error().text);
  const auto alerts = link_.call("alerts");
  if (!alerts) return fail(alerts.error().text);
  simulate::DayOut out;
  for (const client::Json& point : client::list_of(points->value, "points")) out.stays.push_back(stay_of(point));
  const std::size_t kept = out.stays.size();
  out.stays.insert(out.stays.end(), checks_.begin(), checks_.end());
  for (const Seen& seen : seen_) {
    const bool is_point =
        std::any_of(out.stays.begin(), out.stays.begin() + static_cast<long>(kept), [&](const auto& s) {
          return s.name == seen.name && s.visit == seen.visit && std::abs(s.from.ms - seen.since.ms) < 5000;
        });
    if (is_point) continue;
    simulate::Stay discarded;
    discarded.name = seen.name;
    discarded.visit = seen.visit;
    discarded.status = "discarded";
    discarded.from = seen.since;
    discarded.to = seen.last;
    out.stays.push_back(std::move(discarded));
  }
  for (const client::Json& alert : client::list_of(alerts->value, "alerts")) {
    out.alerts.push_back({client::text_of(alert, "key"), client::text_of(alert, "text"), time_of(alert, "since_utc")});
  }
  return out;
}

}  // namespace stillpoint::rehearse
