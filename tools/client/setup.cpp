#include "client/setup.hpp"

#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <istream>
#include <optional>
#include <ostream>
#include <set>
#include <sstream>

#include "client/sentences.hpp"
#include "config/tree.hpp"

namespace stillpoint::client {
namespace {

constexpr int kWritten = 0, kNotUsable = 1, kUsage = 2, kCannotWrite = 3;
constexpr const char* kBack = "back";

/// A line that was typed; nothing: there are no more.
std::optional<std::string> typed(std::istream& in, std::ostream& out) {
  out << "> " << std::flush;
  std::string line;
  if (!std::getline(in, line)) return std::nullopt;
  return line;
}

void show(std::ostream& out, std::size_t number, const setup::Question& question) {
  out << '\n' << number << ". " << question.ask << '\n';
  for (const std::string& hint : question.hints) out << "   " << hint << '\n';
  if (!question.proposed.empty()) out << "   " << kSay.return_takes(question.proposed) << '\n';
}

/// Asks until a link is named at which something was heard, or the crew goes on without.
class Hearing {
 public:
  Hearing(const SetupAsked& asked, const Machine& machine, std::istream& in, std::ostream& out)
      : asked_(asked), machine_(machine), in_(in), out_(out) {}

  /// False: the answers ended.
  bool find(setup::Link& link, setup::Heard& heard) {
    std::string name = asked_.receiver;
    while (true) {
      if (name.empty() && !ask(name)) return false;
      const auto given = setup::link_of(name);
      if (!given) {
        out_ << "   " << given.error().text << '\n';
      } else if (const auto done = hear(link = *given, heard)) {
        return *done;
      }
      name.clear();
    }
  }

 private:
  bool ask(std::string& name) {
    const auto devices = machine_.devices();
    setup::Question question{std::string(kSay.ask_receiver()), {}, {}, {}};
    for (std::size_t i = 0; i < devices.size(); ++i)
      question.hints.push_back(std::to_string(i + 1) + ". " + devices[i]);
    question.hints.emplace_back(kSay.hint_receiver());
    if (!devices.empty()) question.proposed = "1";
    show(out_, 1, question);
    const auto line = typed(in_, out_);
    if (!line) return false;
    name = line->empty() ? question.proposed : *line;
    for (std::size_t i = 0; i < devices.size(); ++i) {
      if (name == std::to_string(i + 1)) name = devices[i];
    }
    return true;
  }

  /// Empty: the receiver is asked for again. False: the answers ended.
  std::optional<bool> hear(setup::Link& link, setup::Heard& heard) {
    out_ << "   " << kSay.listening() << std::endl;
    const auto result = machine_.listen(link, asked_.listen_s);
    if (!result) {
      out_ << "   " << result.error().text << '\n';
      return std::nullopt;
    }
    heard = *result;
    for (const std::string& line : setup::lines_of(heard)) out_ << "   " << line << '\n';
    if (heard.epochs > 0) return true;
    out_ << "   " << kSay.go_on_without() << '\n';
    const auto line = typed(in_, out_);
    if (!line) return false;
    return *line == "yes" ? std::optional(true) : std::nullopt;
  }

  const SetupAsked& asked_;
  const Machine& machine_;
  std::istream& in_;
  std::ostream& out_;
};

bool ask_all(setup::Questions& questions, std::istream& in, std::ostream& out) {
  while (!questions.is_over()) {
    show(out, questions.number() + 1, questions.question());
    const auto line = typed(in, out);
    if (!line) return false;
    if (*line == kBack) {
      questions.back();
      continue;
    }
    const auto taken = questions.answer(*line);
    const std::string& said = taken ? *taken : taken.error().text;
    if (!said.empty()) out << "   " << said << '\n';
  }
  return true;
}

void keys_of(const config::Value& value, const std::string& path, std::set<std::string>& out) {
  for (const config::Entry& entry : value.entries) {
    const std::string key = path.empty() ? entry.key : path + '.' + entry.key;
    out.insert(key);
    keys_of(entry.value, key, out);
    for (const config::Value& item : entry.value.items) keys_of(item, key, out);
  }
}

/// The keys that `old` has and `text` has not; all of it where it cannot be read.
std::string lost_keys(const std::string& old, const std::string& text, const std::string& path) {
  const auto before = config::parse_tree(old, path), after = config::parse_tree(text, path);
  if (!before || !after) return std::string(kSay.unreadable_file());
  std::set<std::string> had, has;
  keys_of(*before, "", had);
  keys_of(*after, "", has);
  std::string out;
  for (const std::string& key : had) {
    if (!has.contains(key)) out += (out.empty() ? "" : ", ") + key;
  }
  return out.empty() ? std::string(kSay.values_only()) : out;
}

/// Whether the file may be written: it is not there, or the crew gives it up.
bool may_write(const std::string& path, const std::string& text, std::istream& in, std::ostream& out) {
  std::ifstream file(path, std::ios::binary);
  if (!file) return true;
  std::ostringstream old;
  old << file.rdbuf();
  out << '\n' << kSay.would_lose(path, lost_keys(old.str(), text, path)) << '\n';
  const auto line = typed(in, out);
  return line && *line == "yes";
}

/// Whole or not at all.
bool write(const std::string& path, const std::string& text) {
  const std::string beside = path + ".new";
  {
    std::ofstream file(beside, std::ios::binary | std::ios::trunc);
    if (!(file << text << std::flush)) return false;
  }
  if (std::rename(beside.c_str(), path.c_str()) == 0) return true;
  std::remove(beside.c_str());
  return false;
}

/// Three sentences on what the day can and cannot do.
void tell_day(const setup::Answers& answers, const setup::Heard& heard, std::ostream& out) {
  const bool both = answers.network && answers.satellites;
  out << '\n' << (both ? kSay.day_both() : answers.network ? kSay.day_network() : kSay.day_satellites()) << '\n';
  out << (heard.errors > 0 || heard.epochs == 0 ? kSay.day_errors() : kSay.day_assumed()) << '\n';
  out << (answers.marks.empty() ? kSay.day_unproven() : kSay.day_proven()) << '\n';
}

int finish(const std::string& path, const setup::Answers& answers, const setup::Heard& heard, const Machine& machine,
           std::ostream& out, std::ostream& err) {
  const auto checked = machine.check(path);
  if (!checked || checked->exit != 0) {
    err << '\n' << (checked ? checked->said : checked.error().text + '\n') << kSay.not_usable(path) << '\n';
    return kNotUsable;
  }
  tell_day(answers, heard, out);
  const bool of_service = !setup::places_of(path).socket.empty();
  out << '\n' << kSay.written(path) << "\a\n" << (of_service ? kSay.next_for_service() : kSay.next_steps(path)) << '\n';
  return kWritten;
}

}  // namespace

int set_up(const SetupAsked& asked, const Machine& machine, std::istream& in, std::ostream& out, std::ostream& err) {
  if (asked.listen_s < 1.0 || asked.listen_s > 600.0) {
    err << "stillpoint: " << kSay.listen_range() << '\n';
    return kUsage;
  }
  out << kSay.welcome() << '\n';
  setup::Link link;
  setup::Known known;
  known.zone = machine.zone;
  const auto ended = [&err] {
    err << '\n' << kSay.answers_ended() << '\n';
    return kNotUsable;
  };
  if (!Hearing(asked, machine, in, out).find(link, known.heard)) return ended();
  if (known.heard.place && known.heard.utc) {
    if (auto frames = geodesy::frames_here(*known.heard.place, *known.heard.utc)) known.frames = *std::move(frames);
  }
  setup::Questions questions(known, link);
  if (!ask_all(questions, in, out)) return ended();
  const std::string text = setup::draft(questions.answers(), known.heard, setup::places_of(asked.file));
  if (!may_write(asked.file, text, in, out)) {
    err << '\n' << kSay.left_as_it_was(asked.file) << '\n';
    return kNotUsable;
  }
  if (!write(asked.file, text)) {
    err << '\n' << kSay.cannot_write(asked.file) << '\n';
    return kCannotWrite;
  }
  return finish(asked.file, questions.answers(), known.heard, machine, out, err);
}

}  // namespace stillpoint::client
