#include "delivery_sheet.hpp"

#include <algorithm>

#include "base/number.hpp"
#include "base/utf8.hpp"
#include "delivery_sentences.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"

namespace stillpoint::office {
namespace {

constexpr std::size_t kWidth = 118;

class Sheet {
 public:
  void line(const std::string& text) {
    std::string left = shown(text);
    for (std::string indent; !left.empty(); indent = "  ") {
      const std::size_t room = kWidth - indent.size();
      std::size_t end = left.size() <= room ? left.size() : left.rfind(' ', room);
      if (end == std::string::npos || end == 0) end = std::min(left.find(' '), left.size());
      out_ += indent + left.substr(0, end) + '\n';
      left.erase(0, std::min(end + 1, left.size()));
    }
  }
  void part(const std::string& title) { out_ += '\n' + title + '\n' + std::string(title.size(), '-') + '\n'; }
  void unless_none(std::size_t count, const Sentence<1>& sentence) {
    if (count > 0) line(sentence(std::to_string(count)));
  }
  std::string text() && { return std::move(out_); }

 private:
  std::string out_;
};

void tell_points(Sheet& sheet, const Delivery& delivery, const Written& written) {
  const Tally& tally = delivery.tally;
  sheet.part(kSayOfDelivery.part_points());
  sheet.line(kSayOfDelivery.accepted(std::to_string(tally.accepted)));
  sheet.unless_none(tally.held_given, kSayOfDelivery.held_given);
  sheet.line(kSayOfDelivery.held_back(std::to_string(tally.held_back)));
  sheet.unless_none(tally.without_place, kSayOfDelivery.without_place);
  sheet.unless_none(tally.rejected, kSayOfDelivery.rejected);
  sheet.unless_none(tally.older, kSayOfDelivery.older);
  sheet.unless_none(tally.doubted, kSayOfDelivery.in_doubt);
  sheet.unless_none(tally.without_height, kSayOfDelivery.no_height);
  if (!tally.names_twice.empty()) {
    sheet.line(
        kSayOfDelivery.names_twice(std::to_string(tally.names_twice.size()), report::joined(tally.names_twice, ", ")));
  }
  if (written.texts_cut > 0) {
    sheet.line(kSayOfDelivery.texts_cut(std::to_string(kShapeTextBytes), std::to_string(written.texts_cut)));
  }
  sheet.unless_none(written.texts_changed, kSayOfDelivery.texts_changed);
}

std::string factor_text(double factor) {
  std::string out = fixed(factor, 12);
  return out.substr(0, out.find_last_not_of('0') + 1);
}

void tell_operation(Sheet& sheet, const Reference& reference) {
  if (!reference.way) return sheet.line(kSayOfDelivery.not_moved());
  sheet.line(kSayOfDelivery.from_frame(reference.project_label));
  sheet.line(kSayOfDelivery.operation(reference.way->description));
  if (!reference.way->moves) return;
  sheet.line(reference.way->accuracy_m ? kSayOfDelivery.operation_accuracy(fixed(*reference.way->accuracy_m, 3))
                                       : kSayOfDelivery.accuracy_unknown());
  sheet.line(kSayOfDelivery.operation_area(reference.way->area));
}

void tell_epoch(Sheet& sheet, const Delivery& delivery, Format format, const std::vector<std::size_t>& columns) {
  const std::string first = fixed(delivery.first_epoch, 4), last = fixed(delivery.last_epoch, 4);
  sheet.line(first == last ? kSayOfDelivery.one_epoch(first) : kSayOfDelivery.several_epochs(first, last));
  const Reference& reference = delivery.reference;
  if (reference.frame.moving) sheet.line(kSayOfDelivery.frame_moves());
  const bool chosen = format != Format::dxf && std::ranges::any_of(columns, [&](std::size_t at) {
                        return delivery.columns[at].name == "coordinate_epoch";
                      });
  const auto in_layer = format == Format::gpkg && reference.frame.moving && !reference.frameless()
                            ? delivery.layer_epoch()
                            : std::nullopt;
  sheet.line(in_layer                 ? kSayOfDelivery.epoch_in_layer(fixed(*in_layer, 3))
             : format == Format::gpkg ? kSayOfDelivery.epoch_of_points()
             : chosen                 ? kSayOfDelivery.epoch_in_column()
                                      : kSayOfDelivery.epoch_only_here());
}

void tell_frame(Sheet& sheet, const Delivery& delivery, Format format) {
  const Reference& reference = delivery.reference;
  const std::string& label = reference.frame.label;
  sheet.part(kSayOfDelivery.part_frame());
  if (reference.local_origin) {
    const auto& at = *reference.local_origin;
    sheet.line(kSayOfDelivery.local_origin(fixed(at.latitude_deg, 9) + " " + fixed(at.longitude_deg, 9)));
  } else if (reference.combined_factor) {
    sheet.line(kSayOfDelivery.ground(factor_text(*reference.combined_factor), label));
  } else {
    sheet.line(kSayOfDelivery.frame(label));
  }
  if (!reference.frame.has_code && !reference.local_origin) {
    sheet.line(kSayOfDelivery.other_unit(unit_words(reference.unit), label));
  }
  sheet.line(kSayOfDelivery.base_frame(reference.frame.base_label));
  if (format == Format::geojson) {
    sheet.line(reference.is_rfc7946() ? kSayOfDelivery.geojson_wgs84() : kSayOfDelivery.geojson_arranged());
  }
  tell_operation(sheet, reference);
}

void tell_lengths(Sheet& sheet, const Delivery& delivery, Format format) {
  const Reference& reference = delivery.reference;
  sheet.part(kSayOfDelivery.part_lengths());
  sheet.line(kSayOfDelivery.unit(unit_words(reference.unit)));
  sheet.line(reference.orthometric ? kSayOfDelivery.height_orthometric(reference.geoid)
                                   : kSayOfDelivery.height_ellipsoid(reference.frame.base_label));
  sheet.line(kSayOfDelivery.errors());
  if (format == Format::csv) return sheet.line(kSayOfDelivery.csv_guard());
  sheet.line(kSayOfDelivery.axis_order());
  if (format == Format::dxf) sheet.line(kSayOfDelivery.drawing("NO-HEIGHT"));
  if (format == Format::shp && delivery.tally.without_height > 0) sheet.line(kSayOfDelivery.shape_zero());
}

void tell_files(Sheet& sheet, const Delivery& delivery, const SheetFacts& facts,
                const std::vector<std::size_t>& columns, Format format) {
  sheet.part(kSayOfDelivery.part_files());
  for (const auto& [name, sum] : facts.files) sheet.line(kSayOfDelivery.file_sum(name, sum));
  std::string rules;
  for (const int edition : delivery.rules) rules += (rules.empty() ? "" : ", ") + std::to_string(edition);
  sheet.line(kSayOfDelivery.from_book(facts.book_name, kSayOfDelivery.book_schema(rules), facts.book_sha256));
  if (format == Format::dxf) return;
  sheet.part(kSayOfDelivery.part_columns());
  std::string names;
  for (const std::size_t at : columns) {
    const Column& column = delivery.columns[at];
    const bool whole = format == Format::csv || format == Format::geojson;
    names += (names.empty() ? "" : ", ") + (whole ? column.name : column.brief + " = " + column.name);
  }
  sheet.line(names);
}

void tell_cautions(Sheet& sheet, const Delivery& delivery) {
  sheet.part(kSayOfDelivery.part_cautions());
  for (const std::string& why : delivery.withheld) sheet.line(kSayOfDelivery.report_says(why));
  if (delivery.spool_waits) sheet.line(kSayOfDelivery.waits());
  sheet.line(report::kSay.not_for());
  sheet.line(report::kSay.buried_lines());
  sheet.line(report::kSay.law_first());
}

}  // namespace

std::string delivery_sheet(const Delivery& delivery, const DeliveryWishes& wishes, const SheetFacts& facts) {
  const Format format = wishes.format();
  std::vector<std::size_t> columns = facts.csv_columns;
  for (std::size_t i = 0; columns.size() < delivery.columns.size() && facts.csv_columns.empty(); ++i)
    columns.push_back(i);
  Sheet sheet;
  sheet.line(kSayOfDelivery.title(delivery.project));
  if (delivery.training) sheet.line(kSayOfDelivery.training());
  sheet.line(kSayOfDelivery.made_by(to_text(facts.made_at), STILLPOINT_VERSION));
  tell_points(sheet, delivery, facts.written);
  tell_frame(sheet, delivery, format);
  tell_epoch(sheet, delivery, format, columns);
  tell_lengths(sheet, delivery, format);
  tell_files(sheet, delivery, facts, columns, format);
  tell_cautions(sheet, delivery);
  return std::move(sheet).text();
}

}  // namespace stillpoint::office
