#pragma once
/// What the client knows of the day: the daemon's newest status, what it has asked for beside it, what it remembers.
///
/// Units:   milliseconds of the caller's steady clock; others in the names.
/// Threads: plain value.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "client/wire_names.hpp"

namespace stillpoint::client {

struct Day {
  Json status;
  Json points = Json::array(), marks = Json::array(), plan = Json::array();  ///< as the daemon holds them
  Json antenna;
  Json last_alert;                         ///< of those that have ended
  std::string last_name, last_code;        ///< of the point that was begun last
  std::string closing;                     ///< what the closing check came to
  bool closed = false;                     ///< by this client, and nothing was begun since
  std::optional<std::int64_t> counted_ms;  ///< when a second counted
  std::optional<double> wanted_horizontal_m, wanted_vertical_m;
};

/// When it is, and whether the daemon is still there.
struct Now {
  std::int64_t ms = 0;
  bool lost = false;
  double heard_s = 0;  ///< since the daemon was last heard
  int zone_s = 0;      ///< of the times that are shown, east of UTC
};

void take_status(Day& day, const Json& status, std::int64_t now_ms);
/// What an act came to, where the day remembers it.
void take_result(Day& day, const std::string& method, const Json& result);
/// Changes when points, marks or the antenna may have changed.
std::string lists_key(const Json& status);

/// The open point; null: none.
const Json& open_point(const Day& day);
std::vector<Json> held_points(const Day& day);
/// The point kept last; null: none.
Json last_kept(const Day& day);
bool is_known(const Day& day, const std::string& name);
/// The name after the last one that nobody has taken; empty when that one does not end in a number.
std::string next_free_name(const Day& day);
/// `HF-A-0014` is followed by `HF-A-0015`; empty when the name does not end in a number.
std::string next_name(const std::string& name);

/// How far it is from the pole, and in which direction; for ways on foot only.
struct Way {
  std::optional<double> far_m;  ///< empty: not known
  double towards_deg = 0;
};
/// "44 m north-east".
std::string way_text(const Way& way);

struct Mark {
  std::string name;
  Way way;
};
/// Those of no known place last.
std::vector<Mark> nearest_marks(const Day& day);

/// A planned point that is still to be measured, for the first time or again.
struct Planned {
  std::string name, code{}, note{};
  bool again = false;
  Way way{};
};
std::vector<Planned> nearest_planned(const Day& day);
/// "CUL-26: 42 m north-east"; empty: nothing is planned that is not done.
std::string next_planned(const Day& day);

/// The height that is set on the pole where the parts name one, else of the antenna above the mark.
std::string pole_text(const Day& day);
/// `10:41:44` at this place, so many seconds later; else `--:--:--`.
std::string local_clock(const std::string& utc, const Now& now, int later_s = 0);
std::string local_short(const std::string& utc, const Now& now, int later_s = 0);
/// "UTC", "UTC-5", "UTC+5:30".
std::string zone_text(int zone_s);
/// The newest time not after `now` at which the clocks of the zone show this; empty: it is no time of day as HH:MM.
std::optional<UtcTime> utc_of_clock(const std::string& clock, UtcTime now, int zone_s);
/// "9 mm and 15 mm (95 %)".
std::string sizes_text(const Json& point);

}  // namespace stillpoint::client
