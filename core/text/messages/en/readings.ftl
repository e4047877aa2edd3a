### Why a text is not a reading, and why a reading is asked about.

reading = cannot read “{ $text }” at character { $at }: { $problem }
reading_part = in “{ $text }”, at character { $at }: { $problem }
empty = nothing was written; accepted: { $examples }
too_long = { $length } characters are too many; a reading has at most { $limit }
character = the character “{ $found }” has no place in a reading; accepted: digits 0 to 9, point or comma, / - + = < > " % ° and words
number = “{ $found }” is not a number; accepted: one point or one comma with digits behind it, at most twelve digits and nine places
missing_number = a number is missing here; accepted: { $examples }
missing_whole = a whole number must stand here, such as the 64 of 5/64
ambiguous = this can mean { $meanings }; write the unit, or name the tool
unit = “{ $found }” is not a unit for { $dimension }; accepted: { $units }
only_inches = a fraction is of an inch, not of “{ $found }”
other_dimension = { $found } does not measure { $dimension }; accepted: { $units }
no_fraction = { $dimension } is not read in fractions of this kind; accepted: { $examples }
wrong_tool = the { $tool } does not read { $dimension }
out_of_place = “{ $found }” is out of place; accepted: { $examples }
amounts = { $dimension ->
    [length] 5/64, 1 1/16 in, .078 in, 12 thou, 1.98 mm
    [interval] −3, 2.5 cents
    [frequency] 41.2 Hz
    [share] 45%
    [temperature] 21 °C, 70 °F
    [force] 180 N
    [rotation] 1/4 turn, −0.125 turn, 45°
   *[newer] 12 unit 77
}
bounds = { $amounts }, touches, .010 goes .012 not
units = { $dimension ->
    [length] mm, in, thou
    [interval] cents
    [frequency] Hz
    [share] %
    [temperature] °C, °F
    [force] N
    [rotation] turns, °
   *[newer] unit and its number
}
unit_name = { $unit ->
    [inch] in
    [turn] turn
   *[other] { $symbol }
}

out_of_range = { $what } { $value } is outside { $low } to { $high }
number_kind = { $what ->
    [fret] fret
    [string] string
    [number_without_its_point] the number without its point,
    [number_of_places] number of places
    [number_of_whole_inches] number of whole inches
    [numerator_without_its_point] the numerator without its point,
    [number_of_places_of_a_numerator] number of places of a numerator
   *[other] { $name }
}
denominator = no rule is divided into 1/{ $denominator } in; accepted: { $accepted }
exchanged = the low end { $low } of the interval lies above its high end { $high }
mixed = { $first } and { $second } cannot be compared: one is { $first_is }, the other { $second_is }
member = “{ $found }” does not name a string of a course; accepted: a letter a to z
no_gap = fretted at { $fret }, the string has no gap over fret { $fret }
backwards = fret { $to } does not lie beyond fret { $from }
graduation = a graduation must be above zero, got { $graduation }

pass_reading = reading { $position }: { $problem }
pass_count = { $found ->
    [one] one reading
   *[other] { $found } readings
  }, but { $wanted ->
    [one] one is wanted
   *[other] { $wanted } are wanted
  }; “-” stands for one that was not read, and numbers such as 1 1/16 are separated by semicolons
nothing_before = it says “=”, the same as before, but nothing was read there before
each_highest_first = one value for each string, the highest first
each_or_both_sides = one value for each string, or two: at the treble side and at the bass side; or name one side
each_lowest_first = one value for each string, the lowest first

note = “{ $given }” is not a note: { $problem }
note_empty = it is empty
note_letter = it does not start with a letter A to G
note_many_accidentals = it has more than two accidentals
note_mixed_accidentals = it mixes sharps and flats
note_octave = its octave, −1 to 9, is missing
note_range = it lies outside C-1 to G9
note_cents = its offset is not a number of cents with its sign, at most 100 either way
note_accepted = a letter A to G, # or b if needed, and the octave, with an offset in cents if there is one: E1, Bb0, F#2, A4-2.5

unusual = { $beyond ->
    [below] { $reading } is unusually low
   *[above] { $reading } is unusually high
}
family = { $family ->
    [bass] on a bass
    [guitar] on a guitar
   *[other] on such an instrument
}
impossible = { $beyond ->
    [below] { $reading } is too low to be true
   *[above] { $reading } is too high to be true
}
other_kind = { $reading } is { $found }
over_the_nut = a gap is read over a fret, not over the nut
lies_on_fret = a string fretted at { $fret } lies on that fret: there is no gap
not_beyond = the frets must rise: two under the straight edge, and the one that is read at beyond them
not_between = the frets must rise, with the fret that is read at between the other two
pickup_zero = pickups are counted from 1, the one nearest the bridge
open_intonation = intonation is read at a fret against the open string
from_fret_1 = a fret from 1
another_fret = another fret
edge_frets = two frets under the straight edge, and a higher one beyond them
rising_frets = a first fret, a higher last fret, and a fret between them
from_pickup_1 = 1 or more
range = { $low } to { $high }
