#pragma once
/// What the page and the relay answer and tell, and what stands in the way of their ports.
///
/// {address}: an address with a port, as it stands in the configuration. {error}: the words of the system.

#include "base/sentence.hpp"

namespace stillpoint::daemon {

struct ClientSentences {
  // Of what a browser asks.
  Sentence<0> too_slow{"The request took too long."};
  Sentence<0> head_too_long{"The request's head is too long."};
  Sentence<0> too_long{"That is too long."};
  Sentence<0> no_request{"This is no request."};
  Sentence<0> others_do_not_read{"Other pages do not read what they asked for: try again in a moment."};
  Sentence<0> one_try_a_second{"One try a second: wait, then try again."};
  Sentence<0> not_the_key{"This is not the key."};
  Sentence<0> may_only_look{"This browser may only look: give it the key first."};
  Sentence<0> nothing_else{"The page may not ask this of the daemon."};
  Sentence<1> user{"user {number}"};
  Sentence<0> somebody{"somebody on this machine"};
  Sentence<0> many_pages{"Too many pages are open: close one and load this one again."};
  Sentence<0> many_connections{"Too many connections: try again in a moment."};
  Sentence<0> one_host{"One Host is needed."};
  Sentence<0> own_address{"This page is asked for by its own address only."};
  Sentence<0> other_site{"Another site's page may not ask this."};
  Sentence<0> type_address{"Another site's page may not ask this; open the page by typing its address."};
  Sentence<0> nothing_here{"There is nothing here."};
  Sentence<0> other_way{"This is asked for in another way."};
  Sentence<0> no_text{"No text is taken here."};
  Sentence<0> other_machine{"From another machine the page may only be looked at."};
  Sentence<0> page_itself{"Only the page itself may ask this."};
  Sentence<0> only_json{"Only application/json is taken."};

  // Of ports, keys and terminals.
  Sentence<1> page_no_address{"page.listen \"{address}\" is not an address with a port."};
  Sentence<2> page_not_listening{
      "The page cannot listen on {address} ({error}): set another [page] listen, or stop the program that has it."};
  Sentence<2> key_not_written{"The key of the page cannot be written to {path}: {error}."};
  Sentence<1> relay_no_address{"relay.listen \"{address}\" is not an address with a port."};
  Sentence<2> relay_not_listening{
      "The relay cannot listen on {address} ({error}); close the program that has the port, or choose another."};
  Sentence<2> no_terminal{"The relay's pseudo-terminal {path} cannot be made ({error})."};
  Sentence<1> terminal_taken{
      "The relay's pseudo-terminal {path} cannot be made (something else has that name); choose another name."};

  // Of the program that is run at an alert.
  Sentence<1> exit_status{"exit status {number}"};
  Sentence<0> by_signal{"ended by a signal"};

  // Of the set-up.
  Sentence<0> set_up_first{"there is no configuration yet; answer the set-up's questions first"};
  Sentence<0> listening{"Listening to the receiver."};
  Sentence<0> asking{"Asking the caster for its streams."};
};
inline constexpr ClientSentences kSayToClients;

}  // namespace stillpoint::daemon
