// `hand-over`: a day as one archive for the office: pointbook, record with the corrections that came, configuration,
// marks, plan, geoid, report, and a manifest with the SHA-256 of each.
//
// Rule:   never a password, a key or a token: the files that hold them are not taken, and a token in the configuration
//         is left out of the copy. What is still being recorded is left out and named, and only once the day is closed.
//         The same day gives the same bytes.
// Errors: one sentence on stderr; exit status 0 handed over, 1 the day is not ready for it, 2 usage or configuration, 3
//         cannot write, 4 unreadable.

#include <CLI/CLI.hpp>
#include <algorithm>
#include <filesystem>
#include <iostream>

#include "archive.hpp"
#include "base/number.hpp"
#include "base/plain_file.hpp"
#include "config/load.hpp"
#include "delivery_sentences.hpp"
#include "new_files.hpp"
#include "office.hpp"
#include "pointbook/reader.hpp"
#include "second_look.hpp"
#include "sentences.hpp"

namespace stillpoint::office {
namespace {

namespace fs = std::filesystem;

struct Asked {
  std::string config, pointbook, report, out;
};

/// The name that a file has in the archive: its own where anything may have it.
std::string archived_name(const std::string& path, const std::string& otherwise) {
  const std::string own = fs::path(path).filename().string();
  return is_archive_name(own) ? own : otherwise + fs::path(path).extension().string();
}

/// The configuration as it stands, without the word that lets a program write to the receiver.
Result<std::string> without_token(std::string text, const std::string& path, const std::string& token) {
  if (token.empty()) return text;
  const std::string instead(std::max<std::size_t>(token.size(), 12), '*');
  for (std::size_t at = text.find(token); at != std::string::npos; at = text.find(token, at + instead.size()))
    text.replace(at, token.size(), instead);
  const config::Loaded again = config::parse(text, path);
  if (again.errors.empty() && again.settings.relay.token == instead) return text;
  return fail(kSayOfDelivery.token_stays(path));
}

class Packing {
 public:
  Packing(const Asked& asked, const config::Settings& settings, const NewFiles& files)
      : asked_(asked), settings_(settings), files_(files) {}

  Result<Manifest> pack(const pointbook::Contents& book) {
    if (auto done = take_book(); !done) return tl::unexpected(done.error());
    if (auto done = take_configuration(); !done) return tl::unexpected(done.error());
    if (auto done = take_record(book); !done) return tl::unexpected(done.error());
    take("marks", settings_.checks.marks);
    take("plan", settings_.project.plan);
    // A bare name is a grid that PROJ finds for itself, here and there.
    if (settings_.project.geoid && fs::path(settings_.project.geoid->grid).is_absolute())
      take("geoid", settings_.project.geoid->grid);
    for (const char* name : {"report.html", "points.csv", "points.geojson"}) {
      if (const fs::path path = fs::path(asked_.report) / name; !asked_.report.empty() && fs::exists(path))
        take("report", path.string());
    }
    std::ranges::sort(out_.files, {}, &ArchivedFile::name);
    return std::move(out_);
  }

 private:
  void take(const std::string& part, const std::string& path) {
    if (!path.empty()) out_.files.push_back({part + '/' + archived_name(path, part), path, {}});
  }
  Result<void> take_book() {
    const std::string copy = files_.path("pointbook.gpkg");
    if (auto done = pointbook::copy_book(asked_.pointbook, copy); !done) return done;
    out_.files.push_back({"pointbook/" + archived_name(asked_.pointbook, "pointbook"), copy, {}});
    return {};
  }
  Result<void> take_configuration() {
    auto text = read_named_file(kSayOfDelivery.the_configuration(), asked_.config, kMostTableBytes);
    if (!text) return tl::unexpected(text.error());
    auto told = without_token(*text, asked_.config, settings_.relay.token);
    if (!told) return tl::unexpected(told.error());
    if (*told != *text) out_.left_out.push_back(kSayOfDelivery.left_token());
    if (auto done = files_.write("day.toml", *told); !done) return done;
    out_.files.push_back({"configuration/" + archived_name(asked_.config, "day"), files_.path("day.toml"), {}});
    return {};
  }
  Result<void> take_record(const pointbook::Contents& book) {
    const fs::path folder = settings_.project.record;
    const auto logs = logs_of({asked_.config, asked_.pointbook, {}}, settings_);
    if (!logs) return tl::unexpected(logs.error());
    for (const std::string& log : *logs) {
      const bool sealed = fs::exists(fs::path(log).replace_extension(".sha256"));
      if (!sealed && !pointbook::day_is_closed(book)) return fail(kSayOfDelivery.still_recorded(log));
      if (!sealed) {
        out_.left_out.push_back(kSayOfDelivery.left_recorded(fs::path(log).filename().string()));
        continue;
      }
      for (const char* ending : {".nmea", ".journal", ".rtcm", ".sha256"}) {
        const fs::path file = fs::path(log).replace_extension(ending);
        if (!fs::exists(file)) continue;
        if (!is_archive_name(file.filename().string())) return fail(kSayOfDelivery.name_unfit(file.string()));
        take("record", file.string());
      }
    }
    if (fs::exists(folder / "pairs.txt")) take("record", (folder / "pairs.txt").string());
    return {};
  }

  const Asked& asked_;
  const config::Settings& settings_;
  const NewFiles& files_;
  Manifest out_;
};

UtcTime last_event_of(const pointbook::Contents& book) {
  UtcTime out{};
  for (const pointbook::Event& event : book.events) out = std::max(out, event.utc);
  for (const auto& stored : book.versions) out = std::max(out, stored.point.finished_utc.value_or(out));
  return out;
}

int hand_over(Asked asked) {
  const auto settings = settings_of(asked.config);
  if (!settings) return kUsage;
  if (asked.pointbook.empty()) asked.pointbook = settings->project.pointbook;
  const auto book = pointbook::read_contents(asked.pointbook);
  if (!book) return complain(book.error().text, kCannotRead);
  if (book->spool_waits) return complain(kSayOfDelivery.points_wait(asked.pointbook), kSomeHeld);
  const fs::path out = fs::absolute(asked.out);
  auto files = NewFiles::open(out.parent_path().string());
  if (!files) return complain(files.error().text, kCannotWrite);
  const std::string name = out.filename().string();
  if (!files->taken({name}).empty()) return complain(kSay.exists_already(asked.out), kCannotWrite);
  auto manifest = Packing(asked, *settings, *files).pack(*book);
  if (!manifest) return complain(manifest.error().text, kSomeHeld);
  const std::size_t count = manifest->files.size();
  for (const std::string& what : manifest->left_out) std::cout << kSayOfDelivery.left_out(what) << '\n';
  const std::string top = archived_name(out.stem().string(), "day");
  const std::string making = "day.tar.part";
  if (auto done = write_archive(files->path(making), top, last_event_of(*book), *std::move(manifest)); !done)
    return complain(done.error().text, kCannotWrite);
  if (auto done = files->publish_as(making, name); !done) return complain(done.error().text, kCannotWrite);
  std::cout << kSayOfDelivery.handed_over(asked.out, counted(count, "file")) << '\n';
  return std::cout.flush() ? kAllAccepted : complain(kSay.output_lost(), kCannotWrite);
}

}  // namespace

void add_hand_over(CLI::App& office, int& status) {
  auto* verb = office.add_subcommand(
      "hand-over",
      "A day as one archive (tar): pointbook, record, configuration, marks, with a manifest of their SHA-256");
  const auto asked = std::make_shared<Asked>();
  verb->add_option("--config", asked->config, "The day's configuration (TOML)")->required()->type_name("FILE");
  verb->add_option("--pointbook", asked->pointbook, "Its pointbook; when left out that of the configuration")
      ->type_name("DAY.gpkg");
  verb->add_option("--report", asked->report, "The folder of its report, which then comes along")->type_name("FOLDER");
  verb->add_option("--out", asked->out, "The new archive")->required()->type_name("DAY.tar");
  verb->footer(
      "Left out are files with logins, keys and certificates, and the relay's token; look through the commands of "
      "[alerts]\n"
      "yourself. stillpoint-office receive checks an archive.\n"
      "Exit status: 0 handed over, 1 the day is not ready for it, 2 usage or configuration, 3 cannot write, 4 "
      "unreadable.");
  verb->callback([asked, &status] {
    check_names({asked->config, asked->pointbook, asked->report, asked->out});
    status = hand_over(*asked);
  });
}

}  // namespace stillpoint::office
