#include "gate/verdict.hpp"

namespace stillpoint::gate {
namespace {
constexpr std::array<std::string_view, kReasonCount> kWords{"quality",
                                                            "unknown-source",
                                                            "unlisted-station",
                                                            "correction-age",
                                                            "corrections-stale",
                                                            "correction-age-missing",
                                                            "frozen",
                                                            "hdop",
                                                            "pdop",
                                                            "satellites",
                                                            "horizontal-error",
                                                            "vertical-error",
                                                            "error-missing",
                                                            "moving",
                                                            "settling",
                                                            "no-date",
                                                            "no-position",
                                                            "no-height",
                                                            "frame",
                                                            "coarse-coordinates",
                                                            "conflict",
                                                            "jump",
                                                            "outlier",
                                                            "other-segment",
                                                            "time-repeated"};
}  // namespace

std::string_view to_word(Reason reason) noexcept {
  return kWords[static_cast<std::size_t>(reason)];
}

}  // namespace stillpoint::gate
