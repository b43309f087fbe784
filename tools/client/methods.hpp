#pragma once
/// The daemon's methods that the screen asks for, by what they do: their names stand nowhere else in it.
///
/// Threads: constants.

namespace stillpoint::client {

inline constexpr const char *kBegin = "begin", *kKeep = "keep", *kDiscard = "discard", *kCheck = "check",
                            *kResolve = "resolve", *kAmend = "amend", *kPole = "pole", *kAntenna = "antenna",
                            *kOffset = "offset", *kCloseDay = "close_day", *kAlerts = "alerts", *kPoints = "points",
                            *kMarks = "marks", *kPlan = "plan";

}  // namespace stillpoint::client
