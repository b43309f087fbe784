// How the report looks on paper and on a screen. 174 mm of width serve A4 and Letter.

#include "report/html.hpp"
#include "report/page.hpp"
#include "report/sentences.hpp"

namespace stillpoint::report {
namespace {

constexpr std::string_view kFace =
    "\"DejaVu Sans Condensed\",\"Liberation Sans\",Arial,Helvetica,\"Noto Sans\",sans-serif";

constexpr std::string_view kStyle = R"css(
:root{--ink:#000;--soft:#b8b8b8;--hair:.2mm;--line:.5mm;color-scheme:light}
*{box-sizing:border-box;margin:0;padding:0}
body{color:var(--ink);background:#fff;max-width:174mm;margin:0 auto;font-variant-numeric:tabular-nums lining-nums;
hyphens:manual;orphans:3;widows:3;overflow-wrap:anywhere}
h1{font-size:24pt;line-height:29pt;letter-spacing:-.01em}h1.long{font-size:17pt;line-height:21pt}
h2{font-size:13pt;line-height:17pt;margin:9mm 0 2mm;break-after:avoid;display:flex}h2 span{flex:0 0 9mm}
h3{font-size:9.2pt;line-height:13pt;break-after:avoid}h3.apart{margin:6mm 0 1.5mm 9mm}
h2.first{margin-top:3.6mm}.break>h2:first-child{margin-top:0}
p{text-wrap:pretty}.when{margin-top:1mm}.lead{margin:0 0 3mm 9mm;break-after:avoid}
.note{font-size:8pt;line-height:11.4pt;margin-top:2.5mm;max-width:150mm}.note.above{margin:0 0 3mm 9mm;break-after:avoid}
.more{margin:3mm 0 0 9mm;break-inside:avoid}
figure{break-inside:avoid}figcaption{font-size:8pt;line-height:11.4pt;margin-top:1.2mm}
svg{display:block;width:100%}
.title{border-bottom:var(--line) solid;padding-bottom:2.4mm}
.answer{display:grid;grid-template-columns:1fr 82mm;gap:6mm;align-items:end;margin:3.6mm 0}
.big{font-size:30pt;line-height:34pt;font-weight:700;letter-spacing:-.015em;white-space:nowrap}
.strip{width:76mm;margin-bottom:1.6mm}
.facts{display:grid;grid-template-columns:repeat(4,1fr);gap:0 5mm;margin-bottom:5mm}
.facts>div{border-top:var(--hair) solid;padding-top:1.5mm}
.facts dd{font-size:17pt;line-height:23pt;font-weight:700}.facts .x{font-size:8pt;line-height:11.4pt;font-weight:400}
.limit{font-size:17pt;line-height:20pt;font-weight:700;margin:-2.8mm 0 3.4mm}
.signed{display:grid;grid-template-columns:1fr 1fr 40mm;gap:6mm;margin-top:8mm}
.signed span{border-top:var(--hair) solid;padding-top:.8mm;font-size:8pt;line-height:10pt}
.contents{display:flex;justify-content:space-between;border-top:var(--hair) solid;margin-top:3mm;padding-top:1.4mm;
font-size:8pt;list-style:none}.contents b{margin-right:1.2mm}.contents a{color:inherit;text-decoration:none}
.three{display:grid;grid-template-columns:1fr 1.03fr 1.19fr;gap:5mm}
table{border-collapse:collapse;width:100%;font-size:9.2pt;line-height:12.6pt}
th,td{text-align:right;font-weight:400;padding:.92mm 0 .92mm 3mm;white-space:nowrap;overflow-wrap:normal;
border-bottom:var(--hair) solid var(--soft)}
th:first-child,td:first-child{padding-left:0}.w{text-align:left}.wrap{white-space:normal;overflow-wrap:anywhere;vertical-align:top}
tbody th{text-align:left;font-weight:700}
thead th,thead td{font-weight:400;font-size:8pt;border-bottom:var(--line) solid var(--ink);vertical-align:bottom}
thead .over>*{border-bottom:0;padding-bottom:.3mm}thead .span{text-align:center}
thead .span::after{content:"";display:block;border-bottom:var(--hair) solid;margin-top:.4mm}
tbody tr:last-child>*{border-bottom:var(--line) solid var(--ink)}
thead{display:table-header-group;break-after:avoid;break-inside:avoid}tfoot{display:table-row-group;break-before:avoid}
tr{break-inside:avoid}tr.look>*{font-weight:700}tr.said{break-before:avoid}
.ic{display:inline-block;width:3mm;height:3mm;vertical-align:-.35mm;margin-right:1.4mm}.lead .ic{margin:0 .6mm 0 1.5mm}
tfoot td,tfoot th{border:0;text-align:right}tfoot th{text-align:left;font-weight:400}
tfoot tr:first-child>*{padding-top:1.6mm}.points td,.points th{padding-block:1.06mm}
.points :is(td,th):not(:first-child){padding-left:1.6mm}.points tbody th.wrap{min-width:20mm}
.points td.wrap{min-width:19mm;max-width:34mm}thead th.wrap{white-space:normal;vertical-align:bottom}
svg text{font-size:2.75px;fill:var(--ink)}svg .t{font-size:2.5px}svg .lb,svg .b{font-weight:700}
svg path,svg circle,svg ellipse,svg rect{fill:none;stroke:var(--ink);stroke-width:.25}
.halo{paint-order:stroke;stroke:#fff;stroke-width:1px;stroke-linejoin:round}
svg .grid{stroke:var(--soft);stroke-width:.15}svg .ell{stroke-width:.2}
svg .acc,svg .na,svg .solid{fill:var(--ink);stroke:none}svg .acc{stroke:#fff;stroke-width:.2}
svg .held{fill:#fff;stroke-width:.4}svg .bar{stroke-width:.4}svg .lim{stroke-width:.35;stroke-dasharray:1.4 .9}
svg .thin{stroke-width:.15}svg .arrow{stroke-width:.45}svg .ax{stroke-width:.2}
svg rect.old{fill:#dcdcdc;stroke:none}svg rect.sheet{stroke-width:.3}
svg .hatch{stroke:#8a8a8a;stroke-width:.14}svg .trace{stroke-width:.45;stroke-linejoin:round}
svg .want{fill:#d9d9d9;stroke-width:.2}svg .mean{stroke-width:.7}svg .single{stroke-width:.3;stroke-dasharray:1.3 .9}
svg .dots{stroke-width:.84;stroke-linecap:round}svg .cross{stroke-width:.25}svg .apart{fill:#fff;stroke-width:.4}
.two{display:grid;grid-template-columns:62mm 94mm;gap:14mm;margin-top:5mm;align-items:end;break-inside:avoid}
.dec{display:grid;grid-template-columns:9mm 1fr;padding:4.4mm 0;border-top:var(--hair) solid;break-inside:avoid}
.dec.drawn{grid-template-columns:9mm 1fr 54mm}.dec>div:nth-child(2){display:flex;flex-direction:column}
.dec.drawn>div:nth-child(2){padding-right:8mm}.decno{font-weight:700}.dec p{margin-top:1mm}
.boxes{display:flex;gap:6mm;margin-top:auto!important;padding-top:3mm;align-items:flex-end}
.boxes i{display:inline-block;width:3.6mm;height:3.6mm;border:.3mm solid;vertical-align:-.7mm;margin-right:1.6mm}
.why{border-bottom:var(--hair) solid;font-size:8pt;padding-top:3.4mm}.sign{flex:1;border-bottom:var(--hair) solid;font-size:8pt}
.appendix{font-size:8.6pt;line-height:12pt}.appendix.whole{break-inside:avoid}.appendix table{font-size:8.6pt;line-height:11.4pt}
.prov,.hash{display:grid;grid-template-columns:46mm 1fr;gap:1.6mm 4mm}.prov dt,.hash dt{font-weight:700}
.prov dt,.prov dd{break-inside:avoid}
.hash{grid-template-columns:48mm 1fr;gap:0 4mm}.hex{grid-column:1/3;font:7.6pt/10.6pt "DejaVu Sans Mono",monospace;margin-bottom:1.8mm}
.events th{font-weight:400}.events tr.look>*{font-weight:700}.events th,.events td{vertical-align:top;padding-block:.6mm}
.coords{font-size:8.6pt;line-height:10.8pt}.coords th,.coords td{padding-block:.5mm}
.sheet+.sheet{break-before:page}
@media print{.break{break-before:page}body{width:174mm;max-width:none}}
@media screen{body{padding:12mm 6mm 20mm;max-width:186mm}.break{margin-top:16mm}.wide,.sheet{overflow-x:auto}}
@media screen and (max-width:150mm){body{font-size:11pt;line-height:16pt}.facts,.contents{grid-template-columns:1fr 1fr}
.answer,.three,.two{grid-template-columns:1fr}.dec.drawn{grid-template-columns:9mm 1fr}.dec figure{grid-column:2;max-width:60mm}
.facts{row-gap:4mm}.contents{flex-direction:column;gap:1mm}.wide svg{min-width:140mm}.lead{margin-left:0}.big{white-space:normal}}
)css";

/// What each printed page says at its edges: what it is of, what is so of the day, which page of how many.
std::string edges(const Facts& facts, std::size_t decisions) {
  const std::string font = "8pt " + std::string(kFace);
  std::string title = facts.project.empty() ? kSay.report() : facts.project;
  if (facts.first) title += ", " + facts.clock.short_day(*facts.first);
  const std::string stamp = stamp_of(facts);
  std::string right = stamp;
  if (stamp.empty() && decisions > 0)
    right = decisions == 1 ? kSay.one_decision_wanted() : kSay.decisions_wanted_count(std::to_string(decisions));
  const std::string head = ";vertical-align:bottom;padding-bottom:4mm}";
  // What is left beside the 174 mm: more to bind at the left than to hold at the right.
  const std::string sheet =
      facts.paper == Paper::a4 ? "A4;margin:19mm 16mm 18mm 20mm;" : "letter;margin:19mm 19.9mm 18mm 22mm;";
  return "@page{size:" + sheet + "@top-left{content:" + css_text(title) + ";font:" + font + head +
         "@top-right{content:" + css_text(right) + ";font:bold " + font + head +
         "@bottom-right{content:counter(page) \" of \" counter(pages);font:" + font +
         ";vertical-align:top;padding-top:4mm}}\n@page:first{margin-top:16mm;@top-left{content:none}@top-right{"
         "content:" +
         (stamp.empty() ? std::string("none") : css_text(stamp)) + "}}\n";
}

}  // namespace

std::string style_of(const Facts& facts, std::size_t decisions) {
  return edges(facts, decisions) + "body{font:9.2pt/13pt " + std::string(kFace) + "}" + std::string(kStyle);
}

}  // namespace stillpoint::report
