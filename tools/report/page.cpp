#include "report/page.hpp"

#include "report/drawings.hpp"
#include "report/html.hpp"
#include "report/sentences.hpp"
#include "report/standing.hpp"

namespace stillpoint::report {
namespace {

std::string head(const Facts& facts, std::size_t decisions) {
  const std::string title = facts.project.empty() ? kSay.report() : facts.project;
  const std::string of_day = facts.first ? kSay.title_of_day(title, facts.clock.short_day(*facts.first)) : title;
  return "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>" + escaped(of_day) +
         "</title><meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">"
         "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none';style-src "
         "'unsafe-inline'\"><style>" +
         style_of(facts, decisions) + "</style></head>\n<body>\n";
}

}  // namespace

std::string stamp_of(const Facts& facts) {
  std::string out = facts.training ? "TRAINING, NO REAL POINTS" : "";
  if (!facts.closed) out += std::string(out.empty() ? "" : " / ") + "DAY NOT CLOSED";
  return out;
}

std::string heading(const std::string& id, const std::string& number, const std::string& title) {
  return "<h2 id=\"" + id + "\"><span>" + number + "</span>" + said(title) + "</h2>\n";
}

std::string page(const Facts& facts, const std::vector<FileMark>& files) {
  const std::size_t decisions = decisions_of(facts).size();
  return head(facts, decisions) + summary(facts, decisions) + points_section(facts) + checks_section(facts) +
         corrections_section(facts) + decisions_section(facts) + appendix(facts, files) + "</main></body></html>\n";
}

}  // namespace stillpoint::report
