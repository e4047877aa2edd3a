# Entries of the history.

with_note = { $entry }: { $note }
partly_newer = { $entry } (parts of it were written by a newer version)
newer = entry of a kind that a newer version knows ({ $kind })
visit = visit opened
visit_ended = visit ended
pass = { $what }: { $readings }
read_at = { $location } { $reading }
phase = { $phase ->
    [found] as found
    [working] during the work
    [left] as left
   *[newer] in a state that a newer version knows
}
posture = { $posture ->
    [playing] in playing position
    [back] on its back
    [rest] neck on a rest
    [side] on its side
    [hanging] hanging
   *[newer] in a posture that a newer version knows
}
stopped_by = { $by ->
    [finger] fretted with a finger
    [capo] fretted with a capo
   *[newer] fretted as a newer version knows it
}
tuned_before = { $minutes ->
    [0] just tuned
    [one] tuned 1 minute before
   *[other] tuned { $minutes } minutes before
}

rod = truss rod
saddle_height = saddle height, { $strings }
saddle_position = saddle position, { $strings }
saddle_sideways = saddle sideways, { $strings }
nut_slot = nut slot, { $strings }
nut = nut
bridge_post = { $side ->
    [bass] bridge post, bass side
   *[treble] bridge post, treble side
}
bridge_posts = both bridge posts
springs = springs
pickup = pickup { $pickup }
pole = pickup { $pickup }, pole piece under { $strings }
pickup_side = { $side ->
    [bass] pickup { $pickup }, bass side
   *[treble] pickup { $pickup }, treble side
}
neck = neck joint
frets = frets
bridge = bridge
elsewhere = something else
part_newer = a part that a newer version knows ({ $code })
adjusted = { $part }: { $details }
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
moved = { $way ->
    [up] { $size } up
    [down] { $size } down
    [back] { $size } back
    [forward] { $size } forward
    [treble] { $size } toward the treble side
    [bass] { $size } toward the bass side
    [filled] filled by { $size }
    [filed] filed by { $size }
    [thicker] shim { $size } thicker
    [thinner] shim { $size } thinner
   *[by] by { $size }
}

strings_changed = { $count ->
    [one] string { $strings } changed
   *[other] strings { $strings } changed
}
all_strings_changed = all strings changed
gauge = { $place } { $gauge }
tuned = { $count ->
    [one] string { $strings } tuned
   *[other] strings { $strings } tuned
}
all_tuned = all strings tuned
tuned_to = { $place } to { $note }
from_now_on = { $tuned }, from now on { $notes }
climate = climate: { $parts }
humidity = { $humidity } relative humidity
hours_there = { $hours ->
    [one] there for 1 hour
   *[other] there for { $hours } hours
}
buzz = buzz: { $string }, { $frets }
photo = photo
fret_under = { $fret } under { $strings }
fret_found = { $place }: { $state ->
    [high] stands high
    [level] level with its neighbours
    [worn] worn
    [lifting] lifting
   *[newer] as only a newer version can say
}
fret_by = { $place }: { $state ->
    [high] stands high by { $by }
    [level] level with its neighbours within { $by }
    [worn] worn, low by { $by }
    [lifting] lifting by { $by }
   *[newer] as only a newer version can say ({ $by })
}
could_not_move = could not be moved: { $part } ({ $why })
could_not_read = could not be measured: { $what } ({ $why })
count = { $kind ->
    [visit] { $count ->
        [one] 1 visit
       *[other] { $count } visits
    }
    [visit_end] { $count ->
        [one] 1 end of a visit
       *[other] { $count } ends of visits
    }
    [pass] { $count ->
        [one] 1 set of readings
       *[other] { $count } sets of readings
    }
    [adjustment] { $count ->
        [one] 1 adjustment
       *[other] { $count } adjustments
    }
    [string_change] { $count ->
        [one] 1 string change
       *[other] { $count } string changes
    }
    [tuning] { $count ->
        [one] 1 tuning
       *[other] { $count } tunings
    }
    [climate] { $count ->
        [one] 1 climate note
       *[other] { $count } climate notes
    }
    [remark] { $count ->
        [one] 1 remark
       *[other] { $count } remarks
    }
    [buzz] { $count ->
        [one] 1 buzz note
       *[other] { $count } buzz notes
    }
    [photo] { $count ->
        [one] 1 photo
       *[other] { $count } photos
    }
   *[newer] { $count ->
        [one] 1 entry of a newer version
       *[other] { $count } entries of a newer version
    }
}

crossed_out = crossed out: { $entry }
field_value = { $field }: { $value }
field_value_back = { $field }: { $was }, now { $now } again
reason_undo = taken back
