#include "session/check_shot.hpp"

#include <cmath>

namespace stillpoint::session {

control::Verdict no_check(const std::string& why) {
  control::Verdict out;
  out.text = why;
  return out;
}

std::optional<control::PassedShot> passed_shot(const FinishedCheck& done) {
  if (done.verdict.outcome == control::Outcome::stop || done.kind == "turn" || !done.residual || !done.point.at)
    return std::nullopt;
  const double limit_m = std::hypot(done.verdict.limit_horizontal_m, done.verdict.limit_vertical_m.value_or(0));
  return control::PassedShot{done.mark, *done.residual, *done.point.at, limit_m};
}

control::CheckShot shot_of(const FinishedCheck& check) {
  const occupation::Point& point = check.point;
  control::CheckShot out;
  out.mark = check.mark.name;
  out.kind = check.kind;
  out.utc = point.finished_utc.value_or(UtcTime{});
  out.passed = check.verdict.outcome != control::Outcome::stop;
  out.frame = point.frame;
  if (point.at) out.at = *point.at;
  if (check.residual) {
    out.off_east_m = check.residual->east_m;
    out.off_north_m = check.residual->north_m;
    out.off_up_m = check.residual->up_m;
  }
  out.limit_horizontal_m = check.verdict.limit_horizontal_m;
  out.limit_vertical_m = check.verdict.limit_vertical_m;
  out.source = point.source;
  out.antenna_height_m = point.antenna_height_m;
  out.text = check.verdict.text;
  out.diagnosis = check.diagnosis.text;
  out.suspect = control::suspect_of(check.diagnosis);
  out.tell_claim(point);
  out.tell_mark(check.mark.sigma_horizontal_m, check.mark.sigma_vertical_m);
  return out;
}

}  // namespace stillpoint::session
