#include "client/desk.hpp"

#include <algorithm>
#include <utility>

#include "client/keys.hpp"
#include "client/replies.hpp"

namespace stillpoint::client {
namespace {

constexpr std::size_t kLongestName = 64, kLongestText = 200, kMostChoices = 9;

bool continues_character(char byte) {
  return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
}

}  // namespace

std::size_t choices_at_once(const Sheet& sheet, std::size_t rows) {
  const std::size_t all = sheet.choices.size();
  if (all <= std::min(rows, kMostChoices)) return all;
  return std::clamp<std::size_t>(rows == 0 ? 0 : rows - 1, 1, kMostChoices - 1);
}

void Desk::open(Sheet sheet) {
  sheet.number = ++last_number_;
  sheet_ = std::move(sheet);
}

void Desk::refresh() {
  if (!sheet_ || !sheet_->anew) return;
  Sheet fresh = sheet_->anew();
  fresh.page = fresh.choices.size() == sheet_->choices.size() ? sheet_->page : 0;
  fresh.number = sheet_->number;
  sheet_ = std::move(fresh);
}

void Desk::explain(const std::string& text) {
  if (sheet_) sheet_->text = text;
}

std::string Desk::value(std::size_t field) const {
  if (!sheet_ || field >= sheet_->fields.size()) return {};
  const std::string& text = sheet_->fields[field].value;
  const auto first = text.find_first_not_of(' ');
  return first == std::string::npos ? "" : text.substr(first, text.find_last_not_of(' ') - first + 1);
}

void Desk::press(std::string_view key, std::size_t rows) {
  if (!sheet_ || key.empty()) return;
  if (key == kEscapeKey) return close();
  const bool back = key == "\x1b[A", on = key == "\x1b[B" || key == "\t";
  const std::size_t fields = sheet_->fields.size();
  if (fields > 0 && (on || back)) {
    sheet_->field = (sheet_->field + (on ? 1 : fields - 1)) % fields;
  } else if (key == "\r" || key == "\n") {
    // A copy: what is done may open another sheet.
    if (const auto done = sheet_->done) done(*this);
  } else if (key.size() > 1) {
    return;  // an arrow, or another sequence
  } else if (fields > 0) {
    type(key, sheet_->fields[sheet_->field]);
  } else {
    choose(key.front(), rows);
  }
}

void Desk::type(std::string_view key, Field& field) {
  const char byte = key.front();
  std::string& value = field.value;
  if (byte == '\x7f' || byte == '\b') {
    while (value.size() > 1 && continues_character(value.back())) value.pop_back();
    if (!value.empty()) value.pop_back();
  } else if (static_cast<unsigned char>(byte) >= 0x20) {
    if (field.is_offered) value.clear();
    const std::size_t most = sheet_->field == 0 && sheet_->fields.size() > 1 ? kLongestName : kLongestText;
    if (value.size() < most) value += byte;
  } else {
    return;
  }
  field.is_offered = false;
}

void Desk::choose(char key, std::size_t rows) {
  const std::size_t at_once = choices_at_once(*sheet_, rows), all = sheet_->choices.size();
  const std::size_t from = sheet_->page * at_once;
  if (small_letter(key) == 'n' && at_once < all) {
    sheet_->page = from + at_once < all ? sheet_->page + 1 : 0;
    return;
  }
  for (std::size_t i = from; i < std::min(all, from + at_once); ++i) {
    const Choice& choice = sheet_->choices[i];
    const char own = choice.key != 0 ? choice.key : static_cast<char>('1' + (i - from));
    if (small_letter(own) != small_letter(key)) continue;
    if (const auto run = choice.run) run(*this);
    return;
  }
}

void Desk::ask(Request request) {
  if (sheet_) request.sheet = sheet_->number;
  requests_.push_back(std::move(request));
}

void Desk::answered(const Request& request, const Json& result) {
  if (is_asking(request)) close();
  if (request.done) return request.done(*this, result);
  if (const std::string text = reply_text(request.method, result); !text.empty()) tell(text);
}

void Desk::refused(const Request& request, const Failure& why) {
  if (request.refused && (request.sheet == 0 || is_asking(request))) return request.refused(*this, why);
  not_asked(request, sentence(why.text));
}

void Desk::not_asked(const Request& request, const std::string& why) {
  if (is_asking(request)) return explain(why);
  tell(why);
}

std::vector<Request> Desk::take_requests() {
  return std::exchange(requests_, {});
}

std::string Desk::take_told() {
  return std::exchange(told_, {});
}

Desk::Aside Desk::take_aside() noexcept {
  return std::exchange(aside_, Aside::nothing);
}

}  // namespace stillpoint::client
