#pragma once
/// What the judge says of a second that does not count. What a measured value is called stands with its limit
/// (`gate/limits.hpp`), short words and advice with the reason (`gate/verdict.hpp`).

#include "base/sentence.hpp"

namespace stillpoint::gate {

struct Sentences {
  Sentence<1> no_source{"no source takes quality {quality}"};
  Sentence<1> unlisted_station{"{station} is not in your configuration (station in [source] match)"};
  Sentence<0> blank_station{"a blank station"};
  Sentence<1> printed_station{"station {number}"};
  Sentence<0> no_position_at_all{"the receiver has no position"};
  Sentence<1> no_corrections{"quality {quality}: no corrections in use"};
  Sentence<3> quality_not_wanted{"quality {quality}, source \"{source}\" wants {qualities}"};
  Sentence<0> no_date{"no date from the receiver yet (RMC or ZDA)"};
  Sentence<0> no_position{"no position in this epoch"};
  Sentence<0> no_height{"no height: altitude or geoid separation is missing"};
  Sentence<0> time_repeated{"the receiver printed this time twice"};
  Sentence<1> late{"it comes {seconds} s late: what it tells was so before"};
  Sentence<2> date_after_clock{"its date, {date}, stands {days} after this computer's clock"};
  Sentence<3> date_jumped{"its date, {date}, stands {days} {before} those it gave until then"};
  Sentence<0> jump{"the position jumped while the pole stood still"};
  Sentence<0> outlier{"too far from the other seconds of this stay"};
  Sentence<0> other_segment{"belongs to a part of the stay that was not kept"};
  Sentence<0> frozen{"the receiver repeats itself: everything it says but its time stands still"};
  Sentence<0> datum_shifted{
      "the receiver says (DTM) that it shifts its output to another datum than the source's frame"};
  Sentence<0> correction_age_missing{"the receiver gives no correction age, and the source wants one"};
  Sentence<1> settling{"settling: corrections are good again, counts in {seconds} s"};
  Sentence<0> error_missing{"the receiver gives no error of its own (GST) for this second"};

  Sentence<2> unproven{"{measured} {since}"};
  Sentence<1> since_listening{"since listening began at {clock}"};
  Sentence<1> since_class{"since the quality came at {clock}"};
  Sentence<1> since_fresh{"since the fresh age of {clock}"};

  Sentence<1> not_given{"{name} is not given"};
  Sentence<2> above{"{measured}, limit {limit}"};
  Sentence<2> below{"{measured}, at least {limit} wanted"};

  Sentence<0> two_positions{"two position sentences of this second disagree"};
  Sentence<0> void_position{"GGA gives a position, RMC of the same second calls it void"};
  Sentence<0> rmc_claims_less{"RMC claims less than GGA of the same second (mode against quality)"};
  Sentence<0> gns_claims_less{"GNS claims less than GGA of the same second (modes against quality)"};
  Sentence<0> pdop_below_parts{"PDOP is smaller than its own parts HDOP and VDOP"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::gate
