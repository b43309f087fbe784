#include "pointbook/layer_style.hpp"

#include "pointbook/sentences.hpp"
#include "pointbook/xml.hpp"

namespace stillpoint::pointbook {
namespace {

constexpr std::string_view kHead = R"(<?xml version="1.0" encoding="UTF-8"?>
<StyledLayerDescriptor xmlns="http://www.opengis.net/sld" xmlns:se="http://www.opengis.net/se")"
                                   R"( xmlns:ogc="http://www.opengis.net/ogc" version="1.1.0">
)";

std::string parameter(std::string_view name, std::string_view value) {
  return "<se:SvgParameter name=\"" + std::string(name) + "\">" + std::string(value) + "</se:SvgParameter>";
}

std::string rule(const DrawnLayer& drawn, const DrawnValue& value) {
  std::string out = "<se:Rule>" + element("se:Name", value.value) + "<se:Description>" +
                    element("se:Title", value.title) + "</se:Description>\n";
  out += "<ogc:Filter><ogc:PropertyIsEqualTo>" + element("ogc:PropertyName", drawn.column) +
         element("ogc:Literal", value.value) + "</ogc:PropertyIsEqualTo></ogc:Filter>\n";
  out += "<se:PointSymbolizer><se:Graphic><se:Mark>" + element("se:WellKnownName", value.mark) + "<se:Fill>" +
         parameter("fill", value.fill) + "</se:Fill><se:Stroke>" + parameter("stroke", value.stroke) +
         parameter("stroke-width", "1") + "</se:Stroke></se:Mark>" + element("se:Size", std::to_string(value.size)) +
         "</se:Graphic></se:PointSymbolizer>\n";
  out += "<se:TextSymbolizer><se:Label>" + element("ogc:PropertyName", drawn.label) + "</se:Label><se:Font>" +
         parameter("font-family", "sans-serif") + parameter("font-size", "9") +
         "</se:Font><se:LabelPlacement><se:PointPlacement><se:AnchorPoint><se:AnchorPointX>0</se:AnchorPointX>"
         "<se:AnchorPointY>0</se:AnchorPointY></se:AnchorPoint><se:Displacement><se:DisplacementX>6</se:DisplacementX>"
         "<se:DisplacementY>6</se:DisplacementY></se:Displacement></se:PointPlacement></se:LabelPlacement><se:Fill>" +
         parameter("fill", "#1a1a1a") + "</se:Fill></se:TextSymbolizer>\n";
  return out + "</se:Rule>\n";
}

}  // namespace

std::string style_document(const DrawnLayer& drawn) {
  std::string out(kHead);
  out += "<NamedLayer>" + element("se:Name", drawn.layer) + "<UserStyle>" + element("se:Name", drawn.layer) +
         "<IsDefault>1</IsDefault>\n<se:FeatureTypeStyle>\n";
  for (const DrawnValue& value : drawn.values) out += rule(drawn, value);
  return out + "</se:FeatureTypeStyle>\n</UserStyle></NamedLayer>\n</StyledLayerDescriptor>\n";
}

DrawnLayer drawn_points(std::string_view layer) {
  return {layer,
          "status",
          "name",
          {{"accepted", kSay.style_accepted.words(), "circle", "#1b6e3c", "#ffffff", 9},
           {"held", kSay.style_held.words(), "triangle", "#e69f00", "#000000", 11},
           {"rejected", kSay.style_rejected.words(), "x", "#b2182b", "#b2182b", 9},
           {"none", kSay.style_none.words(), "square", "#bbbbbb", "#555555", 7}}};
}

DrawnLayer drawn_shots() {
  return {"check_shots",
          "passed",
          "mark",
          {{"1", kSay.style_passed.words(), "star", "#1b6e3c", "#ffffff", 12},
           {"0", kSay.style_failed.words(), "star", "#b2182b", "#000000", 14}}};
}

}  // namespace stillpoint::pointbook
