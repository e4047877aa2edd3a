### Schnarrt es mit diesen Werten?
caveat = Nach einem Modell mit angenommenem Saitenzug, angenommener Steifigkeit, Dämpfung und Anschlagstärke; nicht gemessen. Zum Vergleichen, nicht zum Entscheiden.
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
  } dieser Person, die sich widersprechen
clean = sauber
touches = schnarrt
untold = unklar
assumed_tension = Saite { $string }: Zug { $tension }, { $source }; Inharmonizität { $inharmonicity }, { $from }
inharmonicity_assumed = angenommen nach ihrem Ton
inharmonicity_wire = aus ihrem Draht berechnet
assumed_left_out = Saite { $string } fehlt: ihre Saitenlage wurde nicht gemessen
assumed_joint = der Hals biegt sich bis zum { $fret }. Bund ± { $by } (übliche Praxis, ohne Quelle)
assumed_level = Bünde eben, Reiter auf der Mensur
what_if_strings = was wäre wenn: { $changes }, Halskrümmung und Reiter unverändert
what_if_relief = was wäre wenn: Halskrümmung { $relief }, Reiter unverändert, jede Saitenlage geht also mit
what_if_saddle = was wäre wenn: Reiter von { $string } um { $by } verstellt
what_if_actions = was wäre wenn: diese Saitenlagen statt der gemessenen
string_to = Saite { $string }: { $to }
mass_pack = Masse je Länge von der Packung
mass_wire = Masse je Länge aus dem Drahtdurchmesser
mass_guessed = Masse je Länge nach dem Außendurchmesser geschätzt, wie für eine umsponnene Stahlsaite
