#include "workplace.hpp"

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "base/number.hpp"
#include "base/plain_file.hpp"
#include "sentences.hpp"

namespace stillpoint::rehearse {
namespace {

namespace fs = std::filesystem;

bool starts(std::string_view line, std::string_view what) {
  line.remove_prefix(std::min(line.find_first_not_of(" \t"), line.size()));
  return line.substr(0, what.size()) == what;
}

/// Tables of the trainee's configuration that the rehearsal sets itself.
bool is_replaced(std::string_view line) {
  for (const std::string_view table : {"[[feed]]", "[alerts]", "[page]", "[relay]", "[control]", "[corrections]"}) {
    if (starts(line, table)) return true;
  }
  return false;
}

/// A path beside the scenario's configuration, for one that lies elsewhere.
std::string marks_line(const std::string& line, const fs::path& beside) {
  const auto first = line.find('"'), last = line.rfind('"');
  if (first == std::string::npos || first == last) return line;
  return "marks = \"" + fs::absolute(beside / line.substr(first + 1, last - first - 1)).string() + "\"";
}

std::string configuration(const std::string& given, const simulate::Scenario& scenario, const fs::path& beside,
                          const Outlet& outlet, const Caster* caster) {
  std::istringstream lines(given);
  std::string out = kSay.made_by() + "\n";
  bool drop = false;
  for (std::string line; std::getline(lines, line);) {
    if (starts(line, "[")) drop = is_replaced(line);
    if (drop || starts(line, "pointbook") || starts(line, "record")) continue;
    out += (starts(line, "marks") ? marks_line(line, beside) : line) + "\n";
    if (starts(line, "[project]")) out += "pointbook = \"training.gpkg\"\nrecord = \"record\"\n";
  }
  out += "\n" + outlet.feed_table() + "\n[control]\nsocket = \"control\"\n";
  if (caster) out += "\n" + caster->table();
  if (scenario.disk_free_mib) out += "\n[alerts]\ndisk_free_mib = " + fixed(*scenario.disk_free_mib, 1) + "\n";
  return out;
}

}  // namespace

Result<std::string> read_text(const std::string& path, const std::string& what) {
  auto text = read_named_file(what, path, kMostTableBytes);
  if (text) return text;
  return fail(kSay.look_there(text.error().text));
}

Result<Workplace> make_workplace(const simulate::Scenario& scenario, const std::string& folder, const Outlet& outlet,
                                 const Caster* caster) {
  if (scenario.config.empty()) return fail(kSay.no_config(scenario.path));
  const auto given =
      read_text((fs::path(scenario.path).parent_path() / scenario.config).string(), kSay.the_configuration());
  if (!given) return tl::unexpected(given.error());
  Workplace out;
  std::error_code failed;
  if (folder.empty()) {
    std::string name = (fs::temp_directory_path() / "stillpoint-rehearsal.XXXXXX").string();
    if (::mkdtemp(name.data()) == nullptr) return fail(kSay.no_folder());
    out.folder = name;
  } else {
    fs::create_directories(folder, failed);
    out.folder = fs::absolute(folder).string();
  }
  out.config = out.folder + "/config.toml";
  out.control = out.folder + "/control";
  out.log = out.folder + "/daemon.log";
  if (fs::exists(out.folder + "/training.gpkg", failed)) {
    return fail(kSay.holds_rehearsal(out.folder));
  }
  std::ofstream file(out.config, std::ios::binary);
  file << configuration(*given, scenario, fs::path(scenario.path).parent_path(), outlet, caster) << std::flush;
  if (!file) return fail(kSay.cannot_write(out.config));
  return out;
}

}  // namespace stillpoint::rehearse
