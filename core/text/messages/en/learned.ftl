### What the record has taught.
## Intervals: "0.21 mm (0.15 mm to 0.27 mm)"
interval = { $value } ({ $low } to { $high })
nothing = Nothing learned yet.
lead = Known: { $known }. Not yet: { $open }.
lead_all = Known: { $known }.
lead_nothing = Nothing is known yet; what is assumed meanwhile:
lead_rod = the truss rod
lead_season = the seasons
lead_tension = string tension
lead_readers = { $count ->
    [0] how well a reading repeats
    [one] one reader
   *[other] { $count } readers
  }
lead_touch = the touch of a player
rod_nothing = Truss rod: nothing learned yet. { $prior } of relief a quarter turn is usual (common practice, from memory).
rod = Truss rod: { $estimate } of relief a quarter turn (two chances in three), learned from { $count ->
    [one] one pair of readings
   *[other] { $count } pairs of readings
  } before and after a turn. Assumed before: { $prior } (common practice, from memory).
rod_way = { $way } reduces relief.
rod_way_unknown = It is not known yet which direction reduces relief.
screw = { $screw }: { $way }, learned from { $count ->
    [one] one turn
   *[other] { $count } turns
  } with a reading before and after.
screw_of_pickup = { $screw } of pickup { $number }
screw_contradicts = { $screw }: which way they work is not clear, { $count ->
    [one] one turn
   *[other] { $count } turns
  } with a reading before and after contradict each other.
season_nothing = Seasons: nothing learned yet. { $lacks ->
    [humidity] The climates that were noted have no humidity.
    [hours] The climates that were noted do not say how many hours the instrument had been there.
    [longer] In none of the climates that were noted had the instrument been for a day.
   *[climate] Relief has never been measured near a noted climate.
  }
season_one_air = Seasons: relief has been measured in one climate only (wood at { $moisture } moisture). Measure it in another, and what the seasons do begins to show.
season = Seasons: { $way }, changes by { $estimate } for each percentage point of moisture in the wood, learned from { $count ->
    [one] one reading
   *[other] { $count } readings
  } at { $dry } to { $damp } moisture. Assumed before: { $prior }; how far the wood lags behind the noted climate is allowed for by a rule of thumb.
untold = The data cannot yet distinguish this from zero.
pull = String tension: relief changes by { $estimate } for each { $step } more, learned from { $count ->
    [one] one change of strings or tuning
   *[other] { $count } changes of strings or tuning
  } with relief measured before and after. Assumed before: { $prior } (common practice, no source).
repeats = { $reader }: repeats a reading to within { $estimate } (one standard deviation), learned from { $count ->
    [one] one repeated reading
   *[other] { $count } repeated readings
  }. Assumed before: { $prior }, the stated uncertainty of the tool.
bias = { $reader }: reads { $estimate } compared with the other readers and tools, learned from { $count ->
    [one] one comparison
   *[other] { $count } comparisons
  }. Assumed before: { $prior }.
reader = { $by } with { $tool }
reader_unnamed = reader not named
touch_nothing = How hard { $who } plays: nothing learned yet. { $prior } at right angles to the board is assumed (common practice, no source).
touch = How hard { $who } plays: { $estimate } at right angles to the board, by the clearance model, learned from { $of }. Assumed before: { $prior } (common practice, no source).
touch_clean = { $count ->
    [one] one string that plays clean
   *[other] { $count } strings that play clean
  }
touch_buzz = { $count ->
    [one] one buzz
   *[other] { $count } buzzes
  }
touch_of_both = { $clean } and { $buzz }
sides_neither = Nothing observed limits it.
sides_at_most = Only an upper limit is known, from clean notes; the low end rests on the assumption.
sides_at_least = Only a lower limit is known, from buzzes; the high end rests on the assumption.
sides_both = Buzzes limit it from below, clean notes from above.
sides_contradict = By the model, what buzzed and what played clean contradict each other; the interval covers both.
clean = No harder than { $force }: string { $string } was noted clean up to fret { $to } ({ $when }).
buzz_fret = At least { $force }: string { $string } buzzed at fret { $fret } ({ $when }).
buzz_frets = At least { $force }: string { $string } buzzed at frets { $from } to { $to } ({ $when }).
left_out = Left out, the entry of { $when }: { $why }.

## Why an entry was left out
left_out_turns = nobody wrote down how far it was turned
left_out_not_before = relief was not measured before it
left_out_not_after = relief was not measured after it
left_out_between = between the two readings: { $done }
left_out_far_apart = more than three days between the two readings
left_out_not_alike = the readings before and after were taken in different ways, or without knowledge of it
left_out_outvoted = more observations show the other direction
left_out_another_way = measured in another way, place or posture than most
left_out_no_climate = no climate was noted close enough to it in which the instrument had been for a day
left_out_climate_beyond = the noted climate is outside the range for which the moisture of wood is known
left_out_bound = only a limit was read, not a value
left_out_stands_apart = far from all others: perhaps misread or mistyped
left_out_action_unread = the action of that string was not measured
left_out_relief_unread = relief was not measured
left_out_long_from = relief and action were not measured within two weeks of it
left_out_strings = gauge, note, scale or frets of that string at that time are not known
left_out_open_string = on an open string the nut slot may be the cause
left_out_others_first = by the clearance model other notes would buzz before those that were named: a cause other than the touch
left_out_lies_on_fret = by the readings the string lies on a fret without being played
left_out_touch_beyond = by the clearance model it means { $force }, outside the { $low } to { $high } that are possible (common practice, no source): perhaps another cause
