#include "report/html.hpp"

#include <cmath>

#include "base/number.hpp"

namespace stillpoint::report {
namespace {

std::string cell(std::string_view tag, std::string_view attributes, std::string_view text) {
  return "<" + std::string(tag) + std::string(attributes) + ">" + escaped(text) + "</" + std::string(tag) + ">";
}

std::string class_of(std::string_view name) {
  return name.empty() ? std::string() : " class=\"" + std::string(name) + "\"";
}

}  // namespace

std::string escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '<') {
      out += "&lt;";
    } else if (c == '>') {
      out += "&gt;";
    } else if (c == '&') {
      out += "&amp;";
    } else if (c == '"') {
      out += "&quot;";
    } else {
      out += byte < 0x20 || byte == 0x7F ? ' ' : c;
    }
  }
  return out;
}

Table::Table(std::string caption, std::vector<Column> columns)
    : caption_(std::move(caption)), columns_(std::move(columns)) {}

void Table::row(const std::vector<std::string>& cells, std::string_view row_class) {
  body_ += "<tr" + class_of(row_class) + ">";
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    const std::string_view text = i < cells.size() ? std::string_view(cells[i]) : std::string_view();
    if (i == 0) {
      body_ += cell("th", " scope=\"row\"", text);
    } else {
      body_ += cell("td", columns_[i].number ? " class=\"n\"" : "", text);
    }
  }
  body_ += "</tr>\n";
  ++rows_;
}

void Table::said(std::string_view sentence, std::string_view row_class) {
  if (sentence.empty()) return;
  const std::string classes = row_class.empty() ? "said" : "said " + std::string(row_class);
  body_ += "<tr" + class_of(classes) + ">" +
           cell("td", " colspan=\"" + std::to_string(columns_.size()) + "\"", sentence) + "</tr>\n";
}

std::string Table::html() const {
  std::string out = "<div class=\"wide\" tabindex=\"0\" role=\"region\" aria-label=\"" + escaped(caption_) +
                    "\"><table><caption>" + escaped(caption_) + "</caption>\n<thead><tr>";
  for (const Column& column : columns_)
    out += cell("th", column.number ? " scope=\"col\" class=\"n\"" : " scope=\"col\"", column.head);
  return out + "</tr></thead>\n<tbody>\n" + body_ + "</tbody></table></div>\n";
}

std::string Table::html_or(std::string_view sentence) const {
  return empty() ? paragraph(sentence) : html();
}

std::string paragraph(std::string_view text, std::string_view paragraph_class) {
  return "<p" + class_of(paragraph_class) + ">" + escaped(text) + "</p>\n";
}

std::string list_of(const std::vector<std::string>& sentences, bool numbered) {
  const std::string tag = numbered ? "ol" : "ul";
  std::string out = "<" + tag + ">\n";
  for (const std::string& sentence : sentences) out += "<li>" + escaped(sentence) + "</li>\n";
  return out + "</" + tag + ">\n";
}

std::string px(double value) {
  std::string text = fixed(value, 1);
  if (text.size() > 2 && text.compare(text.size() - 2, 2, ".0") == 0) text.resize(text.size() - 2);
  return text;
}

std::string figure(std::string_view title, std::string_view says, double width, double height, std::string_view body,
                   std::string_view figure_class) {
  return "<figure" + class_of(figure_class) + "><figcaption><b>" + escaped(title) + ".</b> " + escaped(says) +
         "</figcaption><svg role=\"img\" viewBox=\"0 0 " + px(width) + " " + px(height) + "\" aria-label=\"" +
         escaped(title) + ". " + escaped(says) + "\">" + std::string(body) + "</svg></figure>\n";
}

double step_not_below(double least) noexcept {
  if (!(least > 0) || !std::isfinite(least)) return 1;
  const double power = std::pow(10.0, std::floor(std::log10(least)));
  for (const double factor : {1.0, 2.0, 5.0}) {
    if (factor * power >= least * (1 - 1e-9)) return factor * power;
  }
  return 10 * power;
}

}  // namespace stillpoint::report
