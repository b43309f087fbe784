#include "session/visits.hpp"

#include <map>

#include "base/csv.hpp"
#include "base/typed.hpp"
#include "base/utf8.hpp"
#include "session/sentences.hpp"

namespace stillpoint::session {
namespace {

constexpr std::string_view kHeader = "name,start_utc,end_utc,code";

std::string in_quotes(std::string_view text) {
  return '"' + shown(text) + '"';
}

Result<PlannedVisit> visit_of(std::string_view line, const std::string& where) {
  if (!is_utf8(line)) return fail(kSayOfFile.at(where, kSayOfFile.no_utf8(in_quotes(line.substr(0, 80)))));
  const auto fields = csv_fields(line);
  if (!fields) return fail(kSayOfFile.at(where, kSayOfFile.open_quote()));
  if (fields->size() != 4) {
    return fail(kSayOfFile.at(where, kSayOfFile.fields(std::to_string(fields->size()), kHeader)));
  }
  PlannedVisit out;
  out.name = (*fields)[0];
  out.code = (*fields)[3];
  out.start = parse_utc((*fields)[1]);
  out.end = parse_utc((*fields)[2]);
  if (out.name.empty()) return fail(kSayOfFile.at(where, kSayOfFile.empty_name()));
  for (const std::string& fault : {typed_fault(kSayOfFile.the_name(), out.name, kLongestName),
                                   typed_fault(kSayOfFile.the_code(), out.code, kLongestCode)}) {
    if (!fault.empty()) return fail(kSayOfFile.at(where, fault));
  }
  if (!out.start) return fail(kSayOfFile.at(where, kSayOfFile.bad_start(in_quotes((*fields)[1]))));
  if (!out.end) return fail(kSayOfFile.at(where, kSayOfFile.bad_end(in_quotes((*fields)[2]))));
  if (*out.end <= *out.start) return fail(kSayOfFile.at(where, kSayOfFile.ends_early(out.name)));
  return out;
}

}  // namespace

Result<std::vector<PlannedVisit>> parse_visits(std::string_view csv, const std::string& path) {
  csv = without_byte_order_mark(csv);
  if (const auto header = next_line(csv); header != kHeader) {
    return fail(kSayOfFile.bad_header(path, kHeader));
  }
  std::vector<PlannedVisit> out;
  std::map<std::string, int> visits;
  for (int number = 2; !csv.empty(); ++number) {
    const std::string_view line = next_line(csv);
    if (line.empty()) continue;
    auto visit = visit_of(line, path + ", line " + std::to_string(number));
    if (!visit) return tl::unexpected(visit.error());
    visit->visit = ++visits[visit->name];
    out.push_back(std::move(*visit));
  }
  if (out.empty()) return fail(kSayOfFile.no_visit(path));
  return out;
}

}  // namespace stillpoint::session
