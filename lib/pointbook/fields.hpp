#pragma once
/// The lists of what a row of each table holds, and how a member of any type is written and read.
///
/// Rows of points and check shots also say what book and digest they belong to. The list of a point itself stands in
/// occupation/fields.hpp, which also tells what a list is.
///
/// Errors: readers take only what a writer here has written, and say so.

#include <algorithm>
#include <string>
#include <type_traits>
#include <utility>
#include <vector>

#include "occupation/fields.hpp"
#include "pointbook/book.hpp"
#include "pointbook/column_text.hpp"
#include "pointbook/content.hpp"

namespace stillpoint::pointbook {

using occupation::Field;

/// The newest version of book, content and spool.
inline constexpr int kNewestFields = 6;

/// The bytes of a row's geometry; empty: NULL.
struct Geometry {
  std::string bytes;
};

template <class Io, class Stored>
void identity_fields(Io& io, Stored& s) {
  io(Field{.name = "uuid", .unique = true}, s.uuid);
  io(Field{"version"}, s.version);
  io(Field{.name = "supersedes", .nullable = true}, s.supersedes);
  io(Field{.name = "changed_by", .nullable = true}, s.changed_by);
  io(Field{.name = "change_reason", .nullable = true}, s.change_reason);
}

/// `row` is a `PointRow`, or refers to a point that is not in one yet.
template <class Io, class Row>
void point_row_fields(Io& io, Row& row) {
  identity_fields(io, row.stored);
  occupation::point_fields(io, row.stored.point);
  io(Field{"epochs_kept"}, row.epochs.count);
  io(Field{"epochs_sha256"}, row.epochs.sha256);
  io(Field{.name = "geom", .content = false, .compared = false}, row.geometry);
  io(Field{.name = "training", .content = false}, row.training);
  io(Field{.name = "content_sha256", .content = false}, row.content_sha256);
  io(Field{.name = "stored_at", .content = false}, row.stored.stored_at);
}

template <class Io, class Shot>
void shot_fields(Io& io, Shot& s) {
  io(Field{.name = "uuid", .compared = false, .unique = true}, s.uuid);
  io(Field{.name = "version", .compared = false}, s.version);
  io(Field{.name = "supersedes", .nullable = true, .compared = false}, s.supersedes);
  io(Field{"mark"}, s.mark);
  io(Field{"kind"}, s.kind);
  io(Field{"utc"}, s.utc);
  io(Field{"passed"}, s.passed);
  io(Field{"frame"}, s.frame);
  occupation::position_fields(io, s.at);
  io(Field{"off_east_m", occupation::kMetres}, s.off_east_m);
  io(Field{"off_north_m", occupation::kMetres}, s.off_north_m);
  io(Field{"off_up_m", occupation::kMetres}, s.off_up_m);
  io(Field{"limit_horizontal_m", occupation::kMetres}, s.limit_horizontal_m);
  io(Field{"limit_vertical_m", occupation::kMetres}, s.limit_vertical_m);
  io(Field{.name = "source", .nullable = true}, s.source);
  io(Field{"antenna_height_m", occupation::kMetres}, s.antenna_height_m);
  io(Field{"text"}, s.text);
  io(Field{.name = "diagnosis", .nullable = true}, s.diagnosis);
  io(Field{.name = "point_uuid", .nullable = true, .compared = false}, s.point_uuid);
  io(Field{.name = "error_scale", .since = 3}, s.error_scale);
  io(Field{.name = "claim_plan_m2", .decimals = occupation::kSquareMetres, .since = 3}, s.claim_plan_m2);
  io(Field{.name = "claim_up_m2", .decimals = occupation::kSquareMetres, .since = 3}, s.claim_up_m2);
  io(Field{.name = "scatter_plan_m2", .decimals = occupation::kSquareMetres, .since = 3}, s.scatter_plan_m2);
  io(Field{.name = "scatter_up_m2", .decimals = occupation::kSquareMetres, .since = 3}, s.scatter_up_m2);
  io(Field{.name = "mark_sigma_plan_m", .decimals = occupation::kMetres, .since = 3}, s.mark_sigma_plan_m);
  io(Field{.name = "mark_sigma_up_m", .decimals = occupation::kMetres, .since = 3}, s.mark_sigma_up_m);
  io(Field{.name = "orthometric_height_m",
           .decimals = occupation::kMetres,
           .since = 3,
           .content = false,
           .compared = false},
     s.at.orthometric_height_m);
  io(Field{.name = "geoid", .nullable = true, .since = 3, .content = false, .compared = false}, s.at.geoid);
  io(Field{.name = "suspect", .nullable = true, .since = 4}, s.suspect);
}

template <class Io, class Row>
void shot_row_fields(Io& io, Row& row) {
  shot_fields(io, row.shot);
  io(Field{.name = "geom", .content = false, .compared = false}, row.geometry);
  io(Field{.name = "training", .content = false, .compared = false}, row.training);
  io(Field{.name = "content_sha256", .content = false, .compared = false}, row.content_sha256);
  io(Field{.name = "stored_at", .content = false, .compared = false}, row.shot.stored_at);
}

template <class Io, class Setup>
void antenna_fields(Io& io, Setup& s) {
  io(Field{.name = "uuid", .unique = true}, s.uuid);
  io(Field{"utc"}, s.utc);
  io(Field{"height_m"}, s.height_m);
  io(Field{.name = "vertical_parts_m", .nullable = true}, s.vertical_parts_m);
  io(Field{"slant_length_m"}, s.slant_length_m);
  io(Field{"slant_radius_m"}, s.slant_radius_m);
  io(Field{"slant_plane_to_phase_centre_m"}, s.slant_plane_to_phase_centre_m);
  io(Field{"also_measured_ft"}, s.also_measured_ft);
  io(Field{"already_reduced_by_receiver"}, s.already_reduced_by_receiver);
  io(Field{.name = "reason", .nullable = true}, s.reason);
}

template <class Io, class Row>
void event_fields(Io& io, Row& e) {
  io(Field{"utc"}, e.utc);
  io(Field{"kind"}, e.kind);
  io(Field{"text"}, e.text);
  io(Field{.name = "details", .nullable = true}, e.details);
}

// ---- how a member is written ----

template <class Value>
inline constexpr bool kIsOptional = false;
template <class Value>
inline constexpr bool kIsOptional<std::optional<Value>> = true;
template <class Value>
inline constexpr bool kIsWholeNumber = std::is_same_v<Value, int> || std::is_same_v<Value, std::uint64_t>;
/// Numbers, yes or no, and instants have their own ways; everything else is a text.
template <class Value>
inline constexpr bool kIsText = !std::is_same_v<Value, double> && !std::is_same_v<Value, bool> &&
                                !std::is_same_v<Value, UtcTime> && !kIsWholeNumber<Value> && !kIsOptional<Value>;

std::string text_of(const Field& field, const std::string& value);
std::string text_of(const Field& field, const Geometry& value);
std::string text_of(const Field& field, const std::vector<std::string>& values);
std::string text_of(const Field& field, const RefusedCounts& value);
std::string text_of(const Field& field, const gate::ReasonSet& value);
std::string text_of(const Field& field, const std::vector<occupation::HoldReason>& value);
std::string text_of(const Field& field, const std::vector<std::pair<std::string, double>>& value);
std::string text_of(const Field& field, const OffsetMeasures& value);
template <class Word>
requires std::is_enum_v<Word> std::string text_of(const Field&, Word value) {
  return std::string(to_word(value));
}

// False: no writer here has written the text.
bool take_text(const Field& field, std::string&& text, std::string& value);
bool take_text(const Field& field, std::string&& text, std::vector<std::string>& values);
bool take_text(const Field& field, std::string&& text, RefusedCounts& value);
bool take_text(const Field& field, std::string&& text, gate::ReasonSet& value);
bool take_text(const Field& field, std::string&& text, std::vector<occupation::HoldReason>& value);
bool take_text(const Field& field, std::string&& text, std::vector<std::pair<std::string, double>>& value);
bool take_text(const Field& field, std::string&& text, OffsetMeasures& value);
bool take_text(const Field& field, std::string&& text, Quality& value);
bool take_text(const Field& field, std::string&& text, corrections::State& value);
bool take_text(const Field& field, std::string&& text, occupation::PointStatus& value);

/// As in the canonical content: fixed decimals; a missing value is empty.
std::string content_text(const Field& field, double value);
std::string content_text(const Field& field, bool value);
std::string content_text(const Field& field, UtcTime value);
/// To the last bit, for comparison.
std::string exact_text(const Field& field, double value);
std::string exact_text(const Field& field, bool value);
std::string exact_text(const Field& field, UtcTime value);

template <class Value>
std::string content_text(const Field& field, const Value& value) {
  if constexpr (kIsOptional<Value>) {
    return value ? content_text(field, *value) : std::string();
  } else if constexpr (kIsWholeNumber<Value>) {
    return std::to_string(value);
  } else {
    return text_of(field, value);
  }
}
template <class Value>
std::string exact_text(const Field& field, const Value& value) {
  if constexpr (kIsOptional<Value>) {
    return value ? exact_text(field, *value) : std::string();
  } else if constexpr (kIsWholeNumber<Value>) {
    return std::to_string(value);
  } else {
    return text_of(field, value);
  }
}

// ---- versions ----

/// The oldest version that has a word for each of these reasons.
int version_of(const gate::ReasonSet& reasons);
int version_of(const RefusedCounts& counts);
template <class Value>
int version_of(const Value&) {
  return 1;
}

/// Collects what came after version 1.
struct NewerFields {
  std::vector<std::pair<int, std::string>> values;
  int version = 1;  ///< that the values themselves want, whatever their field's
  template <class Value>
  void operator()(const Field& field, const Value& value) {
    version = std::max(version, version_of(value));
    // What is outside the content stands in columns alone.
    if (field.since > 1 && field.content) values.emplace_back(field.since, exact_text(field, value));
  }
};

/// The oldest version that can say all of `record`: what a later one added has the value that nobody has set. So a row
/// keeps its content and its hash for ever, and an older program reads whatever it could have written itself.
/// `visit(io, record)` is one of the lists above.
template <class Visit, class Record>
int version_needed(Visit visit, const Record& record) {
  static const auto unset = [&] {
    NewerFields io;
    const Record nothing{};
    visit(io, nothing);
    return io.values;
  }();
  NewerFields io;
  visit(io, record);
  int version = io.version;
  for (std::size_t i = 0; i < unset.size(); ++i) {
    if (io.values[i] != unset[i]) version = std::max(version, unset[i].first);
  }
  return version;
}

}  // namespace stillpoint::pointbook
