// `receive`: what came in an archive of a day, whether it is what was handed over, and whether the day comes out of its
// own record.
//
// Rule:   the archive is somebody else's file: nothing of it is believed before it is checked, and nothing is written
//         outside a new folder. Days come in any order.
// Errors: one sentence on stderr for an archive that is refused; exit status 0 all is well, 1 the day does not come out
//         of its record, 2 usage or its configuration, 3 cannot write, 4 an archive that is refused.

#include <CLI/CLI.hpp>
#include <algorithm>
#include <filesystem>
#include <iostream>

#include "archive.hpp"
#include "base/number.hpp"
#include "delivery_sentences.hpp"
#include "new_files.hpp"
#include "office.hpp"
#include "pointbook/reader.hpp"
#include "pointbook/versions.hpp"
#include "second_look.hpp"
#include "sentences.hpp"

namespace stillpoint::office {
namespace {

namespace fs = std::filesystem;

std::vector<std::string> paths_of(const Unpacked& day, const std::string& part) {
  std::vector<std::string> out;
  for (const ArchivedFile& file : day.manifest.files) {
    if (file.name.starts_with(part + '/')) out.push_back(file.path);
  }
  std::ranges::sort(out);
  return out;
}

std::string only_path_of(const Unpacked& day, const std::string& part) {
  const auto all = paths_of(day, part);
  return all.empty() ? std::string() : all.front();
}

std::vector<std::string> logs_in(const Unpacked& day) {
  auto out = paths_of(day, "record");
  std::erase_if(out, [](const std::string& path) { return !path.ends_with(".nmea"); });
  return out;
}

/// The day's configuration, with the files that came in the place of those it names.
std::optional<config::Settings> settings_here(const Unpacked& day) {
  auto settings = settings_of(only_path_of(day, "configuration"));
  if (!settings) return std::nullopt;
  settings->project.pointbook = only_path_of(day, "pointbook");
  settings->checks.marks = only_path_of(day, "marks");
  settings->project.plan = only_path_of(day, "plan");
  settings->corrections.credentials.clear();
  if (auto& geoid = settings->project.geoid) {
    // Not a file of this machine that somebody else's configuration names.
    const auto grid = only_path_of(day, "geoid");
    geoid->grid = grid.empty() ? fs::path(geoid->grid).filename().string() : grid;
  }
  return settings;
}

void tell_points(const pointbook::Contents& book) {
  using occupation::PointStatus;
  std::size_t accepted = 0, held = 0, others = 0;
  for (const auto& stored : pointbook::newest_of_each(book.versions)) {
    const PointStatus status = stored.point.status;
    ++(status == PointStatus::accepted ? accepted : status == PointStatus::held ? held : others);
  }
  const auto checks = pointbook::newest_checks(book.checks);
  const auto passed = std::ranges::count_if(checks, [](const auto& shot) { return shot.passed; });
  std::cout << kSayOfDelivery.came_project(book.project, book.frame) << '\n'
            << kSayOfDelivery.came_points(std::to_string(accepted), std::to_string(held), std::to_string(others))
            << '\n'
            << kSayOfDelivery.came_checks(counted(checks.size(), "check"), std::to_string(passed)) << '\n';
  if (book.training) std::cout << kSayOfDelivery.training() << '\n';
  if (!pointbook::day_is_closed(book)) std::cout << kSayOfDelivery.came_open() << '\n';
}

int tell(const Unpacked& day, const std::string& path) {
  std::cout << kSayOfDelivery.came(path, counted(day.manifest.files.size(), "file")) << '\n';
  for (const std::string& what : day.manifest.left_out) std::cout << kSayOfDelivery.left_out(what) << '\n';
  const auto book = pointbook::read_contents(only_path_of(day, "pointbook"));
  if (!book) return complain(book.error().text, kCannotRead);
  tell_points(*book);
  const auto settings = settings_here(day);
  if (!settings) return kUsage;
  DayFiles files{settings->path, settings->project.pointbook, logs_in(day)};
  files.brief = true;
  std::cout << kSayOfDelivery.came_record(counted(files.logs.size(), "file"),
                                          counted(paths_of(day, "report").size(), "file"))
            << '\n';
  if (files.logs.empty()) return complain(kSay.record_empty("record"), kSomeHeld);
  return verify_day(files, *settings);
}

int receive(const std::string& path, const std::string& out) {
  const std::string folder = out.empty() ? fs::temp_directory_path().string() : out;
  auto files = NewFiles::open(folder);
  if (!files) return complain(files.error().text, kCannotWrite);
  auto day = unpack_archive(path, files->workshop());
  if (!day) return complain(day.error().text, kCannotRead);
  if (!out.empty() && !files->taken({day->top}).empty()) {
    return complain(kSay.exists_already((fs::path(out) / day->top).string()), kCannotWrite);
  }
  // Sentences name the files as the archive calls them, not by a folder that is about to go.
  std::error_code error;
  fs::current_path(files->workshop(), error);
  for (ArchivedFile& file : day->manifest.files) file.path = error ? file.path : file.name;
  int status = tell(*day, path);
  if (out.empty()) {
    std::cout << kSayOfDelivery.not_kept() << '\n';
  } else if (auto done = files->publish_whole(day->top); !done) {
    status = complain(done.error().text, kCannotWrite);
  } else {
    std::cout << kSayOfDelivery.kept_in((fs::path(out) / day->top).string()) << '\n';
  }
  return std::cout.flush() ? status : complain(kSay.output_lost(), kCannotWrite);
}

}  // namespace

void add_receive(CLI::App& office, int& status) {
  auto* verb = office.add_subcommand(
      "receive", "Checks the archive of a day, verifies the day against its record, and says what came");
  const auto path = std::make_shared<std::string>(), out = std::make_shared<std::string>();
  verb->add_option("archive", *path, "The archive that hand-over made")->required()->type_name("DAY.tar");
  verb->add_option("--out", *out, "A folder in which the day is kept, under its name; when left out nothing is kept")
      ->type_name("FOLDER");
  verb->footer(
      "Exit status: 0 all is well, 1 the day does not come out of its record, 2 usage or its configuration, 3 cannot "
      "write,\n4 the archive is damaged or none of a day.");
  verb->callback([path, out, &status] {
    check_names({*path, *out});
    status = receive(*path, *out);
  });
}

}  // namespace stillpoint::office
