### Bringing a table in.

no_rows = there are no rows below the headings
not_csv = it is not a table of comma-separated values (RFC 4180): { $reason }
not_json = it is not JSON (RFC 8259): { $reason }
not_an_object = each row has to be an object with a name for each cell
cell = row { $row }, column “{ $column }”
unknown_column = there is no such column
known_columns = date, visit, by, quantity, place, value, unit, tool, phase, note, temperature, humidity, hours, the number of a string, or a quantity such as “action” or “relief (feeler 1 thou)”; a column that means nothing here can be passed over
no_dates = no column says when it was measured
no_date = this is not a date
no_date_above = the date is missing here and above
dates = ISO 8601: 2025-03-14, or 2025-03-14 18:30
in_the_future = this is in the future
unknown_quantity = there is no such quantity
quantities = action, action open, relief, fall-away, nut, pitch, intonation 12, spacing, nut spacing, pickup 1, bridge height, bridge tail, or with its frets: action 1 12, relief 1 15
of_what = what was measured is missing
unknown_tool = there is no such tool
tools = rule 1/64, rule 0.5 mm, feeler 1 thou, feeler 0.01 mm, caliper 0.02 mm, dial 0.01 mm, tuner 1 cent
unknown_phase = there is no such state
phases = as found, working, as left
no_hours = this is not a number of hours
hours = a whole number
unknown_place = there is no such place
places = whole, the number of a string, bass side, treble side
