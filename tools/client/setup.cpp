#include "client/setup.hpp"

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <istream>
#include <optional>
#include <ostream>
#include <sstream>

#include "base/number.hpp"
#include "base/typed.hpp"
#include "client/sentences.hpp"
#include "setup/typed.hpp"

namespace stillpoint::client {
namespace {

constexpr int kWritten = 0, kNotUsable = 1, kUsage = 2, kCannotWrite = 3;
constexpr const char* kBack = "back";

std::optional<std::string> text_at(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  if (!file) return std::nullopt;
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
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

/// Leads the course on a terminal.
class Talk {
 public:
  Talk(const SetupAsked& asked, const Machine& machine, std::istream& in, std::ostream& out)
      : asked_(asked),
        machine_(machine),
        in_(in),
        out_(out),
        course_({machine.devices(), machine.zone, asked.file, setup::places_of(asked.file), machine.today}) {}

  /// False: the answers ended.
  bool lead();
  const setup::Course& course() const noexcept { return course_; }

 private:
  void show() const;
  bool ask();
  void listen();
  void ask_caster();
  void say(const std::string& line) { out_ << "   " << line << '\n'; }

  const SetupAsked& asked_;
  const Machine& machine_;
  std::istream& in_;
  std::ostream& out_;
  setup::Course course_;
};

void Talk::show() const {
  const setup::Question question = course_.question();
  out_ << '\n' << course_.number() << ". " << question.ask << '\n';
  for (const setup::Choice& choice : question.choices) {
    const bool numbered = parse_integer(choice.typed).has_value();
    const bool says_itself = read_aloud(choice.label) == read_aloud(choice.typed);
    const std::string name = numbered ? ". " + choice.label + ", " : says_itself ? ": " : ": " + choice.label + ", ";
    out_ << "   " << choice.typed << name << choice.line << '\n';
  }
  for (const std::string& hint : question.hints) out_ << "   " << hint << '\n';
  if (!question.proposed.empty()) out_ << "   " << kSay.return_takes(question.proposed) << '\n';
}

bool Talk::ask() {
  show();
  out_ << "> " << std::flush;
  std::string line;
  if (!std::getline(in_, line)) return false;
  if (setup::trimmed(line) == kBack) {
    course_.back();
    return true;
  }
  const auto taken = course_.answer(line);
  const std::string& said = taken ? *taken : taken.error().text;
  if (!said.empty()) say(said);
  return true;
}

void Talk::listen() {
  out_ << "   " << kSay.listening() << std::endl;
  setup::Link link = course_.answers().link;
  const auto heard = machine_.listen(link, asked_.listen_s);
  for (const std::string& line : course_.hear(heard, link)) say(line);
}

void Talk::ask_caster() {
  const setup::CasterAsked& caster = course_.answers().caster;
  out_ << "   " << kSay.asking_caster(caster.host) << std::endl;
  auto table = machine_.mounts(caster);
  if (!table) say(table.error().text);
  course_.know_mounts(table ? std::optional(*std::move(table)) : std::nullopt);
}

bool Talk::lead() {
  if (!asked_.receiver.empty()) {
    const auto taken = course_.answer(asked_.receiver);
    if (!taken) say(taken.error().text);
  }
  while (true) {
    switch (course_.wants()) {
      case setup::Wants::answer:
        if (!ask()) return false;
        break;
      case setup::Wants::hearing:
        listen();
        break;
      case setup::Wants::mounts:
        ask_caster();
        break;
      case setup::Wants::file:
        course_.find(text_at(asked_.file));
        break;
      case setup::Wants::writing:
      case setup::Wants::nothing:
        return true;
    }
  }
}

int finish(const std::string& path, const setup::Course& course, const Machine& machine, std::ostream& out,
           std::ostream& err) {
  const auto checked = machine.check(path);
  if (!checked || checked->exit != 0) {
    err << '\n' << (checked ? checked->said : checked.error().text + '\n') << kSay.not_usable(path) << '\n';
    return kNotUsable;
  }
  out << '\n';
  for (const std::string& sentence : course.day()) out << sentence << '\n';
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
  Talk talk(asked, machine, in, out);
  if (!talk.lead()) {
    err << '\n' << kSay.answers_ended() << '\n';
    return kNotUsable;
  }
  if (talk.course().wants() == setup::Wants::nothing) {
    err << '\n' << kSay.left_as_it_was(asked.file) << '\n';
    return kNotUsable;
  }
  if (!write(asked.file, talk.course().text())) {
    err << '\n' << kSay.cannot_write(asked.file) << '\n';
    return kCannotWrite;
  }
  return finish(asked.file, talk.course(), machine, out, err);
}

}  // namespace stillpoint::client
