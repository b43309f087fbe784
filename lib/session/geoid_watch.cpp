#include "session/geoid_watch.hpp"

#include "occupation/geoid.hpp"
#include "session/sentences.hpp"

namespace stillpoint::session {

void GeoidWatch::note(const gate::Judged& judged) {
  const epoch::Epoch& epoch = judged.epoch;
  if (!basis_->settings.project.geoid || !judged.match.source || !epoch.position || !epoch.ellipsoid_height_m()) return;
  const geodesy::Geographic antenna{epoch.position->latitude_deg, epoch.position->longitude_deg,
                                    *epoch.ellipsoid_height_m()};
  const auto at = basis_->frames.to_project(*judged.match.source, antenna, epoch.utc);
  if (!at) return;
  const auto delivered = basis_->frames.deliver(at->position, at->coordinate_epoch);
  if (!delivered) return;
  contradiction_ = occupation::geoid_contradiction(*delivered, *epoch.geoid_separation_m).value_or("");
}

void GeoidWatch::look(const Moment& moment, AlertBoard& board) const {
  board.report(AlertKind::geoid_contradicted, {!contradiction_.empty()}, moment, [this] {
    return AlertText{contradiction_, kSayBriefly.geoid_contradicted()};
  });
}

}  // namespace stillpoint::session
