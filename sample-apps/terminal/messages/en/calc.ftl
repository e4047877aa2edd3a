# What the calculator answers.
missing = --{ $option } is needed, such as --{ $option } { $example }; or name an instrument that has it: -i NAME
bound_alone = a value or an interval is needed, not a bound alone
not_number = “{ $text }” is not a number
divides_by_zero = “{ $text }” divides by 0
turns_needed = turns are needed, such as 3/8
pitch_length = a pitch is a length
not_thread = “{ $text }”: { $unknown }; or its pitch, 0.5 mm
not_among = “{ $text }” is not one of them; accepted: { $accepted }
not_way = “{ $text }” is not a way of measuring; accepted: fretted/over, the second fret above the first, such as 0/12
not_mass = “{ $text }” is not a mass per length; accepted: a number with lb/in, g/m or kg/m, such as 5.47 g/m
outside = { $value } is outside { $low } to { $high }
sound = { $note } ({ $frequency })
both = { $length } ({ $inch } in)
give_or_take = { $value } ± { $twice }
open_over = open, over { $over }
fretted_over = fretted at { $stopped }, over { $over }
basis_spread = ±: twice the standard uncertainty, about 95% (JCGM 100:2008, 6.3.3), carried from the readings to first order

# What comes from the instrument.
no_string = there is no string { $string }; accepted: 1 to { $count }
fact_scale = scale length { $scale }, a fact of the instrument
fact_scales = scale lengths, facts of the instrument
fact_frets = { $count } frets, a fact of the instrument
fact_radius = radius of the board, a fact of the instrument
fact_gauges = gauges, facts of the instrument
fact_tuning = tuning, a fact of the instrument
fact_strings = strings, facts of the instrument
fact_bridge = bridge, a fact of the instrument
fact_joint = the neck bends up to fret { $fret } ± { $by } (a fact of the instrument)
assumed_joint = the neck bends up to fret { $fret } ± { $by } (common practice, no source)
assumed_level = saddle at the scale length (compensation 0 mm), frets level
assumed_spread = strings evenly spread, centre to centre, around the middle of the board
wrong_gap = a gap over fret { $over } of a string fretted at { $stopped }: the fret must lie beyond that one, up to { $last }
latest = { $what }: { $reading }, measured { $at }
stale = { $what }: something was done since that disturbs it; measure again
radii = { $count } given; accepted: one, two for a compound board, or flat

# Neck, gaps, shim, pickup, moisture.
basis_line = model: the string is straight from where it is fretted to the saddle; the neck bends evenly up to the joint fret and is straight beyond it
head_positions = fret | from the nut | from the fret before | to the saddle
saddle_from_nut = The saddle stands { $length } from the nut.
fret = fret
saddle = saddle
string_mm = string { $string }, mm
basis_frets = model: each fret shortens the string by the twelfth root of two, along the string
assumed_nut = gap over fret 1, open: 0.5 mm ± 0.3 mm (common practice, no source); it matters only for what is measured open
head_convert = measured this way | it would show
nut_way = nut: { $way }
relief_largest = Relief between frets 1 and { $last } is largest at fret { $fret }: { $gap }.
saddle_height = The saddle stands { $height } above the straight part of the neck.
basis_convert = relief { $relief }; action { $action }, { $way }; nut { $nut }
convert_hint = A number converted from another way of measuring is for comparison; it does not replace a reading.
thread_hint = In turns once the thread is known: --thread M3.
turn = Turn: { $turn }. That gives { $gives }; { $left } is left over.
turn_left = Turn: { $turn }; { $left } is left over.
basis_thread = thread: { $pitch } a turn
lower_saddle = Lower the saddle by { $by }.
raise_saddle = Raise the saddle by { $by }.
saddle_ratio = The saddle moves { $ratio } mm for each millimetre of the gap ({ $way }).
within_error = The wanted change of { $change } is within the error of the reading ({ $error }).
tune_measure = Tune, then measure again.
basis_gap = gap { $gap }, { $way }
basis_triangles = model: similar triangles from the fret where the string is held down to the saddle
saddle_binds = If a saddle screw binds, slacken the string first.
relief_changes = A change of relief of { $change }, saddles and nut untouched, changes the gaps:
head_changes = gap | changes by
relief_hint = Action that rose by that much with the relief comes back with the rod, not with the saddles.
basis_joint = ±: twice the standard uncertainty, from where the neck stops bending
rocks_nowhere = A fret rocker over three neighbouring frets rocks nowhere by more than { $by }.
rocks = Over frets { $first } to { $last } it rocks on fret { $fret }, which stands { $by } above the line through its neighbours.
fret_high = Fret { $fret } is { $by } too high.
fret_low = Fret { $fret } is { $by } too low.
basis_rocking = the heights as given, each fret against the straight line through its two neighbours
rocking_ends = Fret 1 and the last have one neighbour only and are not judged.
rocking_caution = Look for a loose fret first. Levelling cannot be undone and is work for a repairer.
thick_end = { $end ->
    [bridge] toward the bridge
   *[nut] toward the nut
  }
shim_does = A wedge of { $thickness }, its thick end { $end }, does what moving every saddle by { $saddle } would do.
shim_needed = A wedge of { $thickness } at its thick end, { $end } ({ $angle }°), { $tips ->
    [back] tips the neck back and lowers the action
   *[forward] tips the neck forward and raises the action
  }, like a saddle move of { $saddle }.
basis_shim = model: a rigid neck turns about the edge of the pocket at the wedge's thin end
shim_slack = Slacken the strings first: neck screws are touched only when no string pulls.
shim_after = Afterwards relief, nut, action, intonation and pitch are out of date: tune, then measure again.
pickup_gap = { $gap } is { $verdict ->
    [usual] within the usual range
    [close] closer than usual
   *[far] farther than usual
  } ({ $low } to { $high }).
pickup_pull = Less than { $limit } below a low string a strong magnet can pull the pitch: listen for wavering high on the neck (common practice, no source).
pickup_turns = To { $want }: { $turns } of the height screw, { $way ->
    [lower] lowering
   *[raise] raising
  } the pickup.
basis_pickup = the gap as given, string fretted at the last fret; usual gaps are common practice, no source
pickup_balance = Balance strings and pickups by ear.
moisture_missing = temperature and relative humidity are both needed, such as 21C 50%
moisture = Wood kept at { $temperature } and { $humidity } settles at { $moisture } moisture.
basis_moisture = model: W. T. Simpson, USDA FPL-RN-0268; table 4-2 of the Wood Handbook agrees to 0.1%
moisture_lag = Wood lags the climate by days to weeks, a lacquered neck by more; how this instrument follows is learned from its record.

# Board and spacing.
basis_board = model: frets on arcs of the given radius, strings straight from nut to saddle, neck straight
crown_drop = { $offset } from the middle the board lies { $drop } ({ $inch } in) lower than in the middle.
basis_crown = model: an arc of { $radius }: the radius less the root of its square less that of the offset
head_hump = string | hump | at fret
hump_hint = A hump works like a back-bow of that size under its string: a straight neck needs that much relief there to be level.
head_saddle_heights = string | wanted gap | saddle over the board's centre line | over the lowest
saddles_arc = The arc through the saddles has a radius of { $radius }.
saddles_flat = The row of saddles is flat or hollow.
undersides_arc = The arc through the undersides over fret { $fret } has a radius of { $radius }.
undersides_flat = The row of undersides over fret { $fret } is flat or hollow.
board_carried = The board's own radius, carried on to the saddle: { $radius }.
gaps_way = Gaps: { $way }.
gaps_count = { $given } given, { $strings } strings
radius_between = As far as the readings can tell it lies between { $low } and { $high }.
radius_from = As far as the readings can tell it is { $low } or more, up to flat.
radius_flat = The readings cannot tell it from flat.
board_there = The board's radius there is { $radius }: the strings { $follow ->
    [yes] follow it, as far as the readings can tell
   *[no] do not follow it
  }.
basis_gaps = the gaps as given, standard uncertainty { $each } each
basis_circle = a circle through the undersides, least squares; range: twice the standard uncertainty
sideways = Moving the saddle of string { $string } by { $by } { $way ->
    [toward] toward the middle
   *[away] away from the middle
  }, height kept, changes its gap ({ $gap }) by { $change }.
sideways_hint = Set the spacing before the action, or measure the action again.
bend_stopped = the nut is not part of this model; accepted: 1 and above
bend = String { $string } fretted at { $fret } and pushed by { $push } comes within { $gap } of fret { $over } ({ $before } before the bend).
head_bend = gap | before | during
bend_next = over the next fret
bend_smallest = smallest
bend_last = over the last fret
bend_chokes = It would lie on the fret: the note chokes out.
basis_bend = gaps at rest: the swing of the string is not included
saddle_radius = The board's radius, carried on to the saddle, is { $radius }.
saddle_radius_flat = The board is flat, and stays flat to the saddle.
saddle_radius_hint = Saddles on exactly that arc leave the outer strings low; saddle-heights gives the heights for equal gaps.
basis_radius = model: the radius grows evenly along the board
head_spacing = string | centre from the edge | from the middle | free gap to the next | move by
spacing_missing = give --margins, --between or --found
spacing_margins = From the edges: { $first } beside the highest string, { $last } beside the lowest.
basis_spacing = width and gauges as given; centres and edges by addition, no model

# Screws and bridges.
exact_turns = Exactly: { $turns } turns.
turns_advance = { $turns } turns move it by { $advance }.
direction_unknown = Which way raises is known once this instrument has shown it.
basis_threads = thread pitches by name: ISO 261 coarse, ASME B1.1
head_threads = thread | a turn | a quarter | an eighth
saddle_name = saddle { $saddle }
saddle_screw = saddle { $saddle }, screw { $screw }
post_treble = treble post
post_bass = bass post
bridge_alike = Each saddle stands on { $count } screws: turn them by the same amount.
bridge_unknown = what the screws of this bridge do is not known; give --own, --shared or --posts
thread_unknown = thread not known: --thread M3
head_screws = screw | wanted rise | turn
head_bridge = string | wanted | the turns give | left over
basis_bridge = model: each screw moves each string by a fixed part of its advance; least squares, smallest turns
screws_bind = If screws bind, slacken the strings first.
floating_anchor = Or leave the bridge where it is: move the spring claw by { $by } (tighter is above zero).
floating_tilt = The bridge tilts by { $angle }° { $way ->
    [nut] toward the nut
   *[tail] toward the tail
  }.
head_floating = string | tuners add | tension changes | height changes
basis_floating = model: springs and strings in balance about one pivot, small changes, stiffness as given
floating_hint = Tune all strings again and again until they settle; then measure.
floating_caution = A spring under load can fly off: wear eye protection, and slacken the strings before touching springs.
blank = At the underside of the saddle: { $first } at the highest string, { $last } at the lowest.
take_off = { $by } off
leave_on = { $by } more
blank_left = A straight underside leaves, string by string: { $left }.
basis_blank = wanted changes { $way }; { $ratio } mm at the saddle for each millimetre there
blank_caution = What is off stays off: first have two readings that agree, by different tools, in tune, with relief and nut final. Stop 0.1 mm high (common practice, no source). Slacken the strings first; keep the underside square.

# Strings.
fretted = { $sound } fretted at { $fret }
pitch = { $what }: { $frequency }, note { $note }.
pitch_off = { $what }: { $frequency }, note { $note }, { $cents } from it.
basis_pitch = equal temperament, A4 = { $a4 } (ISO 16:1975 has 440 Hz)
mass_pack = mass per length from the pack, ± 2% (common practice, no source)
mass_wire = mass per length from the wire diameters, steel of 7850 kg/m³ (ASTM A228 wire), touching turns
mass_guessed = mass per length guessed from the outer diameter of a round-wound steel string, ± 6% (mean and spread of a maker's published chart): better from the pack, or from core and wraps
force = { $force } ({ $pounds } lbf) ± { $twice }
tension = { $sound } on { $scale }: { $force }.
as_printed = As older tables print it, with 386.4 in/s²: { $pounds } lbf.
mass = Mass per length: { $mass } g/m.
basis_tension = model: tension is mass per length times the square of twice the length times the frequency
too_high = Do not tune this plain string to { $sound }: { $stress } GPa is above { $limit } GPa, 70% of the least strength of music wire of its gauge (ASTM A228).
go_together = { $notes } notes and { $strings } strings do not go together
plain_accepted = accepted: strings such as 1,2,3 or 1-3, all or none
plain_or_wound = { $gauge } is made plain and wound: say which with --plain (one string: or --wound; none of a set: --plain none)
assumed_plain = plain steel by the gauge: { $gauges } (common practice, no source); otherwise give --wound, or for a set --plain with those that are
assumed_wound = round-wound by the gauge: { $gauges } (common practice, no source); otherwise give --plain
gauge_unknown = the gauge of string { $string } is not known; give --gauges, or enter it: fallaway set gauges ...
head_set = string | note | tension | then | change
then = { $sound }: { $force }
set_total = Together they pull with { $force }.
set_then = Then { $force }: { $change } of tension on the neck.
set_rise = The total rises by more than 10%: the neck will bend further, rod and bridge carry more; raise the tension in steps and look for movement (common practice, no source).
measure_again = Measure again afterwards: relief, nut, action, pickup gap, intonation and pitch.
strings_caution = Strings off or on: release the tension slowly, wear eye protection, mind the sharp ends.
retune = From { $from } to { $to }: { $change } ({ $percent }), from { $before } to { $after }.
retune_hint = A slacker string swings wider and needs more action.
basis_retune = model: tension goes with the square of the frequency; the percentage does not depend on the mass
stress = A plain steel string at { $sound } on { $scale } is stressed to { $stress } GPa, { $verdict ->
    [above] above
   *[within] within
  } the limit of { $limit } GPa.
stress_limit = The limit allows up to { $frequency } on this length, whatever the gauge.
basis_stress = model: stress is four times density, length squared, frequency squared; steel of 7850 kg/m³
assumed_limit = limit 1.8 GPa, for any gauge: 64 to 78% of the least strength of music wire of .007 to .026 in (ASTM A228)
stress_caution = Do not tune up to this: the string can break and whip. Choose a lower note or a shorter scale.
stress_near = Tuning up near a limit: face away, wear eye protection, go slowly.

# Stiffness, drift, intonation.
basis_partial = partial { $partial } measured { $cents } cents sharp of its multiple, fretted at { $fret }
basis_partial_model = model: partial q stands at q times the root of (1 + B q²); B grows by 2^(n/6) at fret n
basis_core = core { $core }, tension { $tension }, scale length { $scale }; steel of { $modulus } GPa
basis_core_model = model: B = π³ E d⁴ / (64 T L²) of the core (Fletcher and Rossing 2.18); windings add little and are left out
inharmonicity = Inharmonicity B of the open string: { $value }.
head_partials = partial | sharp by
drift = { $sound }: { $cents } for each millimetre that the saddle moves away from the nut.
drift_kelvin = { $alone } for each kelvin that the string alone warms up, { $together } when wood and string warm up alike.
assumed_anchored = anchored at nut and saddle: no string beyond them gives way
drift_hint = So slacken the string before moving a saddle, and tune again before the next reading.
basis_drift = model: a plain steel string that slides freely over nut and saddle, Hooke's law, first order
basis_expansion = expansion: steel 12e-6 per kelvin (ASTM A228 as listed), wood along the grain 4e-6 (from memory)
wrong_cents = “{ $text }”: { $why }; accepted: fret=cents, such as 12=4 or 12=-1.5
no_equals = “=” is missing
not_fret = “{ $text }” is not a fret
cents_bound = a value is needed, not a bound
travel = { $count } given; accepted: two, toward the nut and away from it
move_saddle = Move the saddle { $way ->
    [away] away from the nut
   *[toward] toward the nut
  } by { $by }.
move_nut = Move the front edge of the nut { $way ->
    [toward] toward the saddle
   *[away] away from the saddle
  } by { $by }.
nut_caution = Work on a nut cannot be undone: first have two readings that agree, by different tools, with everything else final.
travel_ends = The saddle's travel ends there.
head_intonation = fret | measured | after the move
cent_of_saddle = At fret 12 a cent is { $length } of saddle. Slacken, move, tune, measure again.
basis_intonation = the readings as given; model: the fretted part and the whole string lengthen alike, first order, least squares
basis_steel = core { $core } of steel, { $modulus } GPa, at { $tension }
head_set_back = ends held | saddle back | nut | left over, rms
set_back_hint = Away from the nut is above zero for the saddle; a nut below zero moves toward the saddle. How the ends are held matters most: begin there, then let the readings decide.
basis_set_back = model: M. B. Anderson and R. G. Beausoleil, Classical guitar intonation and compensation, JASA 156(1):683 (2024), but the stiffness follows length and tension; their tables let it follow the length alone, which puts the saddle up to 0.05 mm elsewhere

# Clearance.
beside_instrument = does not go with an instrument, whose facts and readings count; accepted beside it: --relief, --action, --notes, --tensions, --force, --away, --plucked-at
count_of_actions = { $given } given, { $strings } strings have an action
assumed_inharmonicity = inharmonicity of each open string from its note: 2e-5 at 98 Hz to 3.1e-4 at 31 Hz
