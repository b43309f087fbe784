#include <algorithm>

#include "config/parts.hpp"
#include "config/sentences.hpp"

namespace stillpoint::config {
namespace {

constexpr std::size_t kLongestName = 128;  // of a mount point, as it can be asked for

/// A URL has no place here: it may hold a login, and its host is not where one would look for it.
bool is_host(const std::string& host) noexcept {
  return std::all_of(host.begin(), host.end(),
                     [](char c) { return c > ' ' && c <= '~' && c != '/' && c != '@' && c != '?' && c != '#'; });
}

void read_caster(Section& table, Corrections& out) {
  std::string caster;
  if (!table.read("caster", caster, {kSay.caster.words(), 260}, Need::required)) return;
  auto parts = host_and_port(caster);
  if (!parts || !is_host(parts->first)) {
    table.complain("caster", kSay.wrong(in_quotes(caster), kSay.caster.words()));
    return;
  }
  out.host = std::move(parts->first);
  out.port = parts->second;
}

void read_mount(Section& table, std::string& out) {
  if (!table.read("mount", out, {kSay.mount.words(), kLongestName}, Need::required)) return;
  const bool one_word = std::all_of(out.begin(), out.end(), [](char c) { return c > ' ' && c <= '~' && c != '/'; });
  if (!one_word) table.complain("mount", kSay.wrong(in_quotes(out), kSay.mount_word.words()));
}

void read_version(Section& table, CasterVersion& out) {
  std::optional<double> version;
  if (!table.read_or_word("version", version, {1, 2, false, {}}, "auto") || !version) return;
  if (*version != 1.0 && *version != 2.0) return table.complain("version", kSay.version_not_known());
  out = *version == 1.0 ? CasterVersion::first : CasterVersion::second;
}

}  // namespace

void read_corrections(Section& top, Corrections& out, Context& context) {
  auto table = top.inner("corrections", TableId::corrections);
  if (!table) return;
  read_caster(*table, out);
  read_mount(*table, out.mount);
  read_version(*table, out.version);
  table->read("tls", out.tls);
  if (read_path(*table, "authority", out.authority, context) && !out.tls) {
    table->complain("authority", kSay.authority_without_tls());
  }
  read_path(*table, "credentials", out.credentials, context);
  table->read("send_position", out.send_position);
}

}  // namespace stillpoint::config
