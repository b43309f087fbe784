#include "report/html.hpp"

namespace stillpoint::report {
namespace {

std::string class_of(std::string_view name) {
  return name.empty() ? std::string() : " class=\"" + std::string(name) + "\"";
}

std::string entity_of(char c) {
  switch (c) {
    case '<':
      return "&lt;";
    case '>':
      return "&gt;";
    case '&':
      return "&amp;";
    case '"':
      return "&quot;";
    default:
      return std::string(1, static_cast<unsigned char>(c) < 0x20 || c == 0x7F ? ' ' : c);
  }
}

}  // namespace

std::string escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    if (c == '<' || c == '>' || c == '&' || c == '"' || static_cast<unsigned char>(c) < 0x20 || c == 0x7F) {
      out += entity_of(c);
    } else {
      out += c;
    }
  }
  return out;
}

std::string said(std::string_view sentence) {
  std::string out;
  for (const char c : escaped(sentence)) {
    if (c == '\'') {
      out += "\u2019";
    } else {
      out += c;
    }
  }
  return out;
}

std::string css_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : text) {
    const bool plain =
        static_cast<unsigned char>(c) >= 0x20 && c != '"' && c != '\\' && c != '<' && c != '>' && c != 0x7F;
    out += plain ? c : ' ';
  }
  return out + "\"";
}

Table::Table(std::string name, std::string says, std::vector<Column> columns, std::vector<Span> spans)
    : name_(std::move(name)), says_(std::move(says)), columns_(std::move(columns)), spans_(std::move(spans)) {}

bool Table::wraps(std::size_t column, std::string_view text) const noexcept {
  constexpr std::size_t kOneLine = 16;  // shorter texts never need two
  return columns_[column].may_wrap && text.size() > kOneLine;
}

std::string Table::cell(std::size_t column, std::string_view text) const {
  return "<td" +
         class_of(columns_[column].number ? ""
                  : wraps(column, text)   ? "w wrap"
                                          : "w") +
         ">" + escaped(text) + "</td>";
}

void Table::row(const std::vector<std::string>& cells, std::string_view row_class, std::string_view sign) {
  body_ += "<tr" + class_of(row_class) + ">";
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    const std::string_view text = i < cells.size() ? std::string_view(cells[i]) : std::string_view();
    if (i == 0) {
      body_ += "<th scope=\"row\"" + class_of(wraps(0, text) ? "wrap" : "") + ">" + std::string(sign) + escaped(text) +
               "</th>";
    } else {
      body_ += cell(i, text);
    }
  }
  body_ += "</tr>\n";
  ++rows_;
}

void Table::said_below(std::string_view sentence) {
  if (sentence.empty()) return;
  body_ += "<tr class=\"said\"><td class=\"w wrap\" colspan=\"" + std::to_string(columns_.size()) + "\">" +
           said(sentence) + "</td></tr>\n";
}

void Table::sum(std::string_view head, std::size_t head_columns, const std::vector<std::string>& cells) {
  sums_ += "<tr><th scope=\"row\" colspan=\"" + std::to_string(head_columns) + "\">" + said(head) + "</th>";
  for (const std::string& text : cells) sums_ += "<td>" + escaped(text) + "</td>";
  const std::size_t rest = columns_.size() - head_columns - cells.size();
  if (rest > 0) sums_ += "<td colspan=\"" + std::to_string(rest) + "\"></td>";
  sums_ += "</tr>\n";
}

std::string Table::heads() const {
  std::string out = "<thead>";
  if (!spans_.empty()) {
    out += "<tr class=\"over\">";
    std::size_t at = 0;
    const auto gap_to = [&](std::size_t end) {
      if (end > at) out += "<td colspan=\"" + std::to_string(end - at) + "\"></td>";
    };
    for (const Span& span : spans_) {
      gap_to(span.from);
      out += "<th class=\"span\" scope=\"colgroup\" colspan=\"" + std::to_string(span.columns) + "\">" +
             said(span.head) + "</th>";
      at = span.from + span.columns;
    }
    gap_to(columns_.size());
    out += "</tr>\n";
  }
  out += "<tr>";
  for (const Column& column : columns_)
    out += "<th scope=\"col\"" +
           class_of(column.number     ? ""
                    : column.may_wrap ? "w wrap"
                                      : "w") +
           ">" + said(column.head) + "</th>";
  return out + "</tr></thead>\n";
}

std::string Table::html() const {
  return "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"" + escaped(says_) + "\"><table" +
         class_of(name_) + ">\n" + heads() + "<tbody>\n" + body_ + "</tbody>" +
         (sums_.empty() ? std::string() : "<tfoot>\n" + sums_ + "</tfoot>") + "</table></div>\n";
}

std::string Table::html_or(std::string_view sentence) const {
  return empty() ? paragraph(sentence) : html();
}

std::string paragraph(std::string_view sentence, std::string_view paragraph_class) {
  return sentence.empty() ? std::string() : "<p" + class_of(paragraph_class) + ">" + said(sentence) + "</p>\n";
}

std::string terms(const std::vector<Term>& list, std::string_view list_class) {
  std::string out = "<dl" + class_of(list_class) + ">\n";
  for (const Term& each : list) {
    if (!each.text.empty()) out += "<dt>" + said(each.term) + "</dt><dd>" + said(each.text) + "</dd>\n";
  }
  return out + "</dl>\n";
}

}  // namespace stillpoint::report
