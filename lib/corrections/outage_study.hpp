#pragma once
/// Decides, from a recording in which the crew took the corrections away once, how this receiver shows it.
///
/// The healthy part is what comes before the loss. The loss is the run in which the printed age grew most, by more
/// than a saw-tooth; where the age never grows, it is the moment at which the receiver dropped its quality class for
/// one that uses no such corrections. A loss of the fix is none: no position, far fewer satellites, or a fixed solution
/// that became a float one with the corrections still in use.
///
/// Units:   seconds, metres (1 sigma as the receiver claims it).
/// Time:    stream time of the epochs, in the order received.
/// Threads: one study, one thread. Memory grows with the recording, about 40 bytes an epoch.
/// Errors:  none; what the recording does not show stays empty, and the words say so.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/quality.hpp"
#include "config/settings.hpp"
#include "epoch/epoch.hpp"

namespace stillpoint::corrections {

/// How the age field behaves once corrections stop.
enum class AgeManner : std::uint8_t {
  counts,       ///< grows second by second
  stands,       ///< keeps its last value
  goes_blank,   ///< is no longer printed, or printed as 0
  never_there,  ///< was not printed while corrections were fine either
};

struct OutageFindings {
  Quality quality = Quality::none;  ///< the class in the healthy part
  std::size_t healthy_epochs = 0;
  std::optional<double> usual_age_s;  ///< nine of ten are at most this, while corrections were fine
  bool whole_seconds = true;          ///< ages are printed without a fraction
  std::optional<UtcTime> lost_utc;    ///< when corrections stopped, as far as the age or the class tells
  AgeManner manner = AgeManner::never_there;
  std::optional<double> largest_age_s;                 ///< printed during the loss, in any class
  std::optional<double> held_s;                        ///< how long the class outlived the corrections
  Quality dropped_to = Quality::none;                  ///< the class after it
  bool fix_lost = false;                               ///< the class ended because there was no fix any more
  double blank_share = 0;                              ///< of the ages while corrections were fine
  std::optional<double> sigma_before_m, sigma_last_m;  ///< horizontal claim: healthy median, last of the class
  bool found = false;                                  ///< the recording holds a loss
};

class OutageStudy {
 public:
  void observe(const epoch::Epoch& epoch);
  OutageFindings findings() const;

 private:
  struct Second {
    std::int64_t stream_ms = 0;
    std::optional<UtcTime> utc;
    Quality quality = Quality::none;
    std::optional<double> age_s;  ///< empty: blank, or an integer zero
    std::optional<double> sigma_m;
    std::optional<int> satellites;
    bool has_position = false;
  };
  std::size_t loss_by_age() const;
  bool is_loss_of_fix(std::size_t i) const;
  Quality class_before(std::size_t loss) const;
  bool grows_at(std::size_t i) const;
  std::size_t loss_by_class() const;
  void tell_healthy(OutageFindings& out, std::size_t loss) const;
  void tell_loss(OutageFindings& out, std::size_t loss) const;
  std::vector<Second> seconds_;
  bool whole_ = true;
};

/// Which policy for blank ages fits what was found.
config::AgeMissing policy_for(const OutageFindings& findings) noexcept;

/// The findings in sentences, and the configuration lines that follow from them, ready to paste.
std::vector<std::string> in_words(const OutageFindings& findings);
std::vector<std::string> toml_lines(const OutageFindings& findings);

}  // namespace stillpoint::corrections
