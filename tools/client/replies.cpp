#include "client/replies.hpp"

#include <cmath>

#include "client/methods.hpp"
#include "client/screen_sentences.hpp"

namespace stillpoint::client {
namespace {

std::string point_text(const Json& point) {
  const std::string name = cut(ascii(text_of(point, "point")), 26), status = text_of(point, "status");
  const std::string why = reasons_of(point);
  if (status == "none") return kSayOnScreen.empty(name);
  if (status != "accepted") return why.empty() ? kSayOnScreen.held(name) : kSayOnScreen.held_why(name, why);
  const auto horizontal_m = number_of(point, "error95_horizontal_m"),
             vertical_m = number_of(point, "error95_vertical_m");
  const std::string accepted =
      horizontal_m && vertical_m ? kSayOnScreen.accepted_with(name, length_text(horizontal_m), length_text(vertical_m))
                                 : kSayOnScreen.accepted(name);
  return has_flag(point, "receiver-error-refuted") ? kSayOnScreen.in_doubt(accepted) : accepted;
}

/// Passed or failed first; a failure with what is suspected.
std::string check_text(const Json& check) {
  std::string off = off_text(check);
  const auto up_m = number_of(check, "off_up_m"), limit_m = number_of(check, "limit_horizontal_m");
  if (off.empty() || !limit_m || text_of(check, "kind") == "turn") return sentence(text_of(check, "text"));
  if (up_m) off = kSayOnScreen.off_and_height(off, length_text(std::abs(*up_m)));
  const std::string limit = length_text(limit_m);
  if (text_of(check, "outcome") != "stop") return kSayOnScreen.check_passed_at(off, limit);
  const Json& suspects = list_of(check, "diagnosis_sentences");
  const std::string failed = kSayOnScreen.check_failed_at(off, limit);
  const bool any = !suspects.empty() && suspects.front().is_string();
  return any ? failed + " " + sentence(suspects.front().get<std::string>()) : failed;
}

}  // namespace

std::string off_text(const Json& check) {
  const auto east_m = number_of(check, "off_east_m"), north_m = number_of(check, "off_north_m");
  if (!east_m || !north_m) return {};
  return kSayOnScreen.off_mark(length_text(std::hypot(*east_m, *north_m)), ascii(text_of(check, "mark")));
}

std::string reply_text(const std::string& method, const Json& result) {
  if (method == kAlerts) return {};
  if (const Json& check = member(result, "check"); check.is_object()) return check_text(check);
  const Json& point = member(result, "point");
  const bool accepted = text_of(point, "status") == "accepted";
  if (point.is_object() && (method == kKeep || (method == kOffset && !accepted))) return point_text(point);
  return sentence(text_of(result, "text"));
}

}  // namespace stillpoint::client
