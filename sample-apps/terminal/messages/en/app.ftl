# The command line, the settings and what goes wrong there.
options = [OPTIONS]
choices = [{ $list }]
language_name = English
language = Language: { $name }.
language_unknown = “{ $tag }” is not a language of this app; accepted: { $accepted }, auto
units = Computed lengths: { $units }.
units_unknown = “{ $part }” means nothing here; accepted: as-read, mm, thou, in, fractions; then exceptions such as relief thou, temperature F, readings too
note = Note: { $text }
undo = ({ $short }; undo: fallaway undo)
sure = Sure? [y/N]
answers_yes = y yes
answers_no = n no
not_stored = Nothing was stored. If it is right, repeat it with --sure.
declined = nothing was stored
quoted = “{ $name }”

no_folder = this platform names no folder for data; give one with --data FOLDER
no_instrument = there is no instrument here yet; begin with `fallaway templates` and `fallaway add TEMPLATE NAME`
nothing_there = there is nothing in { $folder } yet; begin with `fallaway templates` and `fallaway add TEMPLATE NAME`
which_instrument = which instrument? Name it with -i NAME; here are { $names }
which_instrument_of = which instrument? Name it with -i NAME; here are { $names } and { $more } more: fallaway list --search TEXT
not_ours = { $path } is not a file of this app ({ $reason }); delete it to begin afresh
file_failed = { $what }: { $reason }
cannot_read = { $path } cannot be read
cannot_write = { $path } cannot be written
cannot_make = { $path } cannot be made
cannot_empty = { $path } cannot be emptied
cannot_read_input = the input cannot be read
cannot_print = the output could not be written: { $reason }
cannot_serialize = the answer could not be written as JSON: { $reason }

# What the command line is missing, or has too much of.
unknown_option = “{ $word }” is not expected here
not_here = “{ $word }” is not expected here; if it is an instrument: -i { $word }
unknown_command = “{ $word }” is not a command
missing_command = a command is missing; accepted: { $accepted }
missing_arguments = still needed: { $arguments }
missing_value = { $argument } needs a value
empty_value = { $argument } is empty; accepted: { $accepted }
wrong_value = “{ $value }” is not accepted for { $argument }
wrong_value_because = “{ $value }” is not accepted for { $argument }: { $reason }
whole_needed = a whole number is needed
number_needed = a number is needed
too_many_values = “{ $value }” is one value too many for { $argument }
wrong_count = { $argument } takes { $wanted ->
    [one] one value
   *[other] { $wanted } values
  }, not { $found }
conflict = { $argument } cannot be combined with { $others }
not_text = an argument is not valid text
not_understood = the command line was not understood
accepted = { $error }; accepted: { $accepted }
similar = { $error }; similar: { $accepted }
more_help = { $error } (help: { $command } --help)
write_over = { $path } is there already and would be replaced
