### Will it buzz with these numbers?
lead_buzzes = At { $force } string { $string } buzzes first, by the model: { $note }, against fret { $over }, where it is { $by } short of clearing.
lead_clean = At { $force } nothing buzzes, by the model. String { $string } comes nearest: { $note }, { $by } to spare over fret { $over }.
open = open
fretted = fretted at { $fret }
way_open = over fret { $over }, open
way_fretted = over fret { $over }, fretted at { $stopped }
column_string = string
column_action = action
column_margin = margin
column_nearest = nearest
column_lowest = lowest clean
column_relief = best relief
column_touch = touch
margin = { $value } ± { $spread }
nearest = { $stopped }/{ $over }
none = none
range = { $low } to { $high }
under_learned = Over the touch that was learned, { $low } to { $high }, by the model: { $parts }.
under_part = { $kind }: { $strings }
legend = Action: { $way }. Margin: what is left between string and fret where it is least, with the uncertainty of the readings; the model's own error is not included. Nearest: fretted at / against fret. Lowest clean: the lowest action at this relief and touch. Best relief: the range that costs no more than { $cost } of action. Touch: the hardest that stays clean.
finger = { $direction ->
    [toward] A finger { $width } wide, { $from_saddle } from the saddle, pushing the string toward the board.
   *[away] A finger { $width } wide, { $from_saddle } from the saddle, pulling the string away from the board.
}
model = Model: modes of a stiff, damped string over its clearance at rest, lowest point of sixty periods.
out_of_date = Measure again: { $what }. Something was done since they were measured.
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
assumed_tension = Tension of the strings ({ $source }): { $strings }.
assumed_inharmonicity = Inharmonicity of the open strings ({ $from }), in units of 10⁻⁵: { $strings }.
inharmonicity_assumed = assumed from the note
inharmonicity_wire = worked out from the wire
assumed_left_out = String { $string } is left out: its action has not been measured.
assumed_joint = The neck bends up to fret { $fret } ± { $by } (common practice, no source).
assumed_level = Frets level, saddles at the scale length.
assumed_level_else = Otherwise the frets are level; saddles at the scale length.
assumed_board_end = Beyond fret { $from } the board { $way } at fret { $at }, as it was read; evenly in between.
assumed_board_end_at = { $place }: beyond fret { $from } the board { $way } at fret { $at }, as it was read; evenly in between.
board_falls = falls away by { $by }
board_rises = rises by { $by }
assumed_crown = The crown of fret { $fret } under { $string } stands { $by } off the others, as it was found.
what_if_strings = What if: { $changes }; relief and saddles as they are.
what_if_relief = What if: relief { $relief }, saddles untouched, so every action moves with it.
what_if_saddle = What if: saddle of { $string } moved by { $by }.
what_if_actions = What if: these actions instead of those measured.
what_if_notes = What if: these notes; tension goes with the square of the frequency, relief as it is.
string_to = { $string }: { $to }
mass_pack = mass per length from the pack
mass_wire = mass per length from the wire diameter
mass_guessed = mass per length guessed from the outer diameter, as of a round-wound steel string
