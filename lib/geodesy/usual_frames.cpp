#include "geodesy/usual_frames.hpp"

#include <algorithm>
#include <array>

namespace stillpoint::geodesy {
namespace {

constexpr std::array<UsualFrame, 19> kUsual{{
    {"EPSG:6319", false}, {"EPSG:8254", false}, {"EPSG:6321", false}, {"EPSG:6324", false}, {"EPSG:6782", false},
    {"EPSG:7931", false}, {"EPSG:8403", false}, {"EPSG:7843", false}, {"EPSG:4939", false}, {"EPSG:4959", false},
    {"EPSG:6667", false}, {"EPSG:4989", false}, {"EPSG:9989", true},  {"EPSG:7912", true},  {"EPSG:7911", true},
    {"EPSG:7910", true},  {"EPSG:7909", true},  {"EPSG:9754", true},  {"EPSG:7665", true},
}};

}  // namespace

std::span<const UsualFrame> usual_frames() noexcept {
  return kUsual;
}

bool is_global_frame(std::string_view code) noexcept {
  return std::any_of(kUsual.begin(), kUsual.end(), [&](const UsualFrame& f) { return f.global && f.code == code; });
}

}  // namespace stillpoint::geodesy
