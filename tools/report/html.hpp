#pragma once
/// Pieces of HTML and SVG: text that cannot break out of its place, tables with captions and headed rows, figures with
/// a sentence for those who do not see them.
///
/// Units:   pixels of a drawing in whole tenths.
/// Threads: plain values.
/// Errors:  none.

#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::report {

/// `<`, `>`, `&` and quotes as entities; control characters as blanks.
std::string escaped(std::string_view text);

/// A table whose first column heads its rows. Cells are texts, not HTML.
class Table {
 public:
  struct Column {
    std::string head;
    bool number = false;
  };
  Table(std::string caption, std::vector<Column> columns);
  void row(const std::vector<std::string>& cells, std::string_view row_class = {});
  /// A sentence about the row before, over the whole width; nothing where it is empty.
  void said(std::string_view sentence, std::string_view row_class = {});
  bool empty() const noexcept { return rows_ == 0; }
  std::string html() const;
  /// The table, or the sentence when it has no rows.
  std::string html_or(std::string_view sentence) const;

 private:
  std::string caption_;
  std::vector<Column> columns_;
  std::string body_;
  std::size_t rows_ = 0;
};

/// `<p>…</p>` around a text.
std::string paragraph(std::string_view text, std::string_view paragraph_class = {});
std::string list_of(const std::vector<std::string>& sentences, bool numbered);

/// A coordinate in a drawing, with one decimal, no more digits than needed.
std::string px(double value);

/// An SVG of the given size in a figure: `title` names it, `says` tells in a sentence what it shows.
std::string figure(std::string_view title, std::string_view says, double width, double height, std::string_view body,
                   std::string_view figure_class = {});

/// The next of 1, 2, 5, 10, 20, 50 … times a power of ten that is not below `least`.
double step_not_below(double least) noexcept;

}  // namespace stillpoint::report
