#include <algorithm>
#include <string>
#include <string_view>
#include <vector>

#include "base/number.hpp"
#include "setup/answers.hpp"
#include "setup/sentences.hpp"

namespace stillpoint::setup {
namespace {

using std::string;
using std::string_view;

constexpr std::size_t kCommentColumn = 44;

// The trade's usual limits of one second: corrections of a network, and of satellites.
struct Usual {
  string_view quality;
  double fresh_s, max_s, growth_m_per_min, hdop, pdop, horizontal_m, vertical_m, speed_mps, settle_s;
  double floor_horizontal_m, floor_vertical_m;
  int satellites, decimals;
};
constexpr Usual kNetwork{R"("rtk-fixed")", 3, 10, 0.05, 2, 4, 0.05, 0.08, 0.10, 5, 0.008, 0.012, 6, 6};
constexpr Usual kSatellites{R"("differential", "sbas")", 30, 1200, 0.05, 3, 6, 1.5, 3.0, 0.30, 10, 0.10, 0.20, 5, 5};

class Paper {
 public:
  void head(string_view title) { text_ += (text_.empty() ? "" : "\n") + string(title) + '\n'; }
  void line(string_view key, const string& value, string_view from) {
    string one = string(key) + " = " + value;
    one.resize(std::max(one.size() + 2, kCommentColumn), ' ');
    text_ += one + "# " + string(from) + '\n';
  }
  void remark(const string& words) { text_ += "# " + words + '\n'; }
  string take() { return std::move(text_); }

 private:
  string text_;
};

string toml_text(string_view text) {
  string out = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + '"';
}

string both(double horizontal, double vertical) {
  return "{ horizontal = " + fixed(horizontal, 3) + ", vertical = " + fixed(vertical, 3) + " }";
}

void project(Paper& paper, const Answers& answers, const Places& places) {
  paper.head("[project]");
  if (!answers.project.empty()) paper.line("name", toml_text(answers.project), kSay.asked());
  if (!answers.crew.empty()) paper.line("crew", toml_text(answers.crew), kSay.asked());
  paper.line("frame", toml_text(answers.frame), kSay.asked_frame());
  paper.line("coordinate_epoch", toml_text("observation"), kSay.usual());
  paper.line("height", toml_text(answers.geoid_grid.empty() ? "ellipsoid" : "orthometric"), kSay.asked());
  paper.line("pointbook", toml_text(places.pointbook), kSay.usual());
  paper.line("record", toml_text(places.record), kSay.usual());
  if (answers.wanted_horizontal_m && answers.wanted_vertical_m) {
    paper.line("wanted_error95_m", both(*answers.wanted_horizontal_m, *answers.wanted_vertical_m), kSay.asked());
  }
  if (!answers.zone.empty()) paper.line("local_time", toml_text(answers.zone), kSay.asked_people());
  paper.line("units", toml_text(to_word(answers.unit)), kSay.asked_people());
  if (answers.geoid_grid.empty()) return;
  paper.head("[project.geoid]");
  paper.line("grid", toml_text(answers.geoid_grid), kSay.asked());
  paper.line("name", toml_text(answers.geoid_grid.substr(answers.geoid_grid.find_last_of('/') + 1)), kSay.asked());
  paper.line("frame", toml_text(answers.frame), kSay.geoid_frame());
}

void feed(Paper& paper, const Link& link) {
  paper.head("[[feed]]");
  if (link.is_serial()) {
    paper.line("kind", toml_text("serial"), kSay.asked());
    paper.line("device", toml_text(link.device), kSay.asked());
    paper.line("baud", link.baud > 0 ? std::to_string(link.baud) : toml_text("auto"),
               link.baud > 0 ? kSay.heard() : kSay.usual());
  } else {
    paper.line("kind", toml_text("tcp"), kSay.asked());
    paper.line("host", toml_text(link.host), kSay.asked());
    paper.line("port", std::to_string(link.port), kSay.asked());
  }
  paper.line("silence_s", "3.0", kSay.usual());
}

string length(const Length& length) {
  return length.is_open ? toml_text(kUnknown) : fixed(length.metres, 4);
}

void antenna(Paper& paper, const Answers& answers) {
  paper.head("[antenna]");
  paper.line(
      "vertical_parts_m",
      "{ pole = " + length(answers.pole) + ", adapter_to_phase_centre = " + length(answers.to_measuring_point) + " }",
      has_feet(answers) ? kSay.asked_in_feet() : kSay.asked());
  paper.line("already_reduced_by_receiver", "false", kSay.not_reduced());
}

/// Of the seconds whose quality a source takes.
HeardQuality together(const Heard& heard, std::initializer_list<Quality> qualities) {
  HeardQuality out;
  for (const Quality quality : qualities) {
    const HeardQuality* one = heard.of(quality);
    if (one == nullptr) continue;
    out.epochs += one->epochs;
    out.ages += one->ages;
    out.blank += one->blank;
    out.stations.insert(one->stations.begin(), one->stations.end());
  }
  return out;
}

void gate(Paper& paper, const Usual& usual, const HeardQuality& of, const Heard& heard, const Answers& answers) {
  paper.head("[source.gate]");
  paper.line("quality", "[" + string(usual.quality) + "]", kSay.usual());
  paper.line("fresh_age_s", fixed(usual.fresh_s, 1), kSay.usual());
  paper.line("max_age_s", fixed(usual.max_s, 1), kSay.usual());
  paper.line("coast_growth_m_per_min", fixed(usual.growth_m_per_min, 2), kSay.usual());
  const bool without_age = of.epochs > 0 && of.ages == 0;
  paper.line("age_missing", toml_text(without_age ? "allow" : "refuse"),
             without_age ? kSay.heard_no_age() : kSay.usual());
  paper.line("max_hdop", fixed(usual.hdop, 1), kSay.usual());
  if (heard.dops > 0) paper.line("max_pdop", fixed(usual.pdop, 1), kSay.usual());
  paper.line("min_satellites", std::to_string(usual.satellites), kSay.usual());
  if (heard.errors > 0) {
    const double vertical_m = std::max(usual.vertical_m, answers.wanted_vertical_m.value_or(0.0));
    paper.line("max_error95_horizontal_m",
               fixed(std::max(usual.horizontal_m, answers.wanted_horizontal_m.value_or(0.0)), 3), kSay.usual());
    paper.line("max_error95_vertical_m", fixed(vertical_m, 3), kSay.usual());
  }
  paper.line("max_speed_mps", fixed(usual.speed_mps, 2), kSay.usual());
  paper.line("settle_s", fixed(usual.settle_s, 1), kSay.usual());
  const int decimals = std::min(heard.minute_decimals.value_or(usual.decimals), usual.decimals);
  paper.line("min_minute_decimals", std::to_string(decimals),
             decimals < usual.decimals ? kSay.heard_few() : kSay.usual());
}

void errors(Paper& paper, const Usual& usual, const Heard& heard) {
  paper.line("error_floor_m", both(usual.floor_horizontal_m, usual.floor_vertical_m), kSay.usual());
  if (heard.errors > 0) return;
  paper.line("assumed_sigma_m", both(usual.horizontal_m / 2, usual.vertical_m / 2), kSay.heard_no_error());
}

string listed(const std::set<int>& stations) {
  string out;
  for (const int station : stations) out += (out.empty() ? "\"" : ", \"") + std::to_string(station) + '"';
  return out;
}

void network(Paper& paper, const Answers& answers, const Heard& heard) {
  const HeardQuality of = together(heard, {Quality::rtk_fixed, Quality::rtk_float});
  paper.head("[[source]]");
  paper.line("name", toml_text("network"), kSay.usual());
  if (of.stations.empty()) {
    paper.line("match", R"({ quality = ["rtk-fixed", "rtk-float"] })", kSay.no_station_heard());
  } else {
    paper.line("match", "{ station = [" + listed(of.stations) + "] }", kSay.heard());
  }
  paper.line("frame", toml_text(answers.network_frame), kSay.asked_network());
  const bool is_year = parse_decimal(answers.network_epoch).has_value();
  paper.line("coordinate_epoch", is_year ? answers.network_epoch : toml_text(answers.network_epoch),
             kSay.asked_network());
  paper.line("evidence", toml_text(answers.evidence), kSay.asked_evidence());
  errors(paper, kNetwork, heard);
  gate(paper, kNetwork, of, heard, answers);
}

void satellites(Paper& paper, const Answers& answers, const Heard& heard) {
  const HeardQuality of = together(heard, {Quality::differential, Quality::sbas});
  paper.head("[[source]]");
  paper.line("name", toml_text("satellites"), kSay.usual());
  paper.line("match", R"({ quality = ["differential", "sbas"], station = ["blank", "0", "33-64", "120-158"] })",
             kSay.usual());
  paper.line("frame", toml_text("EPSG:9989"), kSay.itrf());
  paper.line("coordinate_epoch", toml_text("observation"), kSay.usual());
  paper.line("evidence", toml_text(kSay.satellite_evidence()), kSay.usual());
  errors(paper, kSatellites, heard);
  gate(paper, kSatellites, of, heard, answers);
}

/// The corrections that the daemon brings.
void caster(Paper& paper, const CasterAsked& caster) {
  paper.head("[corrections]");
  paper.line("caster", toml_text(caster.host + ':' + std::to_string(caster.port)), kSay.asked_caster());
  paper.line("mount", toml_text(caster.mount), kSay.asked());
  paper.line("tls", caster.tls ? "true" : "false", kSay.asked());
  if (!caster.login.empty()) paper.line("credentials", toml_text(caster.login), kSay.asked());
  paper.line("send_position", caster.send_position ? "true" : "false",
             caster.send_position ? kSay.asked_consent() : kSay.not_asked_for());
}

}  // namespace

Places places_of(const string& configuration) {
  if (!configuration.starts_with("/etc/stillpoint/")) return {};
  return {"/var/lib/stillpoint/points.gpkg", "/var/lib/stillpoint/record", "/run/stillpoint/control"};
}

string draft(const Answers& answers, const Heard& heard, const Places& places) {
  Paper paper;
  paper.remark(kSay.preface());
  paper.remark(kSay.preface_open());
  project(paper, answers, places);
  feed(paper, answers.link);
  antenna(paper, answers);
  if (answers.network) network(paper, answers, heard);
  if (answers.satellites) satellites(paper, answers, heard);
  if (answers.caster.is_wanted()) caster(paper, answers.caster);
  paper.head("[occupation]");
  paper.line("min_epochs", "30", kSay.usual());
  paper.line("min_duration_s", "30.0", kSay.usual());
  if (!answers.marks.empty()) {
    paper.head("[checks]");
    paper.line("marks", toml_text(answers.marks), kSay.asked());
  }
  if (!places.socket.empty()) {
    paper.head("[control]");
    paper.line("socket", toml_text(places.socket), kSay.of_service());
  }
  paper.head("[page]");
  paper.line("listen", toml_text(places.page), kSay.usual());
  return paper.take();
}

}  // namespace stillpoint::setup
