#pragma once
/// The readers of the scenario's tables, called by `parse_scenario` in an order in which names are known before they
/// are used.
///
/// Threads: pure but for the report. Errors: collected in the report.

#include <functional>
#include <string>
#include <string_view>

#include "config/section.hpp"
#include "simulate/scenario.hpp"

namespace stillpoint::simulate {

using config::Need;
using config::Section;
using config::Value;

/// One `[[name]]` list: `each` is called with a section for every table in it.
void for_each_table(Section& top, std::string_view name, const config::KeyTable& keys, Need need,
                    const std::function<void(Section&)>& each);
/// `{ east = …, north = …, up = … }`, each within the range; absent axes stay as they are.
void read_axes(Section& section, std::string_view key, Axes& out, const config::Range& range);
/// `from_s` and `to_s`; both optional when `whole_day_s` is given, which then is the end.
void read_span(Section& section, Span& out, double day_s, Need need);
/// The index of the named thing, or nothing after a complaint that lists the names.
std::optional<std::size_t> read_name(Section& section, std::string_view key, const std::vector<std::string>& names,
                                     std::string_view what, Need need);
std::vector<std::string> read_texts(Section& section, std::string_view key, std::string_view what,
                                    const std::vector<std::string_view>& allowed);

void read_receiver(Section& top, Receiver& out);
void read_marks(Section& top, Scenario& out);
void read_stands(Section& top, Scenario& out);
void read_canopies(Section& top, Scenario& out);
void read_sources(Section& top, Scenario& out);
void read_uses(Section& top, Scenario& out);
/// The base of a stream of corrections; after the marks.
void read_base(Section& top, Scenario& out);
void read_faults(Section& top, Scenario& out);
void read_hazards(Section& top, Scenario& out);
void read_crews(Section& top, Scenario& out);

}  // namespace stillpoint::simulate
