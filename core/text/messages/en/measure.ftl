# Numbers, units, quantities, places, tools.

written = { $text }
row = { $list }
number = { $number }
as_entered = { $amount }
moment = { $moment }
day = { $day }
# As strftime takes it.
moment_format = %Y-%m-%d %H:%M
day_format = %Y-%m-%d
list_and = { $front } and { $last }
list_or = { $front } or { $last }
decimal_sign = .
amount = { $unit ->
    [mm] { $number } mm
    [in] { $number } in
    [thou] { $number } thou
    [cent] { $form ->
        [one] { $number } cent
       *[many] { $number } cents
    }
    [hertz] { $number } Hz
    [percent] { $number }%
    [celsius] { $number } °C
    [fahrenheit] { $number } °F
    [newton] { $number } N
    [degree] { $number }°
    [turn] { $form ->
        [one] { $number } turn
       *[many] { $number } turns
    }
   *[newer] { $number } in a unit of a newer version ({ $code })
}
less_than = less than { $amount }
# The same length in two notations: 5/64 in (1.98 mm).
in_other_words = { $shown } ({ $other })

at_most = at most { $amount }
at_least = at least { $amount }
between = { $low } to { $high }

action_open = action at fret { $over }, open
action = action at fret { $over }, fretted at { $stopped }
nut_open = nut height at fret { $over }, open
nut = nut height at fret { $over }, fretted at { $stopped }
relief = relief, fretted at { $from } and { $to }
relief_at = relief at fret { $at }, fretted at { $from } and { $to }
fall_away = fall-away at fret { $at }, straight edge on { $from } to { $to }
pitch = pitch
intonation = intonation at fret { $fret }
spacing_bridge = string spacing at the bridge
spacing_nut = string spacing at the nut
bridge_height = bridge height over the body, at the post
bridge_tail = height of the bridge's rear edge over the body
pickup_open = height of pickup { $pickup }, open
pickup = height of pickup { $pickup }, fretted at { $stopped }
quantity_newer = a quantity of a newer version ({ $code })

string_number = { $place }
string_label = { $place } ({ $note })
string = string { $label }
strings_all = all strings
strings = { $count ->
    [one] string { $labels }
   *[other] strings { $labels }
}
note = { $accidental ->
    [double_flat] { $letter }bb
    [flat] { $letter }b
    [sharp] { $letter }#
    [double_sharp] { $letter }##
   *[natural] { $letter }
}
note_octave = { $letter }{ $octave }{ $cents }
side = { $side ->
    [bass] bass side
   *[treble] treble side
}
location_newer = a place of a newer version ({ $code })
dimension = { $dimension ->
    [length] a length
    [interval] an interval in cents
    [frequency] a frequency
    [share] a percentage
    [temperature] a temperature
    [force] a force
    [rotation] a rotation
   *[newer] something that a newer version wrote
}

# The graduation follows: rule 1/64 in.
tool = { $kind ->
    [rule] rule { $graduation }
    [feeler] feeler gauge { $graduation }
    [caliper] caliper { $graduation }
    [dial] dial gauge { $graduation }
    [tuner] tuner { $graduation }
   *[newer] tool of a newer version ({ $code }), { $graduation }
}
tool_kind = { $kind ->
    [rule] rule
    [feeler] feeler gauge
    [caliper] caliper
    [dial] dial gauge
    [tuner] tuner
    [none] tool
   *[newer] tool of a newer version ({ $code })
}

turns = { $size ->
    [more] { $turns } turns
   *[part] { $turns } turn
}
turns_clockwise = { $size ->
    [more] { $turns } turns clockwise
   *[part] { $turns } turn clockwise
}
turns_anticlockwise = { $size ->
    [more] { $turns } turns anticlockwise
   *[part] { $turns } turn anticlockwise
}
turns_under = { $direction ->
    [clockwise] less than 1/8 turn clockwise
    [anticlockwise] less than 1/8 turn anticlockwise
   *[unknown] less than 1/8 turn
}

fret_open = open
fret = fret { $fret }
frets = frets { $from } to { $to }
frets_from_open = open to fret { $to }
