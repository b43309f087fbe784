#pragma once
/// What may never be stored, whoever asks: rows without a name, of another frame, with a number that is not finite, or
/// in a place that another row has.
///
/// Errors: `Fault::refused` with a sentence; `check_place` also passes on what SQLite reports.

#include <string>
#include <vector>

#include "pointbook/book.hpp"
#include "pointbook/database.hpp"
#include "pointbook/rows.hpp"

namespace stillpoint::pointbook {

StoreResult<void> check(const occupation::StoredPoint& stored, const Identity& identity);
StoreResult<void> check(const CheckShot& shot, const Identity& identity);
StoreResult<void> check(const AntennaSetup& setup);
StoreResult<void> check(const Event& event);

/// The place (name, visit, version) must be free, and a later version must supersede the one before it.
StoreResult<void> check_place(Database& database, const occupation::StoredPoint& stored, const std::string& path);

bool has_uuid(Database& database, std::string_view table, const std::string& uuid, int* code);

/// What is wrong with a row, one sentence each: content or epochs that do not match their SHA-256, a geometry that is
/// not where the coordinates are.
void look_at_row(const PointRow& row, const EpochsDigest& epochs, const BookFrame& frame,
                 std::vector<std::string>& damage);
void look_at_row(const ShotRow& row, const BookFrame& frame, std::vector<std::string>& damage);

/// `point "CUL-07", visit 1`
std::string title(const occupation::Point& point);

}  // namespace stillpoint::pointbook
