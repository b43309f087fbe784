#include <doctest/doctest.h>

#include <set>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

#include "config/keys.hpp"
#include "config/support.hpp"

namespace stillpoint::config::test {
namespace {

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) out.push_back(line);
  return out;
}

/// Every bare key that stands before '=' and every table name, comments included.
std::set<std::string> words_of(const std::string& text) {
  std::set<std::string> out;
  std::string word;
  for (const char c : text) {
    const bool part = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_';
    if (part) word += c;
    if (!part && !word.empty()) {
      out.insert(word);
      word.clear();
    }
  }
  return out;
}

/// Comment lines that hold a key or a table, uncommented.
std::string uncommented(const std::string& line) {
  if (line.rfind("# ", 0) != 0) return {};
  const std::string bare = line.substr(2);
  const bool table = bare.rfind('[', 0) == 0;
  const auto equals = bare.find('=');
  const bool key =
      equals != std::string::npos && bare.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789_ ") == equals;
  return table || key ? bare : std::string();
}

/// The printed defaults, filled in as somebody could.
std::string filled_in() {
  std::string text = with(defaults_text(), "frame            = \"?\"", "frame            = \"EPSG:6319\"");
  text = with(text, "device    = \"?\"", "device    = \"/dev/rfcomm0\"");
  text = with(text, "station = [\"?\"]", "station = [\"417\"]");
  text = with(text, "frame            = \"?\"", "frame            = \"EPSG:6319\"");
  text = with(text, "coordinate_epoch = \"?\"", "coordinate_epoch = 2010.0");
  return with(text, "evidence         = \"?\"", "evidence         = \"operator's page\"");
}

/// The kind of feed that a key belongs to.
std::string kind_of(std::string_view key) {
  if (key == "file" || key == "pace") return "replay";
  if (key == "host") return "tcp";
  return key == "address" || key == "port" || key == "from" ? "udp" : "serial";
}

/// A file with nothing but this key, a date with a time as its value: no key takes that.
std::string dated(std::string_view table, std::string_view key) {
  const std::string line = std::string(key) + " = 2026-06-03T10:00:00Z\n";
  if (table.empty()) return line;
  if (table == "feed") return "[[feed]]\n" + (key == "kind" ? "" : "kind = \"" + kind_of(key) + "\"\n") + line;
  if (table == "source") return "[[source]]\n" + line;
  if (table.rfind("source.", 0) == 0) return "[[source]]\n" + std::string(table.substr(7)) + "." + line;
  return std::string(table) + "." + line;
}

}  // namespace

TEST_CASE("the printed defaults are a configuration without errors once the open values are filled in") {
  const Loaded loaded = parse(filled_in(), "/etc/stillpoint/defaults.toml");
  CHECK_MESSAGE(loaded.errors.empty(), all(loaded));
}

TEST_CASE("each value that is left open is refused by its name, and nothing else is") {
  const Loaded loaded = parse(defaults_text(), "day.toml");
  const std::vector<std::string> open{
      "project.frame is still open, give ",    "feed 1: device is still open, give ",
      "match.station holds \"?\", give ",      "\"county network\": frame is still open, give ",
      "coordinate_epoch is still open, give ", "evidence is still open, give "};
  REQUIRE_MESSAGE(loaded.errors.size() == open.size(), all(loaded));
  for (std::size_t i = 0; i < open.size(); ++i) {
    CAPTURE(loaded.errors[i].text);
    CHECK(loaded.errors[i].text.find(open[i]) != std::string::npos);
  }
}

TEST_CASE("every key that is accepted appears in the printed defaults") {
  const std::set<std::string> words = words_of(defaults_text());
  std::size_t keys = 0;
  for (const KeyTable& table : key_tables()) {
    for (const std::string_view key : table.keys) {
      CAPTURE(key);
      CHECK(words.count(std::string(key)) == 1);
      ++keys;
    }
  }
  CHECK(keys > 60);
}

TEST_CASE("a printed default is what leaving the key out means") {
  const Settings printed = parse(filled_in(), "/srv/day.toml").settings;
  const Settings absent = parse(kMinimal, "/srv/day.toml").settings;
  CHECK(printed.project.name == absent.project.name);
  CHECK(printed.project.crew == absent.project.crew);
  CHECK(printed.project.local_time == absent.project.local_time);
  CHECK(printed.project.units == absent.project.units);
  CHECK(printed.project.coordinate_epoch == absent.project.coordinate_epoch);
  CHECK(printed.project.height == absent.project.height);
  CHECK(printed.project.pointbook == absent.project.pointbook);
  CHECK(printed.project.record == absent.project.record);
  CHECK(printed.feeds[0].silence_s == absent.feeds[0].silence_s);
  CHECK(printed.feeds[0].baud == Feed{}.baud);
  CHECK(printed.feeds[0].pace == Feed{}.pace);
  CHECK(printed.antenna.already_reduced_by_receiver == absent.antenna.already_reduced_by_receiver);
  CHECK(printed.sources[0].error_scale == absent.sources[0].error_scale);
  CHECK(printed.sources[0].error_floor_m.horizontal_m == absent.sources[0].error_floor_m.horizontal_m);
  CHECK(printed.sources[0].unproven_margin == absent.sources[0].unproven_margin);
  CHECK(printed.sources[0].error_scale_evidence.has_value() == absent.sources[0].error_scale_evidence.has_value());
  CHECK(printed.sources[0].error_floor_m.vertical_m == absent.sources[0].error_floor_m.vertical_m);
  const Gate& a = printed.sources[0].gate;
  const Gate& b = absent.sources[0].gate;
  CHECK(a.coast_growth_m_per_min == b.coast_growth_m_per_min);
  CHECK(a.age_missing == b.age_missing);
  CHECK(a.max_hdop == b.max_hdop);
  CHECK(a.max_pdop == b.max_pdop);
  CHECK(a.min_satellites == b.min_satellites);
  CHECK(a.max_error95_horizontal_m == b.max_error95_horizontal_m);
  CHECK(a.max_error95_vertical_m == b.max_error95_vertical_m);
  CHECK(a.max_speed_mps == b.max_speed_mps);
  CHECK(a.settle_s == b.settle_s);
  CHECK(a.min_minute_decimals == b.min_minute_decimals);
  CHECK(a.min_altitude_decimals == b.min_altitude_decimals);
  CHECK(printed.occupation.min_epochs == absent.occupation.min_epochs);
  CHECK(printed.occupation.min_duration_s == absent.occupation.min_duration_s);
  CHECK(printed.occupation.max_duration_s == absent.occupation.max_duration_s);
  CHECK(printed.occupation.finish_at_error95_m.has_value() == absent.occupation.finish_at_error95_m.has_value());
  CHECK(printed.relay.listen == absent.relay.listen);
  CHECK(printed.relay.terminal == absent.relay.terminal);
  CHECK(printed.relay.writers == absent.relay.writers);
  CHECK(printed.relay.token == absent.relay.token);
  CHECK(printed.relay.silence_s == absent.relay.silence_s);
  CHECK(printed.relay.beyond_this_machine == absent.relay.beyond_this_machine);
  CHECK(printed.alerts.run == absent.alerts.run);
  CHECK(printed.alerts.check_due_min == absent.alerts.check_due_min);
  CHECK(printed.alerts.disk_free_mib == absent.alerts.disk_free_mib);
  CHECK(printed.page.listen == absent.page.listen);
  CHECK(printed.page.beyond_this_machine == absent.page.beyond_this_machine);
  CHECK(printed.control.socket == absent.control.socket);
}

TEST_CASE("every key behind # is valid where it stands") {
  // All at once, but for the slant, which excludes the parts, and the velocity, which is then without effect.
  std::string text;
  std::size_t opened = 0;
  for (const std::string& line : lines_of(filled_in())) {
    const std::string bare = uncommented(line);
    const bool excluded = bare.rfind("slant_m", 0) == 0;
    text += (bare.empty() || excluded ? line : bare) + "\n";
    if (!bare.empty()) ++opened;
  }
  CHECK(opened > 25);
  const Loaded loaded = parse(text, "/srv/day.toml");
  CHECK_MESSAGE(loaded.errors.empty(), all(loaded));
  CHECK(loaded.settings.feeds.size() == 4);
  CHECK(loaded.settings.sources[0].gate.max_hdop == 2.0);
  const std::string slant = with(with(filled_in(), "vertical_parts_m = {", "# {"), "# slant_m", "slant_m");
  CHECK_MESSAGE(parse(slant, "day.toml").errors.empty(), all(parse(slant, "day.toml")));
}

TEST_CASE("every accepted key is really read: a date in its place is an error that names it") {
  for (const KeyTable& table : key_tables()) {
    for (const std::string_view key : table.keys) {
      const std::string path = table.name.empty() ? std::string(key) : std::string(table.name) + "." + std::string(key);
      CAPTURE(path);
      const Loaded loaded = parse(dated(table.name, key), "day.toml");
      const std::string needle = std::string(key) + " is a date or time, give ";
      CHECK(all(loaded).find(needle) != std::string::npos);
      CHECK(all(loaded).find("no such key") == std::string::npos);
    }
  }
}

}  // namespace stillpoint::config::test
