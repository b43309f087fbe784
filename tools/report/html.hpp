#pragma once
/// Pieces of HTML: text that cannot break out of its place, tables with headed rows and columns, lists of terms.
///
/// Units:   none.
/// Threads: plain values.
/// Errors:  none.

#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::report {

/// `<`, `>`, `&` and quotes as entities; control characters as blanks.
std::string escaped(std::string_view text);
/// The same for a sentence of ours: its apostrophes as a printer sets them.
std::string said(std::string_view sentence);
/// Text inside a string of a style.
std::string css_text(std::string_view text);

/// Which columns stand under one head of their own.
struct Span {
  std::string head;
  std::size_t from = 0, columns = 1;
};

/// A table whose first column heads its rows. Cells are texts, not HTML.
class Table {
 public:
  struct Column {
    std::string head;
    bool number = false;
    bool may_wrap = false;  ///< its texts may need two lines
  };
  /// `name`: the class that says how it looks; `says`: what it holds, for those who do not see it.
  Table(std::string name, std::string says, std::vector<Column> columns, std::vector<Span> spans = {});
  /// `sign`: HTML before the first cell's text.
  void row(const std::vector<std::string>& cells, std::string_view row_class = {}, std::string_view sign = {});
  /// A sentence about the row before, over the whole width; nothing where it is empty.
  void said_below(std::string_view sentence);
  /// A row that sums up; it stands under the table's last rule.
  void sum(std::string_view head, std::size_t head_columns, const std::vector<std::string>& cells);
  bool empty() const noexcept { return rows_ == 0; }
  std::string html() const;
  /// The table, or the sentence when it has no rows.
  std::string html_or(std::string_view sentence) const;

 private:
  bool wraps(std::size_t column, std::string_view text) const noexcept;
  std::string cell(std::size_t column, std::string_view text) const;
  std::string heads() const;
  std::string name_, says_;
  std::vector<Column> columns_;
  std::vector<Span> spans_;
  std::string body_, sums_;
  std::size_t rows_ = 0;
};

/// `<p>…</p>` around a sentence.
std::string paragraph(std::string_view sentence, std::string_view paragraph_class = {});

/// A term and what is said of it.
struct Term {
  std::string term, text;
};
std::string terms(const std::vector<Term>& list, std::string_view list_class);

}  // namespace stillpoint::report
