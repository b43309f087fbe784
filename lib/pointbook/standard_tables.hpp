#pragma once
/// The tables that OGC 12-128r18 itself defines, with its own column definitions, and what is registered in them: frames,
/// layers, columns, extensions. Beside them `layer_styles`, where desktop GIS programs look for the style of a layer.
///
/// Frame:   `definition` is WKT 1, `definition_12_063` is WKT 2 by the extension `gpkg_crs_wkt_1_1`, whose column `epoch`
///          has the date of the coordinates where the ground moves against the frame: as long as all of them are of
///          nearly one date (`kOneDate`); else it is NULL, and each row's `coordinate_epoch` says it.
/// Errors:  SQLite's result codes. Everything here runs inside a transaction of the caller.

#include "pointbook/book.hpp"
#include "pointbook/database.hpp"
#include "pointbook/rows.hpp"
#include "pointbook/schema.hpp"

namespace stillpoint::pointbook {

/// Years within which coordinates count as of one date: 5 mm where the ground moves by 10 cm a year.
inline constexpr double kOneDate = 0.05;

/// No part of the standard, but on the list of the book's own objects.
Object styles_table();

/// Of a new book: the tables and the frames in them.
int create_standard_tables(Database& database, const Identity& identity);
/// What they say of the book's own tables, which are there by now.
int fill_standard_tables(Database& database, const Identity& identity);

/// A book of before schema 7 gets what it has not. What others have written into these tables stays.
int add_standard_tables(Database& database, const Identity& identity);

/// Notes the date of a place that is about to be stored in the frame's row.
int note_epoch(Database& database, const BookFrame& frame, double coordinate_epoch);

}  // namespace stillpoint::pointbook
