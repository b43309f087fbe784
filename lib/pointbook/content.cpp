#include "pointbook/content.hpp"

#include "base/identity.hpp"
#include "pointbook/fields.hpp"

namespace stillpoint::pointbook {
namespace {

std::string escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    switch (c) {
      case '\\':
        out += "\\\\";
        break;
      case '\n':
        out += "\\n";
        break;
      case '\t':
        out += "\\t";
        break;
      default:
        out.push_back(c);
    }
  }
  return out;
}

/// One `key=value` line for each field that the version knows.
class Lines {
 public:
  explicit Lines(int version) : version_(version) { text_ = "stillpoint-content " + std::to_string(version) + "\n"; }
  template <class Value>
  void operator()(const Field& field, const Value& value) {
    if (!field.content || field.since > version_) return;
    text_.append(field.name).append("=").append(escaped(content_text(field, value))).append("\n");
  }
  std::string take() { return std::move(text_); }

 private:
  int version_;
  std::string text_;
};

/// One line with TAB between the values.
class TabbedLine {
 public:
  explicit TabbedLine(int version) : version_(version) {}
  template <class Value>
  void operator()(const Field& field, const Value& value) {
    if (!field.content || field.since > version_) return;
    if (!first_) text_ += '\t';
    first_ = false;
    text_ += escaped(content_text(field, value));
  }
  std::string take() { return std::move(text_) + "\n"; }

 private:
  int version_;
  bool first_ = true;
  std::string text_;
};

/// A point that stands in no row yet.
struct Loose {
  const occupation::StoredPoint& stored;
  const EpochsDigest& epochs;
  Geometry geometry{};
  bool training = false;
  std::string content_sha256{};
};

}  // namespace

int content_version(const occupation::StoredPoint& stored) {
  return version_needed(
      [](auto& io, const auto& s) {
        identity_fields(io, s);
        occupation::point_fields(io, s.point);
      },
      stored);
}

int content_version(const std::vector<occupation::EpochRecord>& epochs) {
  int version = 1;
  for (const auto& epoch : epochs) {
    version =
        std::max(version, version_needed([](auto& io, const auto& e) { occupation::epoch_fields(io, e); }, epoch));
  }
  return version;
}

int content_version(const CheckShot& shot) {
  return version_needed([](auto& io, const auto& s) { shot_fields(io, s); }, shot);
}

EpochsDigest digest_of(const std::vector<occupation::EpochRecord>& epochs) {
  const int version = content_version(epochs);
  Sha256 hash;
  for (const occupation::EpochRecord& epoch : epochs) {
    TabbedLine line(version);
    occupation::epoch_fields(line, epoch);
    hash.add(line.take());
  }
  return {epochs.size(), hash.hex()};
}

std::string canonical_content(const occupation::StoredPoint& stored, const EpochsDigest& epochs) {
  Lines lines(content_version(stored));
  const Loose row{stored, epochs};
  point_row_fields(lines, row);
  return lines.take();
}

std::string canonical_content(const CheckShot& shot) {
  Lines lines(content_version(shot));
  shot_fields(lines, shot);
  return lines.take();
}

}  // namespace stillpoint::pointbook
