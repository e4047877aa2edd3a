### What other strings or another tuning will do.
pull = Tension on the neck: { $now } now, { $later } then ({ $change }); the difference is good to ± { $spread }.
column_string = string
column_now = tension now
column_then = then
column_action = lowest clean action
column_slot = nut slot
from_to = { $now } now, { $later } then
unknown = not known
slot_unknown = gauges not known, look at it
slot_fits = fits by its gauge
slot_binds = may bind or sit high: the string is thicker
slot_rattles = may rattle or sit lower: the string is thinner
refused = String { $string } would be close to breaking: do not tune it that high.
relief_more = More tension bends the neck further: expect more relief. By how much, this instrument has yet to show.
relief_less = Less tension lets the neck straighten: expect less relief. By how much, this instrument has yet to show.
relief_either = The tension changes by less than the estimate can tell: relief may go either way.
relief_learned = Expect relief to change by { $estimate }, learned from { $count ->
    [one] one earlier change
   *[other] { $count } earlier changes
  } of strings or tuning with relief measured before and after.
saddle_stays = Intonation of string { $string }: the saddle may stay where it is, ± { $spread }.
saddle_back = Intonation of string { $string }: saddle back by about { $by } ({ $least } to { $most }, ends of the string from pinned to clamped).
saddle_forward = Intonation of string { $string }: saddle forward by about { $by } ({ $least } to { $most }, ends of the string from pinned to clamped).
saddle_unknown = Intonation of { $strings }: the saddle's movement cannot be estimated, because the core diameter of the old or new string is unknown. Measure at fret 12.
saddle_basis = Saddle: model of a stiff string stretched when it is pressed down, M. B. Anderson and R. G. Beausoleil, JASA 156(1):683 (2024); the reading decides.
again = Measure again afterwards: { $what }.
checklist = Checklist for afterwards:
check_tune = tune, stretch, tune again
check_relief = let the neck settle, then measure relief
check_nut = measure the nut fretted at 3, and look at each slot
check_action = measure the action, string by string
check_pickup = measure the pickup gap
check_intonation = measure intonation at 12
tension_basis = Model: tension is mass per length times the square of twice the length times the frequency.
action_basis = Lowest clean action: the clearance model at the latest relief.
action_assumed = For the lowest clean action, relief is set back to where it was.
