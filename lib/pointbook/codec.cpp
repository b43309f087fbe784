// The bytes of a stored point or a check shot in the spool: version, of a point the words of the refusal reasons that
// the version knows (so that a bit keeps its meaning when reasons are added), then every field in one order. Numbers
// are little-endian, doubles are their 64 bits.
//
// Version 1 has the layout below, for ever. What came later follows it, in the order of the lists of fields; the
// version written is the oldest that can say all of it, so that an older program reads what it can.

#include <bit>
#include <type_traits>

#include "base/number.hpp"
#include "pointbook/fields.hpp"
#include "pointbook/sentences.hpp"
#include "pointbook/spool.hpp"

namespace stillpoint::pointbook {
namespace {

constexpr std::string_view kPoint = "stillpoint-point ";
constexpr std::string_view kShot = "stillpoint-check ";

/// Passes on the fields that came after version 1, up to that of the bytes. What is outside the content was always
/// there.
template <class Io>
struct Newer {
  Io& io;
  template <class Value>
  void operator()(const Field& field, Value& value) {
    if (field.since > 1 && field.content && field.since <= io.version()) io(value);
  }
};

template <class Io, class Coordinates>
void coordinate_bytes(Io& io, Coordinates& c) {
  io(c.latitude_deg, c.longitude_deg, c.ellipsoid_height_m, c.coordinate_epoch, c.easting_m, c.northing_m);
  io(c.orthometric_height_m, c.geoid, c.error95_horizontal_m, c.error95_vertical_m);
  io(c.covariance_enu_m2[0], c.covariance_enu_m2[1], c.covariance_enu_m2[2], c.covariance_enu_m2[3]);
  io(c.repeatability_m, c.effective_epochs);
  Newer<Io> newer{io};
  occupation::coordinate_fields(newer, c);
}

template <class Io, class Epoch>
void epoch_bytes(Io& io, Epoch& e) {
  io(e.utc, e.quality, e.station, e.source, e.age_s, e.correction, e.accepted, e.reasons);
  io(e.latitude_deg, e.longitude_deg, e.ellipsoid_height_m, e.sigma_east_m, e.sigma_north_m, e.sigma_up_m);
  Newer<Io> newer{io};
  occupation::epoch_fields(newer, e);
}

template <class Io, class Stored>
void point_bytes(Io& io, Stored& s) {
  io(s.uuid, s.version, s.supersedes, s.changed_by, s.change_reason, s.stored_at);
  auto& p = s.point;
  io(p.name, p.visit, p.code, p.note, p.status, p.reasons, p.reason_texts, p.frame, p.at);
  io(p.epochs_used, p.epochs_refused, p.refused, p.source, p.station, p.quality, p.antenna_height_m);
  io(p.started_utc, p.finished_utc, p.flags, p.error_scale, s.epochs);
  Newer<Io> newer{io};
  identity_fields(newer, s);
  occupation::naming_fields(newer, p);
  occupation::provenance_fields(newer, p);
}

template <class Io, class Shot>
void shot_bytes(Io& io, Shot& s) {
  io(s.uuid, s.version, s.supersedes, s.mark, s.kind, s.utc, s.passed, s.frame, s.at);
  io(s.off_east_m, s.off_north_m, s.off_up_m, s.limit_horizontal_m, s.limit_vertical_m);
  io(s.source, s.antenna_height_m, s.text, s.diagnosis, s.point_uuid, s.stored_at);
  Newer<Io> newer{io};
  shot_fields(newer, s);
}

class Writer {
 public:
  Writer(std::string_view what, int version) : version_(version) {
    out_.append(what).append(std::to_string(version)).append("\n");
  }
  int version() const { return version_; }
  template <class... Values>
  void operator()(const Values&... values) {
    (put(values), ...);
  }
  std::string take() { return std::move(out_); }

 private:
  void put_bits(std::uint64_t bits, unsigned bytes) {
    for (unsigned i = 0; i < bytes; ++i) out_.push_back(static_cast<char>((bits >> (8U * i)) & 0xFFU));
  }
  void put(bool value) { put_bits(value ? 1 : 0, 1); }
  void put(int value) { put_bits(static_cast<std::uint32_t>(value), 4); }
  void put(std::uint64_t value) { put_bits(value, 8); }
  void put(double value) { put_bits(std::bit_cast<std::uint64_t>(value), 8); }
  void put(UtcTime value) { put_bits(static_cast<std::uint64_t>(value.ms), 8); }
  void put(std::string_view value) {
    put_bits(value.size(), 4);
    out_ += value;
  }
  void put(const std::string& value) { put(std::string_view(value)); }
  void put(Quality value) { put_bits(static_cast<std::uint64_t>(value), 1); }
  void put(corrections::State value) { put(to_word(value)); }
  void put(occupation::PointStatus value) { put(to_word(value)); }
  void put(occupation::HoldReason value) { put(to_word(value)); }
  void put(const gate::ReasonSet& value) { put(std::uint64_t{value.to_ullong()}); }
  void put(const RefusedCounts& value) {
    for (std::size_t i = 0; i < reason_count(version_); ++i) put(value[i]);
  }
  void put(const OffsetMeasures& value) { put(to_text(value)); }
  void put(const occupation::Coordinates& value) { coordinate_bytes(*this, value); }
  void put(const occupation::EpochRecord& value) { epoch_bytes(*this, value); }
  template <class Value>
  void put(const std::optional<Value>& value) {
    put(value.has_value());
    if (value) put(*value);
  }
  template <class Value>
  void put(const std::vector<Value>& values) {
    put_bits(values.size(), 4);
    for (const Value& value : values) put(value);
  }

  int version_;
  std::string out_;
};

/// Reads what `Writer` wrote. After the first mistake everything reads as zero, and `good` says so.
class Reader {
 public:
  Reader(std::string_view bytes, std::string_view what) : rest_(bytes) {
    const std::size_t end = std::min(rest_.find('\n'), rest_.size());
    const auto version = parse_integer(rest_.substr(std::min(what.size(), end), end - std::min(what.size(), end)));
    good_ = rest_.starts_with(what) && end < rest_.size() && version && *version >= 1 && *version <= kNewestFields;
    if (!good_) return;
    version_ = static_cast<int>(*version);
    rest_.remove_prefix(end + 1);
  }
  int version() const { return version_; }
  template <class... Values>
  void operator()(Values&... values) {
    (get(values), ...);
  }
  /// The words stand for today's reasons; a word unknown today cannot be read.
  void read_reason_words() {
    std::vector<std::string> words;
    get(words);
    for (const std::string& word : words) {
      const auto reason = gate::reason_from_word(word);
      if (!reason) good_ = false;
      if (reason) reasons_.push_back(*reason);
    }
  }
  bool finished() const { return good_ && rest_.empty(); }

 private:
  std::uint64_t get_bits(unsigned bytes) {
    if (rest_.size() < bytes) good_ = false;
    if (!good_) return 0;
    std::uint64_t bits = 0;
    for (unsigned i = 0; i < bytes; ++i) bits |= std::uint64_t{static_cast<unsigned char>(rest_[i])} << (8U * i);
    rest_.remove_prefix(bytes);
    return bits;
  }
  template <class Value>
  void take(const std::optional<Value>& found, Value& value) {
    if (found) value = *found;
    if (!found) good_ = false;
  }
  std::string get_text() {
    std::string text;
    get(text);
    return text;
  }

  void get(bool& value) {
    const std::uint64_t bits = get_bits(1);
    if (bits > 1) good_ = false;
    value = bits == 1;
  }
  void get(int& value) { value = static_cast<int>(static_cast<std::uint32_t>(get_bits(4))); }
  void get(std::uint64_t& value) { value = get_bits(8); }
  void get(double& value) { value = std::bit_cast<double>(get_bits(8)); }
  void get(UtcTime& value) { value.ms = static_cast<std::int64_t>(get_bits(8)); }
  void get(std::string& value) {
    const std::uint64_t size = get_bits(4);
    if (size > rest_.size()) good_ = false;
    if (!good_) return;
    value = rest_.substr(0, size);
    rest_.remove_prefix(size);
  }
  void get(Quality& value) {
    const std::uint64_t number = get_bits(1);
    if (number >= kQualityCount) good_ = false;
    value = good_ ? static_cast<Quality>(number) : Quality::none;
  }
  void get(corrections::State& value) { take(correction_from_word(get_text()), value); }
  void get(occupation::PointStatus& value) { take(occupation::point_status_from_word(get_text()), value); }
  void get(occupation::HoldReason& value) { take(occupation::hold_reason_from_word(get_text()), value); }
  void get(gate::ReasonSet& value) {
    const std::uint64_t bits = get_bits(8);
    if (reasons_.size() < 64 && (bits >> reasons_.size()) != 0) good_ = false;
    for (std::size_t i = 0; i < reasons_.size(); ++i) {
      if (((bits >> i) & 1U) != 0) value.set(static_cast<std::size_t>(reasons_[i]));
    }
  }
  void get(RefusedCounts& value) {
    for (const gate::Reason reason : reasons_) get(value[static_cast<std::size_t>(reason)]);
  }
  void get(OffsetMeasures& value) { take(offset_measures_from(get_text()), value); }
  void get(occupation::Coordinates& value) { coordinate_bytes(*this, value); }
  void get(occupation::EpochRecord& value) { epoch_bytes(*this, value); }
  template <class Value>
  void get(std::optional<Value>& value) {
    bool present = false;
    get(present);
    if (!good_ || !present) return;
    Value inner{};
    get(inner);
    value = std::move(inner);
  }
  template <class Value>
  void get(std::vector<Value>& values) {
    const std::uint64_t count = get_bits(4);
    // Every value takes at least one byte: a damaged count cannot ask for more memory than the bytes themselves.
    if (count > rest_.size()) good_ = false;
    values.clear();
    for (std::uint64_t i = 0; good_ && i < count; ++i) get(values.emplace_back());
  }

  std::string_view rest_;
  int version_ = 1;
  std::vector<gate::Reason> reasons_;
  bool good_ = true;
};

std::vector<std::string> reason_words(int version) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < reason_count(version); ++i)
    words.emplace_back(gate::to_word(static_cast<gate::Reason>(i)));
  return words;
}

}  // namespace

std::string encode(const occupation::StoredPoint& point) {
  Writer writer(kPoint, std::max(content_version(point), content_version(point.epochs)));
  writer(reason_words(writer.version()));
  point_bytes(writer, point);
  return writer.take();
}

Result<occupation::StoredPoint> decode_stored_point(std::string_view bytes) {
  Reader reader(bytes, kPoint);
  reader.read_reason_words();
  occupation::StoredPoint point;
  point_bytes(reader, point);
  if (!reader.finished()) return fail(kSay.bytes_no_point());
  return point;
}

std::string encode(const CheckShot& shot) {
  Writer writer(kShot, content_version(shot));
  shot_bytes(writer, shot);
  return writer.take();
}

Result<CheckShot> decode_check_shot(std::string_view bytes) {
  Reader reader(bytes, kShot);
  CheckShot shot;
  shot_bytes(reader, shot);
  if (!reader.finished()) return fail(kSay.bytes_no_shot());
  return shot;
}

}  // namespace stillpoint::pointbook
