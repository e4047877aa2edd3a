# Facts about the instrument: where they stand, and their values.

at_string = { $fact } of { $string }
screw = { $screw ->
    [rod] truss-rod nut
    [saddle_height] saddle height screws
    [saddle_position] intonation screws
    [bridge_post] bridge posts
    [pickup] pickup screws
   *[spring_claw] spring claw screws
}
field_newer = a fact of a newer version ({ $key })

newer = written by a newer version
removed = removed
nothing_known = nothing recorded
template = { $template ->
    [bass-4] four-string bass
    [bass-5] five-string bass
    [bass-6] six-string bass
    [bass-5-fanned] five-string bass with fanned frets
    [bass-4-short] four-string bass, short scale
    [bass-4-medium] four-string bass, medium scale
    [guitar-6] six-string guitar
    [guitar-7] seven-string guitar
    [guitar-8] eight-string guitar
    [guitar-6-short] six-string guitar, short scale
    [guitar-6-fanned] six-string guitar with fanned frets
    [guitar-7-fanned] seven-string guitar with fanned frets
    [guitar-12] twelve-string guitar
    [baritone-6] baritone guitar
    [acoustic-6] acoustic guitar, steel strings
    [acoustic-12] twelve-string acoustic guitar
    [classical-6] classical guitar
    [mandolin-8] mandolin
    [ukulele-soprano] soprano ukulele
    [ukulele-concert] concert ukulele
    [ukulele-tenor] tenor ukulele
   *[other] { $id }
}
none = none
yes_no = { $yes ->
    [yes] yes
   *[no] no
}
family_kind = { $family ->
    [bass] bass
    [guitar] guitar
   *[other] fretted instrument
}
strings_count = { $strings ->
    [one] 1 string
   *[other] { $strings } strings
}
courses_count = { $courses ->
    [one] 1 course, { $strings } strings
   *[other] { $courses } courses, { $strings } strings
}
core = core { $amount }
pack_tension = { $amount } according to the packet
construction = { $kind ->
    [plain] plain
    [round] round-wound
    [half] half-wound
    [flat] flat-wound
    [tape] tape-wound
    [polymer] polymer
   *[newer] of a construction that a newer version knows
}
unit_weight = { $unit ->
    [pound_per_inch] { $value } lb/in
    [gram_per_metre] { $value } g/m
   *[newer] { $value } in a unit of a newer version
}
scale_fanned = { $bass } on the bass side, { $treble } on the treble side
scale_of = { $string }: { $amount }
fretless = fretless
frets_count = { $count ->
    [one] 1 fret
   *[other] { $count } frets
}
frets_high = { $count ->
    [one] 1 fret, { $height } high
   *[other] { $count } frets, { $height } high
}
joint_fret_at = fret { $fret }, { $uncertain ->
    [0] where it stops bending
    [one] within 1 fret
   *[other] within { $uncertain } frets
}
flat = flat
radius = { $radius }
compound = { $nut } at the nut, { $last_fret } at the last fret
nut_kind = { $kind ->
    [slotted] slotted nut
    [zero_fret] zero fret
    [locking] locking nut
    [compensated] compensated nut
    [roller] roller nut
   *[newer] a nut that a newer version knows
}
own_saddles = { $screws ->
    [one] individual saddles, 1 height screw each
   *[other] individual saddles, { $screws } height screws each
}
shared_saddles = shared saddles: { $saddles }
two_posts = on two posts
fixed = fixed height
floating = floating
on_posts = on two posts besides
intonation_by = { $by ->
    [own] each saddle moves for intonation
    [shared] shared saddles move for intonation
    [whole] the whole bridge moves for intonation
    [fixed] no intonation adjustment
   *[newer] intonation as a newer version knows it
}
sideways = { $yes ->
    [yes] saddles move sideways
   *[no] saddles do not move sideways
}
thread_pitch = { $pitch } per turn
# What a clockwise turn does, seen from the tool.
clockwise = { $screw ->
    [rod] { $way ->
        [more] clockwise increases relief
        [less] clockwise reduces relief
       *[newer] clockwise: written by a newer version
    }
    [saddle_height] { $way ->
        [more] clockwise raises the saddle
        [less] clockwise lowers the saddle
       *[newer] clockwise: written by a newer version
    }
    [saddle_position] { $way ->
        [more] clockwise moves the saddle back
        [less] clockwise moves the saddle forward
       *[newer] clockwise: written by a newer version
    }
    [bridge_post] { $way ->
        [more] clockwise raises the bridge
        [less] clockwise lowers the bridge
       *[newer] clockwise: written by a newer version
    }
    [pickup] { $way ->
        [more] clockwise raises the pickup
        [less] clockwise lowers the pickup
       *[newer] clockwise: written by a newer version
    }
   *[spring_claw] { $way ->
        [more] clockwise increases spring tension
        [less] clockwise reduces spring tension
       *[newer] clockwise: written by a newer version
    }
}
key = key: { $key }
rod_kind = { $kind ->
    [absent] no adjustable truss rod
    [one_way] one-way truss rod
    [two_way] two-way truss rod
   *[newer] a truss rod that a newer version knows
}
rod_access = { $access ->
    [head] adjusted at the headstock
    [heel] adjusted at the heel
   *[newer] adjusted where a newer version knows
}
neck_joint_kind = { $kind ->
    [bolt_on] bolt-on
    [glued] glued
    [through] neck-through
   *[newer] as a newer version knows it
}
count = { $count }
hand = { $hand ->
    [right] right-handed
    [left] left-handed
   *[newer] as a newer version knows it
}
order = { $order ->
    [usual] usual order
    [reversed] reversed order
   *[newer] as a newer version knows it
}

# Setups: named sets of targets.
setup = setup { $setup }
setup_deleted = { $deleted ->
    [yes] deleted
   *[no] not deleted
  }
setup_name = name of setup { $setup }
setup_target = { $setup }: { $quantity }
setup_target_at = { $setup }: { $quantity }, { $location }
target = { $wanted } ± { $tolerance }
