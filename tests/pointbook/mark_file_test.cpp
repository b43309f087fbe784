#include "pointbook/mark_file.hpp"

#include <doctest/doctest.h>
#include <sqlite3.h>

#include <cmath>
#include <cstring>
#include <limits>

#include "pointbook/geometry.hpp"
#include "pointbook/samples.hpp"

namespace {

using namespace stillpoint;
using pointbook::read_mark_file;

/// A GeoPackage as other programs write them: the standard's tables, and a layer.
class Made {
 public:
  explicit Made(const std::string& path) : path_(path) {
    sqlite3_open(path.c_str(), &database_);
    run("CREATE TABLE gpkg_spatial_ref_sys (srs_name, srs_id INTEGER PRIMARY KEY, organization, "
        "organization_coordsys_id INTEGER, definition, description);"
        "CREATE TABLE gpkg_contents (table_name PRIMARY KEY, data_type, identifier, srs_id INTEGER);"
        "CREATE TABLE gpkg_geometry_columns (table_name, column_name, geometry_type_name, srs_id INTEGER, z, m);"
        "INSERT INTO gpkg_spatial_ref_sys VALUES ('none', 0, 'NONE', 0, 'undefined', ''),"
        " ('WGS 84', 4326, 'EPSG', 4326, '', ''), ('NAD83(2011)', 6318, 'EPSG', 6318, '', ''),"
        " ('NAD83(2011) 3D', 6319, 'EPSG', 6319, '', ''), ('Michigan North (ft)', 6496, 'EPSG', 6496, '', '')");
  }
  ~Made() { sqlite3_close(database_); }
  Made(const Made&) = delete;
  Made& operator=(const Made&) = delete;

  Made& run(const std::string& sql) {
    char* error = nullptr;
    const int code = sqlite3_exec(database_, sql.c_str(), nullptr, nullptr, &error);
    CHECK_MESSAGE(code == SQLITE_OK, std::string(error == nullptr ? "" : error));
    sqlite3_free(error);
    return *this;
  }
  Made& layer(const std::string& name, int srs_id, const std::string& more = kColumns,
              const std::string& kind = "POINT") {
    const std::string id = std::to_string(srs_id);
    return run("INSERT INTO gpkg_contents VALUES ('" + name + "', 'features', '" + name + "', " + id +
               "); INSERT INTO gpkg_geometry_columns VALUES ('" + name + "', 'shape', '" + kind + "', " + id +
               ", 0, 0); CREATE TABLE \"" + name + "\" (fid INTEGER PRIMARY KEY, shape BLOB" + more + ")");
  }
  Made& mark(const std::string& values, const std::string& blob, const std::string& layer = "marks") {
    sqlite3_stmt* insert = nullptr;
    const std::string sql = "INSERT INTO \"" + layer +
                            "\" (shape, name, frame, coordinate_epoch, height_m, height_kind, sigma_horizontal_m, "
                            "sigma_vertical_m) VALUES (?, " +
                            values + ")";
    REQUIRE(sqlite3_prepare_v2(database_, sql.c_str(), -1, &insert, nullptr) == SQLITE_OK);
    sqlite3_bind_blob(insert, 1, blob.data(), static_cast<int>(blob.size()), SQLITE_TRANSIENT);
    CHECK(sqlite3_step(insert) == SQLITE_DONE);
    sqlite3_finalize(insert);
    return *this;
  }
  Result<control::Marks> read() const { return read_mark_file(path_); }

  static constexpr const char* kColumns =
      ", name TEXT, frame TEXT, coordinate_epoch DOUBLE, height_m DOUBLE, height_kind TEXT, sigma_horizontal_m DOUBLE, "
      "sigma_vertical_m DOUBLE";

 private:
  std::string path_;
  sqlite3* database_ = nullptr;
};

const std::string kGood = "'VM-11', 'EPSG:6319', 2010.0, 146.429, 'ellipsoid', 0.005, 0.008";
// Not a multiple of any power of ten: all its bits must arrive.
constexpr double kLongitude = -87.4 - 1e-13;
const std::string kPlace = pointbook::point_z_blob(6319, kLongitude, 47.6, 146.4);

std::string big_endian_point(double x, double y) {
  std::string out("GP\0\0\0\0\x18\xAE", 8);
  out += std::string("\0\0\0\0\1", 5);
  for (const double value : {x, y}) {
    std::uint64_t bits = 0;
    std::memcpy(&bits, &value, sizeof bits);
    for (int shift = 56; shift >= 0; shift -= 8) out.push_back(static_cast<char>(bits >> shift & 0xFFU));
  }
  return out;
}

}  // namespace

TEST_CASE("a layer of points gives the marks that a CSV with the same columns gives") {
  samples::Folder folder;
  for (const int srs : {6319, 6318}) {
    CAPTURE(srs);
    Made made(folder.file(std::to_string(srs) + ".gpkg"));
    made.layer("anything", srs).mark(kGood, kPlace, "anything");
    const auto marks = made.read();
    REQUIRE_MESSAGE(marks.has_value(), marks.error().text);
    CHECK(marks->errors.empty());
    CHECK(marks->warnings.empty());
    REQUIRE(marks->marks.size() == 1);
    const control::Mark& mark = marks->marks.front();
    CHECK(mark.name == "VM-11");
    CHECK(mark.latitude_deg == 47.6);
    CHECK(mark.longitude_deg == kLongitude);
    CHECK(mark.height_m == 146.429);
    CHECK(mark.sigma_horizontal_m == 0.005);
  }
}

TEST_CASE("the z of a point is the height of a mark that gives a kind of height but no number") {
  samples::Folder folder;
  Made made(folder.file("a.gpkg"));
  made.layer("marks", 6319);
  made.mark("'A', 'EPSG:6319', 2010.0, NULL, 'ellipsoid', 0.005, 0.008", kPlace);
  made.mark("'B', 'EPSG:6319', 2010.0, NULL, NULL, 0.005, NULL", kPlace);
  const auto marks = made.read();
  REQUIRE_MESSAGE(marks.has_value(), marks.error().text);
  REQUIRE(marks->marks.size() == 2);
  CHECK(marks->marks[0].height_m == 146.4);
  CHECK_FALSE(marks->marks[1].height_m.has_value());
}

TEST_CASE("a layer in feet gives metres") {
  samples::Folder folder;
  Made made(folder.file("a.gpkg"));
  // NAD83(2011) / Michigan North (ft) counts in international feet, 0.3048 m each.
  made.layer("marks", 6496)
      .mark("'A', 'EPSG:6496', 2010.0, NULL, NULL, 0.005, NULL", pointbook::point_z_blob(6496, 26246719.0, 1000.0, 0));
  const auto marks = made.read();
  REQUIRE_MESSAGE(marks.has_value(), marks.error().text);
  CHECK(marks->marks[0].easting_m.value() == doctest::Approx(26246719.0 * 0.3048).epsilon(1e-15));
  CHECK(marks->marks[0].northing_m.value() == doctest::Approx(304.8).epsilon(1e-15));
}

TEST_CASE("texts of another character set are told where they stand, and the other rows count") {
  samples::Folder folder;
  Made rows(folder.file("rows.gpkg"));
  rows.layer("marks", 6319);
  rows.mark("CAST(x'636166E9' AS TEXT), 'EPSG:6319', 2010.0, 146.4, 'ellipsoid', 0.005, 0.008", kPlace);
  rows.mark(kGood, kPlace);
  const auto marks = rows.read();
  REQUIRE_MESSAGE(marks.has_value(), marks.error().text);
  CHECK(marks->marks.size() == 1);
  REQUIRE(marks->errors.size() == 1);
  CHECK(marks->errors.front().find("rows.gpkg (layer marks), row 1: \"caf?\" is no UTF-8 text") != std::string::npos);
  Made column(folder.file("column.gpkg"));
  column.layer("marks", 6319, std::string(Made::kColumns) + ", \"caf\xE9\" TEXT").mark(kGood, kPlace);
  const auto refused = column.read();
  REQUIRE_FALSE(refused.has_value());
  CHECK(refused.error().text.find("a column of the layer marks: \"caf?\" is no UTF-8 text") != std::string::npos);
}

TEST_CASE("a row that is no mark is told, and the others count") {
  struct Row {
    const char* name;
    std::string values, blob, said;
  };
  const Row rows[] = {
      {"another frame than the layer's", "'A', 'EPSG:7912', 2010.0, 1, 'ellipsoid', 0.005, 0.008", kPlace,
       "the mark says frame EPSG:7912, but the layer is drawn in EPSG:6319"},
      {"a frame that nobody knows", "'A', 'EPSG:999999', 2010.0, 1, 'ellipsoid', 0.005, 0.008", kPlace,
       "the mark says frame EPSG:999999"},
      {"no frame", "'A', NULL, 2010.0, 1, 'ellipsoid', 0.005, 0.008", kPlace, "the frame is missing"},
      {"no geometry", "'A', 'EPSG:6319', 2010.0, 1, 'ellipsoid', 0.005, 0.008", "", "its geometry is no point"},
      {"a line", "'A', 'EPSG:6319', 2010.0, 1, 'ellipsoid', 0.005, 0.008",
       std::string(kPlace).replace(9, 4, std::string("\2\0\0\0", 4)), "its geometry is no point"},
      {"a place that is not finite", "'A', 'EPSG:6319', 2010.0, 1, 'ellipsoid', 0.005, 0.008",
       pointbook::point_z_blob(6319, std::numeric_limits<double>::quiet_NaN(), 47.6, 0), "its geometry is no point"},
      {"a latitude off the earth", "'A', 'EPSG:6319', 2010.0, 1, 'ellipsoid', 0.005, 0.008",
       pointbook::point_z_blob(6319, -87.4, 147.6, 0), "latitude_deg 147.6"},
      {"no sigma", "'A', 'EPSG:6319', 2010.0, 1, 'ellipsoid', NULL, 0.008", kPlace, "sigma_horizontal_m"},
      {"a text for a number", "'A', 'EPSG:6319', 'later', 1, 'ellipsoid', 0.005, 0.008", kPlace,
       "coordinate_epoch \"later\" is not a number"},
      {"a number that is not finite", "'A', 'EPSG:6319', 2010.0, 9e999, 'ellipsoid', 0.005, 0.008", kPlace,
       "height_m \"inf\" is not a number"},
      {"the name a second time", kGood, kPlace, "the mark VM-11 is there twice"},
  };
  samples::Folder folder;
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const std::string path = folder.file(std::string(row.name) + ".gpkg");
    Made made(path);
    made.layer("marks", 6319).mark(kGood, kPlace).mark(row.values, row.blob);
    const auto marks = made.read();
    REQUIRE_MESSAGE(marks.has_value(), marks.error().text);
    CHECK(marks->marks.size() == 1);
    REQUIRE(marks->errors.size() == 1);
    CHECK(marks->errors[0].find(path + " (layer marks), row 2: ") == 0);
    CHECK_MESSAGE(marks->errors[0].find(row.said) != std::string::npos, marks->errors[0]);
  }
}

TEST_CASE("coordinates in columns must be those of the geometry") {
  samples::Folder folder;
  Made made(folder.file("a.gpkg"));
  made.layer("marks", 6319, std::string(Made::kColumns) + ", latitude_deg DOUBLE, longitude_deg TEXT");
  made.mark(kGood, kPlace).mark("'VM-12', 'EPSG:6319', 2010.0, 146.429, 'ellipsoid', 0.005, 0.008", kPlace);
  made.run("UPDATE marks SET latitude_deg = 47.600000001, longitude_deg = '-87.4' WHERE fid = 1");
  made.run("UPDATE marks SET latitude_deg = 47.6000001 WHERE fid = 2");
  const auto marks = made.read();
  REQUIRE_MESSAGE(marks.has_value(), marks.error().text);
  REQUIRE(marks->marks.size() == 1);
  CHECK(marks->marks[0].latitude_deg == 47.600000001);  // as it was written down
  REQUIRE(marks->errors.size() == 1);
  CHECK(marks->errors[0].find("latitude_deg 47.6000001 is not where the geometry is (47.6)") != std::string::npos);
}

TEST_CASE("a file without usable marks is one sentence") {
  struct Row {
    const char* name;
    void (*make)(Made&);
    std::string said;
  };
  const Row rows[] = {
      {"no layer", [](Made&) {}, "holds no layer of points"},
      {"a layer of lines", [](Made& m) { m.layer("marks", 6319, "", "LINESTRING"); }, "holds no layer of points"},
      {"two layers", [](Made& m) { m.layer("a", 6319).layer("b", 6319); }, "several layers of points (a, b), and none"},
      {"no reference system", [](Made& m) { m.layer("marks", 0); }, "does not say which reference system"},
      {"an unknown reference system", [](Made& m) { m.layer("marks", 77); }, "does not say which reference system"},
      {"an empty layer", [](Made& m) { m.layer("marks", 6319); }, "no mark in it"},
      {"a layer that is not there", [](Made& m) { m.layer("marks", 6319).run("DROP TABLE marks"); },
       "the layer marks that it names is not there"},
      {"columns of something else",
       [](Made& m) { m.layer("marks", 6319, ", x").run("INSERT INTO marks DEFAULT VALUES"); },
       "row 1: the name is missing"},
      {"WGS 84, a metre away", [](Made& m) { m.layer("marks", 4326).mark(kGood, kPlace); },
       "the mark says frame EPSG:6319, but the layer is drawn in EPSG:4326"},
      {"a control character",
       [](Made& m) {
         m.layer("marks", 6319).mark("char(27) || '[2J', 'EPSG:6319', 2010, 1, 'ellipsoid', 1, 1", kPlace);
       },
       "row 1 holds a control character"},
      {"no GeoPackage", [](Made& m) { m.run("DROP TABLE gpkg_contents"); }, "is a database but no GeoPackage"},
  };
  samples::Folder folder;
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const std::string path = folder.file(std::string(row.name) + ".gpkg");
    Made made(path);
    row.make(made);
    const auto marks = made.read();
    REQUIRE_FALSE(marks.has_value());
    CHECK_MESSAGE(marks.error().text.find(row.said) != std::string::npos, marks.error().text);
    CHECK(marks.error().text.find(path) == 0);
  }
}

TEST_CASE("of several layers the one called marks counts") {
  samples::Folder folder;
  Made made(folder.file("a.gpkg"));
  made.layer("aaa", 4326).layer("marks", 6319).mark(kGood, kPlace);
  CHECK(made.read().value().marks.size() == 1);
}

TEST_CASE("our own layers are told apart and lack what a mark must say") {
  samples::Folder folder;
  const std::string path = folder.file("day.gpkg");
  {
    auto book = pointbook::Book::open(path, samples::geographic());
    REQUIRE(book.has_value());
    REQUIRE(book->append(samples::point(1)).has_value());
    REQUIRE(book->append(samples::shot(1)).has_value());
  }
  const auto marks = read_mark_file(path);
  REQUIRE_FALSE(marks.has_value());
  CHECK(marks.error().text.find("several layers of points (check_shots, current_points, points)") != std::string::npos);
}

TEST_CASE("a damaged GeoPackage is a sentence, wherever it is cut") {
  samples::Folder folder;
  const std::string good = folder.file("good.gpkg"), bad = folder.file("bad.gpkg");
  {
    Made made(good);
    made.layer("marks", 6319);
    for (int i = 0; i < 200; ++i) {
      made.mark("'VM-" + std::to_string(i) + "', 'EPSG:6319', 2010.0, 146.429, 'ellipsoid', 0.005, 0.008", kPlace);
    }
  }
  const std::string bytes = samples::read_file(good);
  REQUIRE(read_mark_file(good).value().marks.size() == 200);
  std::size_t refused = 0;
  for (std::size_t size = 15; size < bytes.size(); size += 997) {
    CAPTURE(size);
    samples::write_file(bad, bytes.substr(0, size));
    const auto marks = read_mark_file(bad);
    refused += marks ? 0U : 1U;
    if (!marks) CHECK(marks.error().text.find(bad) != std::string::npos);
    std::string changed = bytes;
    changed.replace(size, 40, std::string(40, '\x7E'));
    samples::write_file(bad, changed);
    if (const auto other = read_mark_file(bad); !other) CHECK_FALSE(other.error().text.empty());
  }
  CHECK(refused > 5);
}

TEST_CASE("files that cannot be read say why") {
  samples::Folder folder;
  CHECK(read_mark_file(folder.file("none.csv")).error().text.find("cannot read the marks file") == 0);
  CHECK(read_mark_file(folder.path()).error().text.find("is a folder") != std::string::npos);
  samples::write_file(folder.file("a.csv"), "name,frame\nVM-1,\n\nVM-2,\n");
  const auto marks = read_mark_file(folder.file("a.csv"));
  REQUIRE_FALSE(marks.has_value());
  CHECK(marks.error().text.find("line 2") != std::string::npos);
  CHECK(marks.error().text.find("line 4") != std::string::npos);
}

TEST_CASE("a mark in a frame that nobody knows is no mark") {
  struct Row {
    const char* name;
    const char* line;  // frame and the four columns of the place
    const char* fault;
  };
  const Row rows[] = {
      {"a frame that PROJ knows", "EPSG:6319,47.6,-87.4,,", nullptr},
      {"by its other name", "ITRF2014,47.6,-87.4,,", nullptr},
      {"a grid", "EPSG:6496,,,8000000,300", nullptr},
      {"a number that is none", "EPSG:999999,47.6,-87.4,,", "EPSG:999999"},
      {"a word", "the county's,47.6,-87.4,,", "the county's"},
      {"the vague WGS 84", "EPSG:4326,47.6,-87.4,,", "EPSG:4326"},
      {"a grid's coordinates in a frame without a grid", "EPSG:6319,,,8000000,300", "has no easting and northing"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    samples::Folder folder;
    const std::string file = folder.file("marks.csv"), rest = ",2010.0,0.005\n";
    samples::write_file(file,
                        "name,frame,latitude_deg,longitude_deg,easting_m,northing_m,coordinate_epoch,"
                        "sigma_horizontal_m\nVM-11,EPSG:6319,47.6,-87.4,," +
                            rest + "VM-12," + row.line + rest);
    const auto marks = read_mark_file(file);
    REQUIRE_MESSAGE(marks.has_value(), marks.error().text);
    CHECK(marks->marks.size() == (row.fault == nullptr ? 2U : 1U));
    REQUIRE(marks->errors.size() == (row.fault == nullptr ? 0U : 1U));
    if (row.fault == nullptr) continue;
    CAPTURE(marks->errors[0]);
    CHECK(marks->errors[0].find(file + ", line 3: ") == 0);
    CHECK(marks->errors[0].find(row.fault) != std::string::npos);
  }
}

TEST_CASE("a list with more frames than any place has is not looked up to its end") {
  samples::Folder folder;
  std::string text = "name,frame,latitude_deg,longitude_deg,coordinate_epoch,sigma_horizontal_m\n";
  for (int i = 0; i < 150; ++i) {
    text += "VM-" + std::to_string(i) + "," + (i == 0 ? "EPSG:6319" : "EPSG:99" + std::to_string(1000 + i)) +
            ",47.6,-87.4,2010.0,0.005\n";
  }
  samples::write_file(folder.file("marks.csv"), text);
  const auto marks = read_mark_file(folder.file("marks.csv"));
  REQUIRE_MESSAGE(marks.has_value(), marks.error().text);
  CHECK(marks->marks.size() == 1);
  REQUIRE(marks->errors.size() == 149);
  CHECK(marks->errors.back().find("line 151: the list has more than 100 frames") != std::string::npos);
}

TEST_CASE("a point is read in either byte order, with and without an envelope") {
  const auto little = pointbook::read_point_blob(kPlace);
  REQUIRE(little.has_value());
  CHECK(little->x == kLongitude);
  CHECK(little->z == 146.4);
  const auto big = pointbook::read_point_blob(big_endian_point(-87.4, 47.6));
  REQUIRE(big.has_value());
  CHECK(big->x == -87.4);
  CHECK(big->y == 47.6);
  CHECK_FALSE(big->z.has_value());
  std::string boxed = kPlace;
  boxed[3] = '\3';
  boxed.insert(8, std::string(32, 'e'));
  CHECK(pointbook::read_point_blob(boxed)->x == kLongitude);
  std::string empty = kPlace;
  empty[3] = '\x11';
  CHECK_FALSE(pointbook::read_point_blob(empty).has_value());
  for (std::size_t size = 0; size < kPlace.size() - 8; ++size) {
    CAPTURE(size);
    CHECK_FALSE(pointbook::read_point_blob(std::string_view(kPlace).substr(0, size)).has_value());
  }
}
