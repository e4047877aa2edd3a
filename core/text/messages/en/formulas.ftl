### What the mathematics refuses. What it names in English is said here in every other language.

word = { $key ->
   *[other] { $name }
}
missing = not known yet, and needed { $needed_for }
not_known_yet = { $quantity } is not known yet
count_needed = { $given } given, at least { $needed } needed
count_expected = { $given } given, { $expected } expected
no_such_place = { $number } does not exist here
not_known = not one of those that are known
undetermined = cannot be told from what was given: { $reason }
not_finite = not a finite number
finite = a finite number
outside = { $value } is outside the limits
at_least = at least { $least }
exactly = { $count }
measured = { $unit ->
   *[other] { $number } { $symbol }
}
range = { $least } to { $most }
