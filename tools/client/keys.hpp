#pragma once
/// Turns key presses into acts. What cannot be undone asks first; while a question stands, the verdict stays in view.
///
/// Threads: plain value.

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::client {

enum class Act : std::uint8_t { occupy, keep, drop, seen, quiet, leave, repaint };

struct Wish {
  Act act = Act::repaint;
  std::string name{};   ///< of the point to occupy
  bool again = false;   ///< a repeat visit
  bool is_new = false;  ///< its name reads like a known one, and is meant as it stands
};

/// What of the day decides whether a key asks first.
struct Standing {
  std::string open_point{};  ///< empty: none
  bool enough = false;       ///< keeping it now gives an accepted point
  std::string next_name{};   ///< offered when a name is asked for
};

class Keys {
 public:
  /// `bytes`: what one read gave, so that the escape key can be told from the sequences of arrow keys.
  std::vector<Wish> press(std::string_view bytes, const Standing& standing);
  /// The question that stands, empty when none does.
  std::string prompt() const;
  /// The daemon asks whether the name of `wish` is new: it reads like `candidate`. The next key answers.
  void ask_whether_new(const Wish& wish, const std::string& candidate);
  bool help() const noexcept { return help_; }
  /// A remark about the last key, given once.
  std::string take_remark();

 private:
  enum class Asking : std::uint8_t { nothing, name, drop, keep, is_new };
  void press_one(unsigned char key, const Standing& standing, std::vector<Wish>& out);
  void press_free(unsigned char key, const Standing& standing, std::vector<Wish>& out);
  void type(unsigned char key, std::vector<Wish>& out);
  void ask(Asking what, const Standing& standing);

  Asking asking_ = Asking::nothing;
  std::string name_, about_, candidate_, remark_;
  bool again_ = false, offered_ = false, help_ = false;
};

/// `HF-A-0014` is followed by `HF-A-0015`; empty when the name does not end in a number.
std::string next_name(const std::string& name);

}  // namespace stillpoint::client
