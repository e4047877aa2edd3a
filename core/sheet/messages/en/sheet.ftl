### What stands on the page that a customer takes home, and on the one in the lid of the case.
customer = Set-up, { $day }
customer_for = Set-up, { $day }: { $purpose }
bench = Numbers of the set-up
bench_of = Numbers of setup “{ $setup }”
numbers = Numbers
what = what
as_found = as found
wanted = wanted
as_left = as left
wanted_within = { $wanted } ± { $tolerance }
on_target = { $all ->
    [1] The one number that has a target is left outside its tolerance.
   *[other] { $within } of { $all } numbers that have a target are left within their tolerance.
  }
on_target_all = { $all ->
    [1] The one number that has a target is left within its tolerance.
   *[other] All { $all } numbers that have a target are left within their tolerance.
  }
on_target_read = { $all ->
    [1] { $within ->
        [1] The one number read at the end is left within its tolerance;
       *[other] The one number read at the end is left outside its tolerance;
      }
   *[other] { $within } of the { $all } numbers read at the end are left within their tolerance;
  } { $open ->
    [1] one more that has a target was not read at the end.
   *[other] { $open } more that have a target were not read at the end.
  }
not_read_this_time = Not measured this time: { $what }.
not_read = –
done = What was done
nothing_done = Nothing was changed.
notes = Notes
facts = Instrument
by = By
strings = Strings
strings_since = Strings put on
tuning = Tuned to
air = Climate
air_humidity = { $humidity } relative humidity
air_temperature = { $temperature }
air_of = { $air } ({ $day })
neck_today = Neck
watch = What to watch
watch_open = Left open: { $steps }.
watch_two_values = { $what }: two targets are written down; one of them has to be chosen.
watch_wood = The neck follows the humidity of the air. When heating goes on or off, relief and action move over some weeks; keep the instrument between 40% and 60% relative humidity where possible (common practice).
come_back = When to come back
come_back_by = By { $day } at the latest, half a year on (common practice); sooner when it buzzes, plays harder, gets strings of another gauge or tuning, or has been somewhere very dry or damp.
invitation = Invitation
invitation_reads = Lets one device into this instrument's record, to read it; once, until { $until }.
invitation_writes = Lets one device into this instrument's record, to read it and to write down readings; once, until { $until }.
invitation_how = Show the code to the app, or type these words: { $words }. The record itself comes in a file, or over the relay.
invitation_caution = Whoever sees this page, or a photo of it, can use the invitation before you do. If it gets into other hands, have it withdrawn.
large_of = { $place }: { $what }
large_within = ± { $tolerance }
large_read = read last: { $read }
