#pragma once
/// Units that people measure in, in metres.

namespace stillpoint {

/// The international foot, exactly (NIST Special Publication 811, B.6). The US survey foot was retired with 2022.
inline constexpr double kFootM = 0.3048;

}  // namespace stillpoint
