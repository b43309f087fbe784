#include <algorithm>
#include <utility>

#include "config/parts.hpp"
#include "config/sentences.hpp"

namespace stillpoint::config {
namespace {

// A time outside these years makes the plate-motion parameters meaningless.
constexpr Range kDecimalYear{1980, 2100, false, kSay.decimal_year.words()};
constexpr Range kVelocity{-1000, 1000, false, "mm a year"};
constexpr Range kGeoidError{0, 10, false, "m"};

void read_velocity(Section& project, Project& out) {
  auto table = project.inner("site_velocity_mm_per_year", TableId::velocity);
  if (!table) return;
  SiteVelocity velocity;
  const bool east = table->read("east", velocity.east_mm_per_year, kVelocity, Need::required);
  const bool north = table->read("north", velocity.north_mm_per_year, kVelocity, Need::required);
  const bool up = table->read("up", velocity.up_mm_per_year, kVelocity, Need::required);
  if (east && north && up) out.site_velocity_mm_per_year = velocity;
}

bool is_sha256(const std::string& text) {
  return text.size() == 64 && text.find_first_not_of("0123456789abcdef") == std::string::npos;
}

/// A bare file name may be one of PROJ's own grids, so only a name with a folder in it is made absolute here.
void read_grid(Section& table, Geoid& out, const Context& context) {
  std::string name;
  if (!table.read("grid", name, {kSay.geoid_grid.words(), 4096}, Need::required)) return;
  out.grid = name;
  if (name.find('/') != std::string::npos) read_path(table, "grid", out.grid, context);
}

void read_geoid(Section& project, Project& out, const Context& context) {
  auto table = project.inner("geoid", TableId::geoid);
  if (!table) return;
  Geoid geoid;
  read_grid(*table, geoid, context);
  table->read("name", geoid.name, {kSay.geoid_name.words()}, Need::required);
  table->read("frame", geoid.frame, {kSay.geoid_frame.words()}, Need::required);
  if (table->read("sha256", geoid.sha256, {kSay.sha256.words()})) {
    std::transform(geoid.sha256.begin(), geoid.sha256.end(), geoid.sha256.begin(),
                   [](char c) { return c >= 'A' && c <= 'F' ? static_cast<char>(c - 'A' + 'a') : c; });
    if (!is_sha256(geoid.sha256)) {
      table->complain("sha256", kSay.wrong(in_quotes(geoid.sha256), kSay.sha256()));
    }
  }
  if (!table->read("error_m", geoid.error_m, kGeoidError)) context.notes.push_back(kSay.no_geoid_error());
  out.geoid = std::move(geoid);
}

void read_areas_looked_at(Section& project, std::vector<std::string>& out) {
  constexpr std::string_view kWhat = kSay.areas_looked_at.words();
  const Value* list = project.array("area_looked_at", kWhat);
  if (list == nullptr) return;
  for (const Value& item : list->items) {
    if (item.kind == Value::Kind::text && !item.text.empty()) {
      out.push_back(item.text);
    } else {
      project.complain_at(item.line, "area_looked_at", kSay.holds(describe(item), kWhat));
    }
  }
}

void read_contact(Section& project, Project& out) {
  auto table = project.inner("contact", TableId::contact);
  if (!table) return;
  Contact contact;
  const bool name = table->read("name", contact.name, {kSay.contact_name.words(), 200});
  const bool organisation = table->read("organisation", contact.organisation, {kSay.contact_organisation.words(), 200});
  if (table->read("email", contact.email, {kSay.contact_email.words(), 254}) &&
      contact.email.find('@') == std::string::npos) {
    table->complain("email", kSay.wrong(in_quotes(contact.email), kSay.contact_email()));
  }
  if (!name && !organisation && !table->has("name") && !table->has("organisation"))
    project.complain("contact", kSay.contact_nobody());
  out.contact = std::move(contact);
}

/// Whether the machine knows the zone is for whoever shows times to find out.
void read_local_time(Section& project, std::string& out) {
  constexpr std::string_view kLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_+-/";
  if (!project.read("local_time", out, {kSay.local_time.words(), 64, true})) return;
  const bool is_name = out.find_first_not_of(kLetters) == std::string::npos && !out.starts_with('/');
  if (!is_name) project.complain("local_time", kSay.wrong(in_quotes(out), kSay.local_time()));
}

void check_project(Section& project, const Project& out, Context& context) {
  if (out.coordinate_epoch && !project.has("site_velocity_mm_per_year")) {
    project.complain("coordinate_epoch", kSay.no_velocity());
  }
  if (!out.coordinate_epoch && out.site_velocity_mm_per_year) {
    context.notes.push_back(kSay.velocity_unused());
  }
  if (out.height == HeightKind::orthometric && !project.has("geoid")) {
    project.complain("height", kSay.no_geoid());
  }
  if (out.height == HeightKind::ellipsoid && out.geoid) {
    context.notes.push_back(kSay.geoid_beside());
  }
}

}  // namespace

bool read_per_axis(Section& section, PerAxis& out, const Range& range, Need need) {
  PerAxis both = out;
  const bool horizontal = section.read("horizontal", both.horizontal_m, range, need);
  const bool vertical = section.read("vertical", both.vertical_m, range, need);
  if (horizontal) out.horizontal_m = both.horizontal_m;
  if (vertical) out.vertical_m = both.vertical_m;
  return horizontal && vertical;
}

void read_project(Section& top, Project& out, Context& context) {
  const Value* value = top.table("project", Need::required);
  if (value == nullptr) return;
  Section project(context.report, value, "project.", TableId::project, top.line_of("project"));
  project.read("name", out.name, {kSay.project_name.words(), 200, true});
  project.read("crew", out.crew, {kSay.crew_name.words(), 200, true});
  read_contact(project, out);
  read_local_time(project, out.local_time);
  if (const auto unit = project.choose("units", {"m", "ft", "ft-us"})) out.units = static_cast<LengthUnit>(*unit);
  project.read("frame", out.frame, {kSay.project_frame.words()}, Need::required);
  project.read_or_word("coordinate_epoch", out.coordinate_epoch, kDecimalYear, "observation");
  read_velocity(project, out);
  if (const auto height = project.choose("height", {"ellipsoid", "orthometric"})) {
    out.height = *height == 1 ? HeightKind::orthometric : HeightKind::ellipsoid;
  }
  if (auto wanted = project.inner("wanted_error95_m", TableId::wanted_error)) {
    PerAxis both;
    if (read_per_axis(*wanted, both, {0, 1000, true, "m"}, Need::required)) out.wanted_error95_m = both;
  }
  if (const auto dates = project.choose("archive_dates", {"as-recorded", "rolled-over"})) {
    out.archive_dates = *dates == 1 ? ArchiveDates::rolled_over : ArchiveDates::as_recorded;
  }
  read_geoid(project, out, context);
  read_areas_looked_at(project, out.area_looked_at);
  read_path(project, "plan", out.plan, context);
  read_path(project, "pointbook", out.pointbook, context);
  read_path(project, "record", out.record, context);
  check_project(project, out, context);
}

void read_occupation(Section& top, OccupationRule& out) {
  auto table = top.inner("occupation", TableId::occupation);
  if (!table) return;
  table->read("min_epochs", out.min_epochs, {1, 1000000, false, "epochs"});
  table->read("min_duration_s", out.min_duration_s, {0, 86400, false, "s"});
  table->read("max_duration_s", out.max_duration_s, {0, 86400, true, "s"});
  if (out.max_duration_s < out.min_duration_s) {
    table->complain(table->has("max_duration_s") ? "max_duration_s" : "min_duration_s", kSay.short_occupation());
  }
  if (auto finish = table->inner("finish_at_error95_m", TableId::finish)) {
    PerAxis both;
    if (read_per_axis(*finish, both, {0, 1000, true, "m"}, Need::required)) out.finish_at_error95_m = both;
  }
}

}  // namespace stillpoint::config
