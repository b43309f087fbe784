#pragma once
/// What a file must be before anything in it is read or run: a pointbook's own tables, and no trigger, view or spatial
/// index of our tables beside those on the list of its schema (schema.hpp).
///
/// Rule:    somebody's own triggers and views for their map have names that begin with `own_`; any other is refused by
///          its name. A table of ours that is a view, or a table that some module makes up, is never read: it need not
///          end.
/// Errors:  one sentence, the same from every program.

#include <string>
#include <vector>

#include "base/result.hpp"
#include "pointbook/database.hpp"

namespace stillpoint::pointbook {

/// Refuses a file whose tables may not be read.
Result<void> inspect_tables(Database& database, const std::string& path);

/// The schema is one that this program knows.
Result<void> inspect_version(int schema_version, const std::string& path);

/// One sentence for each trigger, view and spatial index that does not belong.
Result<std::vector<std::string>> strangers(Database& database, int schema_version, const std::string& path);

}  // namespace stillpoint::pointbook
