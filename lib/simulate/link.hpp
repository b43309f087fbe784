#pragma once
/// What a bad cable or radio does to the bytes of one epoch.
///
/// Units:   rates a byte, a sentence or an epoch, as `Fault` says.
/// Threads: pure but for the generator. Errors: none.

#include <span>

#include "simulate/random.hpp"
#include "simulate/scenario.hpp"
#include "simulate/sentences.hpp"

namespace stillpoint::simulate {

/// `active`: the faults that hold now; those that are not of the link are passed over.
void spoil(Burst& burst, std::span<const Fault* const> active, Random& random);

}  // namespace stillpoint::simulate
