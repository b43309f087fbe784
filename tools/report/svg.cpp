#include "report/svg.hpp"

#include <cmath>

#include "base/number.hpp"
#include "report/html.hpp"

namespace stillpoint::report {
namespace {

std::string named(std::string_view name) {
  return name.empty() ? std::string() : " class=\"" + std::string(name) + "\"";
}

std::string attribute(std::string_view name, double value) {
  return " " + std::string(name) + "=\"" + mm(value) + "\"";
}

}  // namespace

std::string mm(double value) {
  std::string text = fixed(value, 2);
  while (text.ends_with('0')) text.pop_back();
  if (text.ends_with('.')) text.pop_back();
  return text == "-0" ? "0" : text;
}

std::string step(char command, double x, double y) {
  return command + mm(x) + " " + mm(y);
}

Svg& Svg::path(std::string_view name, std::string_view d) {
  if (!d.empty()) body_ += "<path" + named(name) + " d=\"" + std::string(d) + "\"/>";
  return *this;
}

Svg& Svg::line(std::string_view name, double x1, double y1, double x2, double y2) {
  return path(name, step('M', x1, y1) + step('L', x2, y2));
}

Svg& Svg::circle(std::string_view name, double x, double y, double radius) {
  body_ += "<circle" + named(name) + attribute("cx", x) + attribute("cy", y) + attribute("r", radius) + "/>";
  return *this;
}

Svg& Svg::ellipse(std::string_view name, double x, double y, double major, double minor, double turn_deg) {
  body_ += "<ellipse" + named(name) + attribute("cx", x) + attribute("cy", y) + attribute("rx", major) +
           attribute("ry", minor) + " transform=\"rotate(" + mm(turn_deg) + " " + mm(x) + " " + mm(y) + ")\"/>";
  return *this;
}

Svg& Svg::rect(std::string_view name, double x, double y, double width, double height) {
  body_ += "<rect" + named(name) + attribute("x", x) + attribute("y", y) + attribute("width", width) +
           attribute("height", height) + "/>";
  return *this;
}

Svg& Svg::text(std::string_view name, double x, double y, std::string_view text, Anchor anchor) {
  constexpr const char* kAnchors[] = {"", " text-anchor=\"middle\"", " text-anchor=\"end\""};
  body_ += "<text" + named(name) + attribute("x", x) + attribute("y", y) + kAnchors[static_cast<int>(anchor)] + ">" +
           escaped(text) + "</text>";
  return *this;
}

Svg& Svg::insert(const Svg& other, double dx, double dy) {
  body_ += "<g transform=\"translate(" + mm(dx) + " " + mm(dy) + ")\">" + other.body_ + "</g>";
  return *this;
}

std::string Svg::html(std::string_view says, std::string_view name) const {
  return "<svg" + named(name) + " viewBox=\"0 0 " + mm(width_) + " " + mm(height_) + "\" role=\"img\" aria-label=\"" +
         escaped(says) + "\">" + body_ + "</svg>";
}

std::string figure(std::string_view svg, std::string_view caption, std::string_view name) {
  // What may be wider than a small screen is scrolled, by keys too.
  return "<figure" + (name.empty() ? std::string() : named(name) + " tabindex=\"0\"") + ">" + std::string(svg) +
         (caption.empty() ? std::string() : "<figcaption>" + said(caption) + "</figcaption>") + "</figure>\n";
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
