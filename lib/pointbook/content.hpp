#pragma once
/// The canonical content of a stored point: the text whose SHA-256 each row carries, so that copies of a pointbook can
/// be compared and merged row by row.
///
/// Form:    UTF-8 lines ending in LF. The first is `stillpoint-content N`, N the version; then one `key=value` line for
///          each field of that version, in the order of the lists in fields.hpp and occupation/fields.hpp. Version 1:
///            uuid version supersedes changed_by change_reason name visit code note status reasons reason_texts frame
///            coordinate_epoch latitude_deg longitude_deg easting_m northing_m ellipsoid_height_m orthometric_height_m
///            geoid error95_horizontal_m error95_vertical_m covariance_ee_m2 covariance_en_m2 covariance_nn_m2
///            covariance_uu_m2 repeatability_m effective_epochs epochs_used epochs_refused refused source station
///            quality antenna_height_m started_utc finished_utc flags error_scale epochs_kept epochs_sha256
///          Inside a value, backslash, LF and TAB are written `\\`, `\n`, `\t`. A missing value is empty. Lists are
///          written as in the columns (column_text.hpp). When the point was stored (`stored_at`) is not content.
/// Version: the oldest that can say all of it (fields.hpp): old rows keep their content and hash.
/// Numbers: fixed decimals, no exponent: degrees 11, metres 6, square metres 12, decimal years 8, others 6.
/// Epochs:  `epochs_kept` is their count; `epochs_sha256` is the hash of one line for each, in order, TAB between the
///          values, LF at the end: utc quality station source age_s correction verdict reasons latitude_deg
///          longitude_deg ellipsoid_height_m sigma_east_m sigma_north_m sigma_up_m. So a row can be verified without
///          its epochs.
/// Errors:  every number must be finite.

#include <cstdint>
#include <string>
#include <vector>

#include "occupation/point.hpp"
#include "pointbook/book.hpp"

namespace stillpoint::pointbook {

/// What stands for the epochs in the content of their point.
struct EpochsDigest {
  std::uint64_t count = 0;
  std::string sha256;
};

/// The version that the content of each has; of epochs, that which the newest of them needs.
int content_version(const occupation::StoredPoint& stored);
int content_version(const std::vector<occupation::EpochRecord>& epochs);
int content_version(const CheckShot& shot);

EpochsDigest digest_of(const std::vector<occupation::EpochRecord>& epochs);

/// `stored.epochs` is not looked at: the digest stands for them.
std::string canonical_content(const occupation::StoredPoint& stored, const EpochsDigest& epochs);

/// A check shot has its own list of lines, with the same rules: uuid version supersedes mark kind utc passed frame
/// coordinate_epoch latitude_deg longitude_deg easting_m northing_m ellipsoid_height_m off_east_m off_north_m off_up_m
/// limit_horizontal_m limit_vertical_m source antenna_height_m text diagnosis point_uuid; version 3 adds error_scale
/// claim_plan_m2 claim_up_m2 scatter_plan_m2 scatter_up_m2 mark_sigma_plan_m mark_sigma_up_m, version 4 suspect.
std::string canonical_content(const CheckShot& shot);

}  // namespace stillpoint::pointbook
