#pragma once
/// What one stay shows of the receiver's own error figure: what was claimed, and how far its seconds scattered.
///
/// Units:   square metres; in plan both axes together. Threads: a plain value.

namespace stillpoint::estimate {

struct Claimed {
  double plan_m2 = 0, up_m2 = 0;                  ///< of one epoch, as the receiver claimed it, without any scale
  double scatter_plan_m2 = 0, scatter_up_m2 = 0;  ///< of the epochs about their mean, less what digits add
};

}  // namespace stillpoint::estimate
