### The plan. Numbers, quantities, strings, tools and turns arrive as finished text.

## Steps of the work, as they stand inside a sentence
step_targets = targets
step_tune = tuning
step_relief = relief
step_fall_away = fall-away of the board
step_bridge_height = bridge height
step_bridge_tilt = tilt of the bridge
step_nut = nut
step_spacing = string spacing
step_action = action
step_radius = radius of the strings
step_pickup = pickup height
step_intonation = intonation
step_as_left = final numbers
# $step: a step's name; $of: string and way of reading

## What is to be measured again, in a list
again_pitch = pitch
again_relief = relief
again_fall_away = fall-away of the board
again_nut = nut
again_action = action
again_pickup = pickup gap
again_intonation = intonation
again_spacing_bridge = spacing at the bridge
again_spacing_nut = spacing at the nut
again_bridge_height = bridge height at the posts
again_bridge_tail = height of the bridge's rear edge

## What was done
done_strings = strings changed
done_tuning = tuning changed
done_rod = truss rod turned
done_season = climate changed
done_nut = nut worked on
done_saddle_sideways = saddle moved sideways
done_saddle_height = saddle height changed
done_saddle_position = saddle moved back or forward
done_springs = springs changed
done_frets = fretwork done
done_neck = neck removed or shimmed
done_bridge = work on bridge or saddle
done_pickup = pickup moved
done_unknown = something done that this version does not know
# $done: as above; $strings: names of strings
done_on = { $done }, { $strings }

## A step in a few words
on_target = on target
within_reading_error = on target within reading error
above_no_closer = above target, but the rod cannot get it closer
below_no_closer = below target, but the rod cannot get it closer
measure = measure
measure_again = measure again
measure_with_another = measure with a second tool
measure_finer = measure with a finer tool
measure_straight_edge = measure with a straight edge
disagree = readings disagree
read_again = read it again
look_at_screw = look at the screw first
two_targets = two different targets
after = after { $step }
not_applicable = does not apply
could_not = could not be done
stop = stop
tune = tune to pitch
# $notes: "G2 D2 A1 E1"
tune_to = tune to { $notes }
tune_note = { $place ->
   *[any] { $note }
}
play_every_note = play every note
set_targets = set targets for relief and action

## Which way a part goes, and by how much
tune_up = tune up
tune_down = tune down
more_relief = increase relief
less_relief = reduce relief
raise = raise the saddle
lower = lower the saddle
bridge_up = raise the bridge at this post
bridge_down = lower the bridge at this post
tail_up = let the rear edge of the bridge come up (less spring pull)
tail_down = bring the rear edge of the bridge down (more spring pull)
pickup_up = raise the pickup
pickup_down = lower the pickup
back = move the saddle back, away from the neck
forward = move the saddle forward, toward the neck
apart = move the strings further apart
together = move the strings closer together
cut_slot = deepen the nut slot
fill_slot = raise the nut slot
take_off = lower the saddle from below
shim = shim the saddle
tune_up_by = tune up by { $by }
tune_down_by = tune down by { $by }
more_relief_by = increase relief by { $by }
less_relief_by = reduce relief by { $by }
raise_by = raise the saddle by { $by }
lower_by = lower the saddle by { $by }
bridge_up_by = raise the bridge at this post by { $by }
bridge_down_by = lower the bridge at this post by { $by }
tail_up_by = let the rear edge of the bridge come up by { $by } (less spring pull)
tail_down_by = bring the rear edge of the bridge down by { $by } (more spring pull)
pickup_up_by = raise the pickup by { $by }
pickup_down_by = lower the pickup by { $by }
back_by = move the saddle back by { $by }, away from the neck
forward_by = move the saddle forward by { $by }, toward the neck
apart_by = move the strings { $by } further apart
together_by = move the strings { $by } closer together
cut_slot_by = deepen the nut slot by { $by }
fill_slot_by = raise the nut slot by { $by }, by filling it or with a shim under the nut
take_off_by = take { $by } off the underside of the saddle
shim_by = shim the saddle by { $by }

## Turning a screw
# $way: as above; $turns: one or more of the two below
turn_screws = { $way }: { $turns }.
# $turn: "1/8 turn clockwise"
turn = { $screw } { $turn }
turn_both = { $screw } { $turn }, both of its screws by the same amount
turn_all = { $screw } { $turn }, all of its screws by the same amount
both_screws = both screws of a saddle by the same amount
both_claw_screws = both screws of the claw by the same amount
all_screws = all screws of a saddle by the same amount
trial = Test: turn { $screw } { $turn }; which way it works is not known yet.
trial_rod = Test: turn the truss rod { $turn }. Most nuts tighten clockwise, and tightening takes relief away (common practice, no source); which way this one works is not known yet, so loosen first.
size_thread = Worked out from the thread: { $pitch } a turn.
size_learned = Worked out from { $count ->
    [one] one earlier turn
   *[other] { $count } earlier turns
  } on this instrument.
size_usual = A usual amount, until this instrument has shown its own: { $usual } of relief a quarter turn, within a factor of 2 (common practice).
size_usual_claw = A usual amount, until this instrument has shown its own: about { $usual } at the rear edge for each turn of both screws, within a factor of 2; such screws tighten clockwise (common practice).
size_unknown = Neither the thread nor the response is known.
rod_shown = Seen { $count ->
    [one] once
    [2] twice
   *[other] { $count } times
  } on this rod: { $way } reduces relief, by about { $quarter } a quarter turn.
will_read = It should then read { $expected }.
will_read_left = It should then read { $expected }, still { $left } away from the target.
then_measure = Then tune, and measure again: { $what }.
then_read = Then tune, and measure { $what } again: that shows which way it works.
explains = By the model of the neck, this relief explains the action of { $strings }: turn the rod, leave the saddles alone.

## What it rests on
read = Read { $reading }.
read_of = { $of }: read { $reading }.
# $reading: "5/64 in (tech, rule 1/64 in, playing position, 2026-03-01 10:20)"
target = Target { $target } ± { $tolerance }.
target_by = Target { $target } ± { $tolerance } ({ $by }).
converted = Converted to the way the target is written, by the model of the neck: { $value }.
elsewhere = Read at another place than the target is written for.
above = That reading is { $by } above the target; a reading like this is good to about { $spread }.
below = That reading is { $by } below the target; a reading like this is good to about { $spread }.
likely_above = Going by all readings and turns, it is most likely { $by } above the target, good to about { $spread }.
likely_below = Going by all readings and turns, it is most likely { $by } below the target, good to about { $spread }.
above_at_least = That reading is at least { $by } above the target; a reading like this is good to about { $spread }.
below_at_least = That reading is at least { $by } below the target; a reading like this is good to about { $spread }.
repeats = { $reader } repeats such a reading to within { $spread } (one standard deviation, from { $count ->
    [one] one repeated reading
   *[other] { $count } repeated readings
  }).

## What to do about it
todo_tune_since = Tune to pitch ({ $done } since the last tuning).
todo_not_tuned = Tune to pitch: no tuning has been noted today.
todo_as_left = Play every note and note where it buzzes. Then enter the final numbers: the next visit will be compared with them.
todo_targets = Set targets first: enter the relief and action that are wanted, or take the numbers of a visit that played well. Without targets there is nothing to compare a reading with.
todo_measure = Tune, then measure it: it has not been measured today.
todo_measure_again = Tune, then measure again ({ $done } since the last reading).
todo_with_another = What comes next cannot be undone: tune, and measure once more with a second tool as fine as the tolerance; without one, twice more with the same tool.
todo_finer = This tool is coarser than the tolerance: tune, and measure with a finer one, such as feeler leaves or a dial gauge.
todo_no_closer = By the readings before and after, less than an eighth of a turn took the relief past its target: the rod cannot get it closer. Leave it so, turn it back if it was nearer before, or allow a wider tolerance.
todo_straight_edge = By this reading the string lies on the frets, so it shows neither how far the neck is bowed nor what a turn of the rod does. Before turning the rod: tune, lay a straight edge along the frets, and measure how far it stands off them (a back-bow is entered below zero: −0.10 mm). Without a straight edge, measure once more.
todo_third = These readings differ by more than their uncertainty, and nothing was adjusted in between. Take a third.
todo_read_again = After the last reading and the turns since, it should have read { $expected } (a forecast). This reading does not fit that: tune, and measure again before turning anything.
look_unseen = The readings have not shown what the last turns of { $screw } did. Check which way it moves the strings, and enter that before turning it again.
look_against_written = By the readings, { $screw } works the opposite way to what was entered. Check which way it goes, and correct the entry: the direction, or the turns.
look_beyond_travel = By this reading { $screw } would have to move farther than such screws usually go (common practice, no source). Check the reading and the target, and see how much thread is left.
todo_choose_target = Two people set different targets; nothing is advised until one of them is chosen.
todo_could_not = It could not be done: { $reason } ({ $tried }). The plan goes on without it; cross that entry out to be asked again.
todo_after = First { $step }.
forecast = With relief on target and the saddles untouched it should read { $expected } ({ $low } to { $high }): a forecast by the model of the neck.
forecast_side = With relief on target and the saddles untouched it should read { $expected }: a forecast by the model of the neck.

## Why a step does not apply
no_target = No target to compare with.
zero_fret = The strings rest on a zero fret; the nut only guides them.
locking_nut = A locking nut is set with shims under it, the strings slack; if in doubt, leave that to a qualified repairer.
nothing_asked = No target and no reading.
no_radius = The board is flat, or its radius or the string spread is not known.
no_such_place = This instrument has no such string, fret or gap (the last string has no next one).
bridge_stands = By the facts of this instrument, its bridge does not float on springs, or does not stand on posts.

## Why to stop
stop_wrong_way = By the readings before and after, the rod moved the neck the wrong way. Stop, and see a qualified repairer.
stop_no_response = By the readings before and after, the neck does not respond to the rod. Stop, and see a qualified repairer.
stop_twisted = By the readings, one side needs more relief and the other less: a twisted neck, which a rod cannot cure. See a qualified repairer.
stop_no_rod = By the reading, relief is off target and there is no truss rod to set it: see a qualified repairer.
stop_board_rises = By the reading, the board rises toward its end: the high notes choke before the action is low. No screw lowers it. See a qualified repairer; the rest of the set-up goes on, with the action over the last frets as high as it has to be.
stop_board_end = By the reading, the board's fall-away is not what is wanted, and no screw moves its end: that is for a qualified repairer. The rest of the set-up goes on.
stop_stress = By its length and pitch this plain string would be stressed beyond { $share }% of the least strength of music wire of its gauge (ASTM A228), or { $limit } GPa where its gauge is not known.

## Remarks
not_tuned_noted = It is not noted whether the instrument was in tune for this reading.
other_posture = Read in another posture, so not compared: { $reading }.
outvoted = Left out, because other readings or a forecast from them contradict it: { $reading }.
on_the_frets = By this reading the string lies on the frets: how far it has to rise to clear them cannot be measured.
shim_lifts = A shim lifts the whole saddle: all its strings by the same amount.
# $strings: each with what it will then read
shim_lifts_to = A shim lifts the whole saddle: all its strings by the same amount. By these readings the others should then read { $strings }. If only one string is too low, it takes a new saddle: ask a qualified repairer.
to_and_fro = This string was moved up and down { $turns } times, and readings with this tool cannot show it any closer. Leave it, or measure with a finer tool.
against_written = By the readings, one turn did the opposite of what was entered: perhaps one reading was wrong, or it was turned the other way.
rod_unseen = The readings have not yet shown what the last { $turns } of the rod did: no more than an eighth now, and stop if half a turn shows nothing.
explains_part = { $of }: relief explains { $explained } of { $total } (model of the neck), { $left } remains.
read_as = Converted from a reading of { $way }.
sideways_lifts = Moving the saddle sideways that far changes its height over the board by about { $by } (curve of the board).
last_time = Last time: { $reading }.
could_not_before = It could not be done last time: { $reason } ({ $tried }).
radius_between = between { $least } and { $most }
radius_at_least = of at least { $least } (or flat)
row = By an arc through today's readings the undersides of the strings lie on a radius { $radius }, the board on { $board }: the middle strings stand { $by } higher over the board than the outer ones, ± { $spread }.
row_lower = By an arc through today's readings the undersides of the strings lie on a radius { $radius }, the board on { $board }: the middle strings stand { $by } lower over the board than the outer ones, ± { $spread }.
row_flat = By an arc through today's readings the undersides of the strings lie flat or hollow, the board on { $board }: the middle strings stand { $by } lower over the board than the outer ones, ± { $spread }.

## The plan as a whole
conflict = { $fact } has two conflicting values; it is ignored until you choose one.
next = Next: { $step }
after_that = After that
nothing_left = Nothing left to do: every number is on target.
nothing_left_no_closer = Nothing left to do: the relief is off its target, but the rod cannot get it closer.
nothing_left_but = Nothing left to do here but what could not be done.
fine = On target: { $list }
fine_within = { $what } (within reading error)
fine_to_and_fro = { $what } (moved up and down: this tool cannot show it any closer)
untargeted = No target set for { $list }.
column_read = read
column_target = target
column_turn = turn
column_then = should then read

## Change since the setup
since_head = Change since setup
off_head = Off target
since_total = total
since_explained = explained by relief
since_unexplained = unexplained
since_within_error = within reading error
since_relief = Since the setup: { $way }: { $by } (read).
since_part = { $of } has changed by { $by } (read); the change in relief explains { $explained } of it (model of the neck), { $left } is unexplained.
since_part_within = { $of } has changed by { $by } (read); the change in relief explains { $explained } of it (model of the neck), the rest is within reading error.
off_relief = { $way }: off target by { $by } (read).
off_part = { $of }: off target by { $by } (read); relief off target explains { $explained } of it (model of the neck), { $left } is unexplained.
off_part_within = { $of }: off target by { $by } (read); relief off target explains { $explained } of it (model of the neck), the rest is within reading error.
since_rod_explains = On the mean of these strings relief explains { $explained } of { $total } (model of the neck); { $left } remains, within reading error. Turn the truss rod; leave the saddles alone.
since_common = The unexplained part is the same on all strings: look at the neck joint, the bridge or its posts.
since_one_string = The unexplained part is on { $string } alone: look at its saddle screw (they can shake down), its nut slot and frets.
since_rod_explains_part = On the mean of these strings relief explains { $explained } of { $total } (model of the neck); { $left } remains, within reading error: relief first, then measure the action again.
since_one_string_once = The unexplained part is on { $string } alone, by one reading: measure it once more. If it stays, look at its saddle screw (they can shake down), its nut slot and frets.
since_apart = The other strings are off by the same amount, { $string } is not: look at its saddle screw (they can shake down), its nut slot and frets.
since_apart_once = The other strings are off by the same amount, { $string } is not, by one reading: measure it once more. If it stays, look at its saddle screw (they can shake down), its nut slot and frets.
since_unclear = These readings cannot tell where the rest comes from.

## Short forms for a line of a list
since_done = { $what }: { $done } since
after_with_forecast = after { $step }; if nothing else moves it should then read about { $expected }
disagree_short = readings disagree: { $readings }; take a third
choose_target_short = two different targets: { $targets }; choose one first
stop_short = stop: { $why }
could_not_short = could not be done: { $reason }
of_strings = { $strings }: { $what }
reading_by = { $reading } ({ $by })
about = about { $number }
at_most = at most { $number }
at_least = at least { $number }
clockwise = clockwise
anticlockwise = anticlockwise

## Screws
screw_rod = truss rod
screw_saddle = saddle { $string }
screw_shared_saddle = saddle of { $strings }
screw_post_bass = bass post
screw_post_treble = treble post
screw_spring_claw = spring claw
screw_intonation = intonation screw { $string }
screw_pickup_bass = pickup { $pickup } bass side
screw_pickup_treble = pickup { $pickup } treble side
screw_pickup = pickup { $pickup }

of_place = { $place }: { $quantity }
sentence = { $text }.
total = Total change needed, by this reading: { $way }.
by_this_reading = By this reading: { $way }.
give_or_take = { $value } ± { $spread }
next_line = { $step }: { $what }
turn_each = { $ways }:
turn_each_alike = { $ways } ({ $alike }):
kind_of_strings = { $kind } { $strings }
