#!/usr/bin/python3
"""Holds a GeoPackage against the rules of OGC 12-128r18 (GeoPackage 1.3.1), one after the other.

    rules.py FILE.gpkg ...        one line for each complaint, `R<number> <rule>: <what>`; exit 0 clean, 1 with complaints

Numbers are those of the standard's requirements, from memory, and as GDAL's own validator counts them where it has the
rule; a rule without a number has `R-`. Only rules that a book of points can break are here: no tiles, no related tables.
"""

import re
import sqlite3
import struct
import sys
import xml.dom.minidom
from datetime import datetime

RULES = []


def rule(number, words):
    def add(function):
        RULES.append((number, words, function))
        return function
    return add


class File:
    """One file with its schema."""

    def __init__(self, path):
        self.path = path
        self.db = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
        self.schema = {name: (kind, sql or "") for kind, name, sql in self.rows("SELECT type, name, sql FROM sqlite_master")}

    def rows(self, sql, *values):
        return self.db.execute(sql, values).fetchall()

    def one(self, sql, *values):
        found = self.rows(sql, *values)
        return found[0][0] if found else None

    def has(self, name):
        return name in self.schema

    def columns(self, table):
        """name -> (type, not null, default, place in the key)"""
        return {c[1]: (c[2].upper(), c[3], c[4], c[5]) for c in self.rows(f'PRAGMA table_info("{table}")')}

    def features(self):
        if not self.has("gpkg_geometry_columns"):
            return []
        return self.rows("SELECT g.table_name, g.column_name, g.geometry_type_name, g.srs_id, g.z, g.m FROM gpkg_geometry_columns g"
                         " JOIN gpkg_contents c ON c.table_name = g.table_name WHERE c.data_type = 'features'")

    def tables(self):
        return {name: kind for name, kind in self.rows("SELECT table_name, data_type FROM gpkg_contents")}


def needs(file, table, columns):
    """columns: name -> (type, not null, place in the key)"""
    if not file.has(table):
        yield f"there is no table {table}"
        return
    found = file.columns(table)
    for name, (kind, not_null, key) in columns.items():
        if name not in found:
            yield f"{table} has no column {name}"
        elif (found[name][0], found[name][1], found[name][3]) != (kind, not_null, key):
            yield f"{table}.{name} is {found[name]}, not {kind} not-null {not_null} key {key}"


# ---- the file ----
@rule(1, "the file begins as a SQLite database of version 3")
def _(f):
    with open(f.path, "rb") as raw:
        if raw.read(16) != b"SQLite format 3\0":
            yield "its first 16 bytes are others"


@rule(2, "application_id is GPKG and user_version a version of 1.3")
def _(f):
    if f.one("PRAGMA application_id") != 0x47504B47:
        yield f"application_id is {f.one('PRAGMA application_id')}"
    if not 10300 <= f.one("PRAGMA user_version") < 10400:
        yield f"user_version is {f.one('PRAGMA user_version')}"


@rule(3, "the name of the file ends in .gpkg")
def _(f):
    if not str(f.path).endswith(".gpkg"):
        yield f"it is {f.path}"


TYPE = re.compile(r"^(BOOLEAN|TINYINT|SMALLINT|MEDIUMINT|INT|INTEGER|FLOAT|DOUBLE|REAL|TEXT(\(\d+\))?|BLOB(\(\d+\))?|DATE|DATETIME|POINT)$")


@rule(5, "columns of registered tables have types of the standard")
def _(f):
    for table in f.tables():
        for name, column in f.columns(table).items():
            if not TYPE.match(column[0]) and not (f.schema.get(table, ("",))[0] == "view" and column[0] == ""):
                yield f"{table}.{name} is {column[0]!r}"


@rule(6, "the database is sound")
def _(f):
    if f.one("PRAGMA integrity_check") != "ok":
        yield f.one("PRAGMA integrity_check")


@rule(7, "no foreign key hangs loose")
def _(f):
    for row in f.rows("PRAGMA foreign_key_check"):
        yield str(row)


# ---- frames ----
@rule(10, "gpkg_spatial_ref_sys has the columns of table 3")
def _(f):
    yield from needs(f, "gpkg_spatial_ref_sys", {
        "srs_name": ("TEXT", 1, 0), "srs_id": ("INTEGER", 1, 1), "organization": ("TEXT", 1, 0),
        "organization_coordsys_id": ("INTEGER", 1, 0), "definition": ("TEXT", 1, 0), "description": ("TEXT", 0, 0)})


@rule(11, "the frames -1, 0 and 4326 are there as the standard writes them")
def _(f):
    rows = {r[0]: r[1:] for r in f.rows("SELECT srs_id, organization, organization_coordsys_id, definition FROM gpkg_spatial_ref_sys")}
    for number in (-1, 0):
        if rows.get(number) != ("NONE", number, "undefined"):
            yield f"{number} is {rows.get(number)}"
    wgs84 = rows.get(4326, ("", 0, ""))
    if wgs84[0].upper() != "EPSG" or wgs84[1] != 4326 or not re.match(r'GEOGCS\["WGS.?84', wgs84[2]):
        yield f"4326 is {wgs84}"


@rule(12, "every frame that something is in is defined")
def _(f):
    for (number,) in f.rows("SELECT srs_id FROM gpkg_contents WHERE srs_id IS NOT NULL UNION SELECT srs_id FROM gpkg_geometry_columns"):
        if f.one("SELECT count(*) FROM gpkg_spatial_ref_sys WHERE srs_id = ?", number) != 1:
            yield f"there is no frame {number}"


@rule(115, "with gpkg_crs_wkt_1_1 the columns definition_12_063 and epoch are there, and the extension names both")
def _(f):
    columns = f.columns("gpkg_spatial_ref_sys")
    named = {c for (c,) in f.rows("SELECT column_name FROM gpkg_extensions WHERE extension_name = 'gpkg_crs_wkt_1_1' AND table_name = 'gpkg_spatial_ref_sys' AND scope = 'read-write'")}
    for name, kind, not_null in (("definition_12_063", "TEXT", 1), ("epoch", "DOUBLE", 0)):
        if name in columns and columns[name][:2] != (kind, not_null):
            yield f"{name} is {columns[name]}"
        if (name in columns) != (name in named):
            yield f"{name} is {'not ' if name not in columns else ''}there and {'not ' if name not in named else ''}registered"
    if f.one("SELECT count(*) FROM gpkg_extensions WHERE extension_name = 'gpkg_crs_wkt'") and "epoch" in columns:
        yield "gpkg_crs_wkt is registered beside a column epoch"


@rule(116, "every frame but the undefined ones is defined in one way at least")
def _(f):
    if "definition_12_063" in f.columns("gpkg_spatial_ref_sys"):
        for (number,) in f.rows("SELECT srs_id FROM gpkg_spatial_ref_sys WHERE srs_id NOT IN (-1, 0) AND definition = 'undefined' AND definition_12_063 = 'undefined'"):
            yield f"frame {number} is not"


@rule("-", "an epoch is a decimal year of a dynamic frame (OGC 18-010r7, DYNAMIC)")
def _(f):
    if "epoch" in f.columns("gpkg_spatial_ref_sys"):
        for number, wkt, epoch in f.rows("SELECT srs_id, definition_12_063, epoch FROM gpkg_spatial_ref_sys WHERE epoch IS NOT NULL"):
            if "DYNAMIC[" not in wkt or not 1980 <= epoch <= 2100:
                yield f"frame {number} has the epoch {epoch}"


# ---- contents ----
@rule(13, "gpkg_contents has the columns of table 4")
def _(f):
    yield from needs(f, "gpkg_contents", {
        "table_name": ("TEXT", 1, 1), "data_type": ("TEXT", 1, 0), "identifier": ("TEXT", 0, 0), "description": ("TEXT", 0, 0),
        "last_change": ("DATETIME", 1, 0), "min_x": ("DOUBLE", 0, 0), "min_y": ("DOUBLE", 0, 0), "max_x": ("DOUBLE", 0, 0),
        "max_y": ("DOUBLE", 0, 0), "srs_id": ("INTEGER", 0, 0)})


@rule(14, "every registered table is there, as a table or a view")
def _(f):
    for name in f.tables():
        if f.schema.get(name, ("",))[0] not in ("table", "view"):
            yield f"{name} is not"


@rule(15, "the last change is an instant of ISO 8601 in UTC with milliseconds")
def _(f):
    for name, text in f.rows("SELECT table_name, last_change FROM gpkg_contents"):
        if not is_instant(text):
            yield f"{name}: {text}"


@rule("-", "the bounds of a layer hold every place in it")
def _(f):
    for table, column, *_rest in f.features():
        low_x, low_y, high_x, high_y = f.rows("SELECT min_x, min_y, max_x, max_y FROM gpkg_contents WHERE table_name = ?", table)[0]
        for key, blob in f.rows(f'SELECT id, "{column}" FROM "{table}" WHERE "{column}" IS NOT NULL'):
            place = point_of(blob)
            if place and (low_x is None or not (low_x <= place[0] <= high_x and low_y <= place[1] <= high_y)):
                yield f"{table} {key} lies outside"


@rule(18, "tables of features and attributes are registered with those words, and nothing else")
def _(f):
    for name, kind in f.tables().items():
        if kind not in ("features", "attributes"):
            yield f"{name} is {kind}"


# ---- features ----
def is_instant(text):
    try:
        datetime.strptime(text, "%Y-%m-%dT%H:%M:%S.%fZ")
    except (TypeError, ValueError):
        return False
    return True


def point_of(blob):
    """x, y of a point; None for what is none."""
    try:
        at = 8 + (0, 32, 48, 48, 64)[blob[3] >> 1 & 7]
        order = "<" if blob[at] else ">"
        kind = struct.unpack_from(order + "I", blob, at + 1)[0]
        return struct.unpack_from(order + "dd", blob, at + 5) if kind % 1000 == 1 else None
    except (TypeError, IndexError, struct.error):
        return None


@rule(19, "geometries begin with GP, version 0, known flags and a known envelope, and hold a point of well-known binary")
def _(f):
    for table, column, *_rest in f.features():
        for key, blob in f.rows(f'SELECT id, "{column}" FROM "{table}" WHERE "{column}" IS NOT NULL'):
            if not isinstance(blob, bytes) or len(blob) < 8:
                yield f"{table} {key}: too short or no geometry"
            elif blob[:2] != b"GP" or blob[2] != 0:
                yield f"{table} {key}: magic or version"
            elif blob[3] & 0xC0 or (blob[3] >> 1 & 7) > 4:
                yield f"{table} {key}: flags {blob[3]:02x}"
            elif point_of(blob) is None or not all(abs(v) < 1e12 for v in point_of(blob)):
                yield f"{table} {key}: no point"


@rule(20, "a view of features has its geometry column and an integer key that is unique")
def _(f):
    for table, column, *_rest in f.features():
        if f.schema[table][0] == "view":
            key = next(iter(f.columns(table)))
            if f.one(f'SELECT count(*) - count(DISTINCT "{key}") FROM "{table}"') != 0:
                yield f"{table}.{key} is not unique"


@rule(21, "gpkg_geometry_columns has the columns of table 5")
def _(f):
    yield from needs(f, "gpkg_geometry_columns", {
        "table_name": ("TEXT", 1, 1), "column_name": ("TEXT", 1, 2), "geometry_type_name": ("TEXT", 1, 0),
        "srs_id": ("INTEGER", 1, 0), "z": ("TINYINT", 1, 0), "m": ("TINYINT", 1, 0)})


@rule(22, "every layer of features has exactly one geometry column that is there")
def _(f):
    for name, kind in f.tables().items():
        rows = f.rows("SELECT column_name FROM gpkg_geometry_columns WHERE table_name = ?", name)
        if (len(rows) == 1) != (kind == "features"):
            yield f"{name} has {len(rows)}"
        elif rows and rows[0][0] not in f.columns(name):
            yield f"{name} has no column {rows[0][0]}"


@rule(25, "the kind of geometry is one of annex G, in capitals")
def _(f):
    for table, _column, kind, *_rest in f.features():
        if kind not in ("GEOMETRY", "POINT", "LINESTRING", "POLYGON", "MULTIPOINT", "MULTILINESTRING", "MULTIPOLYGON", "GEOMETRYCOLLECTION"):
            yield f"{table}: {kind}"


@rule(27, "z and m are 0, 1 or 2, and the geometries do as they say")
def _(f):
    for table, column, _kind, _srs, z, m in f.features():
        if z not in (0, 1, 2) or m not in (0, 1, 2):
            yield f"{table}: z {z}, m {m}"
        for key, blob in f.rows(f'SELECT id, "{column}" FROM "{table}" WHERE "{column}" IS NOT NULL'):
            if point_of(blob) is None:
                continue
            at = 8 + (0, 32, 48, 48, 64)[blob[3] >> 1 & 7]
            kind = struct.unpack_from("<I" if blob[at] else ">I", blob, at + 1)[0] // 1000
            if (kind in (1, 3)) and z == 0 or (kind not in (1, 3)) and z == 1 or kind >= 2 and m == 0:
                yield f"{table} {key}: dimensions {kind}"


@rule(29, "a table of features or attributes has a key of its own, INTEGER PRIMARY KEY AUTOINCREMENT")
def _(f):
    for name in f.tables():
        if f.schema.get(name, ("", ""))[0] == "table":
            keys = [(c, v) for c, v in f.columns(name).items() if v[3]]
            if len(keys) != 1 or keys[0][1][0] != "INTEGER":
                yield f"{name}: {keys}"


@rule(31, "the geometry column has the type that is registered")
def _(f):
    for table, column, kind, *_rest in f.features():
        if f.columns(table).get(column, ("",))[0] != kind:
            yield f"{table}.{column} is {f.columns(table).get(column)}"


@rule(33, "every geometry is in the frame of its layer, as layer and contents name it")
def _(f):
    for table, column, _kind, srs, *_rest in f.features():
        if f.one("SELECT srs_id FROM gpkg_contents WHERE table_name = ?", table) != srs:
            yield f"{table}: two frames are registered"
        for key, blob in f.rows(f'SELECT id, "{column}" FROM "{table}" WHERE "{column}" IS NOT NULL'):
            if point_of(blob) and struct.unpack_from("<i" if blob[3] & 1 else ">i", blob, 4)[0] != srs:
                yield f"{table} {key}: another frame"


# ---- extensions ----
@rule(58, "gpkg_extensions has the columns of table 19")
def _(f):
    yield from needs(f, "gpkg_extensions", {
        "table_name": ("TEXT", 0, 0), "column_name": ("TEXT", 0, 0), "extension_name": ("TEXT", 1, 0), "definition": ("TEXT", 1, 0),
        "scope": ("TEXT", 1, 0)})


@rule(60, "what an extension is registered for is there")
def _(f):
    for table, column in f.rows("SELECT table_name, column_name FROM gpkg_extensions WHERE table_name IS NOT NULL"):
        if not f.has(table) or column is not None and column not in f.columns(table):
            yield f"{table}.{column} is not"


KNOWN = {"gpkg_crs_wkt", "gpkg_crs_wkt_1_1", "gpkg_schema", "gpkg_metadata", "gpkg_rtree_index"}


@rule(62, "extensions are known ones, each registered once for one thing")
def _(f):
    seen = set()
    for row in f.rows("SELECT table_name, column_name, extension_name FROM gpkg_extensions"):
        if row[2] not in KNOWN or row in seen:
            yield str(row)
        seen.add(row)


@rule(64, "the scope of an extension is read-write or write-only")
def _(f):
    for name, scope in f.rows("SELECT extension_name, scope FROM gpkg_extensions"):
        if scope not in ("read-write", "write-only"):
            yield f"{name}: {scope}"


@rule("-", "no table of the standard is there without its extension")
def _(f):
    for table, name in (("gpkg_data_columns", "gpkg_schema"), ("gpkg_data_column_constraints", "gpkg_schema"),
                        ("gpkg_metadata", "gpkg_metadata"), ("gpkg_metadata_reference", "gpkg_metadata")):
        registered = f.one("SELECT count(*) FROM gpkg_extensions WHERE table_name = ? AND extension_name = ?", table, name)
        if f.has(table) != bool(registered):
            yield f"{table} is {'' if f.has(table) else 'not '}there, {name} {registered} times"


# ---- spatial index: annex F.3, the templates of version 1.3 ----
PUT = "INSERT OR REPLACE INTO rtree_<t>_<c> VALUES (NEW.<i>, ST_MinX(NEW.<c>), ST_MaxX(NEW.<c>), ST_MinY(NEW.<c>), ST_MaxY(NEW.<c>));"
TEMPLATES = {
    "insert": f"AFTER INSERT ON <t> WHEN (new.<c> NOT NULL AND NOT ST_IsEmpty(NEW.<c>)) BEGIN {PUT} END",
    "update1": f"AFTER UPDATE OF <c> ON <t> WHEN OLD.<i> = NEW.<i> AND (NEW.<c> NOTNULL AND NOT ST_IsEmpty(NEW.<c>)) BEGIN {PUT} END",
    "update2": "AFTER UPDATE OF <c> ON <t> WHEN OLD.<i> = NEW.<i> AND (NEW.<c> ISNULL OR ST_IsEmpty(NEW.<c>)) BEGIN DELETE FROM rtree_<t>_<c> WHERE id = OLD.<i>; END",
    "update3": f"AFTER UPDATE ON <t> WHEN OLD.<i> != NEW.<i> AND (NEW.<c> NOTNULL AND NOT ST_IsEmpty(NEW.<c>)) BEGIN DELETE FROM rtree_<t>_<c> WHERE id = OLD.<i>; {PUT} END",
    "update4": "AFTER UPDATE ON <t> WHEN OLD.<i> != NEW.<i> AND (NEW.<c> ISNULL OR ST_IsEmpty(NEW.<c>)) BEGIN DELETE FROM rtree_<t>_<c> WHERE id IN (OLD.<i>, NEW.<i>); END",
    "delete": "AFTER DELETE ON <t> WHEN old.<c> NOT NULL BEGIN DELETE FROM rtree_<t>_<c> WHERE id = OLD.<i>; END",
}


def squeezed(sql):
    """What SQL means: without quotes, spaces beside signs, and small letters."""
    return re.sub(r"\s*([(),;=])\s*", r"\1", re.sub(r"\s+", " ", sql.replace('"', ""))).strip().lower()


def indexed(f):
    return f.rows("SELECT table_name, column_name FROM gpkg_extensions WHERE extension_name = 'gpkg_rtree_index'")


@rule(75, "only a table of features is registered for a spatial index, write-only")
def _(f):
    for table, column in indexed(f):
        if f.schema.get(table, ("",))[0] != "table" or f.tables().get(table) != "features":
            yield f"{table} is no table of features"
    for (scope,) in f.rows("SELECT scope FROM gpkg_extensions WHERE extension_name = 'gpkg_rtree_index'"):
        if scope != "write-only":
            yield f"its scope is {scope}"
    for name, (kind, sql) in f.schema.items():
        if "using rtree" in sql.lower() and name not in {f"rtree_{t}_{c}" for t, c in indexed(f)}:
            yield f"{name} is not registered"


@rule(76, "the triggers of a spatial index are the standard's, word for word")
def _(f):
    for table, column in indexed(f):
        key = next((c for c, v in f.columns(table).items() if v[3]), "rowid")
        for event, template in TEMPLATES.items():
            name = f"rtree_{table}_{column}_{event}"
            wanted = f"CREATE TRIGGER {name} " + template.replace("<t>", table).replace("<c>", column).replace("<i>", key)
            if squeezed(f.schema.get(name, ("", ""))[1]) != squeezed(wanted):
                yield f"{name} is not"


@rule(77, "the spatial index is the virtual table of the standard")
def _(f):
    for table, column in indexed(f):
        name = f"rtree_{table}_{column}"
        if squeezed(f.schema.get(name, ("", ""))[1]) != squeezed(f"CREATE VIRTUAL TABLE {name} USING rtree(id, minx, maxx, miny, maxy)"):
            yield f"{name} is not"


@rule("-", "every place that is not empty stands in the spatial index, where it is")
def _(f):
    for table, column in indexed(f):
        if not f.has(f"rtree_{table}_{column}"):
            continue
        found = {r[0]: r[1:] for r in f.rows(f'SELECT id, minx, maxx, miny, maxy FROM "rtree_{table}_{column}"')}
        for key, blob in f.rows(f'SELECT id, "{column}" FROM "{table}" WHERE "{column}" IS NOT NULL'):
            if point_of(blob) is None:
                continue
            x, y = point_of(blob)
            box = found.pop(key, None)
            if box is None or not (box[0] <= x <= box[1] and box[2] <= y <= box[3]):
                yield f"{table} {key} is at {box}"
        if found:
            yield f"{table}: {sorted(found)[:3]} are in the index and not in the table"


# ---- columns: annex F.9 ----
@rule(103, "gpkg_data_columns has the columns of its table")
def _(f):
    if f.has("gpkg_data_columns"):
        yield from needs(f, "gpkg_data_columns", {
            "table_name": ("TEXT", 1, 1), "column_name": ("TEXT", 1, 2), "name": ("TEXT", 0, 0), "title": ("TEXT", 0, 0),
            "description": ("TEXT", 0, 0), "mime_type": ("TEXT", 0, 0), "constraint_name": ("TEXT", 0, 0)})


@rule(104, "a column that is explained is one of a registered table")
def _(f):
    if f.has("gpkg_data_columns"):
        for table, column in f.rows("SELECT table_name, column_name FROM gpkg_data_columns"):
            if table not in f.tables() or column not in f.columns(table):
                yield f"{table}.{column} is not there"


@rule(106, "a constraint that a column names is there")
def _(f):
    if f.has("gpkg_data_columns"):
        for (name,) in f.rows("SELECT constraint_name FROM gpkg_data_columns WHERE constraint_name IS NOT NULL"):
            if not f.has("gpkg_data_column_constraints") or not f.one("SELECT count(*) FROM gpkg_data_column_constraints WHERE constraint_name = ?", name):
                yield f"{name} is not"


@rule("-", "every column of a layer has a title and a description")
def _(f):
    if f.has("gpkg_data_columns"):
        for table, *_rest in f.features():
            explained = {c for (c,) in f.rows("SELECT column_name FROM gpkg_data_columns WHERE table_name = ? AND title <> '' AND description <> ''", table)}
            for column in f.columns(table):
                if column not in explained:
                    yield f"{table}.{column} has none"


# ---- metadata: annex F.8 ----
@rule(93, "gpkg_metadata has the columns of its table")
def _(f):
    if f.has("gpkg_metadata"):
        yield from needs(f, "gpkg_metadata", {
            "id": ("INTEGER", 1, 1), "md_scope": ("TEXT", 1, 0), "md_standard_uri": ("TEXT", 1, 0), "mime_type": ("TEXT", 1, 0),
            "metadata": ("TEXT", 1, 0)})


@rule(94, "the scope of a record is one of the standard's words")
def _(f):
    if f.has("gpkg_metadata"):
        for (scope,) in f.rows("SELECT md_scope FROM gpkg_metadata"):
            if scope not in ("undefined", "fieldSession", "collectionSession", "series", "dataset", "featureType", "feature", "attributeType", "attribute", "tile", "model", "catalog", "schema", "taxonomy", "software", "service", "collectionHardware", "nonGeographicDataset", "dimensionGroup"):
                yield scope


@rule(95, "gpkg_metadata_reference has the columns of its table")
def _(f):
    if f.has("gpkg_metadata_reference"):
        yield from needs(f, "gpkg_metadata_reference", {
            "reference_scope": ("TEXT", 1, 0), "table_name": ("TEXT", 0, 0), "column_name": ("TEXT", 0, 0),
            "row_id_value": ("INTEGER", 0, 0), "timestamp": ("DATETIME", 1, 0), "md_file_id": ("INTEGER", 1, 0),
            "md_parent_id": ("INTEGER", 0, 0)})


@rule(97, "a reference names what its scope says, and nothing more")
def _(f):
    if f.has("gpkg_metadata_reference"):
        for scope, table, column, row in f.rows("SELECT reference_scope, table_name, column_name, row_id_value FROM gpkg_metadata_reference"):
            named = {"geopackage": (0, 0, 0), "table": (1, 0, 0), "column": (1, 1, 0), "row": (1, 0, 1), "row/col": (1, 1, 1)}.get(scope)
            if (table is not None, column is not None, row is not None) != named:
                yield f"{scope}: {table}, {column}, {row}"


@rule(100, "the timestamp of a reference is an instant of ISO 8601")
def _(f):
    if f.has("gpkg_metadata_reference"):
        for (text,) in f.rows("SELECT timestamp FROM gpkg_metadata_reference"):
            if not is_instant(text):
                yield str(text)


@rule(101, "a reference leads to a record, and to a parent that is another one")
def _(f):
    if f.has("gpkg_metadata_reference"):
        known = {i for (i,) in f.rows("SELECT id FROM gpkg_metadata")}
        for record, parent in f.rows("SELECT md_file_id, md_parent_id FROM gpkg_metadata_reference"):
            if record not in known or parent is not None and (parent not in known or parent == record):
                yield f"{record}, parent {parent}"


@rule("-", "a record of text/xml is well-formed")
def _(f):
    if f.has("gpkg_metadata"):
        for number, text in f.rows("SELECT id, metadata FROM gpkg_metadata WHERE mime_type = 'text/xml'"):
            try:
                xml.dom.minidom.parseString(text.encode())
            except xml.parsers.expat.ExpatError as error:
                yield f"record {number}: {error}"


@rule("-", "dates of the layers are instants of ISO 8601, truths are 0 or 1")
def _(f):
    for table in f.tables():
        for name, column in f.columns(table).items():
            values = f.rows(f'SELECT DISTINCT "{name}" FROM "{table}" WHERE "{name}" IS NOT NULL') if column[0] in ("DATETIME", "BOOLEAN") else []
            for (value,) in values:
                if not (is_instant(value) if column[0] == "DATETIME" else value in (0, 1)):
                    yield f"{table}.{name}: {value}"


def complaints(path):
    file = File(path)
    try:
        for number, words, check in RULES:
            try:
                yield from (f"R{number} {words}: {what}" for what in check(file))
            except sqlite3.Error as error:
                yield f"R{number} {words}: {error}"
    finally:
        file.db.close()


def main():
    found = [line for path in sys.argv[1:] for line in complaints(path)]
    print("\n".join(found) if found else f"{len(sys.argv) - 1} files, {len(RULES)} rules, no complaint")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
