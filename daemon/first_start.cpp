#include "first_start.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <boost/asio/io_context.hpp>
#include <boost/asio/steady_timer.hpp>
#include <chrono>
#include <iostream>
#include <memory>
#include <utility>

#include "base/plain_file.hpp"
#include "clients/endpoint.hpp"
#include "clients/guard.hpp"
#include "clients/page.hpp"
#include "clients/set_up.hpp"
#include "common/clock.hpp"
#include "common/exit.hpp"
#include "common/file.hpp"
#include "common/sentences.hpp"
#include "configured.hpp"
#include "pointbook/disk.hpp"
#include "preflight/hearing.hpp"
#include "preflight/mounts_asked.hpp"
#include "setup/course.hpp"
#include "signals.hpp"

namespace stillpoint::daemon {
namespace {

namespace asio = boost::asio;

constexpr std::uint64_t kMostConfigBytes = 1U << 20U;
constexpr std::chrono::milliseconds kLastAnswer{300};  // the time that the browser has to read it

std::optional<std::string> text_at(const std::string& path) {
  auto text = read_plain_file(path, kMostConfigBytes);
  if (text) return *std::move(text);
  if (text.error().what == FileTrouble::missing) return std::nullopt;
  return std::string();
}

/// Whole or not at all.
Result<void> write_whole(const std::string& path, const std::string& text) {
  const int code = pointbook::replace_file(pointbook::system_disk(), path, text);
  return code == 0 ? Result<void>{} : fail(kSay.cannot_write(path, errno_text(-code)));
}

setup::Places places_for(const FirstStart& asked) {
  setup::Places out = setup::places_of(asked.config);
  out.page = asked.page;
  return out;
}

std::string socket_for(const FirstStart& asked) {
  const setup::Places places = setup::places_of(asked.config);
  return places.socket.empty() ? folder_of(asked.config) + "/control" : places.socket;
}

class Leading {
 public:
  explicit Leading(const FirstStart& asked)
      : asked_(asked),
        setup_({serial_devices(), zone_of_machine(), asked.config, places_for(asked), utc_now()}, hands(),
               asked.why.empty() ? std::vector<std::string>() : std::vector{kSay.not_usable(asked.why)}),
        page_(io_, {asked.page, false}, socket_for(asked) + ".page-key", source()),
        signals_(io_, [this] { end(); }),
        leave_(io_) {}

  FirstStartEnd run();

 private:
  SetUpHands hands();
  PageSource source() {
    PageSource out;
    out.handle = [this](const Call& call) { setup_.handle(call); };
    return out;
  }
  void listen(const setup::Link& link);
  std::vector<std::string> write(const std::string& text);
  void end();

  const FirstStart& asked_;
  asio::io_context io_{1};
  SetUp setup_;
  Page page_;
  Signals signals_;
  asio::steady_timer leave_;
  std::unique_ptr<Hearing> hearing_;
  std::shared_ptr<MountsAsked> mounts_;
  std::string written_;
  bool begins_ = false;
};

SetUpHands Leading::hands() {
  SetUpHands out;
  out.listen = [this](const setup::Link& link) { listen(link); };
  out.ask_mounts = [this](const setup::CasterAsked& caster) {
    if (caster.tls) return setup_.know_mounts(std::nullopt);
    mounts_ = std::make_shared<MountsAsked>(io_, caster.host, caster.port,
                                            [this](auto table) { setup_.know_mounts(std::move(table)); });
    mounts_->start();
  };
  out.read = [this]() -> std::optional<std::string> {
    auto text = text_at(asked_.config);
    const bool is_ours = text && !written_.empty() && *text == written_;
    return is_ours ? std::nullopt : text;
  };
  out.write = [this](const std::string& text) { return write(text); };
  out.begin = [this] {
    begins_ = true;
    leave_.expires_after(kLastAnswer);
    leave_.async_wait([this](const boost::system::error_code& error) {
      if (!error) end();
    });
  };
  return out;
}

void Leading::listen(const setup::Link& link) {
  hearing_ = std::make_unique<Hearing>(
      io_, link, asked_.listen_s, [this](const auto& heard, const setup::Link& found) { setup_.heard(heard, found); });
}

std::vector<std::string> Leading::write(const std::string& text) {
  if (auto done = write_whole(asked_.config, text); !done) return {done.error().text};
  written_ = text;
  spdlog::info("{} is written", asked_.config);
  std::vector<std::string> out;
  for (const Error& error : faults_of_file(asked_.config)) out.push_back(error.text);
  return out;
}

void Leading::end() {
  hearing_.reset();
  if (mounts_) mounts_->stop();
  page_.stop();
  leave_.cancel();
  signals_.release();
}

FirstStartEnd Leading::run() {
  const std::string socket = socket_for(asked_);
  if (auto done = ensure_folder(folder_of(socket), kSay.socket_folder.words()); !done) {
    std::cerr << done.error().text << '\n';
    return {std::nullopt, kExitCannotStart};
  }
  if (auto done = page_.listen(); !done) {
    std::cerr << done.error().text << '\n';
    return {std::nullopt, kExitCannotStart};
  }
  std::cout << "set-up page=http://" << asked_.page << "/ key=" << socket << ".page-key" << std::endl;
  run_guarded(io_);
  FirstStartEnd out;
  if (begins_) out.keys = page_.keys();
  return out;
}

/// What was given in a file, and behind it what was given with options.
Result<std::vector<setup::GivenAnswer>> given_to(const Unasked& asked) {
  std::string text;
  if (!asked.answers_file.empty()) {
    auto file = read_named_file(kSay.the_answers.words(), asked.answers_file, kMostConfigBytes);
    if (!file) return tl::unexpected(file.error());
    text = *std::move(file);
  }
  auto out = setup::given_answers(text, asked.answers_file);
  if (!out) return out;
  if (!asked.receiver.empty()) out->push_back({"receiver", asked.receiver});
  for (const std::string& one : asked.answers) {
    auto more = setup::given_answers(one, "--answer");
    if (!more) return more;
    out->insert(out->end(), more->begin(), more->end());
  }
  return out;
}

Result<setup::Heard> heard_of(setup::Link& link, double seconds) {
  asio::io_context io(1);
  Result<setup::Heard> out;
  const Hearing hearing(io, link, seconds, [&](const auto& heard, const setup::Link& found) {
    out = heard;
    link = found;
  });
  io.run();
  return out;
}

/// Until all is asked; exit status where it cannot be.
std::optional<int> lead(setup::Course& course, const std::vector<setup::GivenAnswer>& given, const Unasked& asked) {
  while (course.wants() != setup::Wants::writing) {
    if (course.wants() == setup::Wants::nothing) return kExitNothingCounts;
    if (course.wants() == setup::Wants::answer) {
      if (auto done = answer_all(course, given); !done) {
        const setup::Question question = course.question();
        std::cerr << question.ask << '\n';
        for (const std::string& hint : question.hints) std::cerr << hint << '\n';
        std::cerr << done.error().text << '\n';
        return kExitConfiguration;
      }
    } else if (course.wants() == setup::Wants::hearing) {
      setup::Link link = course.answers().link;
      const auto heard = heard_of(link, asked.listen_s);
      for (const std::string& line : course.hear(heard, link)) std::cout << line << '\n';
      const bool goes_on =
          std::any_of(given.begin(), given.end(), [](const auto& each) { return each.id == "silent"; });
      if (!heard || (heard->epochs == 0 && !goes_on)) return kExitNothingCounts;
    } else if (course.wants() == setup::Wants::mounts) {
      course.know_mounts(std::nullopt);  // what was given is taken as it is
    } else {
      course.find(text_at(asked.config));
    }
  }
  return std::nullopt;
}

}  // namespace

FirstStartEnd run_first_start(const FirstStart& asked) {
  const auto endpoint = endpoint_of(asked.page);
  if (!endpoint || !endpoint->address().is_loopback()) {
    std::cerr << kSay.first_page_here(asked.page) << '\n';
    return {std::nullopt, kExitConfiguration};
  }
  return Leading(asked).run();
}

int write_unasked(const Unasked& asked) {
  const auto given = given_to(asked);
  if (!given) {
    std::cerr << given.error().text << '\n';
    return kExitConfiguration;
  }
  setup::Course course({serial_devices(), zone_of_machine(), asked.config, setup::places_of(asked.config), utc_now()});
  if (const auto failed = lead(course, *given, asked)) return *failed;
  if (const auto done = write_whole(asked.config, course.text()); !done) {
    std::cerr << done.error().text << '\n';
    return kExitCannotStart;
  }
  const auto faults = faults_of_file(asked.config);
  for (const Error& fault : faults) std::cerr << fault.text << '\n';
  if (!faults.empty()) {
    std::cerr << kSay.written_open(asked.config) << '\n';
    return kExitNothingCounts;
  }
  for (const std::string& sentence : course.day()) std::cout << sentence << '\n';
  std::cout << kSay.written_in_order(asked.config) << '\n';
  return kExitClean;
}

}  // namespace stillpoint::daemon
