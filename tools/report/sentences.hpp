#pragma once
/// What the report of a day says: its answer, what is to be decided, headings, and what its tables and drawings mean.
///
/// {since}, {doubt}: where in the day a point is doubtful.

#include "base/sentence.hpp"

namespace stillpoint::report {

struct Sentences {
  Sentence<4> became_version{"{name} became version {count}, {status}{moved}"};
  Sentence<1> called_before{"; it was called {name} before"};
  Sentence<0> not_moved{"; not moved"};
  Sentence<0> has_coordinates_no_more{"; it has no coordinates any more"};
  Sentence<0> has_coordinates_now{"; it has coordinates now"};
  Sentence<0> sums_differ{"The seconds in the points and the seconds stored beside them do not add up."};
  Sentence<2> after_failed_check{"after the check on {name} that failed at {time}, before another passed"};
  Sentence<0> since_start{"the start"};
  Sentence<1> since_check{"the check that passed at {time}"};
  Sentence<3> before_failed_check{"between {since} and the check on {name} that failed at {time}"};
  Sentence<1> see_help{"{error}; see stillpoint-report --help"};
  Sentence<1> cannot_make_folder{"cannot make the folder {path}"};
  Sentence<0> not_readable{"not readable"};
  Sentence<1> left_to_decide{"left to decide: {count}"};
  Sentence<1> cannot_write{"cannot write {path}; check its folder's rights and free space"};
  Sentence<0> thunder{"Stop at the first thunder, and wait 30 minutes after the last."};
  Sentence<0> overhead_lines{
      "A range pole conducts: keep at least 3 m (10 ft) from overhead lines of up to 50 kV, farther from higher "
      "voltages (29 CFR 1910.333) and where the line's owner says so."};
  Sentence<0> buried_lines{
      "Before anything is driven into the ground at one of them, have the buried lines marked (in the United States "
      "call 811)."};
  Sentence<0> not_for{
      "These points are not for property boundaries, navigation where lives depend on it, guiding machines, clearance "
      "for excavation or certified elevations."};
  Sentence<0> law_first{"Local law, the employer's rules and licensed practice come before anything written here."};
  Sentence<0> rows_do_not_match{"These rows do not match their own SHA-256:"};
  Sentence<0> all_rows_match{"Every row of the pointbook matches its own SHA-256."};
  Sentence<2> geojson{
      "points.geojson: longitude, latitude and {kind_of_height} as delivered, in the geographic base of the frame "
      "{frame},"
      " which its member \"frame\" names. RFC 7946 means WGS 84; moving the points there would cost up to two "
      "metres of certainty, so a map program draws them where they are in their own frame."};
  Sentence<0> apostrophes{
      "the points, all digits; a text that begins with =, +, - or @ has an apostrophe before it, so that no "
      "spreadsheet takes it for a formula: it is not part of the text"};
  Sentence<0> no_mark_shot{"No known mark was checked: nothing outside the receiver confirms these points."};
  Sentence<0> no_accepted_point{"no point is accepted"};
  Sentence<0> no_antenna_height_recorded{"No antenna height was recorded."};
  Sentence<0> subtracted_by_receiver{"already subtracted by the receiver"};
  Sentence<0> nothing_recorded{"Nothing was recorded."};
  Sentence<0> not_recorded{"not recorded"};
  Sentence<0> what_said{"What was said"};
  Sentence<0> correction_alerts{"What was said of corrections and receiver"};
  Sentence<0> not_over{"not over by the end"};
  Sentence<0> sums_agree{"The sums agree."};
  Sentence<0> no_mark_checked{"There are no checks."};
  Sentence<1> when_visits_count{
      "A visit counts when it is accepted, of the same source, frame and epoch, 45 min or more from the others and "
      "with the receiver initialized anew. Allowed: the two 95 % errors, added as squares, times {factor}."};
  Sentence<0> visited_again{"Points visited again, each visit minus the one before"};
  Sentence<0> one_visit{"one visit: no proof"};
  Sentence<0> left_out{"Left out"};
  Sentence<0> apart_up{"Apart up"};
  Sentence<0> apart_plan{"Apart"};
  Sentence<0> visits_that_count{"Visits that count"};
  Sentence<0> visits_together{"What the visits of each point say together"};
  Sentence<0> no_point{"The pointbook holds no point."};
  Sentence<0> no_timed_second{"No second of a stay has a time."};
  Sentence<0> ellipsoid_height{"ellipsoid height"};
  Sentence<1> height_above{"height above the geoid {geoid}"};
  Sentence<1> geojson_note{
      "Longitude, latitude and {kind_of_height} as delivered, in the geographic base of the frame named here, at the "
      "coordinate "
      "epoch of each point. Not WGS 84, which RFC 7946 means when nobody has agreed on another: the two differ by up "
      "to "
      "two metres."};
  Sentence<4> accepted_by_hand{"{point} was held ({why}) and accepted by hand by {user}: {reason}."};
  Sentence<1> antenna_height{"antenna height {metres}"};

  Sentence<0> not_known{"not known"};
  Sentence<0> none_known{"none"};
  Sentence<0> not_yet{"Not yet."};
  Sentence<0> no_points{"No points."};
  Sentence<1> none_of{"None of {count}."};
  Sentence<1> all_yes{"All {count}: yes."};
  Sentence<2> some_yes{"{count} of {count}: yes."};
  Sentence<2> and_more{"{list} and {count} more"};

  // Times.
  Sentence<1> local_times{"local, {value}"};
  Sentence<2> local_times_change{"local, {value}, later {value}"};
  Sentence<1> times_are{"Times are {value}."};
  Sentence<1> until{"until {time}"};

  // Page 1.
  Sentence<0> report{"Stillpoint report"};
  Sentence<2> title_of_day{"{name}, report of {date}"};
  Sentence<3> report_of{"Report of {date}, {time} to {time}."};
  Sentence<0> no_times{"No point of this day has a time."};
  Sentence<1> by_crew{"Crew {value}."};
  Sentence<1> heights_ellipsoid{"Heights are above the ellipsoid of {frame}, not elevations above sea level."};
  Sentence<2> heights_geoid{"Positions are in {frame}; heights are above the geoid {geoid}."};
  Sentence<0> can_be_used{"Can these points be used?"};
  Sentence<2> can_be_used_for{
      "Can these points be used where {metres} horizontally and {metres} vertically are wanted, at 95 %?"};
  Sentence<1> further_withheld{"{count} further things concern the whole day (section 4)."};
  Sentence<1> one_held{"{point} is held until somebody decides (section 4)."};
  Sentence<2> some_held{"{count} are held until somebody decides: {list} (section 4)."};
  Sentence<1> one_doubtful{"{point} is doubtful, for a check failed (section 4)."};
  Sentence<2> some_doubtful{"{count} are doubtful, for a check failed: {list} (section 4)."};
  Sentence<1> one_apart{"The visits to {point} contradict each other (section 4)."};
  Sentence<2> some_apart{"The visits of {count} contradict each other: {list} (section 4)."};
  Sentence<1> one_misses{"{point} misses what was wanted (section 4)."};
  Sentence<2> some_miss{"{count} miss what was wanted: {list} (section 4)."};
  Sentence<1> one_unchecked{"After {point} no mark was checked (section 4)."};
  Sentence<2> some_unchecked{"{count} have no check after them: {list} (section 4)."};
  Sentence<1> one_empty{"{point} has no second that counts (section 4)."};
  Sentence<2> some_empty{"{count} have no second that counts: {list} (section 4)."};
  Sentence<1> one_rejected{"{point} was rejected."};
  Sentence<2> some_rejected{"{count} were rejected: {list}."};
  Sentence<1> some_by_hand{"Accepted by hand although a rule held it: {list} (section 1)."};
  Sentence<1> closed_with_check{"The day was closed; its last check, on {name}, passed."};
  Sentence<0> about_plan{"Horizontal, 95 %"};
  Sentence<0> about_up{"Vertical, 95 %"};
  Sentence<0> about_marks{"Known marks"};
  Sentence<0> about_corrections{"Corrections"};
  Sentence<1> at_most_half{"at most, of the accepted points; half are within {metres}"};
  Sentence<0> none_checked{"None"};
  Sentence<0> nothing_outside{"was checked; nothing outside the receiver confirms the points"};
  Sentence<2> some_of{"{count} of {count}"};
  Sentence<1> checks_in_plan{"checks within limits, at most {metres} horizontal"};
  Sentence<2> checks_at_most{"checks within limits, at most {metres} horizontal, {metres} vertical"};
  Sentence<0> no_outage{"No outage"};
  Sentence<0> all_day_there{"corrections and receiver were there all day"};
  Sentence<2> outage_of{"of {duration}, at {time}"};
  Sentence<2> outages_of{"of {duration} together, the first at {time}"};
  Sentence<2> nobody_calibrated{"Nobody has calibrated the {metres} and the {metres} yet."};
  Sentence<0> how_accurate{"How accurate are they?"};
  Sentence<0> from_seconds{"By the seconds themselves"};
  Sentence<2> lies_within{
      "An accepted point lies within {metres} horizontally and {metres} vertically of the truth in 95 of 100 cases, if "
      "the receiver's own figures are right."};
  Sentence<0> from_marks{"By known marks"};
  Sentence<4> checks_differ{"{shots} on {marks} differ by at most {metres} horizontally and {metres} vertically."};
  Sentence<3> checks_differ_in_plan{"{shots} on {marks} differ by at most {metres} horizontally."};
  Sentence<3> too_few_marks{
      "{marks} too few for a tested accuracy at 95 %: the NSSDA asks for {count}, the ASPRS for {count}."};
  Sentence<1> tested_plan{"Tested {metres} horizontal accuracy at 95 % (NSSDA)."};
  Sentence<1> tested_height{"Tested {metres} vertical accuracy at 95 % (NSSDA)."};
  Sentence<1> too_few_for_asprs{"For a statement by the ASPRS standard {count} marks are asked for."};
  Sentence<1> asprs_rmse{"Horizontal RMSE {metres} (ASPRS, Edition 2)."};
  Sentence<0> not_covered{"Not covered"};
  Sentence<0> not_covered_list{
      "A wrong frame or antenna height beyond what the marks show; a wrong mark under the tip; a bubble out of its "
      "middle; a fix wrong for a whole stay; the error of the marks' own coordinates."};
  Sentence<3> strip_of_points{
      "In the order of the day: {count} accepted points, {count} held and {count} rejected or empty"};

  // The map.
  Sentence<1> known_marks{"known mark, {count}"};
  Sentence<1> ellipse_drawn{"95 % ellipse, drawn {count} times too large"};
  Sentence<0> ellipse_true{"95 % ellipse, as large as the map shows it"};
  Sentence<2> numbers_alone{"Names are shortened: {name} is {name}."};
  Sentence<1> metres_from{"East and north are from {name}."};
  Sentence<1> on_the_grid{"East and north are those of {frame}."};
  Sentence<1> marks_outside{"Known marks outside the map: {list}."};
  Sentence<1> names_left_out{"{names} found no room; the table has all of them."};
  Sentence<0> nothing_to_map{"No point has a place that could be drawn."};
  Sentence<1> see_sheets{
      "Frames: sheets 1 to {count} in appendix F, with all names and the error ellipses, whose factor stands on each."};
  Sentence<2> map_says{"Map of the day: {points} and {marks}"};
  Sentence<2> sheet_of{"Sheet {count} of {count}."};

  // Points.
  Sentence<0> points{"Points"};
  Sentence<1> stays_of_day{"{stays}, one row each."};
  Sentence<0> means_accepted{"accepted: every rule was met, or a hand accepted it."};
  Sentence<0> means_held{"held: coordinates are there, a rule was not met."};
  Sentence<0> means_rejected{"rejected: not to be used."};
  Sentence<0> accepted_hand{"by hand"};
  Sentence<2> grid_of{"Grid of {frame}, {unit}"};
  Sentence<2> from_origin{"From {name}, {unit}"};
  Sentence<1> error_in{"Error 95 %, {unit}"};
  Sentence<0> kept_at{"Kept at"};
  Sentence<0> remark{"Remark"};
  Sentence<0> largest_of_accepted{"Largest of the accepted points"};
  Sentence<0> half_of_accepted{"Half of the accepted points are within"};
  Sentence<0> height_is_ellipsoid{"Heights are above the ellipsoid."};
  Sentence<1> height_is_above{"Heights are above the geoid {geoid}."};
  Sentence<0> error_is{
      "Error 95 %: the radius horizontally, or half the length vertically, that holds the truth in 95 of 100 cases."};
  Sentence<1> plane_at{"East and north: on the plane that touches the ellipsoid at {name}."};
  Sentence<1> seconds_asked{"Seconds: those that counted; {count} were asked for."};
  Sentence<0> more_digits{"Latitude and longitude stand in appendix B, all digits in points.csv."};
  Sentence<1> only_seconds{"only {seconds} s"};
  Sentence<0> two_places{"two places"};
  Sentence<0> check_had_failed{"check failed"};
  Sentence<0> check_was_due{"check was due"};
  Sentence<0> visits_differ{"visits differ"};
  Sentence<0> no_coordinates{"no coordinates"};
  Sentence<0> geoid_in_doubt{"geoid in doubt"};
  Sentence<0> pole_was_wrong{"wrong pole"};
  Sentence<0> stay_is_held{"its stay is held"};
  Sentence<0> term_offset{"Offset points"};
  Sentence<0> errors_of_hand{"What was measured by hand, with its error (1 sigma):"};
  Sentence<3> far_from{"{length} (error {length}) from {title}"};
  Sentence<2> stay_of{"{name} visit {visit}"};
  Sentence<2> at_bearing{" at {degrees} degrees (error {degrees}) from true north"};
  Sentence<1> read_magnetic{", read from magnetic north, {degrees} degrees of declination"};
  Sentence<1> on_side{", on the {word} of the way from the first to the second"};
  Sentence<2> measured_up{", {length} (error {length}) higher"};
  Sentence<0> no_height_measured{"; its height was not measured"};
  Sentence<0> base_had_changed{"base changed"};
  Sentence<0> frame_in_doubt{"frame in doubt"};
  Sentence<0> nothing_counts{"nothing counts"};
  Sentence<0> above_wanted{"above wanted"};
  Sentence<0> no_check_after{"no check after"};

  // Checks.
  Sentence<0> checks_known_marks{"Checks on known marks"};
  Sentence<1> all_within{"{shots}, all within limits. Nothing was shifted to fit."};
  Sentence<2> some_failed{"{shots}, {count} of them failed (section 4). Nothing was shifted to fit."};
  Sentence<0> why_then{"Why then"};
  Sentence<1> plan_in{"Horizontal, {unit}"};
  Sentence<1> height_in{"Vertical, {unit}"};
  Sentence<1> second_minus_first{"Second minus first, {unit}"};
  Sentence<1> allowed{"Allowed, {unit}"};
  Sentence<2> both{"{visit} and {visit}"};
  Sentence<2> visit_left_out{"visit {visit}: {why}"};
  Sentence<1> limit_of{"limit {metres}"};
  Sentence<1> limit_in{"limit, {unit}"};
  Sentence<0> plan_drawing{"Horizontal: measured minus known, north up. A square at the edge: farther than drawn."};
  Sentence<0> height_drawing{"Vertical: measured minus known."};
  Sentence<1> plan_drawing_says{"Horizontal differences on the marks, at most {metres}"};
  Sentence<1> height_drawing_says{"Vertical differences on the marks, at most {metres}"};

  // Corrections through the day.
  Sentence<0> corrections_of_day{"Corrections through the day"};
  Sentence<0> no_correction_alert{"Corrections and receiver were there all day."};
  Sentence<2> outage_told{"{duration} at {time}"};
  Sentence<2> outages_lasted{"{outages}, {duration} together."};
  Sentence<0> zone_too_old{"too old: does not count"};
  Sentence<0> zone_late{"late: counts for a while"};
  Sentence<2> outage_on_strip{"{time}, {duration} without"};
  Sentence<1> failed_on{"{name}, failed"};
  Sentence<1> strip_says{
      "Age of the corrections through the day, with {outages}, and when points and checks were made"};
  Sentence<0> strip_caption{
      "Age of the corrections in seconds, and when points and checks were made. Only stays are kept, so between them "
      "nothing is drawn."};
  Sentence<0> strip_without_limits{
      "Age of the corrections in seconds, and when points and checks were made. Only stays are kept, so between them "
      "nothing is drawn; the limits are those of the configuration, which was not at hand."};

  // Decisions.
  Sentence<0> decisions{"Decisions"};
  Sentence<0> decisions_wanted{"Decisions wanted"};
  Sentence<0> one_decision_wanted{"1 decision wanted"};
  Sentence<1> decisions_wanted_count{"{count} decisions wanted"};
  Sentence<0> nothing_left{"Nothing is left to decide."};
  Sentence<1> decisions_lead{
      "{decisions}. Each is stored as a new version beside the old one, with name, time and reason."};
  Sentence<0> drawings_note{
      "Drawings: north up. Grey disc: the error that was wanted. Thick ring: the error of the average, 95 %. Broken "
      "ring: "
      "single seconds, 95 %. Dots: seconds that counted; crosses: refused; squares: set apart. In the program:"};
  Sentence<1> in_the_program{"stillpoint resolve {name} --accept --reason \"why\""};
  Sentence<0> measure_again{"measure again"};
  Sentence<0> put_right{"put right"};
  Sentence<0> let_stand{"let it stand"};
  Sentence<0> by_date{"by, date"};
  Sentence<2> of_point{"{point}: {text}"};
  Sentence<0> ask_long_enough{"Was the stay long enough?"};
  Sentence<0> ask_which_place{"Which of the places is the mark?"};
  Sentence<0> ask_belong_together{"Do the seconds before and after the break belong together?"};
  Sentence<0> ask_without_check{"May it stay without the check that was due?"};
  Sentence<0> ask_despite_check{"May it stay although a check failed?"};
  Sentence<0> ask_which_visit{"Which visit is right?"};
  Sentence<0> ask_other_coordinates{"Can it be used without the coordinates that the project wants?"};
  Sentence<0> ask_what_moved{"Did the pole move, or the position?"};
  Sentence<0> ask_which_geoid{"Which geoid is right?"};
  Sentence<0> ask_about_stay{"Does the stay count from which it was measured?"};
  Sentence<0> nobody_stood{"Nobody stood there: it was measured by hand from a stay."};
  Sentence<1> error_without_height{"Error {length} (95 %); its height was not measured."};
  Sentence<0> ask_which_base{"Which base is right?"};
  Sentence<0> ask_which_frame{"In which frame does the base stand?"};
  Sentence<0> ask_redo{"Has it been computed again with the right pole?"};
  Sentence<0> ask_good_enough{"Is the error small enough all the same?"};
  Sentence<0> ask_may_stay{"May it stay?"};
  Sentence<0> ask_measure_again{"Nothing counts: will it be measured again?"};
  Sentence<2> seconds_of_stay{"{seconds} seconds counted, {seconds} did not."};
  Sentence<3> seconds_and_apart{"{seconds} seconds counted, {seconds} did not, {seconds} of them set apart."};
  Sentence<1> seconds_not_counted{"{seconds} seconds did not count."};
  Sentence<2> errors_are{"The error is {metres} horizontally and {metres} vertically."};
  Sentence<5> errors_and_wanted{
      "The error is {metres} {unit} horizontally and {metres} vertically; wanted were {metres} and {metres}."};
  Sentence<1> also_doubtful{"It lies {doubt} UTC."};
  Sentence<1> scatter_is{"The seconds scatter by {metres}, one sigma."};
  Sentence<4> check_after{"The check on {name}, {count} min later, was {metres} off, {word} its limit."};
  Sentence<4> check_before{"The check on {name}, {count} min before, was {metres} off, {word} its limit."};
  Sentence<0> no_check_near{"No check speaks for it."};
  Sentence<2> ask_failed_check{"Why did the check on {name} at {time} fail?"};
  Sentence<4> check_was_off{"{name} was checked at {time}: {metres} off horizontally, the limit was {metres}."};
  Sentence<2> doubtful_are{"It makes {points} doubtful: {list}."};
  Sentence<0> ask_unchecked{"May the last points stay without a check after them?"};
  Sentence<2> unchecked_are{"{points} were measured after the last check: {list}."};
  Sentence<7> missed_by{
      "{points} above the wanted error: {list}. The largest errors are {metres} {unit} horizontally and {metres} "
      "vertically; wanted were {metres} and {metres}."};
  Sentence<0> only_the_wish{"Nothing speaks against the positions themselves; only the wish is not met."};
  Sentence<1> ask_visits{"{name}: Which of its visits is wrong?"};
  Sentence<3> ask_two_visits{"{name}: Which of visits {visit} and {visit} is wrong?"};
  Sentence<2> visits_lie_apart{
      "They lie {metres} horizontally and {metres} vertically apart, more than their 95 % errors allow."};
  Sentence<0> never_average{"Do not average what contradicts itself: measure once more."};
  Sentence<0> ask_merging{"Which of two pointbooks holds?"};
  Sentence<0> ask_damage{"Is there an untouched copy of the pointbook?"};
  Sentence<1> rows_are_damaged{"{rows} of the pointbook no longer match their fingerprints."};
  Sentence<0> against_damage{"The points can be computed again from the recorded bytes."};
  Sentence<0> ask_spool{"Where are the points that still wait?"};
  Sentence<0> points_wait{"Points lie in the spool beside the pointbook and are missing here."};
  Sentence<0> against_waiting{"Start the daemon once, then make this report again."};
  Sentence<0> ask_sums{"Why do the sums differ?"};
  Sentence<0> ask_closing{"Will the day be closed?"};
  Sentence<0> day_was_not_closed{"The day was not closed."};
  Sentence<0> why_closing{"Closing wants a last check on a known mark and a decision on every held point."};
  Sentence<0> ask_unchecked_day{"May the points be used without a check?"};
  Sentence<0> why_checks{
      "A wrong frame, antenna height or mark shows in a check on a known mark, and in nothing else."};
  Sentence<1> books_contradict{"Merged pointbooks contradict each other in {places}."};
  Sentence<0> it_was_training{"This was training: there are no real points."};

  // Drawings of stays.
  Sentence<1> average_of{"average {metres}"};
  Sentence<1> wanted_of{"wanted {metres}"};
  Sentence<1> seconds_apart{"{seconds} s apart"};
  Sentence<1> away{"{metres} away"};
  Sentence<4> scatter_says{
      "{name}: single seconds about their average; {count} counted, {count} refused, {count} set apart"};

  // The appendix.
  Sentence<0> appendix{"Appendix"};
  Sentence<0> how_made{"How the points were made"};
  Sentence<0> coordinates_delivered{"Coordinates as delivered"};
  Sentence<0> files_their_sha{"Files and checksums"};
  Sentence<0> events{"Events"};
  Sentence<0> limits_of_use{"Limits of use"};
  Sentence<0> map_sheets{"Map sheets"};
  Sentence<0> term_frame{"Reference frame"};
  Sentence<0> term_counts{"When a second counts"};
  Sentence<0> term_enough{"When a point is enough"};
  Sentence<0> term_scale{"What the errors rest on"};
  Sentence<0> term_antenna{"Antenna and pole"};
  Sentence<0> term_standard{"Standards of accuracy"};
  Sentence<1> one_epoch{"Coordinate epoch {year} for every point."};
  Sentence<2> several_epochs{
      "Coordinate epochs {year} to {year}: bring the points to one epoch before comparing them at the centimetre."};
  Sentence<0> without_source{"no source"};
  Sentence<2> of_station{"{source}, station {list}"};
  Sentence<2> source_gave{"{source}: {points}."};
  Sentence<2> frame_known_from{"The frame of {source} is known from: {text}."};
  Sentence<4> second_counts{
      "{source}: quality {qualities}; corrections at most {seconds} s old, fresh up to {seconds} s"};
  Sentence<1> least_satellites{"at least {count} satellites"};
  Sentence<1> most_hdop{"HDOP at most {value}"};
  Sentence<1> most_pdop{"PDOP at most {value}"};
  Sentence<1> most_speed{"speed below {value} m/s"};
  Sentence<2> enough_after{"{count} seconds that count, over {seconds} s or more."};
  Sentence<2> wanted_errors{"Wanted at 95 %: {metres} horizontally and {metres} vertically."};
  Sentence<2> scale_claimed{
      "{points} with the receiver's own figures times {scale}: a claim, for too few visits to marks have tested it."};
  Sentence<2> scale_verified{"{points} with the receiver's own figures times {scale}, tested by visits to marks."};
  Sentence<3> scale_evidence{"The scale of {source} rests on {count} visits until {date}."};
  Sentence<3> antenna_from{"From {time}: {metres} above the mark ({text})."};
  Sentence<0> parts_not_recorded{"parts not recorded"};
  Sentence<1> second_reading{"Second reading {value} ft."};
  Sentence<1> because{"Reason: {text}."};
  Sentence<2> counted_and_not{"{count} counted, {count} did not"};
  Sentence<2> sums_differ_by{
      "THE SUMS DO NOT AGREE: beside the points {count} are stored that counted, {count} that did not."};
  Sentence<1> without_seconds{"{stays} came without seconds."};
  Sentence<0> all_points{"all points"};
  Sentence<2> flag_on{"{key}: {list}."};
  Sentence<2> rules_and_estimator{
      "Judged by edition {number} of the rules, averaged by edition {number} of the estimator."};
  Sentence<2> made_by{"stillpoint-report {version}, {time}."};
  Sentence<0> no_statement{"No mark was checked, so no standard has anything to say."};
  Sentence<0> last_shots{"Over the last check on each mark; the marks' own survey error is not in these figures."};
  Sentence<1> ellipsoid_height_in{"Ellipsoid height, {unit}"};
  Sentence<0> coordinates_explained{
      "8 decimals of a degree are 1 mm. Worth: how many independent seconds the stay comes to; moved: less than one. "
      "Scatter: one sigma of the single seconds, horizontal; no accuracy, for slow errors do not show in it."};
  Sentence<0> the_pointbook{"pointbook"};
  Sentence<0> for_map_programs{"the points for map programs"};
  Sentence<1> hashes_are{"SHA-256. The pointbook was read at {path}."};
  Sentence<2> what_and_why{"{text}: {why}"};
  Sentence<1> no_zone{"this machine knows no time zone \"{name}\"; name another, or install the list of time zones"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::report
