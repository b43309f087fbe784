#include "preflight/would_count.hpp"

#include "preflight/sentences.hpp"

namespace stillpoint::daemon {
namespace {

bool passes_by_itself(gate::Reason reason) noexcept {
  return reason == gate::Reason::settling || reason == gate::Reason::moving;
}

}  // namespace

WouldCount::WouldCount(const config::Settings& settings)
    : settings_(settings), monitor_(settings.gap_s()), judge_(settings.sources) {}

void WouldCount::take(const epoch::Epoch& epoch, const gate::Match& match) {
  gate::Judged judged;
  judged.epoch = epoch;
  judged.epoch.repeats = repetition_.repeats(epoch);
  judged.match = match;
  const config::Gate* limits = match.source ? &settings_.sources[*match.source].gate : nullptr;
  judged.freshness = monitor_.observe(judged.epoch, {match.source, limits, match.station});
  judge_.judge(judged);
  ++epochs_;
  bool good = true;
  for (auto& [reason, text] : gate::explain(judged, settings_.sources)) {
    if (passes_by_itself(reason)) continue;
    good = false;
    Against& against = against_[reason];
    ++against.epochs;
    against.text = std::move(text);
  }
  good_ += good ? 1U : 0U;
}

void WouldCount::tell(std::ostream& out) const {
  const std::string all = std::to_string(epochs_);
  out << kSayBefore.pole_stands() << "\n  " << kSayBefore.would_count(std::to_string(good_), all) << '\n';
  for (const auto& [reason, against] : against_) {
    out << "  " << kSayBefore.would_not(std::to_string(against.epochs), all, against.text) << '\n';
  }
}

}  // namespace stillpoint::daemon
