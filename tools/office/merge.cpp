// `merge`: several crews' pointbooks as one new one. Nothing of any of them is lost, changed in its numbers or
// counted twice.
//
// Rule:   a point is known by the uuid of its first version. The same row in two books (equal content, by SHA-256) is
//         taken once. Equal names of different points are both kept: the later one gets the next free visit number,
//         which is the one thing about it that changes, and the pair is listed. Versions made in two copies of one
//         point follow each other in the order in which they were stored, and are listed.
// Errors: sentences on stderr; exit status 0 merged, 1 merged with conflicts that are listed, 2 usage or books that do
//         not belong together (frames, training and live, projects), 3 cannot write, 4 unreadable or damaged.

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <filesystem>
#include <iostream>
#include <map>
#include <set>
#include <tuple>

#include "base/identity.hpp"
#include "base/number.hpp"
#include "estimate/visits.hpp"
#include "geodesy/local.hpp"
#include "occupation/geoid.hpp"
#include "occupation/place.hpp"
#include "office.hpp"
#include "pointbook/compare.hpp"
#include "pointbook/content.hpp"
#include "pointbook/geometry.hpp"
#include "pointbook/happened.hpp"
#include "pointbook/reader.hpp"
#include "pointbook/versions.hpp"
#include "reduce/say.hpp"
#include "sentences.hpp"

namespace stillpoint::office {
namespace {

namespace fs = std::filesystem;

std::string short_name(const std::string& path) {
  return fs::path(path).filename().string();
}

/// All versions of one point, oldest first, and the book they came from first.
struct Chain {
  std::vector<occupation::StoredPoint> versions;
  std::string from;
  const std::string& identity() const { return versions.front().uuid; }
  const occupation::Point& newest() const { return versions.back().point; }
};

/// The content without what a merge may renumber: the visit, the version and what it supersedes.
std::string content_of(occupation::StoredPoint stored) {
  stored.version = 1;
  stored.supersedes.clear();
  stored.point.visit = 1;
  return pointbook::canonical_content(stored, pointbook::digest_of(stored.epochs));
}

/// How far apart, and whether their 95 % errors allow for it; empty: one of them has no coordinates.
std::string apart(const occupation::Point& a, const occupation::Point& b) {
  if (!a.at || !b.at) return kSay.without_coordinates();
  const geodesy::LocalFrame plane(occupation::place_of(*a.at));
  const auto off = plane.to_enu(occupation::place_of(*b.at));
  const double plan_m = std::hypot(off.east_m, off.north_m);
  const bool one_place =
      plan_m <= estimate::kDisagreement * std::hypot(a.at->error95_horizontal_m, b.at->error95_horizontal_m) &&
      std::abs(off.up_m) <= estimate::kDisagreement * std::hypot(occupation::ellipsoid_error95_m(*a.at),
                                                                 occupation::ellipsoid_error95_m(*b.at));
  return kSay.apart(fixed(plan_m, 3), fixed(std::abs(off.up_m), 3),
                    one_place ? kSay.maybe_one_place() : kSay.two_places());
}

std::vector<Chain> chains_of(const pointbook::Contents& book) {
  std::vector<Chain> out;
  for (const pointbook::Versions& point : pointbook::points_of(book.versions)) {
    Chain& chain = out.emplace_back();
    chain.from = book.path;
    for (const occupation::StoredPoint* stored : point) {
      chain.versions.push_back(*stored);
      const auto epochs = book.epochs.find(stored->uuid);
      if (epochs != book.epochs.end()) chain.versions.back().epochs = epochs->second;
    }
  }
  return out;
}

class Merging {
 public:
  /// Fails when a row contradicts one that is there already.
  Result<void> add(const pointbook::Contents& book);
  pointbook::Batch batch() const;
  const std::vector<std::string>& conflicts() const { return conflicts_; }
  std::size_t points() const { return chains_.size(); }
  std::size_t taken_once() const { return taken_once_; }

 private:
  Result<void> add_chain(Chain chain);
  Result<void> join(Chain& known, const Chain& more);
  void add_new(Chain chain);
  void tell_renumbered(const Chain& chain, const occupation::Point& was, int visit);
  int free_visit(const std::string& name, int visit) const;
  void renumber(occupation::Point& point, const Chain& known) const;
  template <class Row, class Same>
  Result<void> add_rows(std::vector<Row>& rows, const std::vector<Row>& more, const std::string& what, Same same);
  void add_events(const std::vector<pointbook::Event>& events, bool is_copy);
  bool shares_a_row(const pointbook::Contents& book) const;

  std::vector<Chain> chains_;
  std::map<std::string, std::size_t> by_identity_;
  std::map<std::pair<std::string, int>, std::size_t> by_name_;
  std::vector<pointbook::CheckShot> checks_;
  std::vector<pointbook::AntennaSetup> antennas_;
  std::vector<pointbook::Event> events_;
  std::map<std::string, std::size_t> events_seen_;  ///< by their content
  std::vector<std::string> conflicts_;
  std::size_t taken_once_ = 0;
};

void number_anew(Chain& chain) {
  for (std::size_t i = 0; i < chain.versions.size(); ++i) {
    chain.versions[i].version = static_cast<int>(i) + 1;
    chain.versions[i].supersedes = i == 0 ? "" : chain.versions[i - 1].uuid;
  }
}

int Merging::free_visit(const std::string& name, int visit) const {
  while (by_name_.contains({name, visit})) ++visit;
  return visit;
}

/// The visit of a version that was made in another copy of a point: as the point's others of that name, or a free one.
void Merging::renumber(occupation::Point& point, const Chain& known) const {
  const auto same = std::find_if(known.versions.rbegin(), known.versions.rend(),
                                 [&](const auto& stored) { return stored.point.name == point.name; });
  point.visit = same != known.versions.rend() ? same->point.visit : free_visit(point.name, point.visit);
}

/// Two copies of one point: what both have comes first, then what was made in either, as it was stored.
Result<void> Merging::join(Chain& known, const Chain& more) {
  std::vector<occupation::StoredPoint> fresh;
  std::size_t shared = 0;
  for (const auto& stored : more.versions) {
    const auto at = std::find_if(known.versions.begin(), known.versions.end(),
                                 [&](const auto& other) { return other.uuid == stored.uuid; });
    if (at == known.versions.end()) {
      fresh.push_back(stored);
      renumber(fresh.back().point, known);
    } else if (content_of(*at) != content_of(stored)) {
      return fail(kSay.changed_by_hand(title(stored.point), more.from, known.from, stored.uuid));
    } else {
      ++shared;
    }
  }
  taken_once_ += shared > 0 && fresh.empty() ? 1U : 0U;
  if (fresh.empty()) return {};
  if (shared < known.versions.size()) {
    conflicts_.push_back(kSay.both_changes_kept(title(known.newest()), known.from, more.from));
  }
  const auto tail = known.versions.insert(known.versions.end(), fresh.begin(), fresh.end());
  const auto first = known.versions.begin() + static_cast<std::ptrdiff_t>(shared);
  if (first < tail) {
    std::stable_sort(first, known.versions.end(),
                     [](const auto& a, const auto& b) { return a.stored_at < b.stored_at; });
  }
  number_anew(known);
  const std::size_t at = by_identity_.at(known.identity());
  for (const auto& stored : known.versions) by_name_[{stored.point.name, stored.point.visit}] = at;
  return {};
}

/// A name and visit is one point's for ever, also when it is called otherwise by now.
void Merging::add_new(Chain chain) {
  std::map<StayName, int> given;
  for (auto& stored : chain.versions) {
    const occupation::Point was = stored.point;
    const auto [at, is_new] = given.try_emplace({was.name, was.visit}, free_visit(was.name, was.visit));
    stored.point.visit = at->second;
    if (is_new && at->second != was.visit) tell_renumbered(chain, was, at->second);
  }
  for (const auto& stored : chain.versions) by_name_[{stored.point.name, stored.point.visit}] = chains_.size();
  by_identity_[chain.identity()] = chains_.size();
  chains_.push_back(std::move(chain));
}

void Merging::tell_renumbered(const Chain& chain, const occupation::Point& was, int visit) {
  const Chain& there = chains_[by_name_.at({was.name, was.visit})];
  const std::string here = std::to_string(visit) + " here";
  conflicts_.push_back(there.from == chain.from ? kSay.number_taken(title(was), chain.from, here)
                                                : kSay.name_in_both(title(was), there.from, chain.from,
                                                                    apart(there.newest(), was), chain.from, here));
}

Result<void> Merging::add_chain(Chain chain) {
  const auto at = by_identity_.find(chain.identity());
  if (at != by_identity_.end()) return join(chains_[at->second], chain);
  add_new(std::move(chain));
  return {};
}

template <class Row, class Same>
Result<void> Merging::add_rows(std::vector<Row>& rows, const std::vector<Row>& more, const std::string& what,
                               Same same) {
  for (const Row& row : more) {
    const auto at = std::find_if(rows.begin(), rows.end(), [&](const Row& other) { return other.uuid == row.uuid; });
    if (at == rows.end()) {
      rows.push_back(row);
    } else if (!same(*at, row)) {
      return fail(kSay.row_changed_by_hand(what, row.uuid));
    }
  }
  return {};
}

/// An event has no identity of its own. In a copy of a book, what stands in both as often is the same; two crews that
/// never shared a row may well have been told the same in the same second.
void Merging::add_events(const std::vector<pointbook::Event>& events, bool is_copy) {
  std::map<std::string, std::size_t> here;
  for (const pointbook::Event& event : events) {
    const std::string content = to_text(event.utc) + '\n' + event.kind + '\n' + event.text + '\n' + event.details;
    std::size_t& seen = events_seen_[content];
    if (is_copy && ++here[content] <= seen) continue;
    ++seen;
    events_.push_back(event);
  }
}

bool Merging::shares_a_row(const pointbook::Contents& book) const {
  const auto known = [](const auto& rows, const std::string& uuid) {
    return std::any_of(rows.begin(), rows.end(), [&](const auto& row) { return row.uuid == uuid; });
  };
  for (const auto& setup : book.antennas) {
    if (known(antennas_, setup.uuid)) return true;
  }
  for (const auto& shot : book.checks) {
    if (known(checks_, shot.uuid)) return true;
  }
  return std::any_of(book.versions.begin(), book.versions.end(),
                     [&](const auto& stored) { return by_identity_.contains(stored.uuid); });
}

Result<void> Merging::add(const pointbook::Contents& book) {
  const bool is_copy = shares_a_row(book);
  for (Chain& chain : chains_of(book)) {
    if (auto done = add_chain(std::move(chain)); !done) return done;
  }
  const auto same_shot = [](const pointbook::CheckShot& a, const pointbook::CheckShot& b) {
    return pointbook::canonical_content(a) == pointbook::canonical_content(b);
  };
  if (auto done = add_rows(checks_, book.checks, kSay.a_check_shot(), same_shot); !done) return done;
  const auto same_antenna = [](const pointbook::AntennaSetup& a, const pointbook::AntennaSetup& b) {
    return std::tie(a.utc, a.height_m, a.reason) == std::tie(b.utc, b.height_m, b.reason);
  };
  if (auto done = add_rows(antennas_, book.antennas, kSay.an_antenna_setup(), same_antenna); !done) return done;
  add_events(book.events, is_copy);
  return {};
}

pointbook::Batch Merging::batch() const {
  pointbook::Batch out;
  for (const Chain& chain : chains_) out.points.insert(out.points.end(), chain.versions.begin(), chain.versions.end());
  out.checks = checks_;
  out.antennas = antennas_;
  out.events = events_;
  return out;
}

Result<std::vector<pointbook::Contents>> read_all(const std::vector<std::string>& paths) {
  std::vector<pointbook::Contents> out;
  for (const std::string& path : paths) {
    auto book = pointbook::read_contents(path);
    if (!book) return tl::unexpected(book.error());
    if (!book->damage.empty()) return fail(kSay.nothing_merged(path, book->damage.front()));
    if (book->spool_waits) {
      return fail(kSay.points_beside(path));
    }
    out.push_back(std::move(*book));
  }
  return out;
}

/// The book whose frame, and so whose kind of z, the merged one has: every point has an ellipsoid height, so one such
/// book decides; empty: they have heights above different geoids.
const pointbook::Contents* leader_in_height(const std::vector<pointbook::Contents>& books) {
  const auto geoid_of = [](const pointbook::Contents& book) { return pointbook::geoid_in_wkt(book.frame_wkt); };
  for (const auto& book : books) {
    if (geoid_of(book).empty()) return &book;
  }
  const auto other = [&](const auto& book) { return geoid_of(book) != geoid_of(books.front()); };
  return std::any_of(books.begin(), books.end(), other) ? nullptr : &books.front();
}

/// Said where z of some book is not z of the merged one.
std::string mixed_heights(const std::vector<pointbook::Contents>& books) {
  const pointbook::Contents& leader = *leader_in_height(books);
  for (const auto& book : books) {
    if (!pointbook::height_note(leader.path, leader.frame_wkt, book.frame_wkt).empty()) {
      return kSay.z_is_ellipsoidal(leader.path, pointbook::geoid_in_wkt(book.frame_wkt)) + "\n";
    }
  }
  return {};
}

enum class Projects : bool { same, may_differ };

/// Why these books cannot be one; empty: they can.
std::string unfit(const std::vector<pointbook::Contents>& books, Projects projects) {
  const pointbook::Contents& first = books.front();
  for (const pointbook::Contents& book : books) {
    if (book.training != first.training) {
      const auto& training = book.training ? book : first;
      const auto& live = book.training ? first : book;
      return kSay.training_and_live(training.path, live.path);
    }
    if (book.frame != first.frame) {
      return kSay.two_frames(first.path, first.frame, book.path, book.frame);
    }
    if (projects == Projects::same && book.project != first.project) {
      return kSay.two_projects(first.path, first.project, book.path, book.project);
    }
  }
  if (leader_in_height(books) == nullptr) {
    return std::string(kSay.two_geoids());
  }
  return {};
}

std::string projects(const std::vector<pointbook::Contents>& books) {
  std::string out;
  std::set<std::string> named;
  for (const auto& book : books) {
    if (named.insert(book.project).second) out += (out.empty() ? "" : " + ") + book.project;
  }
  return out;
}

Result<pointbook::Event> merge_event(const std::vector<pointbook::Contents>& books, UtcTime now) {
  std::vector<pointbook::MergedBook> from;
  for (const auto& book : books) {
    const auto sum = sha256_file(book.path);
    if (!sum) return tl::unexpected(sum.error());
    from.push_back({short_name(book.path), *sum, book.project, book.versions.size(), pointbook::day_is_closed(book)});
  }
  return pointbook::event_of(now, from);
}

int write(const std::string& path, const std::vector<pointbook::Contents>& books, const Merging& merging) {
  const UtcTime now = utc_now();
  const pointbook::Contents& first = *leader_in_height(books);
  auto event = merge_event(books, now);
  if (!event) return complain(event.error().text, kCannotRead);
  auto batch = merging.batch();
  for (const std::string& conflict : merging.conflicts())
    batch.events.push_back({now, std::string(to_word(pointbook::EventKind::merge_conflict)), conflict, ""});
  batch.events.push_back(std::move(*event));
  auto book = pointbook::Book::open(path, {projects(books), first.frame, first.frame_wkt, first.frame_is_projected,
                                           first.training, now, first.frame_wkt1});
  if (!book) return complain(book.error().text, kCannotWrite);
  if (auto done = book->append(batch); !done) {
    std::error_code none;
    fs::remove(path, none);
    return complain(done.error().text, kCannotWrite);
  }
  return 0;
}

int merge(const std::vector<std::string>& from, const std::string& out, Projects projects) {
  std::error_code none;
  if (fs::exists(out, none)) {
    return complain(kSay.exists_already(out), kCannotWrite);
  }
  const auto books = read_all(from);
  if (!books) return complain(books.error().text, kCannotRead);
  if (const auto why = unfit(*books, projects); !why.empty()) return complain(why, kUsage);
  Merging merging;
  for (const auto& book : *books) {
    if (auto done = merging.add(book); !done) return complain(done.error().text, kCannotRead);
  }
  if (const int failed = write(out, *books, merging); failed != 0) return failed;
  for (const std::string& conflict : merging.conflicts()) std::cout << "conflict: " << conflict << '\n';
  std::cout << kSay.merged(out, std::to_string(merging.points()), std::to_string(books->size()),
                           std::to_string(merging.taken_once()), counted(merging.conflicts().size(), "conflict"))
            << "\n"
            << std::flush;
  std::cout << mixed_heights(*books) << std::flush;
  if (!std::cout) return complain(kSay.output_lost(), kCannotWrite);
  return merging.conflicts().empty() ? kAllAccepted : kSomeHeld;
}

}  // namespace

void add_merge(CLI::App& office, int& status) {
  auto* verb = office.add_subcommand(
      "merge",
      "Two or more pointbooks as one new file. Equal names are both kept, the later one as another visit, and listed");
  const auto from = std::make_shared<std::vector<std::string>>();
  const auto out = std::make_shared<std::string>();
  verb->add_option("pointbooks", *from, "The pointbooks of the crews")->required()->type_name("A.gpkg B.gpkg");
  verb->add_option("--out", *out, "The new pointbook")->required()->type_name("OUT.gpkg");
  const auto differ = std::make_shared<bool>(false);
  verb->add_flag("--different-projects", *differ, "Merge although the pointbooks are of different projects");
  verb->footer(
      "Exit status: 0 merged, 1 merged with conflicts, 2 the books do not belong together, 3 cannot write, 4 "
      "unreadable\nor damaged.");
  verb->callback([from, out, differ, &status] {
    check_names(*from);
    check_names({*out});
    if (from->size() < 2) throw CLI::ValidationError(kSay.two_or_more());
    status = merge(*from, *out, *differ ? Projects::may_differ : Projects::same);
  });
}

}  // namespace stillpoint::office
