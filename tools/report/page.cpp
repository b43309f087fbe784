#include "report/page.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "report/html.hpp"
#include "report/plots.hpp"
#include "report/sentences.hpp"
#include "report/words.hpp"

namespace stillpoint::report {
namespace {

using occupation::PointStatus;

constexpr std::string_view kStyle = R"css(
:root{font:15px/1.45 system-ui,"DejaVu Sans",sans-serif;color:#000;background:#fff}
body{max-width:62rem;margin:0 auto;padding:1rem}
h1{font-size:1.6rem;margin:.2rem 0}h2{font-size:1.25rem;border-bottom:3px solid #000;margin:2rem 0 .6rem;padding-bottom:.2rem}
h3{font-size:1.05rem;margin:1.2rem 0 .3rem}p{margin:.4rem 0}
.answer{border:4px solid #000;padding:.6rem 1rem;margin:1rem 0}.answer .yn{font-size:2.4rem;font-weight:800;margin:0}
.stamp{border:3px dashed #000;font-weight:700;padding:.3rem .8rem;margin:.5rem 0;letter-spacing:.05em}
.wide{overflow-x:auto;margin:.6rem 0}table{border-collapse:collapse;width:100%;font-size:.86rem}
caption{text-align:left;font-weight:700;padding:.2rem 0}th,td{border:1px solid #555;padding:.2rem .4rem;text-align:left;vertical-align:top}
thead th{background:#eee}th{font-weight:600}.n{text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums}
tbody th{white-space:nowrap}tr.look th,tr.look.said td{border-left:6px solid #000}tr.said{break-before:avoid}tr.said td{border-top:0}tr.sum th,tr.sum td{border-top:3px double #000;font-weight:700}
figure{margin:.8rem 0;break-inside:avoid}figcaption{font-size:.86rem;margin-bottom:.2rem}svg{width:100%;height:auto;display:block}
.one svg{max-width:24rem}.small{display:grid;grid-template-columns:repeat(auto-fill,minmax(12.5rem,1fr));gap:.8rem}
.small figure{margin:0;display:flex;flex-direction:column-reverse;justify-content:flex-end}.small svg{border:1px solid #555}
svg text{font-size:12px}svg path,svg circle,svg ellipse{fill:none;stroke:#000}
.g{stroke:#ccc!important;stroke-width:.6}.x{stroke:#555!important;stroke-width:.8}.d{stroke-width:3.2;stroke-linecap:round}
.l{stroke-width:1}.c{stroke-width:1.6;stroke-linecap:round}.b{stroke-width:9}.f{fill:#000!important}
.es{stroke-width:1;stroke-dasharray:5 3}.em{stroke-width:2.4}
code{overflow-wrap:anywhere;font-size:.8rem}a{color:#000}
caption{break-after:avoid}
@media print{body{max-width:none;padding:0}:root{font-size:10.5pt}.wide{overflow:visible}table{font-size:8pt}
th,td{overflow-wrap:break-word;padding:.15rem .3rem}thead th.n{white-space:normal}tbody th{min-width:5rem}
thead{display:table-header-group;break-after:avoid}tr,li{break-inside:avoid}h2,h3{break-after:avoid}.small{grid-template-columns:repeat(4,1fr)}}
)css";

std::string css_text(const std::string& text) {
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\' || c == '<' || byte < 0x20) {
      out += ' ';
    } else {
      out += c;
    }
  }
  return "\"" + out + "\"";
}

/// The margins of every printed page: what it is of, the stamp, and which page of how many.
std::string print_rules(const Facts& facts) {
  return "@page{margin:16mm 14mm 16mm 14mm;@top-left{content:" + css_text(facts.project) +
         ";font:9pt sans-serif}@top-right{content:" + css_text(stamp_of(facts)) +
         ";font:bold 10pt sans-serif}@bottom-right{content:\"Page \" counter(page) \" of \" counter(pages);font:9pt "
         "sans-serif}}";
}

std::string section(const std::string& id, const std::string& title, const std::string& inner) {
  return "<section aria-labelledby=\"" + id + "\"><h2 id=\"" + id + "\">" + escaped(title) + "</h2>\n" + inner +
         "</section>\n";
}

std::string answer(const Facts& facts) {
  std::string yes = facts.decisions.empty() ? "YES" : "NOT YET";
  std::string why = facts.decisions.empty() ? kSay.nothing_left()
                                            : kSay.decisions_first(counted(facts.decisions.size(), "decision"),
                                                                   facts.decisions.size() == 1 ? " is" : " are");
  std::string sums = kSay.sums_of_stays(
      counted(facts.points.size(), "stay"), counted(count(facts, PointStatus::accepted), "accepted point"),
      std::to_string(count(facts, PointStatus::held)), std::to_string(count(facts, PointStatus::rejected)));
  std::string for_what;
  if (facts.wanted) {
    for_what = kSay.for_wanted(metres(facts.wanted->horizontal_m), metres(facts.wanted->vertical_m));
  }
  std::string caveats;
  for (const std::string& caveat : facts.caveats) caveats += paragraph(caveat);
  return "<div class=\"answer\"><p>" + kSay.can_be_used(for_what) + "</p><p class=\"yn\">" + yes + "</p>" +
         paragraph(why) + caveats + paragraph(sums) + "</div>\n";
}

std::string from_spread(const Facts& facts) {
  std::vector<double> plan_m, height_m;
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    if (point.status != PointStatus::accepted || !point.at) continue;
    plan_m.push_back(point.at->error95_horizontal_m);
    height_m.push_back(point.at->error95_vertical_m);
  }
  if (plan_m.empty()) return kSay.no_accepted_point();
  std::sort(plan_m.begin(), plan_m.end());
  std::sort(height_m.begin(), height_m.end());
  return kSay.errors_at_most(counted(plan_m.size(), "accepted point"), metres(plan_m.back()), metres(height_m.back()),
                             metres(plan_m[(plan_m.size() - 1) / 2]), metres(height_m[(height_m.size() - 1) / 2]));
}

std::string from_control(const Facts& facts) {
  const CheckSums& sums = facts.check_sums;
  if (sums.shots == 0) return kSay.no_mark_shot();
  return kSay.within_limits(counted(sums.shots, "shot"), counted(sums.marks, "mark"), std::to_string(sums.passed),
                            metres(sums.worst_plan_m),
                            sums.with_height > 0 ? kSay.and_in_height(metres(sums.worst_height_m)) : "");
}

/// Two standards that differ, each with its own name and the number of points it demands.
std::string standards(const Facts& facts) {
  const auto& statement = facts.check_sums.statement;
  if (!statement) return {};
  std::string out = paragraph(kSay.last_shots());
  out += list_of(control::statement_lines(*statement, {}), false);
  if (!statement->nssda_enough_horizontal) {
    return out + paragraph(kSay.too_few_marks(std::to_string(control::kNssdaPoints)));
  }
  std::string tested = kSay.tested_horizontal(metres(statement->nssda_horizontal95_m));
  if (statement->nssda_enough_vertical) {
    tested += kSay.tested_vertical(metres(statement->nssda_vertical95_m));
  }
  return out + paragraph(tested + ".");
}

const std::vector<std::string>& not_covered() {
  static const std::vector<std::string> kTexts{
      kSay.wrong_frame(), kSay.wrong_antenna(), kSay.wrong_fix(), kSay.wrong_mark(), kSay.wrong_coordinates(),
  };
  return kTexts;
}

std::string accuracy(const Facts& facts) {
  return "<h3>" + kSay.from_seconds() + "</h3>\n" + paragraph(from_spread(facts)) + "<h3>" + kSay.from_marks() +
         "</h3>\n" + paragraph(from_control(facts)) + standards(facts) + "<h3>" + kSay.not_covered() + "</h3>\n" +
         list_of(not_covered(), false);
}

std::string frames_text(const Facts& facts) {
  double first = 0, last = 0;
  for (const PointFact& fact : facts.points) {
    if (!fact.newest.point.at) continue;
    const double epoch = fact.newest.point.at->coordinate_epoch;
    first = first == 0 ? epoch : std::min(first, epoch);
    last = std::max(last, epoch);
  }
  const std::string heights = (facts.geoid.empty() ? std::string() : kSay.heights_above(facts.geoid)) + ".";
  if (first == 0) return "Frame " + facts.frame + heights;
  std::string out = kSay.frame_and_epoch(facts.frame, fixed(first, 3));
  if (last - first > 0.0005) out += kSay.other_epochs(fixed(last, 3));
  return out + heights;
}

std::string file_list(const Facts& facts, const std::vector<FileMark>& files) {
  std::string out = "<ul>\n<li>" + escaped(facts.path) + " <br><code>" + facts.file_sha256 + "</code></li>\n";
  for (const FileMark& file : files) {
    const std::string about = file.name == "points.csv" ? kSay.apostrophes() : "";
    out += "<li>" + escaped(file.name) + about + " <br><code>" + file.sha256 + "</code></li>\n";
  }
  out += "</ul>\n";
  out += paragraph(kSay.geojson(
      facts.geoid.empty() ? std::string(kSay.ellipsoid_height()) : kSay.height_above(facts.geoid), facts.frame));
  if (facts.damage.empty()) return out + paragraph(kSay.all_rows_match());
  return out + paragraph(kSay.rows_do_not_match()) + list_of(facts.damage, false);
}

const std::vector<std::string>& safety() {
  static const std::vector<std::string> kTexts{
      kSay.law_first(), kSay.not_for(), kSay.buried_lines(), kSay.overhead_lines(), kSay.thunder(),
  };
  return kTexts;
}

std::string head(const Facts& facts) {
  const std::string title = facts.project.empty() ? kSay.report() : facts.project;
  return "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>" +
         kSay.report_of_the_day(escaped(title)) +
         "</title><meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">"
         "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none';style-src "
         "'unsafe-inline'\"><style>" +
         std::string(kStyle) + print_rules(facts) + "</style></head>\n<body><header><h1>" + escaped(title) + "</h1>\n";
}

std::string first_page(const Facts& facts, const std::vector<FileMark>& files) {
  const std::string stamp = stamp_of(facts);
  std::string out = stamp.empty() ? "" : paragraph(stamp, "stamp");
  const std::string crews = facts.crews.empty() ? "" : kSay.by_crew(joined(facts.crews, " and "));
  out += paragraph(kSay.measured_and_made(moment(facts.first), moment(facts.last), crews, moment(facts.made_at),
                                          facts.program_version, frames_text(facts))) +
         "</header>\n<main>\n" + answer(facts);
  out += section("accuracy", kSay.how_accurate(), accuracy(facts));
  out += section("decisions", kSay.what_office_must_decide(),
                 facts.decisions.empty() ? paragraph("Nothing.") : list_of(facts.decisions, true));
  return out + section("files", kSay.files_their_sha(), file_list(facts, files));
}

}  // namespace

std::string stamp_of(const Facts& facts) {
  std::string out = facts.training ? "TRAINING, NO REAL POINTS" : "";
  if (!facts.closed) out += std::string(out.empty() ? "" : " / ") + "DAY NOT CLOSED";
  return out;
}

std::string page(const Facts& facts, const std::vector<FileMark>& files) {
  std::string out = head(facts) + first_page(facts, files);
  out += section("points", "Points", point_table(facts) + provenance_table(facts));
  out += section("checks", kSay.checks_known_marks(), check_table(facts) + check_arrows(facts));
  out += section("repeats", kSay.repeat_visits(), repeat_table(facts));
  out += section("refusals", kSay.seconds_did_not_count(), refusal_tables(facts));
  out += section("day", kSay.day(),
                 day_strip(facts) + outage_table(facts) + jump_table(facts) + alert_table(facts) + noted_table(facts));
  out += section("changes", kSay.done_hand(), change_table(facts) + antenna_table(facts));
  out += section("curves", kSay.how_error_fell(), error_curves(facts));
  out += section("stays", kSay.each_stay(), scatters(facts));
  out += section("limits", kSay.safety_limits(), list_of(safety(), false));
  return out + "</main></body></html>\n";
}

}  // namespace stillpoint::report
