# Termine, Werkzeuge, Messungen und Notizen.
visit_begun = Termin begonnen.
visit_begun_for = Termin begonnen: { $purpose }
visit_ended = Termin beendet. Seine Einträge bleiben; ab jetzt lassen sie sich nur noch streichen.
no_visit = Kein Termin ist offen; der erste Eintrag beginnt einen.
visit_open = Ein Termin ist offen seit { $begun }: { $purpose }
no_purpose = ohne Anlass
tool_for = { $what ->
    [relief] Halskrümmung
    [action] Saitenlage
    [nut] Sattel
    [pitch] Stimmung, Oktavreinheit
    [spacing] Abstände, Steg
   *[pickup] Tonabnehmer
  }
no_tool = Kein Werkzeug in der Hand: zu jeder Messung die Einheit angeben, oder ein Werkzeug nennen: fallaway tool rule 1/64
order = Zuerst wird die { $first ->
    [lowest] tiefste
   *[highest] höchste
  } Saite gemessen.
usual = Wie sonst: { $ways }.
nothing_usual = Wie sonst gemessen wird, ist nicht eingestellt; ein neues Instrument hat A4 bei 440 Hz.
usual_a4 = A4 neuer Instrumente { $frequency }
did = { $what }. Vor der nächsten Messung stimmen.
did_pickup = { $what }. Den Abstand neu messen.
done = { $what }
done_then = { $what }. Stimmen, dann messen: { $then }.
cannot = Vermerkt: { $what } ging nicht. Als Nächstes: { $next }
done_by_reading = { $step }: bitte den Messwert eintragen: „fallaway done“ mit den Zahlen oder „fallaway read“
no_readings_now = der nächste Schritt verlangt keinen Messwert: { $step }
nothing_before = es gibt kein Setup und keinen früheren Termin zum Vergleichen
another_visit = der Termin endete um { $ended }: damit beginnt ein neuer, in dem alles neu gemessen wird; um ihn fortzusetzen, zuerst sein Ende zurücknehmen (undo)
left = Endwerte: { $what }
left_but = Endwerte: { $what }. Das Übrige gilt nicht mehr; neu messen: { $again }
left_none = nichts gilt mehr; neu messen: { $again }
no_step_of = auf Saite { $string } verlangt der Plan jetzt nichts
tuned = Gestimmt.
tuned_other = Auf andere Töne gestimmt: alles neu messen.
strings = { $what }. Stimmen, setzen lassen, neu messen.
buzz = Schnarren eingetragen: { $string }, { $frets }
remark = Bemerkung eingetragen.
reading = { $what }: { $reading }
reading_at = { $what }, { $place }: { $reading }

remark_empty = eine Bemerkung braucht Worte
no_string = Saite { $place }: dieses Instrument hat die Saiten 1 bis { $count }, 1 ist die höchste
no_fret = { $fret }. Bund: dieses Instrument hat die Bünde 1 bis { $last }
no_last_fret = der letzte Bund ist nicht bekannt: --over BUND angeben oder eintragen: fallaway set frets 24
no_next_string = Saite { $place } ist die tiefste: es gibt keine nächste, zu der ein Abstand zu messen wäre
visit_is_open = seit { $begun } ist ein Termin offen: damit beginnt ein neuer, in dem alles neu gemessen wird
not_arrived = von diesem Instrument ist hier noch nichts angekommen: eine Datei von der Person einlesen, die eingeladen hat (fallaway bundle in DATEI)
fret_how = wie ist der Bund? Möglich: high (er kippelt), level (eben), worn (abgespielt), lifting (steht lose ab); und um wie viel, wenn gemessen: fallaway fret 7 high 0.08 mm
fret_scale = die Mensur ist nicht bekannt: fallaway set scale 34 in
frets_level = Keine Krone steht mehr als 0,03 mm neben ihren Nachbarn.
frets_unknown = Zu einzelnen Bünden ist nichts eingetragen. Zum Beispiel: fallaway fret 7 high 0.08 mm
which_gap = welcher Abstand? --stopped BUND (0 ist leer) und --over BUND angeben
which_edge = welche Bünde? --between BUND BUND unter dem Lineal und --at-fret BUND dahinter angeben
frets_fall_away = Nach diesen Höhen liegt Bund { $at } um { $by } unter der Linie der Bünde { $from } und { $to }: festhalten mit fallaway read fall-away
frets_rise = Nach diesen Höhen steht Bund { $at } um { $by } über der Linie der Bünde { $from } und { $to }: festhalten mit fallaway read fall-away, unter null
no_gap = am { $stopped }. Bund gegriffen hat die Saite keinen Abstand über dem { $over }. Bund
not_beyond = Bund { $last } liegt nicht hinter Bund { $first }
forecast_humidity = eine Vorhersage braucht die Luftfeuchte: fallaway forecast 20C 25%
pack_count = „{ $name }“ hat { $has } Saiten, das Instrument { $wanted }
