# What the shop keeps for itself, targets from elsewhere, and files.

targets_from = “{ $setup }” has the targets of “{ $from }”:
targets_usual = “{ $setup }” has usual numbers (common practice, no source), medium strings and touch:
usual_hint = Nobody asked for these numbers; they are marked “usual”. Change what the player wants: fallaway setup target
by_place = { $strings }: taken by position, no string has that note.
left_out = Left out, because this instrument has no such frets or pickups: { $what }
spec_kept = { $count ->
    [one] Kept as “{ $name }”: one target, on this device.
   *[other] Kept as “{ $name }”: { $count } targets, on this device.
  }
spec_dropped = “{ $name }” is forgotten. Targets that came from it stay.
head_specs = spec | has targets for
no_specs = The shop has no specs yet. From an instrument: fallaway spec keep NAME
pack_kept = { $count ->
    [one] Kept as “{ $name }”: one string, on this device.
   *[other] Kept as “{ $name }”: { $count } strings, on this device.
  }
pack_dropped = “{ $name }” is forgotten. What was fitted stays as it was entered.
head_packs = pack | gauges
no_packs = The shop has no string sets yet: fallaway pack keep NAME --gauges …
weights_count = { $found } unit weights for { $wanted } strings
weights_wrong = unit weights are numbers with their unit at the end: 0.0002 0.0004 lb/in, or g/m
owner_forgotten = The owner is forgotten.
owner_name_missing = whose contact is it? fallaway owner NAME --contact TEXT
no_owner = No owner noted: fallaway owner NAME --contact TEXT
only_here = On this device only: nobody who shares the record sees it.
job_added = Job { $number }: { $what }
job_noted = Job { $number }: { $what }
job_done = Job { $number } is done: { $what }
job_dropped = Job { $number } is forgotten.
numbered = { $number }: { $what }
no_jobs = No job yet: fallaway job add WHAT
head_jobs = job | what | more
price_wrong = “{ $text }” is not a price; accepted: 80, 12.50 EUR
day_wrong = “{ $text }” is not a day; accepted: 2026-12-05
waits_for = waits for { $part }
due = due { $day }
was_done = done { $day }
minutes = { $hours ->
    [0] { $minutes } min
   *[other] { $hours } h { $minutes } min
  }
work_costs = work { $price }
total = in all { $sums }
desk_empty = Nothing is open, and nothing is due.
desk_visits = In the shop
desk_open = Open work
desk_due = Due for a check
since = due since { $day }
no_care = No check is planned: fallaway care --months 6
care = Due for a check: { $when }
care_after = { $months ->
    [one] a month after the last entry
   *[other] { $months } months after the last entry
  }
care_in = every { $months }
month = { $month ->
    [jan] January
    [feb] February
    [mar] March
    [apr] April
    [may] May
    [jun] June
    [jul] July
    [aug] August
    [sep] September
    [oct] October
    [nov] November
   *[dec] December
  }
month_wrong = “{ $text }” is not a month; accepted: 3, march
nothing_found = “{ $text }” was not found.
found_in = { $place ->
    [instrument] instrument
    [owner] owner
    [job] job
    [entry] entry
    [setup] setup
    [spec] spec
   *[pack] pack
  }
table_written = The readings of “{ $name }” are in { $file }, a row each.
record_written = The whole record of “{ $name }” is in { $file }. It is not sealed: whoever has it can read it.
backed_up = Everything on this device is in { $file }, not sealed; the keys are not. Where the keys are lost too, the recovery words of each instrument bring it back: fallaway recovery-words
record_restored = “{ $name }” is here again, as a record of its own: share it anew with whoever shared the old one.
restored = { $count ->
    [one] One instrument is here again.
   *[other] { $count } instruments are here again.
  }
