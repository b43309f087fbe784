#include "caster.hpp"

#include "base/number.hpp"
#include "ntrip/request.hpp"
#include "page.hpp"
#include "sentences.hpp"
#include "setup/mounts.hpp"
#include "table_link.hpp"

namespace stillpoint::frames {
namespace {

std::string line_of(const setup::MountHere& row) {
  const ntrip::Mount& mount = *row.mount;
  std::string wants;
  if (mount.wants_position) wants += kSay.wants_position();
  if (mount.wants_login) wants += (wants.empty() ? "" : ", ") + kSay.wants_login();
  const std::string far = row.far_km ? fixed(*row.far_km, 1) + " km" : "?";
  std::string line = right(far, 11) + "  " + left(mount.name, 18) + "  " + left(mount.format, 10) + "  " +
                     (mount.is_network ? "network" : "       ") + "  " + wants;
  line.erase(line.find_last_not_of(' ') + 1);
  return line + "\n";
}

}  // namespace

std::string mounts_page(const ntrip::SourceTable& table, const std::string& caster, const geodesy::Geographic& place) {
  const auto rows = setup::by_distance(table, place);
  std::string out = kSay.mounts(caster, std::to_string(rows.size())) + "\n\n";
  if (!rows.empty()) out += std::string(kLaidOut.mount_columns()) + "\n";
  for (const setup::MountHere& row : rows) out += line_of(row);
  if (table.left_out > 0) out += "\n" + kSay.left_out(std::to_string(table.left_out)) + "\n";
  return out + "\n" + wrapped(kSay.table_proves_nothing());
}

Result<std::string> mounts_of(const std::string& caster, const geodesy::Geographic& place,
                              const Encryption& encryption) {
  const auto colon = caster.rfind(':');
  const auto port = colon == std::string::npos ? std::nullopt : parse_integer(caster.substr(colon + 1));
  if (!port || *port < 1 || *port > 65535) return fail(kSay.no_caster_name(caster));
  std::string host = caster.substr(0, colon);
  if (host.starts_with('[') && host.ends_with(']')) host = host.substr(1, host.size() - 2);
  const ntrip::Request request{ntrip::Version::v2, host, static_cast<int>(*port), ""};
  if (!ntrip::request_fault(request).empty()) return fail(kSay.no_caster_name(caster));
  const auto table = table_of(host, static_cast<int>(*port), encryption);
  if (!table) return tl::unexpected(table.error());
  return mounts_page(*table, caster, place);
}

}  // namespace stillpoint::frames
