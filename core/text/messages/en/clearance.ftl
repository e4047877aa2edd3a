### Will it buzz with these numbers?
caveat = By a model with assumed tension, stiffness, decay and touch; not measured. Use it to compare, not to decide.
touch = Touch: { $force } at right angles to the board, { $from }.
touch_assumed = assumed (common practice, no source)
touch_given = as given
touch_learned = between { $low } and { $high }, learned from { $count ->
    [one] one observation
   *[other] { $count } observations
  } of this player
touch_learned_upper = between { $low } and { $high }, learned from { $count ->
    [one] one observation
   *[other] { $count } observations
  } of this player; only an upper limit is known
touch_learned_lower = between { $low } and { $high }, learned from { $count ->
    [one] one observation
   *[other] { $count } observations
  } of this player; only a lower limit is known
touch_learned_contradict = between { $low } and { $high }, learned from { $count ->
    [one] one observation
   *[other] { $count } observations
  } of this player, which contradict each other
clean = clean
touches = buzzes
untold = cannot tell
assumed_tension = string { $string }: tension { $tension }, { $source }; inharmonicity { $inharmonicity }, { $from }
inharmonicity_assumed = assumed from its note
inharmonicity_wire = worked out from its wire
assumed_left_out = string { $string } is left out: its action has not been measured
assumed_joint = the neck bends up to fret { $fret } ± { $by } (common practice, no source)
assumed_level = frets level, saddles at the scale length
what_if_strings = what if: { $changes }, relief and saddles as they are
what_if_relief = what if: relief { $relief }, saddles untouched, so every action moves with it
what_if_saddle = what if: saddle of { $string } moved by { $by }
what_if_actions = what if: these actions instead of those measured
string_to = string { $string }: { $to }
mass_pack = mass per length from the pack
mass_wire = mass per length from the wire diameter
mass_guessed = mass per length guessed from the outer diameter, as of a round-wound steel string
