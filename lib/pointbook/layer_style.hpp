#pragma once
/// How a layer of the pointbook is drawn: an SLD document by status, with shapes that differ as well as colours.
///
/// Source:  OGC 05-078r4 (Styled Layer Descriptor 1.1.0) and OGC 05-077r4 (Symbology Encoding 1.1.0); filters of OGC
///          04-095 (Filter Encoding 1.1.0).
/// Use:     in the book, in the table `layer_styles`, which is no part of the GeoPackage standard: a convention of
///          desktop GIS programs, which look there for the style of a layer. As a file beside a delivery.
/// Threads: pure. Errors: none.

#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::pointbook {

/// What is drawn where a column has a value.
struct DrawnValue {
  std::string_view value, title;
  std::string_view mark;  ///< a well-known shape of Symbology Encoding
  std::string_view fill, stroke;
  int size = 8;  ///< of the drawing, pixels
};

/// A layer whose drawing follows one column.
struct DrawnLayer {
  std::string_view layer, column, label;  ///< `label`: the column that is written beside
  std::vector<DrawnValue> values;
};

/// One document, for one layer.
std::string style_document(const DrawnLayer& drawn);

/// A layer of the pointbook itself. The columns are those of points, or of check shots.
DrawnLayer drawn_points(std::string_view layer);
DrawnLayer drawn_shots();

}  // namespace stillpoint::pointbook
