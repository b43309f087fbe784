#include "session/apply.hpp"

namespace stillpoint::session {
namespace {

struct Applied {
  Session& session;
  SteadyTime at;
  const std::optional<Again>& computed_anew;

  CommandResult operator()(const record::Occupy& occupy) const {
    return session.occupy(
        {occupy.name, occupy.code, occupy.note, occupy.again, occupy.visit, computed_anew, occupy.is_new});
  }
  CommandResult operator()(const record::Keep& /*keep*/) const { return session.keep(); }
  CommandResult operator()(const record::Drop& /*drop*/) const { return session.drop(); }
  CommandResult operator()(const record::Check& check) const {
    return session.check(check.mark, {check.closing, check.turn}, computed_anew);
  }
  CommandResult operator()(const record::SetAntenna& antenna) const {
    return session.set_antenna(antenna.height_m, antenna.reason, antenna.since);
  }
  CommandResult operator()(const record::Resolve& resolve) const {
    return session.resolve(resolve.name, resolve.visit, resolve.accept);
  }
  CommandResult operator()(const record::Amend& amend) const {
    return session.amend({amend.name, amend.visit},
                         {amend.to, amend.to_visit, amend.code, amend.note, amend.again, amend.is_new});
  }
  CommandResult operator()(const record::Offset& offset) const {
    return make_offset(session, {offset.name, offset.code, offset.note, offset.measures, offset.measured, offset.visit,
                                 offset.is_new});
  }
  CommandResult operator()(const record::Stopped& /*stopped*/) const {
    session.finish();
    return {true, "", 0};
  }
  CommandResult operator()(const record::Cut& cut) const {
    session.cut(at, cut.why);
    return {true, "", 0};
  }
  CommandResult operator()(const record::FeedNews& feed) const {
    for (int i = 0; i <= static_cast<int>(FeedState::ended); ++i) {
      const auto state = static_cast<FeedState>(i);
      if (to_word(state) == feed.state) session.feed(state, feed.what, at);
    }
    return {true, "", 0};
  }
  CommandResult operator()(const record::Started& /*started*/) const { return {true, "", 0}; }
  CommandResult operator()(const record::CloseDay& /*close*/) const { return {true, "", 0}; }
  CommandResult operator()(const record::Safe& /*safe*/) const { return {true, "", 0}; }
  CommandResult operator()(const record::Clock& clock) const {
    session.set_clock(at, clock.said);
    return {true, "", 0};
  }
  CommandResult operator()(const record::Dates& /*dates*/) const { return {true, "", 0}; }
  /// Whoever reads the journal reads the bytes too and hands them over.
  CommandResult operator()(const record::Corrections& /*corrections*/) const { return {true, "", 0}; }
  CommandResult operator()(const record::Delivery& delivery) const {
    const auto state = corrections::link_state_from_word(delivery.state);
    const auto reason = corrections::stop_from_word(delivery.reason);
    if (state && reason) hear_delivery(session, {*state, *reason, delivery.detail}, at);
    return {true, "", 0};
  }
  CommandResult operator()(const record::Unknown& /*unknown*/) const { return {true, "", 0}; }
};

}  // namespace

CommandResult apply(Session& session, const record::Command& command, SteadyTime at,
                    const std::optional<Again>& computed_anew) {
  return std::visit(Applied{session, at, computed_anew}, command);
}

}  // namespace stillpoint::session
