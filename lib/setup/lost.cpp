#include <set>

#include "config/tree.hpp"
#include "setup/course.hpp"
#include "setup/sentences.hpp"

namespace stillpoint::setup {
namespace {

void keys_of(const config::Value& value, const std::string& path, std::set<std::string>& out) {
  for (const config::Entry& entry : value.entries) {
    const std::string key = path.empty() ? entry.key : path + '.' + entry.key;
    out.insert(key);
    keys_of(entry.value, key, out);
    for (const config::Value& item : entry.value.items) keys_of(item, key, out);
  }
}

}  // namespace

std::string lost_keys(const std::string& old, const std::string& text, const std::string& path) {
  const auto before = config::parse_tree(old, path), after = config::parse_tree(text, path);
  if (!before || !after) return std::string(kSay.unreadable_file());
  std::set<std::string> had, has;
  keys_of(*before, "", had);
  keys_of(*after, "", has);
  std::string out;
  for (const std::string& key : had) {
    if (!has.contains(key)) out += (out.empty() ? "" : ", ") + key;
  }
  return out.empty() ? std::string(kSay.values_only()) : out;
}

}  // namespace stillpoint::setup
