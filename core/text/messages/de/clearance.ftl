### Schnarrt es mit diesen Werten?
lead_buzzes = Bei { $force } schnarrt nach dem Modell zuerst Saite { $string }: { $note }, am { $over }. Bund, dort fehlen { $by }.
lead_clean = Bei { $force } schnarrt nach dem Modell nichts. Am nächsten kommt Saite { $string }: { $note }, über dem { $over }. Bund bleiben { $by }.
open = leer
fretted = gegriffen am { $fret }. Bund
way_open = über dem { $over }. Bund, leer
way_fretted = über dem { $over }. Bund, gegriffen am { $stopped }. Bund
column_string = Saite
column_action = Saitenlage
column_margin = Luft
column_nearest = am engsten
column_lowest = sauber ab
column_relief = beste Krümmung
column_touch = Anschlag
margin = { $value } ± { $spread }
nearest = { $stopped }/{ $over }
none = keine
range = { $low } bis { $high }
under_learned = Über den Bereich des gelernten Anschlags, { $low } bis { $high }, nach dem Modell: { $parts }.
under_part = { $kind }: { $strings }
legend = Saitenlage: { $way }. Luft: was zwischen Saite und Bund an der engsten Stelle bleibt, mit der Unsicherheit der Messwerte; der Fehler des Modells ist nicht dabei. Am engsten: gegriffen am / zum Bund. Sauber ab: die niedrigste Saitenlage, die bei dieser Halskrümmung und diesem Anschlag sauber bleibt. Beste Krümmung: der Bereich der Halskrümmung, der höchstens { $cost } Saitenlage kostet. Anschlag: der stärkste, der sauber bleibt.
finger = { $direction ->
    [toward] Ein Finger, { $width } breit, { $from_saddle } vom Reiter, drückt die Saite zum Griffbrett.
   *[away] Ein Finger, { $width } breit, { $from_saddle } vom Reiter, zieht die Saite vom Griffbrett weg.
}
model = Modell: Eigenschwingungen einer steifen, gedämpften Saite über ihrem Abstand in Ruhe, tiefster Punkt aus sechzig Perioden.
out_of_date = Neu messen: { $what }. Seit der Messung wurde etwas verändert.
caveat = Aus einem Modell mit angenommenem Saitenzug, angenommener Steifigkeit, Dämpfung und Anschlagstärke; nicht gemessen. Zum Vergleichen, nicht zum Entscheiden.
touch = Anschlag: { $force } senkrecht zum Griffbrett, { $from }.
touch_assumed = angenommen (übliche Praxis, ohne Quelle)
touch_given = wie angegeben
touch_learned = zwischen { $low } und { $high }, gelernt aus { $count ->
    [one] einer Beobachtung
   *[other] { $count } Beobachtungen
  } dieser Person
touch_learned_upper = zwischen { $low } und { $high }, gelernt aus { $count ->
    [one] einer Beobachtung
   *[other] { $count } Beobachtungen
  } dieser Person; nur eine obere Grenze ist bekannt
touch_learned_lower = zwischen { $low } und { $high }, gelernt aus { $count ->
    [one] einer Beobachtung
   *[other] { $count } Beobachtungen
  } dieser Person; nur eine untere Grenze ist bekannt
touch_learned_contradict = zwischen { $low } und { $high }, gelernt aus { $count ->
    [one] einer Beobachtung
   *[other] { $count } Beobachtungen
  } dieser Person, die einander widersprechen
clean = sauber
touches = schnarrt
untold = unklar
assumed_tension = Zug der Saiten ({ $source }): { $strings }.
assumed_inharmonicity = Inharmonizität der leeren Saiten ({ $from }), in 10⁻⁵: { $strings }.
inharmonicity_assumed = angenommen nach dem Ton
inharmonicity_wire = aus dem Draht berechnet
assumed_left_out = Saite { $string } fehlt: ihre Saitenlage wurde nicht gemessen.
assumed_joint = Der Hals biegt sich bis zum { $fret }. Bund ± { $by } (übliche Praxis, ohne Quelle).
assumed_level = Bünde eben, Reiter auf Mensurlänge.
assumed_level_else = Bünde sonst eben, Reiter auf Mensurlänge.
assumed_board_end = Bis Bund { $at } { $way }, wie gemessen, hinter Bund { $from } gleichmäßig.
assumed_board_end_at = { $place }: bis Bund { $at } { $way }, wie gemessen, hinter Bund { $from } gleichmäßig.
board_falls = fällt das Griffbrett um { $by } ab
board_rises = steigt das Griffbrett um { $by } an
assumed_crown = Die Krone von Bund { $fret } unter { $string } steht { $by } neben den anderen, wie vorgefunden.
what_if_strings = Was wäre, wenn: { $changes }; Halskrümmung und Reiter unverändert.
what_if_relief = Was wäre, wenn: Halskrümmung { $relief }, Reiter unverändert, jede Saitenlage geht also mit.
what_if_saddle = Was wäre, wenn: Reiter von { $string } um { $by } verstellt.
what_if_actions = Was wäre, wenn: diese Saitenlagen statt der gemessenen.
what_if_notes = Was wäre, wenn: diese Töne; der Saitenzug geht mit dem Quadrat der Frequenz, die Halskrümmung bleibt.
string_to = { $string }: { $to }
mass_pack = Masse je Länge von der Packung
mass_wire = Masse je Länge aus dem Drahtdurchmesser
mass_guessed = Masse je Länge nach dem Außendurchmesser geschätzt, wie für eine umsponnene Stahlsaite
