### Warum ein Text kein Messwert ist, und warum zu einem Messwert nachgefragt wird.

reading = „{ $text }“ ist ab Zeichen { $at } nicht lesbar: { $problem }
reading_part = in „{ $text }“, ab Zeichen { $at }: { $problem }
empty = nichts angegeben; möglich: { $examples }
too_long = { $length } Zeichen sind zu viele; ein Messwert hat höchstens { $limit }
character = das Zeichen „{ $found }“ kommt in keinem Messwert vor; angenommen werden: Ziffern 0 bis 9, Punkt oder Komma, / - + = < > " % ° und Wörter
number = „{ $found }“ ist keine Zahl; angenommen wird: ein Punkt oder ein Komma mit Ziffern dahinter, höchstens zwölf Ziffern und neun Nachkommastellen
missing_number = hier fehlt eine Zahl; angenommen wird: { $examples }
missing_whole = hier muss eine ganze Zahl stehen, wie die 64 in 5/64
ambiguous = das kann { $meanings } heißen; bitte die Einheit oder das Werkzeug angeben
unit = „{ $found }“ ist keine Einheit für { $dimension }; angenommen wird: { $units }
only_inches = ein Bruch ist einer von Zoll, nicht von „{ $found }“
other_dimension = { $found } misst nicht { $dimension }; angenommen wird: { $units }
no_fraction = { $dimension } wird nicht in solchen Brüchen gemessen; angenommen wird: { $examples }
wrong_tool = { $tool } misst nicht { $dimension }
out_of_place = „{ $found }“ ist hier fehl am Platz; angenommen wird: { $examples }
amounts = { $dimension ->
    [length] 5/64, 1 1/16 Zoll, 0,078 Zoll, 12 thou, 1,98 mm
    [interval] −3, 2,5 Cent
    [frequency] 41,2 Hz
    [share] 45 %
    [temperature] 21 °C, 70 °F
    [force] 180 N
    [rotation] 1/4 Umdrehung, −0,125 Umdrehungen, 45°
   *[newer] 12 unit 77
}
bounds = { $amounts }, liegt auf, 0,25 geht 0,30 nicht
units = { $dimension ->
    [length] mm, Zoll, thou
    [interval] Cent
    [frequency] Hz
    [share] %
    [temperature] °C, °F
    [force] N
    [rotation] Umdrehungen, °
   *[newer] unit und ihre Nummer
}
unit_name = { $unit ->
    [inch] Zoll
    [turn] Umdrehung
   *[other] { $symbol }
}

out_of_range = { $what } { $value } liegt außerhalb von { $low } bis { $high }
number_kind = { $what ->
    [fret] Bund
    [string] Saite
    [number_without_its_point] die Zahl ohne Komma,
    [number_of_places] Zahl der Nachkommastellen
    [number_of_whole_inches] Zahl der ganzen Zoll
    [numerator_without_its_point] der Zähler ohne Komma,
    [number_of_places_of_a_numerator] Zahl der Nachkommastellen im Zähler
   *[other] { $name }
}
denominator = kein Lineal ist in 1/{ $denominator } Zoll geteilt; angenommen wird: { $accepted }
exchanged = das untere Ende { $low } des Bereichs liegt über dem oberen { $high }
mixed = { $first } und { $second } sind nicht vergleichbar: das eine ist { $first_is }, das andere { $second_is }
member = „{ $found }“ benennt keine Saite eines Chors; angenommen wird: ein Buchstabe a bis z
no_gap = am { $fret }. Bund gegriffen, hat die Saite dort keinen Abstand
backwards = der { $to }. Bund liegt nicht hinter dem { $from }.
graduation = eine Teilung muss über null liegen, angegeben { $graduation }

pass_reading = Messwert { $position }: { $problem }
pass_count = { $found ->
    [one] ein Messwert
   *[other] { $found } Messwerte
  }, erwartet { $wanted }; „-“ steht für einen nicht gemessenen, und Zahlen wie 1 1/16 werden durch Strichpunkte getrennt
nothing_before = hier steht „=“, also wie zuvor, aber dort wurde noch nichts gemessen
each_highest_first = ein Wert je Saite, die höchste zuerst
each_or_both_sides = ein Wert je Saite, oder zwei: an der Diskant- und an der Bassseite; oder eine Seite nennen
each_lowest_first = ein Wert je Saite, die tiefste zuerst

note = „{ $given }“ ist kein Ton: { $problem }
note_empty = er ist leer
note_letter = er beginnt nicht mit einem Buchstaben A bis G
note_many_accidentals = er hat mehr als zwei Vorzeichen
note_mixed_accidentals = er mischt Kreuze und Bes
note_octave = die Oktave, −1 bis 9, fehlt
note_range = er liegt außerhalb von C-1 bis G9
note_cents = die Abweichung ist keine Zahl in Cent mit Vorzeichen, höchstens 100 nach jeder Seite
note_accepted = ein Buchstabe A bis G, wenn nötig # oder b, und die Oktave, dazu die Abweichung in Cent, wenn es eine gibt: E1, Bb0, F#2, A4-2.5

unusual = { $beyond ->
    [below] { $reading } ist ungewöhnlich wenig
   *[above] { $reading } ist ungewöhnlich viel
}
family = { $family ->
    [bass] an einem Bass
    [guitar] an einer Gitarre
   *[other] an so einem Instrument
}
impossible = { $beyond ->
    [below] { $reading } kann nicht sein: zu wenig
   *[above] { $reading } kann nicht sein: zu viel
}
other_kind = { $reading } ist { $found }
over_the_nut = gemessen wird über einem Bund, nicht über dem Sattel
lies_on_fret = am { $fret }. Bund gegriffen, liegt die Saite dort auf: es gibt keinen Abstand
not_beyond = die Bünde müssen aufsteigen: zwei unter dem Lineal, und dahinter der, an dem gemessen wird
not_between = die Bünde müssen aufsteigen, und der, an dem gemessen wird, muss zwischen den beiden anderen liegen
pickup_zero = Tonabnehmer zählen ab 1, der nächste am Steg
open_intonation = die Oktavreinheit wird an einem Bund gegen die leere Saite gemessen
from_fret_1 = ein Bund ab 1
another_fret = ein anderer Bund
edge_frets = zwei Bünde unter dem Lineal und ein höherer dahinter
rising_frets = ein erster Bund, ein höherer letzter und ein Bund dazwischen
from_pickup_1 = 1 oder mehr
range = { $low } bis { $high }
