#pragma once
/// What clients may ask: the methods of the control protocol, each turned into a call on the day.
///
///   status            → Status
///   follow            → {"text"}, then notifications `status` and `alert`
///   begin             {name, code?, note?, again?} → {"text", "visit"}
///   keep              {name?, visit?} → {"point": Point, "storage": "spooled"}, once the point is safe
///   discard           {name?, visit?} → {"text"}
///                     With a name they are refused when another stay is open than the one that was looked at.
///   check             {mark, closing?, turn?} → {"text"}: a stay on a mark begins; `keep` then answers
///                     {"check": Check} once it is safe. `turn` ("N", "E", "S", "W"): one stay of a turn test, which is
///                     no check
///   close_day         {leave_held?, leave_record?} → {"text", "closed_utc", "counts", …} once the pointbook has it;
///                     refused with every reason at once
///   marks             → {"marks", "warnings", "errors"}
///   plan              → {"plan", "warnings", "errors"}: the planned points, each with its state
///   points            → {"points": [Point + "version", "uuid", "storage"]}
///   resolve           {name, visit?, accept, reason} → {"text", "point"}
///   amend             {name, visit?, new_name?, code?, note?, again?, new?, void?, reason} → {"text", "point"}: a kept
///                     point is called otherwise, or made void, as a new version; the open one → {"text"}
///   offset            {name, code?, note?, new?, from, bearing_deg?, bearing_error_deg?, north?, declination_deg?, side?,
///                     up_m?, up_error_m?} → {"text", "point", "storage": "spooled"}, once the point is safe: a point that
///                     nobody can stand on. `from`: one or two of {name, visit?, distance_m, error_m?}
///   alerts            {seen?, key?, id?} → {"alerts": [Alert]}; `seen` marks all, or those of `key`, or the one with
///                     this `id`, as seen first
///   antenna           → {"height_m", "parts", "text"}
///   antenna           {height_m, measured_ft?, reason} → {"text"}: another antenna height from now on; an open
///                     occupation is kept as held
///   pole              {height_m, reason, since_utc?} → {"text"}: another height of the pole from now on; with `since_utc`
///                     also {"held", "redo"}: it was so since then, points since then are held, and `redo` is the file
///                     with which the office computes them again
///
/// Errors:  -32601 unknown method, -32602 bad parameters, 1 refused by the day's rules; one sentence each.
/// Threads: the I/O thread.

#include <functional>
#include <string>

#include "clients/control_socket.hpp"
#include "common/times.hpp"
#include "config/settings.hpp"
#include "day/day.hpp"
#include "day/plan.hpp"

namespace stillpoint::daemon {

class Methods {
 public:
  /// `now` is the feed's time.
  Methods(Day& day, const config::Settings& settings, control::Plan plan, std::function<FeedTime()> now);

  void handle(const Call& call);

 private:
  struct Parameters;
  struct Asked;

  void status(const Asked& asked);
  void follow(const Asked& asked);
  void begin(const Asked& asked);
  void keep(const Asked& asked);
  void discard(const Asked& asked);
  void check(const Asked& asked);
  void marks(const Asked& asked);
  void plan(const Asked& asked);
  void keep_check(const Asked& asked);
  bool means_another(const Asked& asked);
  void points(const Asked& asked);
  bool asks_again(const Asked& asked, const Decision& decision);
  void resolve(const Asked& asked);
  void amend(const Asked& asked);
  void amend_open(const Asked& asked, record::Amend command);
  void amend_kept(const Asked& asked, record::Amend command);
  void offset(const Asked& asked);
  void decide(const Asked& asked, const Decision& decision);
  void alerts(const Asked& asked);
  void antenna(const Asked& asked);
  void pole(const Asked& asked);
  void close_day(const Asked& asked);

  Day& day_;
  const config::Settings& settings_;
  control::Plan plan_;
  std::function<FeedTime()> now_;
};

}  // namespace stillpoint::daemon
