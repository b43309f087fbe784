#include "delivery_files.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>

#include "base/csv.hpp"
#include "base/number.hpp"
#include "base/plain_file.hpp"
#include "base/typed.hpp"
#include "base/utf8.hpp"
#include "delivery_sentences.hpp"
#include "program.hpp"

namespace stillpoint::office {
namespace {

// Their names cannot be those of a delivery, which have the pointbook's name in them.
constexpr const char* kTable = "points.csv";
constexpr const char* kTableOf = "points.vrt";
constexpr const char* kLayer = "points";
constexpr const char* kWriter = "ogr2ogr";
constexpr const char* kCounter = "ogrinfo";
constexpr const char* kPackage = "gdal-bin";

// --- CSV ---------------------------------------------------------------------------------------------------------

/// The trade's words for the order of columns: point, northing, easting, height, description.
std::string column_of_word(const std::string& word, const Delivery& delivery) {
  const std::map<std::string, std::size_t> order{{"P", 0}, {"D", 2}, {"E", 3}, {"N", 4}, {"Z", 5}};
  const auto at = order.find(word);
  return at == order.end() ? word : delivery.columns[at->second].name;
}

std::size_t column_called(const Delivery& delivery, const std::string& name) {
  const auto is_it = [&](const Column& column) { return column.name == name || column.brief == name; };
  return static_cast<std::size_t>(std::ranges::find_if(delivery.columns, is_it) - delivery.columns.begin());
}

std::string names_of(const Delivery& delivery) {
  std::string out = "P, N, E, Z, D";
  for (const Column& column : delivery.columns) out += ", " + column.name;
  return out;
}

std::string csv_of(const Delivery& delivery, const std::vector<std::size_t>& columns, bool header) {
  std::string out;
  const auto line = [&](const auto& cell) {
    for (std::size_t i = 0; i < columns.size(); ++i) out += (i == 0 ? "" : ",") + cell(columns[i]);
    out += "\r\n";
  };
  if (header) line([&](std::size_t at) { return delivery.columns[at].name; });
  for (const HandedPoint& point : delivery.points) {
    line([&](std::size_t at) {
      return delivery.columns[at].kind == CellKind::text ? csv_text(point.cells[at]) : point.cells[at];
    });
  }
  return out;
}

// --- the table that GDAL reads -----------------------------------------------------------------------------------

std::string in_xml(const std::string& text) {
  std::string out;
  for (const char c : text) {
    out += c == '&' ? "&amp;" : c == '<' ? "&lt;" : c == '>' ? "&gt;" : c == '"' ? "&quot;" : std::string(1, c);
  }
  return out;
}

std::string shape_of(const HandedPoint& point) {
  return "POINT " + std::string(point.z ? "Z " : "") + '(' + point.x + ' ' + point.y + (point.z ? ' ' + *point.z : "") +
         ')';
}

/// Cut where a character ends.
std::string shortened(const std::string& text, std::size_t most_bytes, std::size_t& cut) {
  if (text.size() <= most_bytes) return text;
  ++cut;
  std::size_t at = 0;
  for (std::size_t n = utf8_length(text, 0); n > 0 && at + n <= most_bytes; n = utf8_length(text, at)) at += n;
  return text.substr(0, at);
}

/// In quotes, always: an empty field without them is one that is not known.
std::string quoted(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) out.append(c == '"' ? 2 : 1, c);
  return out + '"';
}

std::string table_of(const Delivery& delivery, bool narrow, std::size_t& cut) {
  std::string out = "wkt";
  for (const Column& column : delivery.columns) out += ',' + column.brief;
  for (const HandedPoint& point : delivery.points) {
    out += '\n' + quoted(shape_of(point));
    for (const std::string& cell : point.cells) {
      out += ',';
      if (!cell.empty()) out += quoted(narrow ? shortened(cell, kShapeTextBytes, cut) : cell);
    }
  }
  return out + '\n';
}

/// dBASE has dates and no times: there a time is a text.
std::string field_of(const Column& column, const std::string& name, bool narrow) {
  const std::string kind = column.kind == CellKind::whole             ? "Integer64"
                           : column.kind == CellKind::real            ? "Real"
                           : column.kind == CellKind::time && !narrow ? "DateTime"
                                                                      : "String";
  std::string out = "<Field name=\"" + name + "\" src=\"" + column.brief + "\" type=\"" + kind + '"';
  if (narrow && column.kind == CellKind::real)
    out += " width=\"20\" precision=\"" + std::to_string(column.decimals) + '"';
  if (narrow && kind == "String") out += " width=\"" + std::to_string(kShapeTextBytes) + '"';
  return out + "/>";
}

std::string layer(const std::string& name, const std::string& system, const std::string& rest) {
  return "<OGRVRTDataSource><OGRVRTLayer name=\"" + name + "\"><SrcDataSource relativeToVRT=\"1\">" +
         std::string(kTable) +
         "</SrcDataSource><OpenOptions><OOI key=\"EMPTY_STRING_AS_NULL\">YES</OOI></OpenOptions>" +
         "<SrcLayer>points</SrcLayer><GeometryType>wkbPoint25D</GeometryType>" +
         (system.empty() ? "" : "<LayerSRS>" + in_xml(system) + "</LayerSRS>") +
         "<GeometryField encoding=\"WKT\" field=\"wkt\"/>" + rest + "</OGRVRTLayer></OGRVRTDataSource>\n";
}

std::string description_of_table(const Delivery& delivery, Format format) {
  std::string fields;
  for (const Column& column : delivery.columns) {
    fields += field_of(column, format == Format::geojson ? column.name : column.brief, format == Format::shp);
  }
  return layer(kLayer, delivery.reference.system(format), fields);
}

// --- drawings ----------------------------------------------------------------------------------------------------

/// Letters, digits and signs that every drawing program lets a layer have.
std::string layer_name(const HandedPoint& point, bool training) {
  std::string code;
  for (std::size_t at = 0; at < point.code.size(); at += std::max<std::size_t>(utf8_length(point.code, at), 1)) {
    const char c = point.code[at];
    const bool plain =
        (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '-' || c == '_';
    code += plain ? c : '_';
  }
  if (code.empty()) code = "NO-CODE";
  return std::string(training ? "TRAINING-" : "") +
         (point.held      ? "HELD-"
          : point.doubted ? "DOUBT-"
                          : "") +
         code + (point.z ? "" : "-NO-HEIGHT");
}

/// A name as a drawing's text can hold it: braces, backslashes, `%%` and `^` are commands there, and GDAL writes signs
/// beyond four hexadecimal digits as other ones.
std::string drawn_text(const std::string& name) {
  std::string out;
  const std::string text = shown(name);
  for (std::size_t at = 0, n = 0; at < text.size(); at += n) {
    n = std::max<std::size_t>(utf8_length(text, at), 1);
    const char c = text[at];
    out += n > 3                                          ? "?"
           : c == '{'                                     ? "("
           : c == '}'                                     ? ")"
           : c == '\\'                                    ? "/"
           : c == '^' || (c == '%' && out.ends_with('%')) ? "_"
                                                          : text.substr(at, n);
  }
  return out;
}

/// A name beside its point, in the words of GDAL's feature styles.
std::string label_style(const std::string& name, double size) {
  std::string text;
  for (const char c : name) text += c == '"' ? std::string("\\\"") : std::string(1, c);
  return "LABEL(f:\"Arial\",t:\"" + text + "\",s:" + fixed(size, 2) + "g,p:1,c:#000000)";
}

std::string table_of_drawing(const Delivery& delivery, std::size_t& changed) {
  constexpr double kTextM = 0.5;
  const double size = kTextM / delivery.reference.unit_m;
  std::string out = "wkt,layer,style";
  for (const HandedPoint& point : delivery.points) {
    const std::string begin = '\n' + quoted(shape_of(point)) + ',' + quoted(layer_name(point, delivery.training)) + ',';
    const std::string name = (point.held ? "HELD " : "") + point.label, text = drawn_text(name);
    changed += name == text ? 0U : 1U;
    out += begin + begin + quoted(label_style(text, size));
  }
  return out + '\n';
}

std::string description_of_drawing() {
  return layer("entities", {}, "<Style>style</Style><Field name=\"Layer\" src=\"layer\" type=\"String\"/>");
}

/// GDAL 3.6 writes that every drawing is in inches. The numbers are those of the DXF reference's header variable
/// $INSUNITS (2 feet, 6 metres, 21 US survey feet; from memory).
Result<void> set_units_of_drawing(const std::string& path, config::LengthUnit unit) {
  auto text = read_plain_file(path, std::uint64_t{1} << 32U);
  if (!text) return fail(kSayOfDelivery.cannot_write(path, text.error().words));
  const std::size_t at = text->find("$INSUNITS");
  const std::size_t group = at == std::string::npos ? at : text->find("70", at);
  const std::size_t value = group == std::string::npos ? group : text->find_first_of("0123456789", group + 2);
  if (value == std::string::npos || group > at + 14) return fail(kSayOfDelivery.no_units_in_dxf(kWriter));
  const std::size_t end = text->find_first_not_of("0123456789", value);
  const char* number = unit == config::LengthUnit::metre ? "6" : unit == config::LengthUnit::foot ? "2" : "21";
  text->replace(value, end - value, number);
  std::ofstream out(path, std::ios::binary | std::ios::trunc);
  out << *text;
  if (!out.flush()) return fail(kSayOfDelivery.cannot_write(path, kSayOfDelivery.said_nothing()));
  return {};
}

// --- GDAL --------------------------------------------------------------------------------------------------------

std::string first_line(const std::string& said) {
  const std::string line = said.substr(0, said.find('\n'));
  return line.empty() ? kSayOfDelivery.said_nothing() : shown(line);
}

/// ogr2ogr goes on after some failures of the disk and ends well: what it says is listened to as well.
Result<std::string> run(const NewFiles& files, const char* program, const std::vector<std::string>& arguments) {
  const RanProgram ran = run_in(files.workshop(), program, arguments);
  if (ran.missing) return fail(kSayOfDelivery.program_missing(program, kPackage));
  const std::size_t error = ran.said.find("ERROR");
  if (ran.status == 0 && error == std::string::npos) return ran.said;
  return fail(
      kSayOfDelivery.program_failed(program, first_line(ran.said.substr(error == std::string::npos ? 0 : error))));
}

std::vector<std::string> arguments_for(const Delivery& delivery, Format format, const std::string& name) {
  const Reference& reference = delivery.reference;
  const int decimals = reference.in_degrees() ? 11 : 6;
  std::vector<std::string> out{"-f"};
  const auto add = [&](std::initializer_list<std::string> more) { out.insert(out.end(), more); };
  if (format == Format::gpkg) {
    add({"GPKG", name, kTableOf, "-dsco", "VERSION=1.3", "-nln", kLayer});
    if (reference.frame.moving && !reference.frameless() && delivery.layer_epoch())
      add({"-a_srs", reference.system(format), "-a_coord_epoch", fixed(*delivery.layer_epoch(), 3)});
  } else if (format == Format::geojson) {
    add({"GeoJSON", name, kTableOf, "-lco", reference.is_rfc7946() ? "RFC7946=YES" : "RFC7946=NO", "-lco",
         "COORDINATE_PRECISION=" + std::to_string(decimals), "-lco", "SIGNIFICANT_FIGURES=15"});
  } else if (format == Format::shp) {
    add({"ESRI Shapefile", name, kTableOf, "-lco", "ENCODING=UTF-8", "-nlt", "POINTZ"});
  } else {
    add({"DXF", name, kTableOf});
  }
  return out;
}

Result<void> count_again(const NewFiles& files, const std::string& name, std::size_t expected) {
  const auto said = run(files, kCounter, {"-ro", "-so", "-al", name});
  if (!said) return tl::unexpected(said.error());
  const std::string_view words = "Feature Count: ";
  const std::size_t at = said->find(words);
  const std::string found =
      at == std::string::npos ? "?" : said->substr(at + words.size(), said->find('\n', at) - at - words.size());
  if (found == std::to_string(expected)) return {};
  return fail(kSayOfDelivery.not_read_back(name, std::to_string(expected), found));
}

}  // namespace

std::vector<std::string> file_names(Format format, const std::string& stem) {
  std::vector<std::string> out;
  const auto add = [&](std::initializer_list<const char*> endings) {
    for (const char* ending : endings) out.push_back(stem + ending);
  };
  if (format == Format::shp) {
    add({".shp", ".shx", ".dbf", ".prj", ".cpg"});
  } else {
    out.push_back(stem + '.' + kFormatWords[static_cast<int>(format)]);
  }
  return out;
}

Result<std::vector<std::size_t>> csv_columns(const Delivery& delivery, const DeliveryWishes& wishes) {
  std::vector<std::size_t> out;
  for (const std::string& word : wishes.columns) {
    const std::size_t at = column_called(delivery, column_of_word(word, delivery));
    if (at == delivery.columns.size())
      return fail(kSayOfDelivery.no_such_column('"' + shown(word) + '"', names_of(delivery)));
    out.push_back(at);
  }
  if (wishes.columns.empty()) {
    for (std::size_t i = 0; i < delivery.columns.size(); ++i) out.push_back(i);
  }
  const auto never_without = [&](const char* name) {
    const std::size_t at = column_called(delivery, name);
    if (std::ranges::find(out, at) == out.end()) out.push_back(at);
  };
  if (delivery.tally.held_given > 0 || delivery.training) never_without("status");
  if (delivery.tally.doubted > 0) never_without("doubt");
  return out;
}

Result<Written> write_delivery(const Delivery& delivery, const DeliveryWishes& wishes, const NewFiles& files,
                               const std::string& stem) {
  const Format format = wishes.format();
  const std::string name = file_names(format, stem).front();
  Written out;
  if (format == Format::csv) {
    const auto columns = csv_columns(delivery, wishes);
    if (!columns) return tl::unexpected(columns.error());
    if (auto done = files.write(name, csv_of(delivery, *columns, !wishes.no_header)); !done)
      return tl::unexpected(done.error());
    return out;
  }
  const bool drawing = format == Format::dxf;
  const std::string table = drawing ? table_of_drawing(delivery, out.texts_changed)
                                    : table_of(delivery, format == Format::shp, out.texts_cut);
  const std::string about = drawing ? description_of_drawing() : description_of_table(delivery, format);
  if (auto done = files.write(kTable, table); !done) return tl::unexpected(done.error());
  if (auto done = files.write(kTableOf, about); !done) return tl::unexpected(done.error());
  const auto ran = run(files, kWriter, arguments_for(delivery, format, name));
  if (!ran) return tl::unexpected(ran.error());
  if (drawing) {
    if (auto done = set_units_of_drawing(files.path(name), delivery.reference.unit); !done)
      return tl::unexpected(done.error());
  }
  const std::size_t features = delivery.points.size() * (drawing ? 2 : 1);
  if (auto done = count_again(files, name, features); !done) return tl::unexpected(done.error());
  return out;
}

}  // namespace stillpoint::office
