#include "session/visits.hpp"

#include <algorithm>
#include <map>

#include "base/csv.hpp"
#include "base/utf8.hpp"

namespace stillpoint::session {
namespace {

constexpr std::string_view kHeader = "name,start_utc,end_utc,code";

bool is_control(unsigned char c) noexcept {
  return c < 0x20 || c == 0x7F;
}

std::string in_quotes(std::string_view text) {
  return '"' + shown(text) + '"';
}

Result<PlannedVisit> visit_of(std::string_view line, const std::string& where) {
  if (!is_utf8(line))
    return fail(where + ": " + in_quotes(line.substr(0, 80)) + " is no UTF-8; save the file as UTF-8");
  const auto fields = csv_fields(line);
  if (!fields) return fail(where + ": a quote is left open");
  if (fields->size() != 4) {
    return fail(where + ": " + std::to_string(fields->size()) + " fields, 4 wanted (" + std::string(kHeader) + ")");
  }
  PlannedVisit out;
  out.name = (*fields)[0];
  out.code = (*fields)[3];
  out.start = parse_utc((*fields)[1]);
  out.end = parse_utc((*fields)[2]);
  if (out.name.empty()) return fail(where + ": the name is empty");
  for (const std::string* text : {&out.name, &out.code}) {
    if (std::any_of(text->begin(), text->end(), is_control)) {
      return fail(where + ": " + in_quotes(*text) + " holds a control character");
    }
  }
  if (!out.start)
    return fail(where + ": start " + in_quotes((*fields)[1]) + " is not a time like 2026-06-03T14:05:10Z");
  if (!out.end) return fail(where + ": end " + in_quotes((*fields)[2]) + " is not a time like 2026-06-03T14:05:10Z");
  if (*out.end <= *out.start) return fail(where + ": " + out.name + " ends before it starts");
  return out;
}

}  // namespace

Result<std::vector<PlannedVisit>> parse_visits(std::string_view csv, const std::string& path) {
  csv = without_byte_order_mark(csv);
  if (const auto header = next_line(csv); header != kHeader) {
    return fail(path + ", line 1: the header must be " + std::string(kHeader));
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
  if (out.empty()) return fail(path + ": no visit in it; add a line below the header");
  return out;
}

}  // namespace stillpoint::session
