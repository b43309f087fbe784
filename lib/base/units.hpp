#pragma once
/// Units that people measure in, in metres.

namespace stillpoint {

/// The international foot, exactly (NIST Special Publication 811, B.6). The US survey foot, 1200/3937 m exactly, was
/// retired with 2022; state plane zones of before still count in it.
inline constexpr double kFootM = 0.3048;
inline constexpr double kSurveyFootM = 1200.0 / 3937.0;

}  // namespace stillpoint
