#pragma once
/// Where something is asked: fields, or a choice, or both. It stands under the live answer and takes the keys meanwhile.
///
/// A sheet is what is asked. What it asks of the daemon goes out as requests; a refusal stays in the sheet.
///
/// Threads: plain values.

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "client/day.hpp"
#include "client/link.hpp"

namespace stillpoint::client {

class Desk;

struct Field {
  std::string label, value;
  std::string empty{};     ///< what an empty one means
  bool is_offered = true;  ///< the first key replaces the value
};

struct Choice {
  char key = 0;  ///< 0: its number on the page
  std::string label, about;
  std::function<void(Desk&)> run;  ///< none: it cannot be chosen, and `about` says why
};

struct Sheet {
  std::string title, text;
  std::vector<std::string> body;  ///< lines to read
  std::vector<Field> fields;
  std::vector<Choice> choices;
  std::string yes;                  ///< what Enter does; empty: nothing
  std::function<void(Desk&)> done;  ///< on Enter
  std::function<Sheet()> anew{};    ///< the same from what is known by now; none: it stays as it is
  std::size_t field = 0, page = 0;  ///< where the keys go; which page of the choices is shown
  std::uint64_t number = 0;
};

struct Request {
  std::string method;
  nlohmann::json params;
  std::function<void(Desk&, const Json& result)> done{};     ///< none: what came of it is told
  std::function<void(Desk&, const Failure& why)> refused{};  ///< none: told in the sheet that asked, or beside it
  std::uint64_t sheet = 0;                                   ///< that asked; 0: none
};

class Desk {
 public:
  const std::optional<Sheet>& sheet() const noexcept { return sheet_; }
  bool is_open() const noexcept { return sheet_.has_value(); }
  void open(Sheet sheet);
  void close() noexcept { sheet_.reset(); }
  /// More is known by now.
  void refresh();
  /// What the sheet says, in place of what it said.
  void explain(const std::string& text);
  std::string value(std::size_t field) const;

  /// One key, or one escape sequence; `rows`: for choices at once.
  void press(std::string_view key, std::size_t rows);

  void ask(Request request);
  void answered(const Request& request, const Json& result);
  void refused(const Request& request, const Failure& why);
  /// It could not even be asked.
  void not_asked(const Request& request, const std::string& why);
  void tell(const std::string& text) { told_ = text; }
  std::vector<Request> take_requests();
  /// What is to be told, once.
  std::string take_told();

  /// Things that are no request.
  enum class Aside : std::uint8_t { nothing, quiet, leave };
  void put_aside(Aside what) noexcept { aside_ = what; }
  Aside take_aside() noexcept;

 private:
  void type(std::string_view key, Field& field);
  void choose(char key, std::size_t rows);
  bool is_asking(const Request& request) const noexcept { return sheet_ && sheet_->number == request.sheet; }

  std::optional<Sheet> sheet_;
  std::vector<Request> requests_;
  std::string told_;
  Aside aside_ = Aside::nothing;
  std::uint64_t last_number_ = 0;
};

/// How many choices a page has, with a row for the next page where it has one.
std::size_t choices_at_once(const Sheet& sheet, std::size_t rows);

}  // namespace stillpoint::client
