#pragma once
/// A day as one archive: a plain tar file (POSIX.1-2001, by libarchive) whose first entry is a manifest, so that whoever
/// gets it can tell whether all of it came and nothing else.
///
/// Form:    TOP/manifest.txt, then TOP/PART/FILE for the files of the manifest, in its order. Names have letters, digits
///          and `. _ + -`, and begin with no dot; parts are those of `kParts`. The same files give the same bytes: times
///          are one time of the day, owners nobody.
/// Manifest: `stillpoint-day 1`, lines `WORD TEXT` of what was left out, an empty line, then for each file SHA-256, two
///          spaces and PART/FILE, as sha256sum checks them.
/// Reading: nothing is believed. Links, devices, folders, holes, compressed archives, other names, names twice, more
///          files or bytes than the archive itself could hold are refused, each by one sentence.
/// Units:   bytes. Threads: one. Errors: one sentence.

#include <string>
#include <vector>

#include "base/result.hpp"
#include "base/time.hpp"

namespace stillpoint::office {

inline constexpr const char* kManifest = "manifest.txt";
inline constexpr const char* kParts[] = {"pointbook", "configuration", "record", "marks", "plan", "geoid", "report"};

struct ArchivedFile {
  std::string name;    ///< PART/FILE
  std::string path;    ///< where it lies, to be written
  std::string sha256;  ///< empty: it is still to be summed
};

struct Manifest {
  std::vector<std::string> left_out;  ///< what is not in the archive, and why
  std::vector<ArchivedFile> files;
};

/// A name that an archive's file may have.
bool is_archive_name(const std::string& name) noexcept;

std::string to_text(const Manifest& manifest);
Result<Manifest> manifest_of(const std::string& text);

/// Sums the files, then writes them; fails when one of them changes meanwhile. `path` must not be there.
Result<void> write_archive(const std::string& path, const std::string& top, UtcTime time, Manifest manifest);

struct Unpacked {
  std::string top;
  Manifest manifest;  ///< with the paths where the files lie now
};
/// Into `folder`, which is empty; every file that is there afterwards has the sum of the manifest.
Result<Unpacked> unpack_archive(const std::string& path, const std::string& folder);

}  // namespace stillpoint::office
