# Einträge des Verlaufs.

with_note = { $entry }: { $note }
partly_newer = { $entry } (Teile davon hat eine neuere Version geschrieben)
newer = Eintrag einer Art, die eine neuere Version kennt ({ $kind })
visit = Termin begonnen
visit_ended = Termin beendet
pass = { $what }: { $readings }
read_at = { $location } { $reading }
phase = { $phase ->
    [found] wie vorgefunden
    [working] während der Arbeit
    [left] als Endwert
   *[newer] in einem Zustand, den eine neuere Version kennt
}
posture = { $posture ->
    [playing] in Spielhaltung
    [back] auf dem Rücken liegend
    [rest] Hals auf einer Auflage
    [side] auf der Seite liegend
    [hanging] hängend
   *[newer] in einer Lage, die eine neuere Version kennt
}
stopped_by = { $by ->
    [finger] mit dem Finger gegriffen
    [capo] mit Kapodaster gegriffen
   *[newer] gegriffen, wie eine neuere Version es kennt
}
tuned_before = { $minutes ->
    [0] gerade gestimmt
    [one] 1 Minute vorher gestimmt
   *[other] { $minutes } Minuten vorher gestimmt
}

rod = Halsspannstab
saddle_height = Reiterhöhe, { $strings }
saddle_position = Reiterstellung, { $strings }
saddle_sideways = Reiter seitlich, { $strings }
nut_slot = Sattelkerbe, { $strings }
nut = Sattel
bridge_post = { $side ->
    [bass] Stegbolzen, Bassseite
   *[treble] Stegbolzen, Diskantseite
}
bridge_posts = beide Stegbolzen
springs = Federn
pickup = Tonabnehmer { $pickup }
pole = Tonabnehmer { $pickup }, Polstück unter { $strings }
pickup_side = { $side ->
    [bass] Tonabnehmer { $pickup }, Bassseite
   *[treble] Tonabnehmer { $pickup }, Diskantseite
}
neck = Halsansatz
frets = Bünde
bridge = Steg
elsewhere = etwas anderes
part_newer = ein Teil, den eine neuere Version kennt ({ $code })
adjusted = { $part }: { $details }
went = { $way ->
    [up] höher
    [down] tiefer
    [back] nach hinten
    [forward] nach vorn
    [bass] zur Bassseite
    [treble] zur Diskantseite
    [filed] gefeilt
   *[filled] aufgefüllt
}
moved = { $way ->
    [up] { $size } höher
    [down] { $size } tiefer
    [back] { $size } nach hinten
    [forward] { $size } nach vorn
    [treble] { $size } zur Diskantseite
    [bass] { $size } zur Bassseite
    [filled] um { $size } aufgefüllt
    [filed] um { $size } tiefer gefeilt
    [thicker] Unterlage { $size } dicker
    [thinner] Unterlage { $size } dünner
   *[by] um { $size }
}

strings_changed = { $count ->
    [one] Saite { $strings } gewechselt
   *[other] Saiten { $strings } gewechselt
}
all_strings_changed = alle Saiten gewechselt
gauge = { $place } { $gauge }
tuned = { $count ->
    [one] Saite { $strings } gestimmt
   *[other] Saiten { $strings } gestimmt
}
all_tuned = alle Saiten gestimmt
tuned_to = { $place } auf { $note }
from_now_on = { $tuned }, von jetzt an { $notes }
climate = Klima: { $parts }
humidity = { $humidity } relative Luftfeuchte
hours_there = { $hours ->
    [one] seit 1 Stunde dort
   *[other] seit { $hours } Stunden dort
}
buzz = Schnarren: { $string }, { $frets }
photo = Foto
fret_under = { $fret } unter { $strings }
fret_found = { $place }: { $state ->
    [high] steht hoch
    [level] eben mit den Nachbarn
    [worn] abgespielt
    [lifting] steht lose ab
   *[newer] wie es nur eine neuere Version sagen kann
}
fret_by = { $place }: { $state ->
    [high] steht um { $by } hoch
    [level] eben mit den Nachbarn auf { $by }
    [worn] abgespielt, um { $by } tiefer
    [lifting] steht um { $by } lose ab
   *[newer] wie es nur eine neuere Version sagen kann ({ $by })
}
could_not_move = ließ sich nicht verstellen: { $part } ({ $why })
could_not_read = ließ sich nicht messen: { $what } ({ $why })
count = { $kind ->
    [visit] { $count ->
        [one] 1 Termin
       *[other] { $count } Termine
    }
    [visit_end] { $count ->
        [one] 1 Ende eines Termins
       *[other] { $count } Enden von Terminen
    }
    [pass] { $count ->
        [one] 1 Messreihe
       *[other] { $count } Messreihen
    }
    [adjustment] { $count ->
        [one] 1 Einstellarbeit
       *[other] { $count } Einstellarbeiten
    }
    [string_change] { $count ->
        [one] 1 Saitenwechsel
       *[other] { $count } Saitenwechsel
    }
    [tuning] { $count ->
        [one] 1-mal Stimmen
       *[other] { $count }-mal Stimmen
    }
    [climate] { $count ->
        [one] 1 Klimaangabe
       *[other] { $count } Klimaangaben
    }
    [remark] { $count ->
        [one] 1 Bemerkung
       *[other] { $count } Bemerkungen
    }
    [buzz] { $count ->
        [one] 1 Schnarrstelle
       *[other] { $count } Schnarrstellen
    }
    [photo] { $count ->
        [one] 1 Foto
       *[other] { $count } Fotos
    }
   *[newer] { $count ->
        [one] 1 Eintrag einer neueren Version
       *[other] { $count } Einträge einer neueren Version
    }
}

crossed_out = gestrichen: { $entry }
field_value = { $field }: { $value }
field_value_back = { $field }: { $was }, jetzt wieder { $now }
reason_undo = zurückgenommen
