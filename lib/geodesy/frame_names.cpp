#include "geodesy/frame_names.hpp"

#include <algorithm>
#include <array>
#include <string>

#include "geodesy/sentences.hpp"

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

constexpr auto kVague = std::to_array<Name>({
    {"wgs84", kSay.write_world_frame.words()},
    {"wgs1984", kSay.write_world_frame.words()},
    {"wgs", kSay.write_world_frame.words()},
    {"gps", kSay.write_world_frame.words()},
    {"etrs89", kSay.write_etrf.words()},
    {"etrf", kSay.write_etrf.words()},
    {"etrs", kSay.write_etrf.words()},
    {"nad83", kSay.write_nad83.words()},
    {"nad83(csrs)", kSay.write_nad83.words()},
    {"nad83(1986)", kSay.write_nad83.words()},
    {"itrf", kSay.write_itrf.words()},
    {"igs", kSay.write_itrf.words()},
});

// From memory of the National Geodetic Survey's announcements of its modernized reference system.
constexpr auto kComing = std::to_array<Name>({
    {"natrf2022", kSay.coming_natrf.words()},
    {"patrf2022", kSay.coming_patrf.words()},
    {"matrf2022", kSay.coming_matrf.words()},
    {"catrf2022", kSay.coming_catrf.words()},
    {"spcs2022", kSay.coming_spcs.words()},
    {"napgd2022", kSay.coming_napgd.words()},
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
    {"EPSG:4989", kSay.frozen_sirgas.words()},
    {"EPSG:6667", kSay.frozen_jgd2011.words()},
    {"EPSG:4947", kSay.frozen_jgd2000.words()},
    {"EPSG:6364", kSay.frozen_mexico2008.words()},
    {"EPSG:4482", kSay.frozen_mexico92.words()},
    {"EPSG:4959", kSay.frozen_nzgd2000.words()},
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
