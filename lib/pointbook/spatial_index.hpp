#pragma once
/// The spatial index of a table of features: an R-tree that GIS programs look into before they draw (OGC 12-128r18,
/// annex F.3, extension `gpkg_rtree_index`).
///
/// Form:    the virtual table `rtree_<table>_geom` of SQLite's module rtree, three tables that the module makes for it,
///          and the standard's own triggers of version 1.3. Only the one on insert ever runs, since the tables are
///          append-only; a reader that looks for an index looks for all of them.
/// Triggers need the functions ST_IsEmpty, ST_MinX, ST_MaxX, ST_MinY and ST_MaxY in the connection that writes. Who only
///          reads needs neither them nor these functions.
/// Cost:    one entry of the index a row, in the row's own transaction.
/// Errors:  SQLite's result codes.

#include <string>
#include <string_view>
#include <vector>

#include "pointbook/database.hpp"
#include "pointbook/schema.hpp"

struct sqlite3;

namespace stillpoint::pointbook {

/// Whether SQLite has the module on this machine.
bool has_spatial_index() noexcept;

/// Gives the connection the functions that the triggers call. They are safe in a file of anybody: pure, and their only
/// input is the geometry.
int add_spatial_functions(sqlite3* connection);

/// The name of the index of a table.
std::string index_of(std::string_view table);

/// Everything that the index of one table consists of, in the order of making. What the module makes by itself is
/// marked so.
std::vector<Object> index_objects(std::string_view table);

/// Puts the rows that are there already into a new index. Inside a transaction of the caller.
int fill_index(Database& database, std::string_view table);

}  // namespace stillpoint::pointbook
