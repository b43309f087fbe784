#include "client/keys.hpp"

#include <algorithm>

#include "client/sentences.hpp"
#include "client/words.hpp"

namespace stillpoint::client {
namespace {

constexpr unsigned char kEscape = 0x1b, kDelete = 0x7f, kBackspace = 0x08, kTab = 0x09, kRedraw = 0x0c;
constexpr std::size_t kLongestName = 64;

bool continues_character(char byte) {
  return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
}

/// The length of an escape sequence at the start of `bytes`, 1 for the escape key itself.
std::size_t escape_length(std::string_view bytes) {
  if (bytes.size() < 2 || (bytes[1] != '[' && bytes[1] != 'O')) return 1;
  std::size_t at = 2;
  while (at < bytes.size() && (bytes[at] < 0x40 || bytes[at] > 0x7e)) ++at;
  return std::min(at + 1, bytes.size());
}

char small(unsigned char key) {
  return static_cast<char>(key >= 'A' && key <= 'Z' ? key - 'A' + 'a' : key);
}

}  // namespace

std::string next_name(const std::string& name) {
  std::string out = name;
  for (auto at = out.size(); at > 0 && out[at - 1] >= '0' && out[at - 1] <= '9'; --at) {
    if (out[at - 1] != '9') {
      ++out[at - 1];
      return out;
    }
    out[at - 1] = '0';
  }
  return {};
}

std::vector<Wish> Keys::press(std::string_view bytes, const Standing& standing) {
  std::vector<Wish> out;
  while (!bytes.empty()) {
    const auto key = static_cast<unsigned char>(bytes.front());
    const std::size_t length = key == kEscape ? escape_length(bytes) : 1;
    if (length == 1) press_one(key, standing, out);
    bytes.remove_prefix(length);
  }
  return out;
}

void Keys::press_one(unsigned char key, const Standing& standing, std::vector<Wish>& out) {
  if (key == kRedraw) return out.push_back({Act::repaint});
  if (asking_ == Asking::name) return type(key, out);
  if (asking_ == Asking::nothing) return press_free(key, standing, out);
  // Only the key that the question names means yes; the point it was asked about must still be the open one.
  const bool still = about_ == standing.open_point;
  if (still && asking_ == Asking::drop && small(key) == 'd') out.push_back({Act::drop});
  if (still && asking_ == Asking::keep && small(key) == 'k') out.push_back({Act::keep});
  if (asking_ == Asking::is_new && small(key) == 'n') out.push_back({Act::occupy, name_, again_, true});
  if (out.empty()) remark_ = kSay.nothing_changed();
  asking_ = Asking::nothing;
}

void Keys::press_free(unsigned char key, const Standing& standing, std::vector<Wish>& out) {
  const bool had_help = help_;
  help_ = false;
  switch (small(key)) {
    case '1':
      return ask(Asking::name, standing);
    case '2':
      if (standing.enough) return out.push_back({Act::keep});
      return ask(Asking::keep, standing);
    case '3':
      return ask(Asking::drop, standing);
    case 'a':
      return out.push_back({Act::seen});
    case 's':
      return out.push_back({Act::quiet});
    case 'q':
      return out.push_back({Act::leave});
    case '?':
    case 'h':
      help_ = !had_help;
      return;
    default:
      if (!had_help) remark_ = kSay.idle_key();
  }
}

void Keys::ask(Asking what, const Standing& standing) {
  const bool open = !standing.open_point.empty();
  if (what == Asking::name && open) {
    remark_ = kSay.still_open(cut(ascii(standing.open_point), 30));
    return;
  }
  if (what != Asking::name && !open) {
    remark_ = kSay.none_open();
    return;
  }
  asking_ = what;
  about_ = standing.open_point;
  name_ = standing.next_name;
  offered_ = !name_.empty();
  again_ = false;
}

void Keys::ask_whether_new(const Wish& wish, const std::string& candidate) {
  name_ = wish.name;
  again_ = wish.again;
  candidate_ = candidate;
  asking_ = Asking::is_new;
}

void Keys::type(unsigned char key, std::vector<Wish>& out) {
  if (key == kEscape) {
    remark_ = kSay.nothing_changed();
    asking_ = Asking::nothing;
  } else if (key == '\r' || key == '\n') {
    if (name_.empty()) return;
    out.push_back({Act::occupy, name_, again_});
    asking_ = Asking::nothing;
  } else if (key == kTab) {
    again_ = !again_;
  } else if (key == kDelete || key == kBackspace) {
    while (name_.size() > 1 && continues_character(name_.back())) name_.pop_back();
    if (!name_.empty()) name_.pop_back();
    offered_ = false;
  } else if (key >= 0x20) {
    // The first key replaces the name that was offered.
    if (offered_) name_.clear();
    offered_ = false;
    if (name_.size() < kLongestName) name_ += static_cast<char>(key);
  }
}

std::string Keys::prompt() const {
  const std::string point = cut(ascii(about_), 26);
  switch (asking_) {
    case Asking::name: {
      const std::string shown = ascii(name_);
      const std::string end = shown.size() > 24 ? ".." + shown.substr(shown.size() - 22) : shown;
      return std::string(again_ ? "Visit AGAIN: " : kSay.ask_new_point() + " ") + end + "_  [Enter] Start  [Tab] " +
             (again_ ? kSay.new_point() : "Again") + "  [Esc] Back";
    }
    case Asking::drop:
      return kLaidOut.throw_away(point);
    case Asking::keep:
      return kLaidOut.will_be_held(point);
    case Asking::is_new:
      return kLaidOut.reads_like(cut(ascii(name_), 20), cut(ascii(candidate_), 20));
    case Asking::nothing:
      break;
  }
  return {};
}

std::string Keys::take_remark() {
  std::string out;
  out.swap(remark_);
  return out;
}

}  // namespace stillpoint::client
