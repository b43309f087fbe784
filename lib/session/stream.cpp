#include "session/stream.hpp"

#include <cmath>

namespace stillpoint::session {
namespace {

std::int64_t ms_of(double seconds) noexcept {
  return std::llround(seconds * 1000);
}

}  // namespace

Stream::Stream(const Basis& basis)
    : basis_(&basis),
      times_(ms_of(basis.settings.gap_s()), basis.options.training),
      matcher_(basis.settings.sources),
      monitor_(basis.settings.gap_s()),
      judge_(basis.settings.sources) {
  if (basis.settings.project.archive_dates == config::ArchiveDates::rolled_over) assembler_.calendar().rolled_over();
}

void Stream::set_clock(SteadyTime at, std::optional<UtcTime> said) noexcept {
  times_.stamped();
  if (said) assembler_.calendar().judge_by(at, *said);
}

const gate::Judged* Stream::read(std::string_view body, const nmea::Decoded& decoded, SteadyTime arrived) {
  if (std::holds_alternative<nmea::Malformed>(decoded.content)) {
    ++framer_.damage().malformed;
    return nullptr;
  }
  habits_.sentence(decoded);
  repetition_.hear(body);
  const epoch::Epoch* closed = assembler_.push(decoded, arrived);
  return closed != nullptr ? &judge(*closed) : nullptr;
}

const gate::Judged* Stream::end() {
  const epoch::Epoch* closed = assembler_.finish();
  return closed != nullptr ? &judge(*closed) : nullptr;
}

void Stream::cut(bool same_link) noexcept {
  monitor_.cut();
  repetition_.cut();
  if (!same_link) times_.cut();
  matcher_.cut();
}

std::string Stream::frame_fault(std::optional<std::size_t> source, const epoch::Epoch& epoch) const {
  if (!source || !epoch.position) return {};
  const double latitude_deg = epoch.position->latitude_deg, longitude_deg = epoch.position->longitude_deg;
  if (auto why_not = basis_->frames.why_not_here(*source, latitude_deg, longitude_deg)) return *std::move(why_not);
  if (auto doubt = basis_->frames.doubt_here(*source, latitude_deg, longitude_deg)) return *std::move(doubt);
  return {};
}

const gate::Judged& Stream::judge(const epoch::Epoch& epoch) {
  gate::Judged& judged = judged_[last_ == judged_.data() ? 1 : 0];
  judged.epoch = epoch;
  judged.epoch.repeats = repetition_.repeats(epoch);
  times_.look(judged.epoch);
  judged.match = matcher_.match(epoch);
  const auto source = judged.match.source;
  const auto& sources = basis_->settings.sources;
  judged.freshness =
      monitor_.observe(judged.epoch, {source, source ? &sources[*source].gate : nullptr, judged.match.station});
  judged.frame_fault = frame_fault(source, epoch);
  judge_.judge(judged);
  ++epochs_;
  ++(judged.accepted() ? accepted_ : refused_);
  return judged;
}

Summary Stream::summary() const {
  return {framer_.counters(), assembler_.counters(), epochs_, accepted_, refused_, {}};
}

}  // namespace stillpoint::session
