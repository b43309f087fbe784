#include "geodesy/frame_names.hpp"

#include <algorithm>
#include <array>
#include <string>

namespace stillpoint::geodesy {
namespace {

struct Name {
  std::string_view key;
  std::string_view value;
};

constexpr auto kNames = std::to_array<Name>({
    {"itrf2020", "EPSG:9989"},        {"itrf2014", "EPSG:7912"},      {"itrf2008", "EPSG:7911"},
    {"itrf2005", "EPSG:7910"},        {"itrf2000", "EPSG:7909"},      {"itrf97", "EPSG:7908"},
    {"itrf96", "EPSG:7907"},          {"itrf94", "EPSG:7906"},        {"itrf93", "EPSG:7905"},
    {"itrf92", "EPSG:7904"},          {"itrf91", "EPSG:7903"},        {"itrf90", "EPSG:7902"},
    {"itrf89", "EPSG:7901"},          {"itrf88", "EPSG:7900"},        {"wgs84(g2139)", "EPSG:9754"},
    {"wgs84(g1762)", "EPSG:7665"},    {"wgs84(g1674)", "EPSG:7663"},  {"wgs84(g1150)", "EPSG:7661"},
    {"wgs84(g873)", "EPSG:7659"},     {"wgs84(g730)", "EPSG:7657"},   {"nad83(2011)", "EPSG:6319"},
    {"nad83(pa11)", "EPSG:6321"},     {"nad83(ma11)", "EPSG:6324"},   {"nad83(cors96)", "EPSG:6782"},
    {"nad83(csrs)v7", "EPSG:8254"},   {"nad83(csrs)v6", "EPSG:8251"}, {"nad83(csrs)v5", "EPSG:8248"},
    {"nad83(csrs)v4", "EPSG:8244"},   {"nad83(csrs)v3", "EPSG:8239"}, {"nad83(csrs)v2", "EPSG:8235"},
    {"nad83(nsrs2007)", "EPSG:4893"}, {"etrf2000", "EPSG:7931"},      {"etrf2005", "EPSG:8399"},
    {"etrf2014", "EPSG:8403"},        {"gda2020", "EPSG:7843"},       {"gda94", "EPSG:4939"},
    {"jgd2011", "EPSG:6667"},         {"jgd2000", "EPSG:4947"},       {"sirgas2000", "EPSG:4989"},
    {"nzgd2000", "EPSG:4959"},
});

constexpr std::string_view kWgs84Advice =
    "write \"ITRF2020\" (EPSG:9989) for SBAS and satellite-delivered corrections, a realization such as "
    "\"WGS 84 (G2139)\" (EPSG:9754), or the national frame that the network's operator states, such as "
    "\"NAD83(2011)\" (EPSG:6319)";
constexpr std::string_view kEtrsAdvice =
    "write the realization, such as \"ETRF2000\" (EPSG:7931) or \"ETRF2014\" (EPSG:8403); the two lie 7 to 9 cm apart";
constexpr std::string_view kNad83Advice =
    "write the realization, such as \"NAD83(2011)\" (EPSG:6319), \"NAD83(PA11)\" (EPSG:6321) or \"NAD83(CSRS)v7\" "
    "(EPSG:8254)";
constexpr std::string_view kItrfAdvice =
    "write the realization, such as \"ITRF2020\" (EPSG:9989) or \"ITRF2014\" (EPSG:7912)";

constexpr auto kVague = std::to_array<Name>({
    {"wgs84", kWgs84Advice},
    {"wgs1984", kWgs84Advice},
    {"wgs", kWgs84Advice},
    {"gps", kWgs84Advice},
    {"etrs89", kEtrsAdvice},
    {"etrf", kEtrsAdvice},
    {"etrs", kEtrsAdvice},
    {"nad83", kNad83Advice},
    {"nad83(csrs)", kNad83Advice},
    {"nad83(1986)", kNad83Advice},
    {"itrf", kItrfAdvice},
    {"igs", kItrfAdvice},
});

// From memory of the National Geodetic Survey's announcements of its modernized reference system.
constexpr auto kComing = std::to_array<Name>({
    {"natrf2022",
     "it is to replace NAD83(2011) and lies up to 2 m from it, so write what the sources' operators deliver in today, "
     "such as \"NAD83(2011)\" (EPSG:6319)"},
    {"patrf2022",
     "it is to replace NAD83(PA11), so write what the sources' operators deliver in today, such as \"NAD83(PA11)\" "
     "(EPSG:6321)"},
    {"matrf2022",
     "it is to replace NAD83(MA11), so write what the sources' operators deliver in today, such as \"NAD83(MA11)\" "
     "(EPSG:6324)"},
    {"catrf2022",
     "it is to replace NAD83(2011) in the Caribbean, so write what the sources' operators deliver in today, such as "
     "\"NAD83(2011)\" (EPSG:6319)"},
    {"spcs2022",
     "its zones stand on NATRF2022, which is to replace NAD83(2011); write a zone of today, such as \"NAD83(2011) / "
     "Michigan North\" (EPSG:6495)"},
    {"napgd2022",
     "it is to replace NAVD88 and is a frame of heights; write the horizontal frame alone, and the geoid's grid as "
     "[project.geoid] with height = \"orthometric\""},
});

struct Igs {
  std::string_view squeezed;
  std::string_view code_3d;  // empty: not in the data set
  IgsAlias alias;
};
constexpr auto kIgs = std::to_array<Igs>({
    {"igs20", "", {"IGS20", "EPSG:9989", "ITRF2020"}},
    {"igb20", "", {"IGb20", "EPSG:9989", "ITRF2020"}},
    {"igs14", "EPSG:9018", {"IGS14", "EPSG:7912", "ITRF2014"}},
    {"igb14", "EPSG:9379", {"IGb14", "EPSG:7912", "ITRF2014"}},
    {"igs08", "EPSG:9013", {"IGS08", "EPSG:7911", "ITRF2008"}},
    {"igb08", "EPSG:9016", {"IGb08", "EPSG:7911", "ITRF2008"}},
    {"igs05", "EPSG:9011", {"IGS05", "EPSG:7910", "ITRF2005"}},
    {"igs00", "EPSG:9005", {"IGS00", "EPSG:7909", "ITRF2000"}},
    {"igb00", "EPSG:9008", {"IGb00", "EPSG:7909", "ITRF2000"}},
    {"igs97", "EPSG:9002", {"IGS97", "EPSG:7908", "ITRF97"}},
});

constexpr auto kSame = std::to_array<SameByDefinition>({
    {"EPSG:9754", "EPSG:7912", "ITRF2014", 0.01},
    {"EPSG:7665", "EPSG:7911", "ITRF2008", 0.01},
    {"EPSG:7663", "EPSG:7911", "ITRF2008", 0.01},
    {"EPSG:7661", "EPSG:7909", "ITRF2000", 0.02},
    {"EPSG:7659", "EPSG:7906", "ITRF94", 0.1},
    {"EPSG:7657", "EPSG:7904", "ITRF92", 0.2},
});

// Dates and ITRFs as the remarks of the EPSG data set give them; those of Mexico from memory of them.
constexpr auto kFrozen = std::to_array<Name>({
    {"EPSG:4989",
     "SIRGAS 2000 is ITRF2000 as it stood at 2000.4, so reaching it needs the site's own motion since then"},
    {"EPSG:6667",
     "JGD2011 is ITRF2008 as it stood at 2011.395 (ITRF94 at 1997.0 in the west), so reaching it needs the "
     "site's own motion since then"},
    {"EPSG:4947", "JGD2000 is ITRF94 as it stood at 1997.0, so reaching it needs the site's own motion since then"},
    {"EPSG:6364",
     "Mexico ITRF2008 is ITRF2008 as it stood at 2010.0, so reaching it needs the site's own motion since then"},
    {"EPSG:4482",
     "Mexico ITRF92 is ITRF92 as it stood at 1988.0, so reaching it needs the site's own motion since then"},
    {"EPSG:4959", "NZGD2000 is ITRF96 as it stood at 2000.0, so reaching it needs New Zealand's deformation model"},
});

// NAD83(2011) and NAD83(CSRS)v7: both agencies adopted the same 14 parameters from ITRF2014.
constexpr auto kSharedTie = std::to_array<std::string_view>({"EPSG:6319", "EPSG:8254"});

std::string squeezed(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    if (c == ' ' || c == '\t' || c == '_') continue;
    out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  }
  return out;
}

template <class Table>
std::optional<std::string_view> look_up(const Table& table, std::string_view name) {
  const std::string key = squeezed(name);
  const auto row = std::ranges::find(table, key, &Name::key);
  if (row == table.end()) return std::nullopt;
  return row->value;
}

}  // namespace

std::optional<std::string_view> code_from_name(std::string_view name) {
  return look_up(kNames, name);
}

std::optional<std::string_view> advice_for_vague_name(std::string_view name) {
  return look_up(kVague, name);
}

std::optional<std::string_view> advice_for_coming_frame(std::string_view name) {
  const std::string key = squeezed(name);
  const auto row = std::ranges::find_if(kComing, [&key](const Name& coming) { return key.starts_with(coming.key); });
  if (row == kComing.end()) return std::nullopt;
  return row->value;
}

std::optional<IgsAlias> itrf_of_igs(std::string_view name_or_code) {
  const std::string key = squeezed(name_or_code);
  for (const Igs& row : kIgs) {
    if (key == row.squeezed || (!row.code_3d.empty() && name_or_code == row.code_3d)) return row.alias;
  }
  return std::nullopt;
}

std::optional<SameByDefinition> itrf_by_definition(std::string_view code) noexcept {
  const auto row = std::ranges::find(kSame, code, &SameByDefinition::code);
  if (row == kSame.end()) return std::nullopt;
  return *row;
}

std::optional<std::string_view> frozen_because(std::string_view code) noexcept {
  const auto row = std::ranges::find(kFrozen, code, &Name::key);
  if (row == kFrozen.end()) return std::nullopt;
  return row->value;
}

bool share_their_tie(std::string_view code_a, std::string_view code_b) noexcept {
  return std::ranges::find(kSharedTie, code_a) != kSharedTie.end() &&
         std::ranges::find(kSharedTie, code_b) != kSharedTie.end();
}

}  // namespace stillpoint::geodesy
