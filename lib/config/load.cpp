#include "config/load.hpp"

#include <cerrno>
#include <filesystem>
#include <system_error>
#include <utility>

#include "base/plain_file.hpp"
#include "base/utf8.hpp"
#include "config/parts.hpp"
#include "config/redo.hpp"
#include "config/sentences.hpp"

namespace stillpoint::config {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kLargestFileBytes = 1024 * 1024;

fs::path folder_of(const std::string& path) {
  std::error_code failed;
  const fs::path whole = fs::absolute(path, failed);
  return (failed ? fs::path(path) : whole).parent_path();
}

std::string under(const fs::path& folder, const std::string& name) {
  return (folder / name).lexically_normal().string();
}

Error too_large(const std::string& path) {
  return Error{kSay.too_large(path)};
}

void read_all(const Value& tree, Settings& out, Context& context) {
  Section top(context.report, &tree, "", TableId::top, 1);
  read_project(top, out.project, context);
  read_feeds(top, out.feeds, context);
  read_antenna(top, out.antenna, context);
  read_sources(top, out.sources, context);
  read_occupation(top, out.occupation);
  read_services(top, out, context);
  if (out.corrections.is_on() && !out.takes_corrections()) context.notes.push_back(kSay.no_feed_takes_corrections());
}

/// `listen`, an address of this machine unless `beyond_this_machine` says that others may come. Whoever gives one that
/// others can reach is told of that key.
void read_listen(Section& table, std::string& listen, bool& beyond_this_machine) {
  constexpr std::string_view kHere = kSay.address_here.words();
  constexpr std::string_view kAny = kSay.address_any.words();
  table.read("beyond_this_machine", beyond_this_machine);
  const std::string_view what = beyond_this_machine ? kAny : kHere;
  const bool given = table.read("listen", listen, {what, 64});
  if (!given || (beyond_this_machine ? is_listen(listen) : is_loopback_listen(listen))) return;
  const bool others = !beyond_this_machine && is_listen(listen);
  const std::string value = in_quotes(listen);
  table.complain("listen", others ? kSay.listen_to_others(value, what) : kSay.wrong(value, what));
}

/// Who may write: user names or numbers.
void read_writers(Section& relay, std::vector<std::string>& out) {
  constexpr std::string_view kWhat = kSay.user_names.words();
  const Value* list = relay.array("writers", kWhat);
  if (list == nullptr) return;
  for (const Value& item : list->items) {
    const bool usable = item.kind == Value::Kind::text && !item.text.empty() && item.text.size() <= 64 &&
                        !has_control_characters(item.text);
    if (!usable) {
      relay.complain_at(item.line, "writers", kSay.holds(describe(item), kWhat));
      return;
    }
    out.push_back(item.text);
  }
}

void read_relay(Section& top, Relay& out, Context& context) {
  auto relay = top.inner("relay", TableId::relay);
  if (!relay) return;
  read_listen(*relay, out.listen, out.beyond_this_machine);
  read_path(*relay, "terminal", out.terminal, context);
  read_writers(*relay, out.writers);
  if (relay->read("token", out.token, {kSay.token.words(), 200}) && out.token.size() < 12) {
    relay->complain("token", kSay.short_token());
  }
  relay->read("silence_s", out.silence_s, {1, 3600, false, "s"});
}

void read_run(Section& alerts, std::vector<std::string>& out, const Context& context) {
  constexpr std::string_view kWhat = kSay.run.words();
  const Value* list = alerts.array("run", kWhat);
  if (list == nullptr) return;
  for (const Value& item : list->items) {
    const bool usable = item.kind == Value::Kind::text && item.text.size() <= 4096 &&
                        !has_control_characters(item.text) && !(out.empty() && item.text.empty());
    if (!usable) {
      alerts.complain_at(item.line, "run", kSay.holds(describe(item), kWhat));
      return;
    }
    out.push_back(item.text);
  }
  // A bare program name is looked up in PATH; one with a folder in it starts, like every path, at this file.
  if (!out.empty() && out.front().find('/') != std::string::npos) out.front() = under(context.folder, out.front());
}

/// A bare grid name that lies beside the configuration means that file; otherwise it is left for PROJ to find.
void settle_grid(Settings& settings) {
  auto& geoid = settings.project.geoid;
  if (!geoid || geoid->grid.empty() || geoid->grid.find('/') != std::string::npos) return;
  const fs::path beside = folder_of(settings.path) / geoid->grid;
  std::error_code ignored;
  if (fs::is_regular_file(beside, ignored)) geoid->grid = beside.lexically_normal().string();
}

Result<std::string> read_file(const std::string& path) {
  std::error_code failed;
  if (const std::string whole = fs::absolute(path, failed).string(); !is_utf8(whole)) {
    return fail(kSay.path_no_utf8(shown(whole)));
  }
  auto text = read_plain_file(path, kLargestFileBytes);
  if (text) return std::move(*text);
  switch (text.error().what) {
    case FileTrouble::missing:
      return fail(kSay.no_file(path));
    case FileTrouble::folder:
      return fail(kSay.is_folder(path));
    case FileTrouble::no_file:
      return fail(kSay.no_plain_file(path));
    case FileTrouble::too_large:
      return tl::unexpected(too_large(path));
    case FileTrouble::unreadable:
      break;
  }
  return fail(kSay.unreadable(path));
}

}  // namespace

bool read_path(Section& section, std::string_view key, std::string& out, const Context& context, Need need) {
  std::string name;
  if (!section.read(key, name, {kSay.a_path.words(), 4096}, need)) return false;
  if (name.front() == '~') {
    section.complain(key, kSay.tilde(in_quotes(name)));
    return false;
  }
  out = under(context.folder, name);
  return true;
}

void read_services(Section& top, Settings& out, Context& context) {
  read_relay(top, out.relay, context);
  read_corrections(top, out.corrections, context);
  if (auto alerts = top.inner("alerts", TableId::alerts)) {
    read_run(*alerts, out.alerts.run, context);
    alerts->read("check_due_min", out.alerts.check_due_min, {1, 10080, false, "min"});
    alerts->read("disk_free_mib", out.alerts.disk_free_mib, {0, 10000000, false, "MiB"});
  }
  if (auto page = top.inner("page", TableId::page)) {
    read_listen(*page, out.page.listen, out.page.beyond_this_machine);
  }
  if (auto control = top.inner("control", TableId::control)) read_path(*control, "socket", out.control.socket, context);
  if (auto checks = top.inner("checks", TableId::checks)) {
    read_path(*checks, "marks", out.checks.marks, context);
  }
}

Loaded parse(std::string_view toml_text, const std::string& path) {
  Loaded out;
  out.settings.path = path;
  if (toml_text.size() > kLargestFileBytes) {
    out.errors.push_back(too_large(path));
    return out;
  }
  const auto tree = parse_tree(toml_text, path);
  if (!tree) {
    out.errors.push_back(tree.error());
    return out;
  }
  Report report(path);
  Context context{report, out.notes, folder_of(path)};
  out.settings.project.pointbook = under(context.folder, kDefaultPointbook);
  out.settings.project.record = under(context.folder, kDefaultRecord);
  out.settings.control.socket = under(context.folder, kDefaultSocket);
  read_all(*tree, out.settings, context);
  out.errors = report.take();
  return out;
}

Loaded load(const std::string& path) {
  const auto text = read_file(path);
  if (!text) {
    Loaded out;
    out.settings.path = path;
    out.errors.push_back(text.error());
    return out;
  }
  Loaded out = parse(*text, path);
  settle_grid(out.settings);
  return out;
}

Loaded load_corrected(const std::string& path, std::span<const Redo> redos) {
  Loaded out = load(path);
  if (!out.errors.empty()) return out;
  const auto text = read_file(path);
  auto tree = text ? parse_tree(*text, path) : Result<Value>(tl::unexpected(text.error()));
  if (!tree) {
    out.errors.push_back(tree.error());
    return out;
  }
  for (const Redo& redo : redos) lay_over(*tree, redo, out.settings, out.errors);
  return out;
}

}  // namespace stillpoint::config
