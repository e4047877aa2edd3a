# Words that cannot be taken as they are.
not_time = “{ $text }” is not a time; { $accepted }
time_accepted = accepted: 2026-01-15 18:30, 2026-01-15 (noon), 18:30 (today), or with an offset 2026-01-15T18:30+01:00
too_early = “{ $text }” lies before 1900; accepted: a time from 1900 until now
future = “{ $text }” lies in the future; give a time that has passed
time_range = “{ $text }” lies outside the years 1 to 9999, or its offset is beyond 18 hours
not_string = “{ $text }” is not a string; accepted: numbers such as 4, 3a, 1,3 or 2-5, 1 being the highest string
not_strings = “{ $text }” is not a list of strings; accepted: 4, 1,3, 2-5, all
no_string_with = no string is tuned to { $note }; there are { $strings }
strings_with = which string { $note }? Accepted: { $strings }
not_frets = “{ $text }” does not name frets; accepted: 3, 3-6, open
air_accepted = accepted: a temperature such as 21C, a relative humidity such as 45%
air_no_unit = “{ $text }” has no unit; { $accepted }
air_unknown = “{ $text }” means nothing here; { $accepted }
air_nothing = nothing given; { $accepted }
twice = “{ $text }” is given twice

turns = { $count } { $form ->
    [part] turn
    [one] turn
   *[many] turns
  }
not_angle = “{ $text }” is not an angle
tighten = “{ $text }” is not the same way on every screw: say cw (clockwise) or ccw (anticlockwise), as seen from the tool
no_turn = no turn at all changes nothing; give a turn such as 1/8
many_turns = more than the { $most } turns accepted in one go
inexact_turns = { $turns }: accepted parts are halves, quarters, eighths, sixteenths
parts_of_turn = { $text }: accepted parts of a turn are halves, quarters, eighths, sixteenths, thirty-seconds

adjust_accepted = accepted: what (rod, saddle, nut, post, springs, pickup, pole, neck, frets, bridge, other), which string (4, 1,3, 2-5, all), which way (up, down, back, forward, bass, treble), how far (1/8, quarter, 1 1/2, 0.2 mm), cw or ccw; for example: rod 1/8 cw, saddle 4 down 1/4 ccw, saddle 3 back 0.5 mm
not_adjustable = “{ $text }” is not something that can be adjusted; { $accepted }
no_detail = “{ $text }” means nothing here; { $accepted }; other remarks: --note
how_far = how far { $way ->
    [cw] clockwise
   *[ccw] anticlockwise
  }? For example: 1/8 cw
which_sense = { $turns }, but which way? Say cw (clockwise) or ccw (anticlockwise), as seen from the tool
which_way = that far, but which way? Say up, down, back, forward, bass or treble
what_done = what was done to it? { $accepted }; or describe it with --note
which_string = which string? { $accepted }
which_pickup = which pickup? 1 is nearest the bridge: pickup 1 bass up 1/2 cw
which_pickup_pole = which pickup? 1 is nearest the bridge: pole 3 pickup 1 1/4 up
went = { $way ->
    [up] up
    [down] down
    [back] back
    [forward] forward
    [bass] toward the bass side
    [treble] toward the treble side
    [filed] filed
   *[filled] filled
  }
went_by = { $way ->
    [up] up by { $turns }
    [down] down by { $turns }
   *[other] { $turns }
  }
sense_not_noted = { $turns }, cw or ccw not noted
noted = { $what }: { $note }

not_fact = “{ $text }” is not a fact about an instrument; accepted: { $accepted }
fact_wrong = { $fact }: { $why }; accepted: { $meaning }; for example: fallaway set { $fact } { $example }
no_value = no value given
not_this = “{ $text }” is not one of them
lengths_given = { $count ->
    [one] one length given
   *[other] { $count } lengths given
  }
frets_first = set frets first
not_set = { $fact } is not set; set are: { $known }
not_whole = “{ $text }” is not a whole number
not_lengths = “{ $text }” is not a list of { $count } lengths
no_string_named = “{ $text }” does not name a string
count_of_strings = { $given } given for { $strings ->
    [one] one string
   *[other] { $strings } strings
  }

option = --{ $option }: { $why }
length_needed = a length is needed, such as 2 mm
one_or_each = { $given } given; one for all is accepted, or { $count }
one_force = { $given } forces given, one is needed
taken_as_wound = { $string } of { $gauge } as wound, since plain strings are seldom thicker than 0.022 in (common practice, no source); if it is plain, write a p behind the gauge: .026p
taken_as_plain = { $string } of { $gauge } as plain, since wound strings are seldom thinner than 0.017 in (common practice, no source); if it is wound, write a w behind the gauge: .016w
saddle_form = accepted: 4=+0.3mm, 2=-0.1mm, all=0.2mm (string=rise)
no_action = string { $string } has no action that was measured
