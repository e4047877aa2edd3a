# Visits, tools, readings and notes.
visit_begun = Visit begun.
visit_begun_for = Visit begun: { $purpose }
visit_ended = Visit ended. Its entries stay; from now on they can only be crossed out.
no_visit = No visit is open; the first entry begins one.
visit_open = A visit is open since { $begun }: { $purpose }
no_purpose = no purpose noted
tool_for = { $what ->
    [relief] relief
    [action] action
    [nut] nut
    [pitch] pitch, intonation
    [spacing] spacing, bridge
   *[pickup] pickups
  }
no_tool = No tool in hand: give the unit with each reading, or name a tool: fallaway tool rule 1/64
order = You read the { $first ->
    [lowest] lowest
   *[highest] highest
  } string first.
usual = As usual: { $ways }.
nothing_usual = How you usually read is not set; a new instrument has A4 at 440 Hz.
usual_a4 = A4 of new instruments { $frequency }
did = { $what }. Tune before you measure again.
did_pickup = { $what }. Measure its gap again.
done = { $what }
done_then = { $what }. Tune, then measure: { $then }.
cannot = Noted: { $what } could not be done. What comes next: { $next }
done_by_reading = { $step }: enter what you read, with “fallaway done” and the numbers, or “fallaway read”
no_readings_now = the next step asks for no reading: { $step }
nothing_before = there is no setup and no earlier visit to compare with
another_visit = the visit ended at { $ended }: this begins another one, in which everything is measured anew; to go on with it, take its end back first (undo)
left = As left: { $what }
left_but = As left: { $what }. The rest no longer holds; measure again: { $again }
left_none = nothing holds any longer; measure again: { $again }
no_step_of = the plan asks for nothing on string { $string } now
tuned = Tuned to pitch.
tuned_other = Tuned to other notes: measure everything again.
strings = { $what }. Tune, let it settle, and measure again.
buzz = Buzz noted: { $string }, { $frets }
remark = Remark noted.
reading = { $what }: { $reading }
reading_at = { $what }, { $place }: { $reading }

remark_empty = a remark needs words
no_string = string { $place }: this instrument has strings 1 to { $count }, 1 being the highest
no_fret = fret { $fret }: this instrument has frets 1 to { $last }
no_last_fret = the last fret is not known: give --over FRET, or enter it: fallaway set frets 24
no_next_string = string { $place } is the lowest: there is no next one to read its spacing to
visit_is_open = a visit is open since { $begun }: this begins another one, in which everything is measured anew
not_arrived = nothing of this instrument has arrived here yet: import a file from whoever invited you (fallaway bundle in FILE)
fret_how = how is the fret? Accepted: high (it rocks), level, worn, lifting; and by how much, if you measured it: fallaway fret 7 high 0.08 mm
fret_scale = the scale length is not known: fallaway set scale 34 in
frets_level = No crown stands off its neighbours by more than 0.03 mm.
frets_unknown = Nothing is noted of single frets. For example: fallaway fret 7 high 0.08 mm
which_gap = which gap? Give --stopped FRET (0 is open) and --over FRET
which_edge = which frets? Give --between FRET FRET under the straight edge, and --at-fret FRET beyond them
frets_fall_away = By these heights fret { $at } lies { $by } under the line of frets { $from } and { $to }: keep it with fallaway read fall-away
frets_rise = By these heights fret { $at } stands { $by } over the line of frets { $from } and { $to }: keep it with fallaway read fall-away, below zero
no_gap = fretted at { $stopped }, the string has no gap over { $over }
not_beyond = fret { $last } does not lie beyond fret { $first }
forecast_humidity = a forecast needs the humidity: fallaway forecast 20C 25%
pack_count = “{ $name }” has { $has } strings, the instrument { $wanted }
