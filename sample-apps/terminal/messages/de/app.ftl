# Befehlszeile, Einstellungen und was dort schiefgeht.
options = [OPTIONEN]
choices = [{ $list }]
language_name = Deutsch
language = Sprache: { $name }.
language_unknown = „{ $tag }“ ist keine Sprache dieser App; möglich: { $accepted }, auto
units = Berechnete Längen: { $units }.
units_unknown = „{ $part }“ bedeutet hier nichts; möglich: as-read, mm, thou, in, fractions; dann Ausnahmen wie relief thou, temperature F, readings too
note = Hinweis: { $text }
undo = ({ $short }; zurücknehmen: fallaway undo)
sure = Sicher? [j/N]
answers_yes = j ja y yes
answers_no = n nein no
not_stored = Nichts wurde gespeichert. Wenn es stimmt, mit --sure wiederholen.
declined = nichts wurde gespeichert
quoted = „{ $name }“

no_folder = dieses System nennt keinen Ordner für Daten; mit --data ORDNER einen angeben
no_instrument = hier gibt es noch kein Instrument; Anfang: `fallaway templates` und `fallaway add VORLAGE NAME`
nothing_there = in { $folder } ist noch nichts; Anfang: `fallaway templates` und `fallaway add VORLAGE NAME`
which_instrument = welches Instrument? Mit -i NAME angeben; hier gibt es { $names }
which_instrument_of = welches Instrument? Mit -i NAME angeben; hier gibt es { $names } und { $more } weitere: fallaway list --search TEXT
not_ours = { $path } ist keine Datei dieser App ({ $reason }); löschen, um neu anzufangen
file_failed = { $what }: { $reason }
cannot_read = { $path } ist nicht lesbar
cannot_write = { $path } ist nicht beschreibbar
cannot_make = { $path } lässt sich nicht anlegen
cannot_empty = { $path } lässt sich nicht leeren
cannot_read_input = die Eingabe ist nicht lesbar
cannot_print = die Ausgabe ist gescheitert: { $reason }
cannot_serialize = die Antwort ließ sich nicht als JSON schreiben: { $reason }

# Was auf der Befehlszeile fehlt oder zu viel ist.
unknown_option = „{ $word }“ gehört hier nicht hin
not_here = „{ $word }“ gehört hier nicht hin; wenn es ein Instrument ist: -i { $word }
unknown_command = „{ $word }“ ist kein Befehl
missing_command = ein Befehl fehlt; möglich: { $accepted }
missing_arguments = noch nötig: { $arguments }
missing_value = { $argument } braucht einen Wert
empty_value = { $argument } ist leer; möglich: { $accepted }
wrong_value = „{ $value }“ passt nicht zu { $argument }
wrong_value_because = „{ $value }“ passt nicht zu { $argument }: { $reason }
whole_needed = eine ganze Zahl ist nötig
number_needed = eine Zahl ist nötig
too_many_values = „{ $value }“ ist ein Wert zu viel für { $argument }
wrong_count = { $argument } braucht { $wanted ->
    [one] einen Wert
   *[other] { $wanted } Werte
  }, nicht { $found }
conflict = { $argument } geht nicht zusammen mit { $others }
not_text = ein Argument ist kein gültiger Text
not_understood = die Befehlszeile ist nicht zu verstehen
accepted = { $error }; möglich: { $accepted }
similar = { $error }; ähnlich: { $accepted }
more_help = { $error } (Hilfe: { $command } --help)
write_over = { $path } gibt es schon und würde ersetzt
