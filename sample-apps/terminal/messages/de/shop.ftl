# Was die Werkstatt für sich behält, Sollwerte von anderswo, und Dateien.

targets_from = „{ $setup }“ hat die Sollwerte von „{ $from }“:
targets_usual = „{ $setup }“ hat übliche Werte (übliche Praxis, ohne Quelle), für mittlere Saiten und mittleren Anschlag:
usual_hint = Niemand hat diese Werte verlangt; sie sind als „usual“ gekennzeichnet. Ändern, was anders sein soll: fallaway setup target
by_place = { $strings }: nach der Lage, denn keine Saite hat diesen Ton.
left_out = Weggelassen, weil dieses Instrument solche Bünde oder Tonabnehmer nicht hat: { $what }
spec_kept = { $count ->
    [one] Behalten als „{ $name }“: ein Sollwert, auf diesem Gerät.
   *[other] Behalten als „{ $name }“: { $count } Sollwerte, auf diesem Gerät.
  }
spec_dropped = „{ $name }“ ist vergessen. Sollwerte, die daher kamen, bleiben.
head_specs = Vorgabe | Sollwerte für
no_specs = Die Werkstatt hat noch keine Vorgaben. Aus einem Instrument: fallaway spec keep NAME
pack_kept = { $count ->
    [one] Behalten als „{ $name }“: eine Saite, auf diesem Gerät.
   *[other] Behalten als „{ $name }“: { $count } Saiten, auf diesem Gerät.
  }
pack_dropped = „{ $name }“ ist vergessen. Was aufgezogen wurde, bleibt, wie es eingetragen ist.
head_packs = Satz | Stärken
no_packs = Die Werkstatt hat noch keine Saitensätze: fallaway pack keep NAME --gauges …
weights_count = { $found } Massen je Länge für { $wanted } Saiten
weights_wrong = Massen je Länge sind Zahlen mit der Einheit am Ende: 0.0002 0.0004 lb/in, oder g/m
owner_forgotten = Wem es gehört, ist vergessen.
owner_name_missing = wessen Kontakt ist das? fallaway owner NAME --contact TEXT
no_owner = Es ist nicht eingetragen, wem es gehört: fallaway owner NAME --contact TEXT
only_here = Nur auf diesem Gerät: niemand, der die Akte teilt, sieht es.
job_added = Auftrag { $number }: { $what }
job_noted = Auftrag { $number }: { $what }
job_done = Auftrag { $number } ist erledigt: { $what }
job_dropped = Auftrag { $number } ist vergessen.
numbered = { $number }: { $what }
no_jobs = Noch kein Auftrag: fallaway job add WAS
head_jobs = Auftrag | was | dazu
price_wrong = „{ $text }“ ist kein Preis; möglich: 80, 12,50 EUR
day_wrong = „{ $text }“ ist kein Tag; möglich: 2026-12-05
waits_for = wartet auf { $part }
due = fällig { $day }
was_done = erledigt { $day }
minutes = { $hours ->
    [0] { $minutes } min
   *[other] { $hours } h { $minutes } min
  }
work_costs = Arbeit { $price }
total = zusammen { $sums }
desk_empty = Nichts ist offen, und nichts ist fällig.
desk_visits = In der Werkstatt
desk_open = Offene Arbeit
desk_due = Wieder fällig
since = fällig seit { $day }
no_care = Es ist nicht eingestellt, wann es wieder fällig ist: fallaway care --months 6
care = Wieder fällig: { $when }
care_after = { $months ->
    [one] einen Monat nach dem letzten Eintrag
   *[other] { $months } Monate nach dem letzten Eintrag
  }
care_in = jedes Jahr im { $months }
month = { $month ->
    [jan] Januar
    [feb] Februar
    [mar] März
    [apr] April
    [may] Mai
    [jun] Juni
    [jul] Juli
    [aug] August
    [sep] September
    [oct] Oktober
    [nov] November
   *[dec] Dezember
  }
month_wrong = „{ $text }“ ist kein Monat; möglich: 3, März
nothing_found = „{ $text }“ ist nirgends zu finden.
found_in = { $place ->
    [instrument] Instrument
    [owner] Besitzer
    [job] Auftrag
    [entry] Eintrag
    [setup] Setup
    [spec] Vorgabe
   *[pack] Saitensatz
  }
table_written = Die Messungen von „{ $name }“ stehen in { $file }, je eine Zeile.
record_written = Die ganze Akte von „{ $name }“ steht in { $file }. Sie ist nicht verschlüsselt: wer sie hat, kann sie lesen.
backed_up = Alles auf diesem Gerät steht in { $file }, unverschlüsselt; die Schlüssel nicht. Sind auch die Schlüssel verloren, bringen die Wörter zur Wiederherstellung jedes Instrument zurück: fallaway recovery-words
record_restored = „{ $name }“ ist wieder da, als eigene Akte: mit allen, die die alte teilten, neu zu teilen.
restored = { $count ->
    [one] Ein Instrument ist wieder da.
   *[other] { $count } Instrumente sind wieder da.
  }
