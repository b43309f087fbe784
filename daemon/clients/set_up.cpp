#include "clients/set_up.hpp"

#include <array>
#include <string_view>
#include <utility>

#include "clients/sentences.hpp"
#include "wire/json_object.hpp"
#include "wire/rpc.hpp"

namespace stillpoint::daemon {
namespace {

constexpr int kNoMethod = -32601;

void tell_question(wire::JsonObject& out, const setup::Question& question) {
  out.text("id", question.id);
  out.text("ask", question.ask);
  out.texts("hints", question.hints);
  out.text("proposed", question.proposed);
  out.flag("may_be_unknown", !question.if_unknown.empty());
  out.array("choices", [&question](wire::JsonArray& all) {
    for (const setup::Choice& choice : question.choices) {
      all.object([&choice](wire::JsonObject& one) {
        one.text("typed", choice.typed);
        one.text("label", choice.label);
        one.text("line", choice.line);
      });
    }
  });
}

bool is_set(const wire::Request& request, const char* name) {
  return request.params.is_object() && request.params.contains(name);
}

}  // namespace

SetUp::SetUp(setup::Course::Around around, SetUpHands hands, std::vector<std::string> first)
    : path_(around.path), course_(std::move(around)), hands_(std::move(hands)), said_(std::move(first)) {}

void SetUp::handle(const Call& call) {
  const auto request = wire::parse_request(call.line);
  if (!request) return call.reply(request.error());
  if (request->method != "setup") {
    return call.reply(wire::error_response(request->id, kNoMethod, kSayToClients.set_up_first()));
  }
  wrong_.clear();
  const bool begins = is_set(*request, "begin") && stage_ == Stage::written && faults_.empty();
  if (stage_ != Stage::busy && is_set(*request, "back")) back();
  if (stage_ == Stage::asking && is_set(*request, "answer")) {
    const auto& typed = request->params.at("answer");
    answer(typed.is_string() ? typed.get<std::string>() : std::string());
  }
  call.reply(R"({"jsonrpc":"2.0","id":)" + request->id.dump() + R"(,"result":)" + standing() + "}");
  if (begins) hands_.begin();
}

void SetUp::answer(const std::string& typed) {
  const auto taken = course_.answer(typed);
  if (!taken) {
    wrong_ = taken.error().text;
    return;
  }
  said_.clear();
  if (!taken->empty()) said_.push_back(*taken);
  go_on();
}

void SetUp::back() {
  said_.clear();
  course_.back();
  stage_ = Stage::asking;
}

void SetUp::go_on() {
  stage_ = Stage::asking;
  switch (course_.wants()) {
    case setup::Wants::answer:
      return;
    case setup::Wants::hearing:
      stage_ = Stage::busy;
      return hands_.listen(course_.answers().link);
    case setup::Wants::mounts:
      stage_ = Stage::busy;
      return hands_.ask_mounts(course_.answers().caster);
    case setup::Wants::file:
      course_.find(hands_.read());
      return go_on();
    case setup::Wants::writing:
      stage_ = Stage::written;
      faults_ = hands_.write(course_.text());
      return;
    case setup::Wants::nothing:
      stage_ = Stage::left;
  }
}

void SetUp::heard(const Result<setup::Heard>& heard, const setup::Link& link) {
  said_ = course_.hear(heard, link);
  go_on();
}

void SetUp::know_mounts(std::optional<ntrip::SourceTable> table) {
  course_.know_mounts(std::move(table));
  go_on();
}

std::string SetUp::standing() const {
  constexpr std::array<std::string_view, 4> kStages{"asking", "busy", "written", "left"};
  return wire::json_object([&](wire::JsonObject& out) {
    out.text("stage", kStages[static_cast<std::size_t>(stage_)]);
    out.text("path", path_);
    out.count("number", course_.number());
    out.texts("said", said_);
    out.text("wrong", wrong_);
    if (stage_ == Stage::asking) tell_question(out, course_.question());
    if (stage_ == Stage::busy) {
      out.text("busy", course_.wants() == setup::Wants::hearing ? kSayToClients.listening() : kSayToClients.asking());
    }
    if (stage_ != Stage::written) return;
    out.texts("day", course_.day());
    out.texts("faults", faults_);
    out.flag("has_marks", !course_.answers().marks.empty());
  });
}

}  // namespace stillpoint::daemon
