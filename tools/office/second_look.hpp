#pragma once
/// `verify --pointbook`: does the record give, today, exactly the points that the field stored?
///
/// Every first version of a point is compared with its recomputation, each field and each of its seconds, to the last
/// bit. A stay that was open when the program ended without a word is compared at the moment it was last saved.
///
/// Errors: one sentence a point on stdout, one line a difference; exit status 0 all the same, 1 not so, 2 the
///         configuration cannot be computed with, 4 unreadable.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "config/settings.hpp"
#include "office.hpp"
#include "pointbook/compare.hpp"
#include "pointbook/reader.hpp"
#include "reduce/recompute.hpp"

namespace stillpoint::office {

/// The logs that were named, or else every log of the record's folder, by name and so by time.
Result<std::vector<std::string>> logs_of(const DayFiles& files, const config::Settings& settings);

/// A first version of a point beside what the record gives for it.
struct Compared {
  const occupation::StoredPoint* field = nullptr;  ///< none: the record gives a point that the pointbook lacks
  const Row* again = nullptr;                      ///< none: the record does not give it
  bool recovered = false;                          ///< compared at the moment it was last saved
  bool unanswered = false;                         ///< only the record gives it, and nobody was told that it is safe
  bool beyond_record = false;                      ///< saved further than the record goes, which broke off before
  std::vector<pointbook::Difference> differences;
  /// Open when the program ended without a word, and not saved yet: nobody was told that it is safe.
  bool never_saved() const { return field == nullptr && again != nullptr && again->cut_off; }
  /// Made by an earlier edition of the rules: what comes out otherwise is no failure of the record.
  bool under_earlier_rules() const {
    return field != nullptr && again != nullptr && field->point.rules < again->point.rules;
  }
  bool compared() const { return field != nullptr && !beyond_record; }
  bool otherwise() const { return under_earlier_rules() && !differences.empty(); }
  bool same() const {
    return never_saved() || unanswered || beyond_record ||
           (field != nullptr && again != nullptr && (differences.empty() || under_earlier_rules()));
  }
};

/// A check shot of the field beside what the record gives for it.
struct ComparedShot {
  const pointbook::CheckShot* field = nullptr;  ///< none: the record gives a shot that the pointbook lacks
  const CheckRow* again = nullptr;              ///< none: the record does not give it
  bool unanswered = false;                      ///< as of a point
  std::vector<pointbook::Difference> differences;
  bool compared() const { return field != nullptr; }
  bool same() const { return unanswered || (field != nullptr && again != nullptr && differences.empty()); }
};

/// The whole day as the field did it, computed once more.
class FieldDay {
 public:
  FieldDay(const pointbook::Contents& book, const config::Settings& settings);
  /// Fails when nothing can be computed with the configuration.
  Result<void> start() { return day_.start(); }
  Result<void> recompute(const std::vector<std::string>& logs);
  /// In the order of the pointbook; what it lacks comes last.
  std::vector<Compared> compare();
  std::vector<ComparedShot> compare_shots() const;
  /// As the field stored them: a recovered stay with the seconds that were saved, what was never saved left out.
  std::vector<Row> stays();
  const Recomputation& day() const { return day_; }

 private:
  void look(const session::Session& session);
  bool goes_further(const Compared& pair) const;
  const pointbook::Contents& book_;
  Recomputation day_;
  std::map<StayName, const occupation::StoredPoint*> recovered_;
  bool broke_off_ = false;            ///< the power took the end of a file of the record
  std::map<StayName, Row> as_saved_;  ///< recovered stays, as they stood when they were saved
};

/// The first versions, in the order of storing.
std::vector<const occupation::StoredPoint*> first_versions(const pointbook::Contents& book);

/// Whether an event of the pointbook tells of a redo that made this row.
bool made_by_redo(const pointbook::Contents& book, const std::string& uuid);

int verify_day(const DayFiles& files, const config::Settings& settings);

}  // namespace stillpoint::office
