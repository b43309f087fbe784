#pragma once
/// The words, numbers and situations of the screen are the house's own (`wire`), since the page shows the same.

#include "wire/fields.hpp"
#include "wire/situation.hpp"
#include "wire/words.hpp"

namespace stillpoint::client {
using namespace wire;
}  // namespace stillpoint::client
