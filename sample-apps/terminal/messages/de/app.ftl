# Befehlszeile und Einstellungen.
choices = [{ $list }]
language_name = Deutsch
language = Sprache: { $name }.
language_unknown = „{ $tag }“ ist keine Sprache dieser App; möglich: { $accepted }, auto
units = Berechnete Längen: { $units }.
units_unknown = „{ $part }“ bedeutet hier nichts; möglich: as-read, mm, thou, in, fractions; dann Ausnahmen wie relief thou, temperature F, readings too
