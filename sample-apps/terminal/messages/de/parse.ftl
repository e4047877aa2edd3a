# Eingaben, die so nicht verständlich sind.
not_time = „{ $text }“ ist keine Zeit; { $accepted }
time_accepted = möglich: 2026-01-15 18:30, 2026-01-15 (mittags), 18:30 (heute), oder mit Zeitzone 2026-01-15T18:30+01:00
too_early = „{ $text }“ liegt vor 1900; möglich: eine Zeit von 1900 bis jetzt
future = „{ $text }“ liegt in der Zukunft; eine vergangene Zeit angeben
time_range = „{ $text }“ liegt außerhalb der Jahre 1 bis 9999, oder die Zeitzone liegt weiter als 18 Stunden weg
not_string = „{ $text }“ ist keine Saite; möglich: Zahlen wie 4, 3a, 1,3 oder 2-5; 1 ist die höchste Saite
not_strings = „{ $text }“ ist keine Liste von Saiten; möglich: 4, 1,3, 2-5, all
no_string_with = keine Saite ist auf { $note } gestimmt; es gibt { $strings }
strings_with = welche Saite { $note }? Möglich: { $strings }
not_frets = „{ $text }“ nennt keine Bünde; möglich: 3, 3-6, open
air_accepted = möglich: eine Temperatur wie 21C, eine relative Feuchte wie 45%
air_no_unit = „{ $text }“ hat keine Einheit; { $accepted }
air_unknown = „{ $text }“ bedeutet hier nichts; { $accepted }
air_nothing = nichts angegeben; { $accepted }
twice = „{ $text }“ ist doppelt angegeben

turns = { $count } { $form ->
    [part] Umdrehung
    [one] Umdrehung
   *[many] Umdrehungen
  }
not_angle = „{ $text }“ ist kein Winkel
tighten = „{ $text }“ geht nicht bei jeder Schraube in dieselbe Richtung: cw (im Uhrzeigersinn) oder ccw (gegen den Uhrzeigersinn) angeben, vom Werkzeug aus gesehen
no_turn = gar keine Umdrehung ändert nichts; eine Drehung wie 1/8 angeben
many_turns = mehr als die { $most } Umdrehungen, die auf einmal möglich sind
inexact_turns = { $turns }: möglich sind Halbe, Viertel, Achtel, Sechzehntel
parts_of_turn = { $text }: möglich sind halbe, viertel, achtel, sechzehntel, zweiunddreißigstel Umdrehungen

adjust_accepted = möglich: was (rod, saddle, nut, post, springs, pickup, pole, neck, frets, bridge, other), welche Saite (4, 1,3, 2-5, all), wohin (up, down, back, forward, bass, treble), wie weit (1/8, quarter, 1 1/2, 0.2 mm), cw oder ccw; zum Beispiel: rod 1/8 cw, saddle 4 down 1/4 ccw, saddle 3 back 0.5 mm
not_adjustable = „{ $text }“ lässt sich nicht einstellen; { $accepted }
no_detail = „{ $text }“ bedeutet hier nichts; { $accepted }; andere Bemerkungen: --note
how_far = wie weit { $way ->
    [cw] im Uhrzeigersinn
   *[ccw] gegen den Uhrzeigersinn
  }? Zum Beispiel: 1/8 cw
which_sense = { $turns }, aber in welche Richtung? cw (im Uhrzeigersinn) oder ccw (gegen den Uhrzeigersinn) angeben, vom Werkzeug aus gesehen
which_way = so weit, aber wohin? up, down, back, forward, bass oder treble angeben
what_done = was wurde daran gemacht? { $accepted }; oder mit --note beschreiben
which_string = welche Saite? { $accepted }
which_pickup = welcher Tonabnehmer? 1 ist der nächste am Steg: pickup 1 bass up 1/2 cw
which_pickup_pole = welcher Tonabnehmer? 1 ist der nächste am Steg: pole 3 pickup 1 1/4 up
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
went_by = { $way ->
    [up] { $turns } höher
    [down] { $turns } tiefer
   *[other] { $turns }
  }
sense_not_noted = { $turns }, Drehrichtung nicht eingetragen
noted = { $what }: { $note }

not_fact = „{ $text }“ ist keine Angabe zu einem Instrument; möglich: { $accepted }
fact_wrong = { $fact }: { $why }; möglich: { $meaning }; zum Beispiel: fallaway set { $fact } { $example }
no_value = kein Wert angegeben
not_this = „{ $text }“ gehört nicht dazu
lengths_given = { $count ->
    [one] eine Länge angegeben
   *[other] { $count } Längen angegeben
  }
frets_first = zuerst frets setzen
not_set = { $fact } ist nicht gesetzt; gesetzt sind: { $known }
not_whole = „{ $text }“ ist keine ganze Zahl
not_lengths = „{ $text }“ ist keine Liste von { $count } Längen
no_string_named = „{ $text }“ nennt keine Saite
count_of_strings = { $given } angegeben für { $strings ->
    [one] eine Saite
   *[other] { $strings } Saiten
  }

option = --{ $option }: { $why }
length_needed = eine Länge ist nötig, wie 2 mm
one_or_each = { $given } angegeben; möglich ist eine für alle, oder { $count }
one_force = { $given } Kräfte angegeben, eine ist nötig
taken_as_wound = { $string } mit { $gauge } als umsponnen, denn blanke Saiten sind selten dicker als 0,022 Zoll (übliche Praxis, ohne Quelle); ist sie blank, ein p hinter die Stärke setzen: .026p
taken_as_plain = { $string } mit { $gauge } als blank, denn umsponnene Saiten sind selten dünner als 0,017 Zoll (übliche Praxis, ohne Quelle); ist sie umsponnen, ein w hinter die Stärke setzen: .016w
saddle_form = möglich: 4=+0.3mm, 2=-0.1mm, all=0.2mm (Saite=Anhebung)
no_action = für Saite { $string } ist keine Saitenlage gemessen
