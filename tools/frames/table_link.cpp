#include "table_link.hpp"

#include "ntrip/reply.hpp"
#include "sentences.hpp"

namespace stillpoint::frames {
namespace {

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

}  // namespace

Result<ntrip::SourceTable> table_of(const std::string& host, int port, const Encryption& encryption) {
  ntrip::Request request{ntrip::Version::v2, host, port, ""};
  auto table = asked(request, encryption);
  if (!table) {  // a caster of the first version may not understand the second
    request.version = ntrip::Version::v1;
    if (auto older = asked(request, encryption)) table = std::move(older);
  }
  if (!table) return tl::unexpected(table.error());
  return ntrip::source_table_of(*table);
}

}  // namespace stillpoint::frames
