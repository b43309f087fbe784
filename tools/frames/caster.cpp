#include "caster.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <vector>

#include "base/number.hpp"
#include "ntrip/reply.hpp"
#include "ntrip/request.hpp"
#include "page.hpp"
#include "sentences.hpp"
#include "stream.hpp"

namespace stillpoint::frames {
namespace {

constexpr double kMetresPerKm = 1000;

Result<std::string> asked(const ntrip::Request& request, const Encryption& encryption) {
  auto stream = Stream::open(request.host, request.port, encryption);
  if (!stream) return tl::unexpected(stream.error());
  if (!stream->send(ntrip::text_of(request)))
    return fail(kSay.no_answer_from(request.host, std::to_string(request.port)));
  ntrip::Reply reply;
  std::string corrections;
  for (std::string piece; !reply.has_ended() && stream->receive(piece);) {
    reply.push(piece, corrections);
    if (reply.outcome() == ntrip::Outcome::corrections) break;
  }
  if (reply.outcome() == ntrip::Outcome::table) return reply.table();
  const std::string fault = reply.fault(true);
  return fail(fault.empty() ? kSay.no_table(request.host) : fault);
}

struct Row {
  const ntrip::Mount* mount;
  std::optional<double> far_m;
};

std::string line_of(const Row& row) {
  const ntrip::Mount& mount = *row.mount;
  std::string wants;
  if (mount.wants_position) wants += kSay.wants_position();
  if (mount.wants_login) wants += (wants.empty() ? "" : ", ") + kSay.wants_login();
  const std::string far = row.far_m ? fixed(*row.far_m / kMetresPerKm, 1) + " km" : "?";
  std::string line = right(far, 11) + "  " + left(mount.name, 18) + "  " + left(mount.format, 10) + "  " +
                     (mount.is_network ? "network" : "       ") + "  " + wants;
  line.erase(line.find_last_not_of(' ') + 1);
  return line + "\n";
}

}  // namespace

std::string mounts_page(const ntrip::SourceTable& table, const std::string& caster, const geodesy::Geographic& place) {
  std::vector<Row> rows;
  const geodesy::LocalFrame here(place);
  for (const ntrip::Mount& mount : table.mounts) {
    Row row{&mount, {}};
    if (mount.latitude_deg && mount.longitude_deg) {
      const geodesy::Enu off = here.to_enu({*mount.latitude_deg, *mount.longitude_deg, place.ellipsoid_height_m});
      row.far_m = std::hypot(off.east_m, off.north_m, off.up_m);
    }
    rows.push_back(row);
  }
  std::stable_sort(rows.begin(), rows.end(),
                   [](const Row& a, const Row& b) { return a.far_m && (!b.far_m || *a.far_m < *b.far_m); });
  std::string out = kSay.mounts(caster, std::to_string(rows.size())) + "\n\n";
  if (!rows.empty()) out += std::string(kLaidOut.mount_columns()) + "\n";
  for (const Row& row : rows) out += line_of(row);
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
  ntrip::Request request{ntrip::Version::v2, host, static_cast<int>(*port), ""};
  if (!ntrip::request_fault(request).empty()) return fail(kSay.no_caster_name(caster));
  auto table = asked(request, encryption);
  if (!table) {  // a caster of the first version may not understand the second
    request.version = ntrip::Version::v1;
    if (auto older = asked(request, encryption)) table = std::move(older);
  }
  if (!table) return tl::unexpected(table.error());
  return mounts_page(ntrip::source_table_of(*table), caster, place);
}

}  // namespace stillpoint::frames
