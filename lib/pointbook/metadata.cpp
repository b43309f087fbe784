#include "pointbook/metadata.hpp"

#include <sqlite3.h>

#include "base/identity.hpp"
#include "base/number.hpp"
#include "pointbook/geometry.hpp"
#include "pointbook/metadata_sentences.hpp"
#include "pointbook/schema.hpp"
#include "pointbook/xml.hpp"

namespace stillpoint::pointbook {
namespace {

constexpr std::string_view kStandard = "http://www.isotc211.org/2005/gmd";
constexpr std::string_view kCodeLists =
    "http://standards.iso.org/iso/19139/resources/gmxCodelists.xml#";  // ISO/TS 19139:2007, annex A

std::string text(std::string_view value) {
  return element("gco:CharacterString", value);
}

std::string in(std::string_view name, const std::string& inner) {
  const std::string tag = "gmd:" + std::string(name);
  return "<" + tag + ">" + inner + "</" + tag + ">\n";
}

/// A member that the standard demands and nobody knows.
std::string missing(std::string_view name) {
  return "<gmd:" + std::string(name) + " gco:nilReason=\"missing\"/>\n";
}

std::string code(std::string_view list, std::string_view value) {
  const std::string name(list), word(value);
  return "<gmd:" + name + " codeList=\"" + std::string(kCodeLists) + name + "\" codeListValue=\"" + word + "\">" +
         word + "</gmd:" + name + ">";
}

std::string language() {
  return in("language", code("LanguageCode", "eng"));
}

/// ISO 19115 demands a name, an organisation or a position of whoever is responsible.
std::string responsible(std::string_view member, const Contact& contact) {
  if (contact.name.empty() && contact.organisation.empty()) return missing(member);
  std::string party;
  if (!contact.name.empty()) party += in("individualName", text(contact.name));
  if (!contact.organisation.empty()) party += in("organisationName", text(contact.organisation));
  if (!contact.email.empty()) {
    const std::string address = in("CI_Address", in("electronicMailAddress", text(contact.email)));
    party += in("contactInfo", in("CI_Contact", in("address", address)));
  }
  party += in("role", code("CI_RoleCode", "pointOfContact"));
  return in(member, in("CI_ResponsibleParty", party));
}

std::string reference_system(std::string_view identifier, std::string_view space) {
  const std::string inner = in("code", text(identifier)) + (space.empty() ? "" : in("codeSpace", text(space)));
  return in("referenceSystemInfo",
            in("MD_ReferenceSystem", in("referenceSystemIdentifier", in("RS_Identifier", inner))));
}

/// `EPSG:6319` as a name in a space.
std::string reference_systems(const Account& account) {
  const std::size_t colon = account.frame.find(':');
  const bool split = colon != std::string::npos;
  std::string out = reference_system(split ? account.frame.substr(colon + 1) : account.frame,
                                     split ? account.frame.substr(0, colon) : std::string());
  if (!account.geoid.empty()) out += reference_system(kSayOfData.vertical_frame(account.geoid), "");
  return out;
}

std::string decimal(double degrees) {
  return "<gco:Decimal>" + fixed(degrees, 7) + "</gco:Decimal>";
}

std::string extent(const Account& account) {
  if (!account.longitude_deg || !account.latitude_deg) return missing("extent");
  const auto& [west, east] = *account.longitude_deg;
  const auto& [south, north] = *account.latitude_deg;
  std::string out = in("geographicElement",
                       in("EX_GeographicBoundingBox",
                          in("westBoundLongitude", decimal(west)) + in("eastBoundLongitude", decimal(east)) +
                              in("southBoundLatitude", decimal(south)) + in("northBoundLatitude", decimal(north))));
  if (account.measured) {
    const std::string period = "<gml:TimePeriod gml:id=\"measured\">" +
                               element("gml:beginPosition", account.measured->first) +
                               element("gml:endPosition", account.measured->second) + "</gml:TimePeriod>";
    out += in("temporalElement", in("EX_TemporalExtent", in("extent", period)));
  }
  return in("extent", in("EX_Extent", out));
}

std::string title_of(const Account& account) {
  const std::string name = account.project.empty() ? std::string(kSayOfData.no_project()) : account.project;
  return account.training ? kSayOfData.training_title(name) : kSayOfData.title(name);
}

std::string abstract_of(const Account& account) {
  std::string out = kSayOfData.abstract(std::to_string(account.points), std::to_string(account.accepted),
                                        std::to_string(account.held));
  std::string crews;
  for (const std::string& crew : account.crews) crews += (crews.empty() ? "" : ", ") + crew;
  return crews.empty() ? out : out + " " + kSayOfData.crews(crews);
}

std::string limits(const Account& account) {
  std::string out = in("useLimitation", text(kSayOfData.limits()));
  if (account.training) out += in("useLimitation", text(kSayOfData.training_limits()));
  return in("resourceConstraints", in("MD_Constraints", out));
}

std::string identification(const Account& account) {
  const std::string date = in("CI_Date", in("date", element("gco:Date", account.begun.substr(0, 10))) +
                                             in("dateType", code("CI_DateTypeCode", "creation")));
  const std::string citation = in("CI_Citation", in("title", text(title_of(account))) + in("date", date));
  return in("identificationInfo",
            in("MD_DataIdentification",
               in("citation", citation) + in("abstract", text(abstract_of(account))) +
                   responsible("pointOfContact", account.contact) + limits(account) +
                   in("spatialRepresentationType", code("MD_SpatialRepresentationTypeCode", "vector")) + language() +
                   in("characterSet", code("MD_CharacterSetCode", "utf8")) +
                   in("topicCategory", element("gmd:MD_TopicCategoryCode", "location")) + extent(account)));
}

std::string accuracy(std::string_view measure, const std::string& meaning, std::optional<double> value_m) {
  const std::string value =
      value_m ? in("value", "<gco:Record>" + fixed(*value_m, 3) + "</gco:Record>") : missing("value");
  return in("report", in("DQ_AbsoluteExternalPositionalAccuracy",
                         in("nameOfMeasure", text(measure)) + in("measureDescription", text(meaning)) +
                             in("result", in("DQ_QuantitativeResult",
                                             "<gmd:valueUnit xlink:href=\"urn:ogc:def:uom:EPSG::9001\"/>\n" + value))));
}

std::string years(const std::pair<double, double>& range) {
  const std::string from = fixed(range.first, 2), to = fixed(range.second, 2);
  return from == to ? from : from + " to " + to;
}

std::string lineage(const Account& account) {
  std::string out = kSayOfData.lineage(account.frame, account.frame_name);
  out += " " + (account.geoid.empty() ? std::string(kSayOfData.ellipsoid_heights())
                                      : kSayOfData.heights_above(account.geoid));
  if (account.coordinate_epoch) {
    const std::string year = years(*account.coordinate_epoch);
    out += " " + (account.dynamic_frame ? kSayOfData.dynamic_epoch(year) : kSayOfData.static_epoch(year));
  }
  return out + " " +
         (account.checks == 0 ? std::string(kSayOfData.unchecked())
                              : kSayOfData.checked(std::to_string(account.checks), std::to_string(account.marks),
                                                   std::to_string(account.checks_passed)));
}

std::string quality(const Account& account) {
  std::string meaning(kSayOfData.meaning());
  if (account.scale_unverified) meaning += " " + std::string(kSayOfData.unverified());
  return in("dataQualityInfo",
            in("DQ_DataQuality", in("scope", in("DQ_Scope", in("level", code("MD_ScopeCode", "dataset")))) +
                                     accuracy(kSayOfData.horizontal_measure(), meaning, account.worst95_horizontal_m) +
                                     accuracy(kSayOfData.vertical_measure(), meaning, account.worst95_vertical_m) +
                                     in("lineage", in("LI_Lineage", in("statement", text(lineage(account)))))));
}

// ---- what the book holds ----

std::optional<double> real_or_none(Statement& row) {
  if (row.next_is_null()) return row.skip(), std::nullopt;
  return row.next_real();
}

Range<double> range(const std::optional<double>& from, const std::optional<double>& to) {
  if (!from || !to) return std::nullopt;
  return std::pair{*from, *to};
}

constexpr std::string_view kNewest =
    " FROM points AS p WHERE NOT EXISTS (SELECT 1 FROM points AS newer WHERE newer.supersedes = p.uuid)";

/// Points on both sides of 180 degrees lie around that, not around the rest of the Earth.
Range<double> around(const Range<double>& all, const std::optional<double>& least_east,
                     const std::optional<double>& most_west) {
  if (!all || all->second - all->first <= 180) return all;
  return range(least_east, most_west);
}

int read_points_of(Database& database, Account& out) {
  Statement row = database.prepare(
      "SELECT count(*), sum(status = 'accepted'), sum(status = 'held'), min(longitude_deg), max(longitude_deg),"
      " min(CASE WHEN longitude_deg >= 0 THEN longitude_deg END), max(CASE WHEN longitude_deg < 0 THEN longitude_deg"
      " END), min(latitude_deg), max(latitude_deg), min(coordinate_epoch), max(coordinate_epoch),"
      " max(CASE WHEN status = 'accepted' THEN error95_horizontal_m END),"
      " max(CASE WHEN status = 'accepted' THEN error95_vertical_m END),"
      " max(status = 'accepted' AND coalesce(flags, '') LIKE '%error-scale-not-verified%'), min(started_utc),"
      " max(finished_utc)" +
      std::string(kNewest));
  if (const int code = row.step(); code != SQLITE_ROW) return code;
  out.points = static_cast<std::uint64_t>(row.next_integer());
  out.accepted = static_cast<std::uint64_t>(row.next_integer());
  out.held = static_cast<std::uint64_t>(row.next_integer());
  const auto west = real_or_none(row), east = real_or_none(row);
  const auto least_east = real_or_none(row), most_west = real_or_none(row);
  out.longitude_deg = around(range(west, east), least_east, most_west);
  const auto south = real_or_none(row), north = real_or_none(row);
  out.latitude_deg = range(south, north);
  const auto from = real_or_none(row), to = real_or_none(row);
  out.coordinate_epoch = range(from, to);
  out.worst95_horizontal_m = real_or_none(row);
  out.worst95_vertical_m = real_or_none(row);
  out.scale_unverified = row.next_integer() != 0;
  const std::string first = row.next_text(), last = row.next_text();
  if (!first.empty() && !last.empty()) out.measured = std::pair{first, last};
  return SQLITE_OK;
}

int read_checks_of(Database& database, Account& out) {
  Statement row = database.prepare(
      "SELECT count(*), sum(passed), count(DISTINCT mark) FROM check_shots AS p WHERE NOT EXISTS"
      " (SELECT 1 FROM check_shots AS newer WHERE newer.supersedes = p.uuid)");
  if (const int code = row.step(); code != SQLITE_ROW) return code;
  out.checks = static_cast<std::uint64_t>(row.next_integer());
  out.checks_passed = static_cast<std::uint64_t>(row.next_integer());
  out.marks = static_cast<std::uint64_t>(row.next_integer());
  return SQLITE_OK;
}

int read_crews_of(Database& database, const std::string& configured, Account& out) {
  Statement row = database.prepare("SELECT DISTINCT crew FROM points WHERE crew IS NOT NULL ORDER BY crew");
  int code = SQLITE_ROW;
  while ((code = row.step()) == SQLITE_ROW) out.crews.push_back(row.next_text());
  if (out.crews.empty() && !configured.empty()) out.crews.push_back(configured);
  return code == SQLITE_DONE ? SQLITE_OK : code;
}

/// The row of `gpkg_metadata` that is ours, and what it says.
struct OwnRecord {
  std::int64_t id = 0;  ///< 0: there is none
  std::string xml;
};
OwnRecord own_record(Database& database, const std::string& identifier, int* code) {
  Statement select = database.prepare("SELECT id, metadata FROM gpkg_metadata WHERE instr(metadata, ?) > 0 LIMIT 1");
  const int result = select.valid() ? select.text(identifier).step() : SQLITE_ERROR;
  *code = result == SQLITE_ROW || result == SQLITE_DONE ? SQLITE_OK : result;
  OwnRecord out;
  if (result != SQLITE_ROW) return out;
  out.id = select.next_integer();
  out.xml = select.next_text();
  return out;
}

int insert_record(Database& database, const std::string& xml, const std::string& changed) {
  Statement record = database.prepare(
      "INSERT INTO gpkg_metadata (md_scope, md_standard_uri, mime_type, metadata) VALUES ('dataset', ?, 'text/xml', "
      "?)");
  if (const int code = record.valid() ? record.text(kStandard).text(xml).run() : SQLITE_ERROR; code != SQLITE_OK)
    return code;
  Statement reference = database.prepare(
      "INSERT INTO gpkg_metadata_reference (reference_scope, timestamp, md_file_id)"
      " VALUES ('geopackage', ?, last_insert_rowid())");
  return reference.valid() ? reference.text(changed).run() : SQLITE_ERROR;
}

int update_record(Database& database, std::int64_t id, const std::string& xml, const std::string& changed) {
  Statement record = database.prepare("UPDATE gpkg_metadata SET metadata = ? WHERE id = ?");
  if (const int code = record.text(xml).integer(id).run(); code != SQLITE_OK) return code;
  Statement reference = database.prepare("UPDATE gpkg_metadata_reference SET timestamp = ? WHERE md_file_id = ?");
  return reference.text(changed).integer(id).run();
}

}  // namespace

std::string iso_record(const Account& account) {
  std::string out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gmd:MD_Metadata xmlns:gmd=\"" +
                    std::string(kStandard) +
                    "\" xmlns:gco=\"http://www.isotc211.org/2005/gco\" xmlns:gml=\"http://www.opengis.net/gml/3.2\""
                    " xmlns:xlink=\"http://www.w3.org/1999/xlink\">\n";
  out += in("fileIdentifier", text(account.identifier)) + language() +
         in("characterSet", code("MD_CharacterSetCode", "utf8")) +
         in("hierarchyLevel", code("MD_ScopeCode", "dataset")) + responsible("contact", account.contact) +
         in("dateStamp", element("gco:DateTime", account.changed.substr(0, 19) + "Z")) +
         in("metadataStandardName", text("ISO 19115")) + in("metadataStandardVersion", text("2003/Cor.1:2006")) +
         reference_systems(account) + identification(account) + quality(account);
  return out + "</gmd:MD_Metadata>\n";
}

std::optional<Account> read_account(Database& database, const Identity& identity, int* code) {
  Account out;
  const auto row = read_book_row(database, code);
  if (!row) return std::nullopt;
  out.project = database.value("SELECT project FROM pointbook ORDER BY id LIMIT 1", code).value_or("");
  out.begun = database.value("SELECT last_change FROM gpkg_contents WHERE table_name = 'pointbook'", code).value_or("");
  out.changed = database.value("SELECT max(last_change) FROM gpkg_contents", code).value_or("");
  if (*code != SQLITE_OK) return std::nullopt;
  out.frame = row->frame;
  out.frame_name = name_in_wkt(row->frame_wkt);
  out.geoid = geoid_in_wkt(row->frame_wkt);
  out.dynamic_frame = is_dynamic(row->frame_wkt);
  out.training = row->training;
  out.contact = identity.contact;
  out.identifier = "stillpoint-" + sha256_hex(out.project + '\n' + out.frame + '\n' + out.begun).substr(0, 32);
  *code = read_points_of(database, out);
  if (*code == SQLITE_OK) *code = read_checks_of(database, out);
  if (*code == SQLITE_OK) *code = read_crews_of(database, identity.crew, out);
  if (*code != SQLITE_OK) return std::nullopt;
  return out;
}

bool record_is_stale(Database& database, const Identity& identity, int* code) {
  const auto account = read_account(database, identity, code);
  if (!account) return false;
  const OwnRecord own = own_record(database, account->identifier, code);
  return *code == SQLITE_OK && own.xml != iso_record(*account);
}

int write_record(Database& database, const Identity& identity) {
  int code = SQLITE_OK;
  const auto account = read_account(database, identity, &code);
  if (!account) return code;
  const OwnRecord own = own_record(database, account->identifier, &code);
  if (code != SQLITE_OK) return code;
  const std::string xml = iso_record(*account);
  if (own.id == 0) return insert_record(database, xml, account->changed);
  return own.xml == xml ? SQLITE_OK : update_record(database, own.id, xml, account->changed);
}

}  // namespace stillpoint::pointbook
