# Was schiefging, und was angenommen würde.

not_found = { $what ->
    [instrument] kein Instrument „{ $name }“
    [template] keine Vorlage „{ $name }“
    [entry] kein Eintrag „{ $name }“
    [setup] kein Setup „{ $name }“
    [visit] kein Termin „{ $name }“
    [open_visit] auf diesem Gerät ist kein Termin offen
    [fact] die Angabe „{ $name }“ ist nicht eingetragen
    [person] niemand mit dem Fingerabdruck „{ $name }“
    [invitation] keine offene Einladung „{ $name }“
    [relay] diese Akte hat kein Relais
    [held] nichts Zurückgehaltenes vom Gerät mit dem Fingerabdruck „{ $name }“
    [player] über den Anschlag von „{ $name }“ ist nichts bekannt
    [write] auf diesem Gerät ist nichts zurückzunehmen oder wiederherzustellen
    [readings] keine Messwerte, aus denen ein Setup werden könnte
    [job] kein Auftrag Nummer { $name }
    [spec] die Werkstatt hat keine Vorgabe namens „{ $name }“
    [string_set] die Werkstatt hat keinen Saitensatz namens „{ $name }“
    [targets] „{ $name }“ hat keine Sollwerte zum Übernehmen
   *[field] kein Feld „{ $name }“
}
bad_input = { $field }: { $reason }
unsure = { $field }: { $reason }. Zum Eintragen bitte bestätigen.
plan_moved = der Plan hat sich geändert, seit dieser Schritt gezeigt wurde; bitte neu ansehen
not_a_step = { $given } bezeichnet keinen Schritt eines Plans
which_way = dieser Versuch kann in beide Richtungen gehen; in welche wurde gedreht?
nothing_was_said = was stattdessen getan wurde, fehlt
nothing_to_write = zu diesem Schritt gibt es nichts einzutragen ({ $step })
contested = { $field }: es sind neuere Werte eingetroffen; vor der Entscheidung ansehen
read_only = nur lesbar: { $reason }
refused = abgelehnt: { $reason }
not_allowed = nicht erlaubt: { $reason }
busy = belegt: { $reason }
full = kein Platz mehr: { $reason }
storage = die Datenbank ist nicht benutzbar: { $reason }
keys = die Schlüssel des Geräts sind nicht verfügbar: { $reason }
closed = die Werkstatt wurde geschlossen
cancelled = abgebrochen
internal = interner Fehler { $report }: { $reason }
with_accepted = { $error } ({ $accepted })

field = { $field ->
    [string] Saite
    [strings] Saiten
    [fret] Bund
    [pickup] Tonabnehmer
    [unit] Einheit
    [units] Einheiten
    [tolerance] Toleranz
    [reading] Messwert
    [readings] Messwerte
    [entry] Eintrag
    [target] Sollwert
    [time] Zeit
    [value] Wert
    [instrument] Instrument
    [name] Name
    [label] Name des Geräts
    [invitation] Einladung
    [setup] Setup
    [token] Beleg
    [note] Ton
    [clock] Uhr
    [edit] Änderung
    [field] Angabe
    [clearance] Luft über den Bünden
    [buzz] Schnarren
    [comparison] Vergleich
    [days] Tage
    [digits] Ziffern
    [role] Rolle
    [reason] Grund
    [table] Tabelle
    [step] Schritt
    [direction] Richtung
    [remark] Bemerkung
    [author] Name der Person
    [forecast] Vorhersage
    [tool] Werkzeug
    [language] Sprache
    [turns] Umdrehungen
    [distance] Weg
    [minutes] Minuten seit dem Stimmen
    [id] Kennung
    [version] Fassung
    [scale] Mensur
    [air] Klima
    [adjustment] Einstellung
    [photo] Foto
    [side] Seite des kleinen Bildes
    [job] Auftrag
    [part] Teil
    [price] Preis
    [contact] Kontakt
    [care] wann es wieder fällig ist
    [file] Datei
    [folder] Ordner
    [relay] Adresse des Relais
    [frets] Bünde
    [nut-spread] äußere Saiten am Sattel
    [bridge-spread] äußere Saiten am Steg
   *[other] Eingabe
}
field_reading = Messwert { $position }
field_at = { $quantity }, { $location }

shop_text = leer, zu lang oder mit Zeichen, die man nicht sieht
shop_text_accepted = { $least } bis { $most } Zeichen
no_price = „{ $text }“ ist kein Preis
care = solche Monate gibt es nicht
care_accepted = 1 bis 120 Monate, oder Monate des Jahres von 1 bis 12
no_export = das ist keine ausgegebene Akte eines Instruments
export_newer = eine neuere Version hat es ausgegeben
export_accepted = eine Datei, die als JSON ausgegeben wurde
no_store = dort ist noch nichts gespeichert
store_folder = der Ordner einer Werkstatt
store_there = dort ist schon etwas gespeichert; überschrieben wird nichts
store_empty = ein leerer Ordner
none_yet = es gibt noch keine
no_touch_yet = noch über niemanden; eintragen, wo es schnarrt, oder als Endwerte messen, was sauber klingt
there_are = es gibt: { $names }
there_are_more = es gibt: { $names } und { $more } weitere
and_more = { $names } und { $more } weitere
similar = ähnlich von { $count }: { $names }
history_names = der Verlauf zeigt die Namen der Einträge, etwa tech-12
several_fit = „{ $name }“ passt auf mehrere
name_taken = ein Instrument „{ $name }“ gibt es schon
no_such_parts = kein Lineal hat solche Teile eines Zolls
parts_of_an_inch = 2, 4, 8, 16, 32, 64 oder 128 Teile
setup_taken = ein Setup „{ $name }“ gibt es schon
compare_setups = ein Setup wird mit dem verglichen, was gemessen wurde, nicht mit einem anderen Setup
own_name = bitte einen anderen Namen wählen
accepted_range = { $low } bis { $high }
other_processes = andere Programme schreiben dauernd in diese Akte; bitte noch einmal versuchen
record_moved = ein anderes Programm hat gerade in diese Akte geschrieben; bitte noch einmal versuchen
called_from_callback = die Werkstatt wurde aus einem ihrer eigenen Rückrufe aufgerufen; bitte danach aufrufen
viewer = dieses Gerät darf nur lesen; zum Mitschreiben braucht es eine Einladung von einem Gerät, das alles verwaltet
people_missing = die Beteiligten dieser Akte sind auf diesem Gerät noch nicht bekannt; bitte zuerst ein Bündel einlesen
only_owner = das kann nur ein Gerät, das alles verwaltet
not_oneself = das ist das eigene Gerät; es kann die Akte verlassen
last_owner = kein anderes Gerät verwaltet alles; bitte erst einem anderen diese Rolle geben, oder das Instrument auf diesem Gerät vergessen
removed = dieses Gerät wurde aus der Akte entfernt oder hat sie verlassen; was seither darauf geschrieben wurde, ist nur hier
came_in_before = dieses Gerät war vor diesem hier dabei: seine Rolle ändert nur, wer vor ihm dabei war oder die Wörter zur Wiederherstellung hat
joins_as_owner = mit dem Recht, alles zu verwalten, kommt niemand dazu
not_invited_as_owner = contributor oder viewer; das Recht, alles zu verwalten, bekommt das Gerät, sobald es dabei ist
no_key = dieses Gerät hat keinen Schlüssel mehr für diese Akte; bitte um eine Einladung bitten
locked = das Gerät ist gesperrt; bitte entsperren und noch einmal versuchen
lost = sie sind verloren ({ $reason })
no_bundles = die Datei enthält keine Bündel
nothing_in_it = die Datei enthält nichts für diese Akte
not_shared_here = dieses Gerät teilt die Akte dieses Bündels nicht; bitte zuerst eine Einladung annehmen
shared_already = dieses Gerät teilt die Akte von „{ $name }“ schon
visit_has_entries = damit beginnt ein Termin, der Einträge hat
cross_out_first = bitte zuerst diese streichen
no_readings_given = alle sind „-“
stands_as_read = „=“ ist keine neue Messung: die letzte gilt. Wurde neu gemessen, die Zahlen schreiben
at_least_one = bitte mindestens einen angeben
strings_unknown = die Zahl der Saiten dieses Instruments ist nicht bekannt
name_strings = bitte die Saiten nennen oder ihre Zahl eintragen
setup_name_bad = „{ $name }“ kann kein Setup benennen
setup_name_accepted = 1 bis 40 Buchstaben und Ziffern, etwa „stage“ oder „drop tuning“
no_such_value = { $field } hat keinen Wert { $number }
read_numbers_first = bitte zuerst messen, nach der letzten Arbeit
usual = { $place }: { $why } (üblich: { $low } bis { $high })
usual_whole = { $why } (üblich: { $low } bis { $high })
fact_unusual = { $fact }: { $given } ist ungewöhnlich (üblich: { $low } bis { $high })
notes_reversed = die Töne werden von Saite 1 an höher, und Saite 1 ist die höchste: vielleicht sind sie vertauscht
gauges_reversed = die Saiten werden von Saite 1 an dünner, und Saite 1 ist die höchste: vielleicht sind sie vertauscht
scale_reversed = die tiefste Saite hat die kürzere Mensur: vielleicht sind beide vertauscht
spread_reversed = die Saiten liegen am Sattel weiter auseinander als am Steg
of_what = { $what }: { $why }
turned_far = { $turns } auf einmal ist ungewöhnlich (üblich: höchstens { $usual })
rod_turned_far = { $turns } am Halsspannstab auf einmal ist ungewöhnlich (üblich: höchstens { $usual }, dann die Halskrümmung neu messen)
moved_far = { $given } auf einmal ist ungewöhnlich (üblich: höchstens { $usual })
against_known_way = diese Schraube wirkt, soweit bekannt, andersherum
thick_for_plain = { $string }: { $gauge } ist für eine blanke Saite dick; Saiten dieser Stärke sind sonst umsponnen
thin_for_wound = { $string }: { $gauge } ist für eine umsponnene Saite dünn; Saiten dieser Stärke sind sonst blank
air_unusual = ein Klima mit { $given } ist ungewöhnlich (üblich: { $low } bis { $high })
air_impossible = ein Klima mit { $given } kann nicht sein
amounts_between = { $low } bis { $high }

no_such_string = dieses Instrument hat keine { $place }; es hat { $accepted }
no_such_fret = dieses Instrument hat keinen { $fret }.; es hat 0 (Sattel) bis { $last }
no_such_pickup = dieses Instrument hat keinen { $pickup }.; es hat { $count }, Nummer 1 am nächsten am Steg
fret_order = der { $first }. muss vor dem { $second }. liegen
dimension = { $quantity }: erwartet { $wanted }, angegeben { $found }
tolerance = { $tolerance } liegt unter null
crown_height = wie hoch oder tief eine Krone steht, wird ab null angegeben, nicht mit { $by }
no_readings = keiner angegeben
no_such_entry = { $entry } gibt es nicht
not_crossed_out = er ist nicht gestrichen
no_token = das ist kein Beleg eines Bündels
token_accepted = der Beleg, wie er mit dem Bündel kam
crossed_out_already = er ist schon gestrichen
text_length = { $found } Zeichen angegeben; angenommen werden 1 bis { $most }
newer_value = { $key } hat eine neuere Version geschrieben und wird nicht überschrieben; ist es falsch, zuerst zurücknehmen, dann neu setzen
courses_wrong = so ist kein Instrument besaitet
courses_accepted = 1 bis { $courses } Chöre mit 1 bis { $strings } Saiten
frets_accepted = 0 (bundlos) bis { $most }
unit_weight = Längengewicht
above_zero = eine Zahl über null
saddle_without_strings = ein gemeinsamer Reiter muss mindestens eine Saite tragen
fact_not_written = diese Version kann es nicht schreiben: { $reason }
not_set = { $key } ist nicht eingetragen
unknown_target = diese Version kann dafür keinen Sollwert setzen
stated_time = diese Zeit hat kein Kalender; angenommen werden die Jahre 1 bis 9999, höchstens 18 Stunden neben UTC
time_unlikely = { $time } ist keine Zeit eines Eintrags
time_likely = von 1900 bis morgen
unreadable = { $key } käme anders zurück, als es angegeben ist
clock = die Uhr dieses Geräts zeigt eine Zeit, die kein Kalender hat
clock_accepted = eine Zeit aus den Jahren 1 bis 9999
too_large = das ist mehr, als eine Änderung fasst
less_at_once = weniger auf einmal
value_size = das ist zu lang
shorter = kürzere Texte und Listen

clearance_accepted = bitte zuerst messen oder eintragen
strings_accepted = Stärken oder Töne der Saiten
buzz_accepted = eine Saite mit gemessener Saitenlage und Bünde unter dem letzten
no_action = die Saitenlage von Saite { $string } wurde nicht gemessen
days = eine Einladung kann nicht { $days ->
    [one] einen Tag
   *[other] { $days } Tage
  } gelten
label = „{ $label }“ kann kein Gerät benennen
label_accepted = 1 bis 64 Byte, ohne unsichtbare Zeichen und ohne Leerzeichen am Rand, etwa „tech“

compare_unwritten = { $fact } muss eingetragen sein, mit einem Wert, bevor etwas verglichen werden kann
compare_no_visit = mit Eintrag { $visit } beginnt kein Termin
compare_no_target = das Setup hat keinen Sollwert für Halskrümmung, Saitenlage oder Sattel; stattdessen einen früheren Termin nennen
compare_visit_unread = dieser Termin hat keinen Messwert von Halskrümmung, Saitenlage oder Sattel, der noch gilt
compare_today_unread = es gibt keinen Messwert von Halskrümmung, Saitenlage oder Sattel, der noch gilt

store_newer = die Datenbank hat eine neuere Version geschrieben; zum Ändern bitte diese verwenden
store_busy = ein anderes Programm hielt die Datenbank gesperrt; bitte noch einmal versuchen
store_full = es ist kein Platz mehr; bitte Platz schaffen und noch einmal versuchen
not_writable = { $path } kann nicht geschrieben werden: { $reason }
cannot_open = { $path } kann nicht geöffnet werden: { $reason }
io = das System konnte nicht lesen oder schreiben: { $reason }
no_log = { $path } liegt, wo Geschriebenes nicht sicher ist (vielleicht ein Ordner im Netz): einen Ordner auf diesem Gerät nehmen
damaged = die Datei der Datenbank ist beschädigt und lässt sich jetzt nicht reparieren: andere Programme schließen, die sie benutzen, sie beschreibbar machen und noch einmal öffnen
not_a_store = { $path } ist die Datei eines anderen Programms: einen anderen Ordner nennen
engine = die Datenbankbibliothek hat Version { $found }; nötig ist { $needed } oder neuer

no_invitation = dieser Text ist keine Einladung: erwartet werden zwölf Wörter oder der Text ihres Codes
invitation_newer = die Einladung hat eine neuere Version geschrieben; bitte zuerst aktualisieren
invitation_damaged = die Einladung wurde unterwegs verändert; bitte neu holen
codes_too_much = das ist zu viel für Codes; bitte als Datei senden, oder sich treffen
codes_other = dieser Code gehört zu keiner Folge, die ein anderes Gerät gezeigt hat
codes_damaged = der Code wurde falsch gelesen; bitte noch einmal zeigen
invitation_expired = die Einladung ist am { $expired } abgelaufen; bitte um eine neue bitten
invitation_used = ein anderes Gerät hat die Einladung vor diesem gebraucht; bitte um eine andere bitten
invitation_withdrawn = die Einladung wurde zurückgezogen, bevor jemand wusste, dass dieses Gerät sie gebraucht hat; bitte um eine andere bitten
invitation_relay = was hinter den Wörtern der Einladung steht, ist keine Adresse eines Relais
words_count = { $count ->
    [one] ein Wort
   *[other] { $count } Wörter
  } angegeben; es sind zwölf
word_unknown = Wort { $place }, „{ $word }“, steht nicht in der Liste der Wörter; bitte die Schreibweise prüfen
words_checksum = die Wörter gehören nicht zusammen: eines ist falsch oder steht an der falschen Stelle
no_welcome = die Datei enthält zu diesen Wörtern keinen Willkommensbrief; bitte um ein Bündel bitten, das nach der Einladung entstanden ist
no_letter = die Datei enthält nichts zu diesen Wörtern zur Wiederherstellung; nötig ist ein anderes Bündel mit der ganzen Akte, oder andere Wörter
words_replaced = diese Wörter zur Wiederherstellung sind durch neuere ersetzt

not_a_bundle = das ist kein Bündel
bundle_newer = das Bündel hat eine neuere Version geschrieben; bitte zuerst aktualisieren
bundle_cut = das Bündel ist abgeschnitten; bitte die Datei neu holen
bundle_other = das Bündel gehört zu einer anderen Akte
bundle_key = dieses Gerät hat keinen Schlüssel für das Bündel
bundle_altered = das Bündel wurde unterwegs verändert; bitte die Datei neu holen
bundle_malformed = das Bündel hat nicht die richtige Form; bitte die Datei neu holen
snapshot_damaged = die gespeicherte Akte ist beschädigt
snapshot_other = in der Datenbank steht eine andere Akte an ihrer Stelle

names_none = „{ $text }“ ist { $what ->
    [tool] kein Werkzeug
    [string] keine Saite
    [side] keine Seite
    [location] keine Stelle
    [family] keine Art von Instrument
    [fret] kein Bund
   *[quantity] nichts, was gemessen wird
}
named_so = { $what ->
    [tool] { $accepted }, oder eines davon mit anderer Teilung
    [string] die Nummer einer Saite, 1 auf der Diskantseite; in einem Chor mit Buchstabe, 3a
    [side] bass side, treble side
    [location] whole, die Nummer einer Saite, bass side, treble side
    [fret] eine ganze Zahl, 0 für den Sattel
   *[other] { $accepted }
}

number_unwritable = { $number } lässt sich nicht eintragen
number_accepted = eine Zahl unter einer Milliarde mit höchstens neun Nachkommastellen
turns_accepted = −100 bis 100 Umdrehungen, im Uhrzeigersinn über null
newer_choice = eine neuere Version hat es geschrieben, und diese kann es nicht schreiben
newer_choice_accepted = eine andere Auswahl, oder eine neuere Version der App
no_id = das ist keine solche Kennung
id_accepted = { $of ->
    [instrument] eine Kennung, wie sie in der Liste der Instrumente steht
    [entry] eine Kennung, wie sie im Verlauf steht
    [visit] eine Kennung, wie sie in der Liste der Termine steht
    [step] eine Kennung, wie sie im Plan steht
    [setup] eine Kennung wie in der Liste der Setups, etwa „stage“
   *[version] eine Kennung, wie sie bei den widersprüchlichen Werten steht
}
not_shown_so = { $amount } lässt sich so nicht anzeigen
shown_accepted = 0 bis 9 Nachkommastellen oder Teile, in die ein Lineal geteilt ist
one_letter = „{ $given }“ ist mehr als ein Buchstabe
place_accepted = 1 bis 48, 1 auf der Diskantseite; in einem Chor mit mehreren Saiten dazu ein Buchstabe
fret_accepted = 0 bis 36, 0 für die leere Saite
not_spoken = die Sprache „{ $language }“ gibt es hier nicht
