#pragma once
/// Whether two points, epochs or check shots are the same, field by field, to the last bit.
///
/// A number is written with as many digits as tell it from its neighbours, so equal texts are equal numbers. SQLite
/// keeps no sign of zero: -0 and 0 are the same here. Who stored a row, when, and under which uuid is not compared.
///
/// Units:   in the names of the fields.
/// Threads: pure functions. Errors: none.

#include <string>
#include <utility>
#include <vector>

#include "occupation/point.hpp"
#include "pointbook/book.hpp"

namespace stillpoint::pointbook {

/// Names and values, always the same names in the same order; a missing value is an empty text.
using Fields = std::vector<std::pair<std::string, std::string>>;

Fields exact_fields(const occupation::Point& point);
Fields exact_fields(const occupation::EpochRecord& epoch);
Fields exact_fields(const CheckShot& shot);

struct Difference {
  std::string field;
  std::string one, other;
};
std::vector<Difference> differences(const Fields& one, const Fields& other);

/// A shot and the same one made anew. What a program of before did not write down about it is no difference.
std::vector<Difference> differences(const CheckShot& stored, CheckShot again);

/// Both as one list: fields of the point, then those of every epoch, `epoch 17 of 60: station`.
std::vector<Difference> differences(const occupation::Point& one, const std::vector<occupation::EpochRecord>& epochs,
                                    const occupation::Point& other,
                                    const std::vector<occupation::EpochRecord>& other_epochs);

}  // namespace stillpoint::pointbook
