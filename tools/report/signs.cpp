#include "report/signs.hpp"

namespace stillpoint::report {

using occupation::PointStatus;

Sign sign_of(const PointFact& fact) noexcept {
  switch (fact.newest.point.status) {
    case PointStatus::accepted:
      return Sign::accepted;
    case PointStatus::rejected:
      return Sign::rejected;
    default:
      return Sign::held;
  }
}

std::string sign_path(Sign sign, double x, double y, double r) {
  switch (sign) {
    case Sign::held:
      return step('M', x, y - 1.5 * r) + step('L', x + 1.5 * r, y) + step('L', x, y + 1.5 * r) +
             step('L', x - 1.5 * r, y) + "Z";
    case Sign::mark:
      return step('M', x, y - 1.4 * r) + step('L', x + 1.35 * r, y + r) + "H" + mm(x - 1.35 * r) + "Z";
    case Sign::rejected:
      return step('M', x - r, y - r) + "h" + mm(2 * r) + "v" + mm(2 * r) + "h" + mm(-2 * r) + "Zl" + mm(2 * r) + " " +
             mm(2 * r) + "m0 " + mm(-2 * r) + "l" + mm(-2 * r) + " " + mm(2 * r);
    case Sign::accepted:
      break;
  }
  return {};
}

void draw_sign(Svg& svg, Sign sign, double x, double y, double r) {
  if (sign == Sign::accepted) {
    svg.circle("acc", x, y, r);
  } else {
    svg.path("held", sign_path(sign, x, y, r));
  }
}

std::string sign_icon(Sign sign) {
  constexpr double kSide = 3, kRadius = 0.9;
  std::string inner = sign == Sign::accepted
                          ? "<circle class=\"acc\" cx=\"1.5\" cy=\"1.5\" r=\"1\"/>"
                          : "<path class=\"held\" d=\"" + sign_path(sign, kSide / 2, kSide / 2, kRadius) + "\"/>";
  return "<svg class=\"ic\" viewBox=\"0 0 3 3\" aria-hidden=\"true\">" + inner + "</svg>";
}

Second second_of(const occupation::EpochRecord& epoch) noexcept {
  using gate::Reason;
  if (epoch.accepted) return Second::counted;
  for (const Reason reason : {Reason::outlier, Reason::jump, Reason::other_segment}) {
    if (epoch.reasons.test(static_cast<std::size_t>(reason))) return Second::set_apart;
  }
  return Second::refused;
}

std::string second_path(Second second, double x, double y) {
  switch (second) {
    case Second::counted:
      return step('M', x, y) + "h0";
    case Second::refused:
      return step('M', x - 0.6, y - 0.6) + "l1.2 1.2m0-1.2l-1.2 1.2";
    case Second::set_apart:
      return step('M', x - 0.75, y - 0.75) + "h1.5v1.5h-1.5z";
  }
  return {};
}

}  // namespace stillpoint::report
