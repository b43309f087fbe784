#include "geodesy/areas.hpp"

#include <proj.h>

#include <algorithm>
#include <array>
#include <memory>
#include <set>
#include <string_view>
#include <tuple>
#include <utility>
#include <vector>

#include "geodesy/sentences.hpp"
#include "geodesy/usual_frames.hpp"

namespace stillpoint::geodesy {
namespace {

using std::string_view;

// The smallest area of another country counts when it is smaller than this part of the frame's own smallest.
constexpr double kMuchSmaller = 0.25;
// A state or province, or a country no larger: a frame serves wherever one of those that it is made for may lie.
constexpr double kLargestState_deg2 = 400.0;
// A text that begins with a region and names fewer lands than this does not list them.
constexpr std::size_t kListed = 10;

// Beginnings of areas that are no country's.
constexpr auto kRegions = std::to_array<string_view>({"Africa",
                                                      "Arabian Gulf",
                                                      "Arctic",
                                                      "Antarctica",
                                                      "Asia",
                                                      "Between",
                                                      "Caribbean",
                                                      "Description",
                                                      "Europe",
                                                      "Latin America",
                                                      "North America",
                                                      "North and central America",
                                                      "Northern hemisphere",
                                                      "Not specified",
                                                      "Onshore",
                                                      "Pacific Ocean",
                                                      "South America",
                                                      "Southern hemisphere",
                                                      "Southwestern Pacific",
                                                      "World"});
// What ends the name of a country or a state where the data set goes on to say which part of it is meant.
constexpr auto kWhichPart =
    std::to_array<string_view>({" onshore", " offshore", " mainland", " between ", " north of", " south of", " east of",
                                " west of", " including ", " - onshore", " - offshore"});
constexpr auto kNoLand = std::to_array<string_view>({"onshore", "offshore", "onshore and offshore", "all onshore"});

string_view trimmed(string_view text) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '.')) text.remove_suffix(1);
  return text;
}

bool is_region(string_view text) {
  return std::ranges::any_of(kRegions, [text](string_view region) { return text.starts_with(region); });
}

string_view without_part(string_view text) {
  for (const string_view end : kWhichPart) text = text.substr(0, text.find(end));
  return trimmed(text);
}

/// `Mexico` of "Mexico between 102°W and 96°W, onshore and offshore."; empty for what is no country's.
string_view land_of(string_view text) {
  string_view land = text.substr(0, text.find(" - "));
  land = without_part(trimmed(land.substr(0, land.find_first_of(".;,:"))));
  return is_region(land) ? string_view() : land;
}

/// The data set does not write every name in one way: "minor outlying islands" and "Minor Outlying Islands".
std::string folded(string_view text) {
  std::string out(text);
  for (char& c : out) c = c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

/// Names of lands, folded.
using Lands = std::set<std::string, std::less<>>;

void add_halves(Lands& out, string_view part) {
  for (const string_view joint : {string_view(" and "), string_view(" including ")}) {
    const std::size_t at = part.find(joint);
    if (at == string_view::npos) continue;
    for (const string_view half : {part.substr(0, at), part.substr(at + joint.size())}) {
      out.insert(folded(trimmed(half)));
      add_halves(out, half);
    }
  }
}

/// Every land that an area names: the parts between its dashes, commas, semicolons and full stops.
Lands lands_in(string_view text) {
  Lands out;
  while (!text.empty()) {
    const std::size_t dash = text.find(" - ");
    const std::size_t stop = std::min({dash, text.find_first_of(".;,:"), text.size()});
    const string_view part = trimmed(text.substr(0, stop));
    out.insert(folded(part));
    out.insert(folded(without_part(part)));
    add_halves(out, part);
    text.remove_prefix(std::min(text.size(), stop + (stop == dash ? 3 : 1)));
  }
  for (const string_view word : kNoLand) {
    if (const auto at = out.find(word); at != out.end()) out.erase(at);
  }
  out.erase("");
  return out;
}

double size_of(const Area& area) {
  return area.width_deg() * (area.north_deg - area.south_deg);
}

/// A frame of the data set with its area, or one area of several.
struct Stated {
  Area area;
  double size = 0;   ///< square degrees
  std::string land;  ///< whose it is; empty: no country's
  Lands owners;      ///< `land` and, of two countries that share an area, each
  std::string code;  ///< of a geographic 3D frame, else empty
  std::string name;
  Lands lands;  ///< every one that a frame's text names, which may be fifty states
};

struct DataSet {
  std::vector<Stated> areas;   ///< each once, the smallest first
  std::vector<Stated> frames;  ///< geographic 3D
};

Stated stated(const PROJ_CRS_INFO& info) {
  Stated out;
  out.area = {info.area_name, info.west_lon_degree, info.south_lat_degree, info.east_lon_degree, info.north_lat_degree};
  out.size = size_of(out.area);
  out.land = land_of(out.area.name);
  if (!out.land.empty()) out.owners.insert(folded(out.land));
  add_halves(out.owners, out.land);
  return out;
}

struct ListDeleter {
  void operator()(PROJ_CRS_INFO** list) const noexcept { proj_crs_info_list_destroy(list); }
};

DataSet read_data_set() {
  DataSet out;
  const ContextPtr context = make_context();
  int count = 0;
  const std::unique_ptr<PROJ_CRS_INFO*, ListDeleter> list(
      context ? proj_get_crs_info_list_from_database(context.get(), "EPSG", nullptr, &count) : nullptr);
  std::set<std::tuple<std::string, double, double>> seen;
  for (int i = 0; list && i < count; ++i) {
    const PROJ_CRS_INFO& info = *list.get()[i];
    if (info.bbox_valid == 0 || info.area_name == nullptr || info.deprecated != 0) continue;
    Stated one = stated(info);
    if (info.type == PJ_TYPE_GEOGRAPHIC_3D_CRS) {
      Stated frame = one;
      frame.code = std::string(info.auth_name) + ':' + info.code;
      frame.name = info.name;
      frame.lands = lands_in(frame.area.name);
      out.frames.push_back(std::move(frame));
    }
    if (seen.emplace(one.area.name, one.area.west_deg, one.area.south_deg).second) out.areas.push_back(std::move(one));
  }
  std::ranges::stable_sort(out.areas, {}, &Stated::size);
  return out;
}

const DataSet& data_set() {
  static const DataSet kRead = read_data_set();
  return kRead;
}

/// `NAD83` of "NAD83(CSRS)v7"; empty for a name without brackets.
string_view family_of(string_view name) {
  const std::size_t bracket = name.find('(');
  return bracket == string_view::npos ? string_view() : trimmed(name.substr(0, bracket));
}

bool is_usual(const Stated& frame) {
  return std::ranges::any_of(usual_frames(), [&](const UsualFrame& usual) { return usual.code == frame.code; });
}

struct Place {
  double latitude_deg, longitude_deg;
  std::vector<const Stated*> areas;  ///< that hold it, the smallest first
};

/// A smaller frame of the same family that names `land` and holds the place; of several one that crews meet.
const Stated* sibling_for(const ReferenceFrame& frame, string_view land, const Place& place) {
  const string_view family = family_of(frame.base_name);
  const std::string wanted = folded(land);
  const Stated* best = nullptr;
  for (const Stated& other : data_set().frames) {
    if (family.empty() || family_of(other.name) != family || !(other.size < size_of(*frame.area)) ||
        !other.area.contains(place.latitude_deg, place.longitude_deg) || !other.lands.contains(wanted) ||
        (best != nullptr && is_usual(*best) >= is_usual(other))) {
      continue;
    }
    best = &other;
  }
  return best;
}

/// The parts of an area's text in their order, as it writes them.
std::vector<string_view> parts_of(string_view text) {
  std::vector<string_view> out;
  while (!text.empty()) {
    const std::size_t dash = std::min(text.find(" - "), text.size());
    out.push_back(without_part(trimmed(text.substr(0, dash))));
    text.remove_prefix(std::min(text.size(), dash + 3));
  }
  return out;
}

/// Whether the frame's own text names the country, or one of two that share an area.
bool is_made_for(const Lands& own, const Stated& area) {
  return std::ranges::any_of(area.owners, [&own](const std::string& land) { return own.contains(land); });
}

/// The lands that a frame's own text names; null: the data set has no such frame with this text.
const Lands* known_lands(const ReferenceFrame& frame) {
  const auto& known = data_set().frames;
  const auto same = [&frame](const Stated& one) { return one.code == frame.base_code; };
  const auto at = std::ranges::find_if(known, same);
  return at != known.end() && at->area.name == frame.area->name ? &at->lands : nullptr;
}

/// The place is in a part of a country that the frame is made for, which its own text leaves out and a smaller frame of
/// the family names.
std::optional<AreaDoubt> doubt_by_family(const ReferenceFrame& frame, const Place& place, const Lands& own) {
  const Stated& smallest = *place.areas.front();
  if (smallest.land.empty() || !is_made_for(own, smallest)) return std::nullopt;
  for (const string_view part : parts_of(smallest.area.name)) {
    if (part.empty() || own.contains(folded(part))) continue;
    if (const Stated* sibling = sibling_for(frame, part, place)) {
      return AreaDoubt{sibling->name, sibling->code, std::string(part)};
    }
  }
  return std::nullopt;
}

bool is_state(const Stated& area) {
  return area.size <= kLargestState_deg2 && area.area.name.find("\u00B0") == std::string::npos;  // no strip of degrees
}

std::optional<AreaDoubt> doubt_by_country(const ReferenceFrame& frame, const Place& place, const Lands& own) {
  const Stated* served = nullptr;
  const Stated* other = nullptr;
  for (const Stated* area : place.areas) {
    if (area->land.empty()) continue;
    const bool made_for = is_made_for(own, *area);
    if (made_for && is_state(*area)) return std::nullopt;
    const Stated*& smallest = made_for ? served : other;
    if (smallest == nullptr) smallest = area;
  }
  if (other == nullptr || (served != nullptr && other->size >= kMuchSmaller * served->size)) return std::nullopt;
  const Stated* sibling = sibling_for(frame, other->land, place);
  if (sibling != nullptr) return AreaDoubt{sibling->name, sibling->code, other->land};
  return AreaDoubt{other->land, {}, other->land};
}

}  // namespace

void read_areas() {
  data_set();
}

std::optional<AreaDoubt> doubt_about(const ReferenceFrame& frame, double latitude_deg, double longitude_deg) {
  if (!frame.area || frame.area->name.empty() || is_global_frame(frame.tie_code) ||
      !frame.area->contains(latitude_deg, longitude_deg)) {  // outside it is refused as such
    return std::nullopt;
  }
  Place place{latitude_deg, longitude_deg, {}};
  for (const Stated& area : data_set().areas) {
    if (area.area.contains(latitude_deg, longitude_deg)) place.areas.push_back(&area);
  }
  const Lands* known = known_lands(frame);
  const Lands read = known == nullptr ? lands_in(frame.area->name) : Lands();
  const Lands& own = known == nullptr ? read : *known;
  if (place.areas.empty() || (is_region(frame.area->name) && own.size() < kListed)) return std::nullopt;
  if (auto sibling = doubt_by_family(frame, place, own)) return sibling;
  return doubt_by_country(frame, place, own);
}

std::string doubt_text(const ReferenceFrame& frame, const AreaDoubt& doubt) {
  return kSay.only_a_box(frame.base_name, doubt.land,
                         doubt.sibling.empty() ? kSay.not_made_for_it() : kSay.made_for_it(doubt.sibling, doubt.word),
                         frame.base_name, doubt.word);
}

}  // namespace stillpoint::geodesy
