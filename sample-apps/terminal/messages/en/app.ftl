# The command line and the settings.
choices = [{ $list }]
language_name = English
language = Language: { $name }.
language_unknown = “{ $tag }” is not a language of this app; accepted: { $accepted }, auto
units = Computed lengths: { $units }.
units_unknown = “{ $part }” means nothing here; accepted: as-read, mm, thou, in, fractions; then exceptions such as relief thou, temperature F, readings too
