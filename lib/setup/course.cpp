#include "setup/course.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include "base/number.hpp"
#include "setup/sentences.hpp"
#include "setup/typed.hpp"

namespace stillpoint::setup {
namespace {

using std::string;
using std::string_view;

constexpr string_view kYesWord = "yes", kNoWord = "no";
// Of every question, in their order.
constexpr std::array<string_view, 19> kIds{"receiver", "silent",        "project",       "crew",     "corrections",
                                           "mount",    "login",         "position",      "wanted",   "frame",
                                           "heights",  "network-frame", "network-epoch", "evidence", "marks",
                                           "pole",     "adapter",       "people",        "overwrite"};

string ids_listed() {
  string out;
  for (const string_view id : kIds) out += (out.empty() ? "" : ", ") + string(id);
  return out;
}

std::vector<Choice> yes_or_no(string_view if_yes, string_view if_no) {
  return {{string(kYesWord), string(kSay.yes()), string(if_yes)}, {string(kNoWord), string(kSay.no()), string(if_no)}};
}

}  // namespace

Course::Course(Around around) : around_(std::move(around)) {
  known_.zone = around_.zone;
}

std::size_t Course::number() const noexcept {
  return stage_ == Stage::questions || stage_ == Stage::overwrite ? questions_->number() + 1 : 1;
}

Question Course::question() const {
  if (stage_ == Stage::questions) return questions_->question();
  Question out;
  if (stage_ == Stage::receiver) {
    out = {"receiver", string(kSay.ask_receiver()),    {string(kSay.hint_receiver())}, {},
           {},         string(kSay.receiver_unknown())};
    for (const string& device : around_.devices) {
      out.choices.push_back({std::to_string(out.choices.size() + 1), device, string(kSay.serial_device())});
    }
    if (!around_.devices.empty()) out.proposed = "1";
    out.is_known = around_.devices.size() == 1;
  } else if (stage_ == Stage::silent) {
    out = {"silent", string(kSay.ask_silent()), {string(kSay.hint_silent())}, {}, {}, {}};
    out.choices = yes_or_no(kSay.without_hearing(), kSay.receiver_again());
  } else {
    out = {"overwrite", kSay.ask_overwrite(around_.path), {kSay.would_lose(lost_)}, {}, {}, {}};
    out.choices = yes_or_no(kSay.written_over(), kSay.left_there());
  }
  return out;
}

Result<string> Course::answer(string_view typed) {
  if (stage_ == Stage::receiver) return answer_receiver(trimmed(typed));
  if (stage_ != Stage::questions) return answer_yes_no(trimmed(typed));
  auto said = questions_->answer(typed);
  if (said) go_on();
  return said;
}

Result<string> Course::answer_receiver(string_view typed) {
  if (typed.empty() && around_.devices.empty()) return fail(string(kSay.answer_wanted()));
  if (typed.empty()) typed = "1";
  if (const auto number = parse_integer(typed); number && !around_.devices.empty()) {
    if (*number < 1 || static_cast<std::size_t>(*number) > around_.devices.size()) {
      return fail(kSay.no_such_number(typed, std::to_string(around_.devices.size())));
    }
    typed = around_.devices[static_cast<std::size_t>(*number) - 1];
  }
  auto link = link_of(typed);
  if (!link) return tl::unexpected(link.error());
  before_.link = *std::move(link);
  wants_ = Wants::hearing;
  if (typed != kUnknown) return string();
  ask();
  return string(kSay.receiver_unknown());
}

Result<string> Course::answer_yes_no(string_view typed) {
  if (typed != kYesWord && typed != kNoWord) return fail(kSay.yes_or_no());
  const bool yes = typed == kYesWord;
  if (stage_ == Stage::overwrite) {
    wants_ = yes ? Wants::writing : Wants::nothing;
  } else if (yes) {
    ask();
  } else {
    stage_ = Stage::receiver;
  }
  return string();
}

void Course::back() {
  wants_ = Wants::answer;
  if (stage_ == Stage::overwrite) {
    stage_ = Stage::questions;
    questions_->back();
  } else if (stage_ == Stage::questions && !questions_->is_first()) {
    questions_->back();
  } else {
    questions_.reset();
    stage_ = Stage::receiver;
  }
}

std::vector<string> Course::hear(const Result<Heard>& heard, const Link& link) {
  wants_ = Wants::answer;
  stage_ = Stage::receiver;
  if (!heard) return {heard.error().text};
  before_.link = link;
  known_.heard = *heard;
  known_.frames = frames_of(*heard, around_.today);
  stage_ = Stage::silent;
  if (heard->epochs > 0) ask();
  return lines_of(*heard);
}

void Course::ask() {
  stage_ = Stage::questions;
  if (before_.link.device == kUnknown) known_ = {{}, {}, around_.zone, {}};
  questions_.emplace(known_, before_.link);
  wants_ = Wants::answer;
}

void Course::go_on() {
  wants_ = questions_->is_over() ? Wants::file : Wants::answer;
  if (!questions_->wants_mounts()) return;
  const CasterAsked& caster = answers().caster;
  const string name = caster.host + ':' + std::to_string(caster.port);
  if (name == mounts_of_) return;
  mounts_of_ = name;
  wants_ = Wants::mounts;
}

void Course::know_mounts(std::optional<ntrip::SourceTable> table) {
  known_.mounts = std::move(table);
  if (!known_.mounts) mounts_of_.clear();  // asked again when it is come back to
  wants_ = Wants::answer;
}

void Course::find(const std::optional<string>& old_text) {
  if (!old_text) {
    wants_ = Wants::writing;
    return;
  }
  lost_ = lost_keys(*old_text, text(), around_.path);
  stage_ = Stage::overwrite;
  wants_ = Wants::answer;
}

string Course::text() const {
  return draft(answers(), known_.heard, around_.places);
}

std::vector<string> Course::day() const {
  const Answers& said = answers();
  const Heard& heard = known_.heard;
  const bool both = said.network && said.satellites;
  std::vector<string> out;
  out.emplace_back(both ? kSay.day_both() : said.network ? kSay.day_network() : kSay.day_satellites());
  out.emplace_back(heard.epochs == 0   ? kSay.day_unheard()
                   : heard.dates == 0  ? kSay.day_undated()
                   : heard.errors == 0 ? kSay.day_assumed()
                                       : kSay.day_errors());
  out.emplace_back(said.marks.empty() ? kSay.day_unproven() : kSay.day_proven());
  return out;
}

Result<std::vector<GivenAnswer>> given_answers(string_view text, const string& path) {
  std::vector<GivenAnswer> out;
  for (std::size_t line = 1; !text.empty(); ++line) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    const string_view one = trimmed(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
    if (one.empty() || one.front() == '#') continue;
    const std::size_t equal = one.find('=');
    if (equal == string_view::npos) return fail(kSay.no_answer_line(std::to_string(line), path));
    const string_view id = trimmed(one.substr(0, equal));
    if (std::find(kIds.begin(), kIds.end(), id) == kIds.end()) return fail(kSay.no_question(id, ids_listed()));
    out.push_back({string(id), string(trimmed(one.substr(equal + 1)))});
  }
  return out;
}

Result<void> answer_all(Course& course, const std::vector<GivenAnswer>& given) {
  std::vector<string> asked;
  while (course.wants() == Wants::answer) {
    const Question question = course.question();
    asked.push_back(question.id);
    const auto same = [&question](const GivenAnswer& each) { return each.id == question.id; };
    const auto at = std::find_if(given.rbegin(), given.rend(), same);  // the last one counts
    const string typed = at != given.rend() ? at->typed : question.is_known ? question.proposed : string(kUnknown);
    if (const auto taken = course.answer(typed); !taken)
      return fail(kSay.answer_refused(question.id, taken.error().text));
  }
  return {};
}

}  // namespace stillpoint::setup
