#pragma once
/// What passes on its way to the receiver: whether valid frames come, from which base, and where that base says that it
/// stands. The same for a caster's stream that we bring and for one that another program brings.
///
/// Rule:    corrections are frames that carry some: descriptions of the base and texts alone are none. The base is the
///          station that most frames are of: another number counts as a change of base once nothing has come from the
///          one before for five seconds, for some streams carry two numbers. A base that says for its number that it
///          stands more than a centimetre elsewhere is another base too.
/// Units:   metres, earth-centred earth-fixed.
/// Time:    the arrival that is handed in; it never goes backwards.
/// Threads: one watch, one thread.
/// Errors:  none: damage is counted by kind. Memory is bounded.
/// Trust:   a text of the base comes from outside: what cannot be seen in it is replaced.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "base/time.hpp"
#include "rtcm/framer.hpp"
#include "rtcm/message.hpp"

namespace stillpoint::corrections {

/// A base as it describes itself.
struct Base {
  int station = 0;
  std::array<double, 3> ecef_m{};  ///< of its antenna's reference point
  bool is_computed = false;        ///< it says that no such station exists
  bool operator==(const Base&) const = default;
};

struct BaseChange {
  int station_before = 0, station = 0;
  std::optional<double> moved_m{};  ///< the number is the same, and it stands elsewhere
};

class StreamWatch {
 public:
  static constexpr std::int64_t kOtherStationMs = 5000;
  static constexpr double kMovedM = 0.01;
  /// A pause between frames that ends a run of them.
  static constexpr std::int64_t kPauseMs = 5000;

  void take(std::string_view bytes, SteadyTime arrived);
  /// What comes next is another connection's: a frame that has come in part is none.
  void cut();

  /// The last frame with corrections.
  std::optional<SteadyTime> last_frame() const noexcept { return last_frame_; }
  /// Since when such frames have come without a pause; empty: none has.
  std::optional<SteadyTime> flowing_since() const noexcept { return flowing_since_; }
  /// The last byte, readable or not.
  std::optional<SteadyTime> last_byte() const noexcept { return last_byte_; }
  std::optional<int> station() const noexcept { return station_; }
  /// Where it stands; empty until it has said so.
  const std::optional<Base>& base() const noexcept { return base_; }
  /// A change of base since the last call.
  std::optional<BaseChange> take_change() noexcept;
  /// The newest text of the base since the last call; empty: none.
  std::string take_text();
  const rtcm::Counters& counters() const noexcept { return framer_.counters(); }

 private:
  void read(std::string_view body, SteadyTime arrived);
  void note_corrections(SteadyTime arrived);
  /// True when it is the station that counts.
  bool note_station(int station, SteadyTime arrived);
  void note_base(const rtcm::BasePosition& position, SteadyTime arrived);

  rtcm::Framer framer_;
  std::optional<SteadyTime> last_frame_, flowing_since_, last_byte_;
  std::optional<int> station_;
  SteadyTime heard_;  ///< when the last frame of that station came
  std::optional<Base> base_;
  std::optional<BaseChange> change_;
  std::string text_;
};

/// Of a position, as a base sends its own: how far two lie apart.
double distance_m(const std::array<double, 3>& a_ecef_m, const std::array<double, 3>& b_ecef_m) noexcept;

}  // namespace stillpoint::corrections
