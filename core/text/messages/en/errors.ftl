# What went wrong, and what would be accepted.

not_found = { $what ->
    [instrument] no instrument “{ $name }”
    [template] no template “{ $name }”
    [entry] no entry “{ $name }”
    [setup] no setup “{ $name }”
    [visit] no visit “{ $name }”
    [open_visit] no visit is open on this device
    [fact] the fact “{ $name }” is not set
    [person] nobody with the fingerprint “{ $name }”
    [invitation] no open invitation “{ $name }”
    [relay] this record has no relay
    [held] nothing held of the device with the fingerprint “{ $name }”
    [player] nothing has been learned about how “{ $name }” plays
    [write] this device has nothing to undo or redo
    [readings] no readings to take a setup from
    [job] no job number { $name }
    [spec] the shop has no spec called “{ $name }”
    [string_set] the shop has no string set called “{ $name }”
    [targets] “{ $name }” has no targets to take
   *[field] no field “{ $name }”
}
bad_input = { $field }: { $reason }
unsure = { $field }: { $reason }. Confirm to enter it anyway.
plan_moved = the plan has moved on since that step was shown: look at it again
not_a_step = { $given } is not a step of a plan
which_way = this test may go either way; which way was it turned?
nothing_was_said = what was done instead is missing
nothing_to_write = there is nothing to enter for this step ({ $step })
contested = { $field }: newer values have arrived; review them before you choose
read_only = read only: { $reason }
refused = refused: { $reason }
not_allowed = not allowed: { $reason }
busy = busy: { $reason }
full = no room left: { $reason }
storage = the store cannot be used: { $reason }
keys = the device's keys are unavailable: { $reason }
closed = the workshop was shut down
cancelled = cancelled
internal = internal error { $report }: { $reason }
with_accepted = { $error } ({ $accepted })

field = { $field ->
    [string] string
    [strings] strings
    [fret] fret
    [pickup] pickup
    [unit] unit
    [units] units
    [tolerance] tolerance
    [reading] reading
    [readings] readings
    [entry] entry
    [target] target
    [time] time
    [value] value
    [instrument] instrument
    [name] name
    [label] device label
    [invitation] invitation
    [setup] setup
    [token] token
    [note] note
    [clock] clock
    [edit] edit
    [field] field
    [clearance] clearance
    [buzz] buzz
    [comparison] comparison
    [days] days
    [digits] digits
    [role] role
    [reason] reason
    [table] table
    [step] step
    [direction] direction
    [remark] remark
    [author] author
    [forecast] forecast
    [tool] tool
    [language] language
    [turns] turns
    [distance] distance
    [minutes] minutes since it was tuned
    [id] id
    [version] version
    [scale] scale length
    [air] climate
    [adjustment] adjustment
    [photo] photo
    [side] side of the small picture
    [job] job
    [part] part
    [price] price
    [contact] contact
    [care] when it is due for a check
    [file] file
    [folder] folder
    [relay] address of the relay
    [frets] frets
    [nut-spread] outer strings at the nut
    [bridge-spread] outer strings at the bridge
   *[other] input
}
field_reading = reading { $position }
field_at = { $quantity }, { $location }

shop_text = it is empty, too long, or has invisible characters
shop_text_accepted = { $least } to { $most } characters
no_price = “{ $text }” is not a price
care = those are not such months
care_accepted = 1 to 120 months, or months of the year from 1 to 12
no_export = it is not an exported record
export_newer = it was exported by a newer version
export_accepted = a file that was exported as JSON
no_store = nothing is stored there yet
store_folder = the folder of a workshop
store_there = something is stored there already; nothing is overwritten
store_empty = an empty folder
none_yet = there are none yet
no_touch_yet = nobody's touch is known yet; note where it buzzes, or enter final readings of what plays clean
there_are = there are: { $names }
there_are_more = there are: { $names }, and { $more } more
and_more = { $names }, and { $more } more
similar = similar among { $count }: { $names }
history_names = the history shows the names of entries, such as tech-12
several_fit = “{ $name }” fits several
name_taken = an instrument “{ $name }” exists already
no_such_parts = no rule has such parts of an inch
parts_of_an_inch = 2, 4, 8, 16, 32, 64 or 128 parts
setup_taken = a setup “{ $name }” exists already
compare_setups = a setup is compared with what was measured, not with another setup
own_name = choose another name
accepted_range = { $low } to { $high }
other_processes = other programs keep writing this record; try again
record_moved = another program has just written this record; try again
called_from_callback = the workshop was called from inside one of its own callbacks; call it afterwards
viewer = this device was invited as a viewer; an owner can invite it as a contributor
people_missing = the people of this record have not arrived on this device; import a bundle first
only_owner = only an owner of the record can do this
not_oneself = this is your own device; leave the record instead
last_owner = you are the only owner; make somebody else an owner first, or forget the instrument on this device
removed = this device was removed from the record, or has left it; what you wrote since is on this device only
came_in_before = this device came in before yours, so only who was there before it, or the recovery words, can change its role
joins_as_owner = nobody joins as owner
not_invited_as_owner = contributor or viewer; make the device an owner once it has joined
no_key = this device no longer has a key for the record; ask an owner for an invitation
locked = the device is locked; unlock it and try again
lost = they are lost ({ $reason })
no_bundles = the file holds no bundles
nothing_in_it = the file holds nothing for this record
not_shared_here = this device does not share the record of this bundle; accept an invitation to it first
shared_already = this device already shares the record of “{ $name }”
visit_has_entries = it opens a visit that has entries
cross_out_first = cross those out first
no_readings_given = every one is “-”
stands_as_read = “=” is not a new reading: the last one stands. If you measured again, enter the numbers
at_least_one = give at least one
strings_unknown = the number of strings of this instrument is not known
name_strings = name the strings, or set their number
setup_name_bad = “{ $name }” cannot name a setup
setup_name_accepted = 1 to 40 letters and digits, such as “stage” or “drop tuning”
no_such_value = { $field } has no value { $number }
read_numbers_first = measure first, after the last thing that was done
usual = { $place }: { $why } (usual: { $low } to { $high })
usual_whole = { $why } (usual: { $low } to { $high })
fact_unusual = { $fact }: { $given } is unusual (usual: { $low } to { $high })
notes_reversed = the notes get higher from string 1 on, and string 1 is the highest: they may be the wrong way round
gauges_reversed = the strings get thinner from string 1 on, and string 1 is the highest: they may be the wrong way round
scale_reversed = the lowest string has the shorter scale: the two may be the wrong way round
spread_reversed = the strings are farther apart at the nut than at the bridge
of_what = { $what }: { $why }
turned_far = { $turns } at once is unusual (usual: at most { $usual })
rod_turned_far = { $turns } of a truss rod at once is unusual (usual: at most { $usual }, then read relief again)
moved_far = { $given } at once is unusual (usual: at most { $usual })
against_known_way = this screw is known to work the other way
thick_for_plain = { $string }: { $gauge } is thick for a plain string; one of that gauge is usually wound
thin_for_wound = { $string }: { $gauge } is thin for a wound string; one of that gauge is usually plain
air_unusual = a climate of { $given } is unusual (usual: { $low } to { $high })
air_impossible = a climate of { $given } is impossible
amounts_between = { $low } to { $high }

no_such_string = this instrument has no { $place }; it has { $accepted }
no_such_fret = this instrument has no { $fret }; it has 0 (nut) to { $last }
no_such_pickup = this instrument has no { $pickup }; it has { $count }, number 1 nearest the bridge
fret_order = { $first } must lie before { $second }
dimension = { $quantity }: expected { $wanted }, got { $found }
tolerance = { $tolerance } is below zero
crown_height = how far a crown stands high or low is given from zero up, not as { $by }
no_readings = none was given
no_such_entry = { $entry } does not exist
not_crossed_out = it is not crossed out
no_token = it is not the token of a bundle
token_accepted = the token as it came with the bundle
crossed_out_already = it is crossed out already
text_length = { $found } characters given; accepted are 1 to { $most }
newer_value = { $key } was written by a newer version, and is not overwritten; if it is wrong, take it back first, then set it
courses_wrong = no instrument is strung like this
courses_accepted = 1 to { $courses } courses of 1 to { $strings } strings
frets_accepted = 0 (fretless) to { $most }
unit_weight = unit weight
above_zero = a number above zero
saddle_without_strings = a shared saddle has to carry at least one string
fact_not_written = this version cannot write it: { $reason }
not_set = { $key } is not set
unknown_target = this version cannot set a target for it
stated_time = no calendar has this time; accepted are the years 1 to 9999, at most 18 hours from UTC
time_unlikely = { $time } cannot be the time of an entry
time_likely = from 1900 to tomorrow
unreadable = { $key } would not be read back as it was given
clock = no calendar has the time of this device's clock
clock_accepted = a time from the year 1 to 9999
too_large = it is more than one change can hold
less_at_once = less at once
value_size = it is too long to keep
shorter = shorter texts and lists

clearance_accepted = measure or set it first
strings_accepted = gauges or notes of its strings
buzz_accepted = a string whose action has been measured, and frets below the last one
no_action = the action of string { $string } has not been measured
days = an invitation cannot be valid for { $days ->
    [one] one day
   *[other] { $days } days
  }
label = “{ $label }” cannot name a device
label_accepted = 1 to 64 bytes, without invisible characters and without spaces at the ends, such as “tech”

compare_unwritten = { $fact } must be set, to one value, before anything can be compared
compare_no_visit = no visit begins with entry { $visit }
compare_no_target = the setup has no target of relief, action or nut to compare with; name an earlier visit instead
compare_visit_unread = that visit has no reading of relief, action or nut that still holds
compare_today_unread = there is no reading of relief, action or nut that still holds

store_newer = the store was written by a newer version; use that version to change it
store_busy = another program kept the store locked; try again
store_full = there is no room left; free some space and try again
not_writable = { $path } cannot be written: { $reason }
cannot_open = { $path } cannot be opened: { $reason }
io = the system failed to read or write: { $reason }
no_log = { $path } lies where writes cannot be kept safe (perhaps a network folder): use a folder on this device
damaged = the file of the store is damaged and cannot be repaired now: close other programs that use it, make it writable, and open it again
not_a_store = { $path } is a file of another program: name another folder
engine = the database library is version { $found }; { $needed } or newer is needed

no_invitation = this text is not an invitation: twelve words, or the text of its code, are expected
invitation_newer = the invitation was written by a newer version; update this one first
invitation_damaged = the invitation was changed on the way; get it again
codes_too_much = this is too much for codes; send it as a file, or meet
codes_other = this code is not one of a series that was shown by another device
codes_damaged = the code was misread; show it once more
invitation_expired = the invitation expired at { $expired }; ask for a new one
invitation_used = another device used the invitation before this one; ask for another invitation
invitation_withdrawn = the invitation was withdrawn before anybody heard that this device had used it; ask for another one
invitation_relay = what follows the words of the invitation is not the address of a relay
words_count = { $count ->
    [one] one word was
   *[other] { $count } words were
  } given; there are twelve
word_unknown = word { $place }, “{ $word }”, is not in the list of words; check its spelling
words_checksum = the words do not belong together: one of them is wrong, or in the wrong place
no_welcome = the file holds no welcome for these words; ask whoever invited you for a bundle that was made after the invitation
no_letter = the file holds nothing for these recovery words; another bundle file with the whole record is needed, or other words
words_replaced = these recovery words have been replaced by newer ones

not_a_bundle = this is not a bundle
bundle_newer = the bundle was written by a newer version; update this one first
bundle_cut = the bundle is cut short; get the file again
bundle_other = the bundle is for another record
bundle_key = this device has no key for the bundle
bundle_altered = the bundle was changed on the way; get the file again
bundle_malformed = the bundle is malformed; get the file again
snapshot_damaged = the stored record is damaged
snapshot_other = the store holds another record in its place

names_none = “{ $text }” is { $what ->
    [tool] not a tool
    [string] not a string
    [side] not a side
    [location] not a place
    [family] not a kind of instrument
    [fret] not a fret
   *[quantity] not something that is measured
}
named_so = { $what ->
    [tool] { $accepted }, or one of these with another graduation
    [string] the number of a string, 1 on the treble side; with a letter in a course, 3a
    [side] bass side, treble side
    [location] whole, the number of a string, bass side, treble side
    [fret] a whole number, 0 for the nut
   *[other] { $accepted }
}

number_unwritable = { $number } cannot be entered
number_accepted = a number below one billion, with at most nine decimal places
turns_accepted = −100 to 100 turns, above zero clockwise
newer_choice = a newer version wrote it, and this one cannot write it
newer_choice_accepted = another choice, or a newer version of the app
no_id = it is not an id of that kind
id_accepted = { $of ->
    [instrument] an id from the list of instruments
    [entry] an id from the history
    [visit] an id from the list of visits
    [step] an id from the plan
    [setup] an id from the list of setups, such as “stage”
   *[version] an id from the contested values
}
not_shown_so = { $amount } cannot be shown that way
shown_accepted = 0 to 9 places, or parts into which a rule is divided
one_letter = “{ $given }” is more than one letter
place_accepted = 1 to 48, 1 on the treble side; in a course of several strings also a letter
fret_accepted = 0 to 36, 0 for the open string
not_spoken = there is no language “{ $language }” here
