#pragma once
/// What the receiver shows of one epoch, and how its manners put it into sentences.
///
/// Units:   in the names. Numbers are rounded once, to the printed decimals.
/// Threads: one writer, one thread. Errors: none.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "geodesy/local.hpp"
#include "simulate/scenario.hpp"
#include "simulate/sky.hpp"

namespace stillpoint::simulate {

/// The bytes of one epoch and when each sentence of them arrives.
struct Burst {
  struct Sent {
    std::size_t end = 0;  ///< behind the sentence and its line end, in `bytes`
    std::int64_t arrived_ms = 0;
  };
  std::int64_t epoch_ms = 0;  ///< from the scenario's start
  std::string bytes;
  std::vector<Sent> sent;
  std::string corrections;                           ///< what the base's caster sends meanwhile
  std::optional<std::array<double, 3>> base_ecef_m;  ///< a base says it for the first time, or another one does
  bool cut = false;                                  ///< the link is gone; nothing was sent
  std::int64_t late_ms = 0;                          ///< it waited so long on the link
};

struct Shown {
  UtcTime utc;  ///< as printed
  bool has_fix = false;
  geodesy::Geographic position;  ///< of the phase centre, in the frame the receiver works in
  Quality quality = Quality::none;
  std::optional<double> age_s;
  bool age_is_zero = false;  ///< printed as a plain 0
  std::string_view station;
  Dops dops;
  Axes claim_m;
  double speed_mps = 0, course_deg = 0;
  std::span<const Satellite> used, in_view;

  int minute_decimals = 7;
  std::string_view missing;  ///< a sentence that is left out
  bool tells_datum = false;
};

class Sentences {
 public:
  explicit Sentences(const Receiver& receiver);
  /// Appends the sentences due in epoch number `epoch`, which arrive from `epoch_ms` on.
  void write(const Shown& shown, std::uint64_t epoch, Burst& out);

 private:
  using Writer = void (Sentences::*)(const Shown&);
  struct Kind {
    std::string name;
    Writer write;
    std::uint64_t every = 1;
  };
  void gga(const Shown& shown);
  void gns(const Shown& shown);
  void gsa(const Shown& shown);
  void gsv(const Shown& shown);
  void rmc(const Shown& shown);
  void gst(const Shown& shown);
  void zda(const Shown& shown);
  void vtg(const Shown& shown);
  void dtm(const Shown& shown);

  void begin(std::string_view formatter);
  void begin(std::string_view talker, std::string_view formatter);
  void end();
  void time(const Shown& shown);
  void place(const Shown& shown);
  void angle(double degrees, int degree_digits, int decimals, std::string_view hemispheres);
  void height_age_station(const Shown& shown, bool units);
  void number(double value, int decimals);
  void whole(std::uint64_t value, int digits);
  void add(std::string_view text);
  void add(char c);
  bool is_blank(std::string_view field) const noexcept;

  Receiver receiver_;
  std::vector<Kind> kinds_;
  Burst* out_ = nullptr;
  std::int64_t arrives_ms_ = 0;
  std::size_t begun_ = 0;
  bool blank_hdop_, blank_ellipse_, blank_satellites_, blank_age_, blank_station_, blank_separation_;
};

}  // namespace stillpoint::simulate
