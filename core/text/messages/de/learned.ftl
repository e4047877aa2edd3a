### Was die Aufzeichnungen gelehrt haben.
interval = { $value } ({ $low } bis { $high })
nothing = Noch nichts gelernt.
lead = Bekannt: { $known }. Noch nicht: { $open }.
lead_all = Bekannt: { $known }.
lead_nothing = Noch ist nichts bekannt; bis dahin wird angenommen:
lead_rod = der Halsspannstab
lead_season = die Jahreszeiten
lead_tension = der Saitenzug
lead_readers = { $count ->
    [0] wie gut sich eine Messung wiederholt
    [one] eine messende Person
   *[other] { $count } messende Personen
  }
lead_touch = der Anschlag
rod_nothing = Halsspannstab: noch nichts gelernt. Üblich sind { $prior } Halskrümmung je Vierteldrehung (übliche Praxis, aus dem Gedächtnis).
rod = Halsspannstab: { $estimate } Halskrümmung je Vierteldrehung (zwei von drei Fällen), gelernt aus { $count ->
    [one] einem Messpaar
   *[other] { $count } Messpaaren
  } vor und nach einer Drehung. Angenommen war zuvor { $prior } (übliche Praxis, aus dem Gedächtnis).
rod_way = Drehen { $way } verringert die Halskrümmung.
rod_way_unknown = Welche Richtung die Halskrümmung verringert, ist noch nicht bekannt.
screw = { $screw }: { $way }, gelernt aus { $count ->
    [one] einer Drehung
   *[other] { $count } Drehungen
  } mit Messung davor und danach.
screw_of_pickup = { $screw } von Tonabnehmer { $number }
screw_contradicts = { $screw }: in welche Richtung sie wirken, ist unklar, { $count ->
    [one] eine Drehung
   *[other] { $count } Drehungen
  } mit Messung davor und danach widersprechen einander.
season_nothing = Jahreszeiten: noch nichts gelernt. { $lacks ->
    [humidity] Bei den eingetragenen Klimas fehlt die Luftfeuchte.
    [hours] Bei keinem eingetragenen Klima steht, seit wie vielen Stunden das Instrument dort war.
    [longer] In keinem der eingetragenen Klimas war das Instrument schon einen Tag lang.
   *[climate] Die Halskrümmung wurde nie in der Nähe eines eingetragenen Klimas gemessen.
  }
season_one_air = Jahreszeiten: die Halskrümmung wurde nur in einem Klima gemessen ({ $moisture } Holzfeuchte). Was die Jahreszeiten bewirken, zeigt sich mit Messungen in einem anderen.
season = Jahreszeiten: { $way }, ändert sich um { $estimate } je Prozentpunkt Holzfeuchte, gelernt aus { $count ->
    [one] einer Messung
   *[other] { $count } Messungen
  } bei { $dry } bis { $damp } Holzfeuchte. Angenommen war zuvor { $prior }; wie weit das Holz dem eingetragenen Klima nachhinkt, ist nach einer Faustregel berücksichtigt.
untold = Die Daten können das noch nicht von null unterscheiden.
pull = Saitenzug: die Halskrümmung ändert sich um { $estimate } je { $step } mehr, gelernt aus { $count ->
    [one] einem Saiten- oder Stimmungswechsel
   *[other] { $count } Saiten- oder Stimmungswechseln
  } mit Messung der Halskrümmung davor und danach. Angenommen war zuvor { $prior } (übliche Praxis, ohne Quelle).
repeats = { $reader }: wiederholt eine Messung auf { $estimate } genau (eine Standardabweichung), gelernt aus { $count ->
    [one] einer Wiederholung
   *[other] { $count } Wiederholungen
  }. Angenommen war zuvor { $prior }, die Unsicherheit des Werkzeugs.
bias = { $reader }: misst { $estimate } im Vergleich mit den anderen Messenden und Werkzeugen, gelernt aus { $count ->
    [one] einem Vergleich
   *[other] { $count } Vergleichen
  }. Angenommen war zuvor { $prior }.
reader = { $by } mit { $tool }
reader_unnamed = ohne Namen
touch_nothing = Anschlag von { $who }: noch nichts gelernt. Angenommen werden { $prior } senkrecht zum Griffbrett (übliche Praxis, ohne Quelle).
touch = Anschlag von { $who }: { $estimate } senkrecht zum Griffbrett, nach dem Modell der Saitenschwingung, gelernt aus { $of }. Angenommen war zuvor { $prior } (übliche Praxis, ohne Quelle).
touch_clean = { $count ->
    [one] einer sauber klingenden Saite
   *[other] { $count } sauber klingenden Saiten
  }
touch_buzz = { $count ->
    [one] einem Fall von Schnarren
   *[other] { $count } Fällen von Schnarren
  }
touch_of_both = { $clean } und { $buzz }
sides_neither = Keine Beobachtung begrenzt ihn.
sides_at_most = Nur eine obere Grenze ist bekannt, aus sauberen Tönen; das untere Ende beruht auf der Annahme.
sides_at_least = Nur eine untere Grenze ist bekannt, aus Schnarren; das obere Ende beruht auf der Annahme.
sides_both = Schnarren begrenzt ihn nach unten, saubere Töne nach oben.
sides_contradict = Nach dem Modell widersprechen sich, was schnarrte und was sauber klang; der Bereich umfasst beides.
clean = Höchstens { $force }: Saite { $string } klang sauber bis zum { $to }. Bund ({ $when }).
buzz_fret = Mindestens { $force }: Saite { $string } schnarrte am { $fret }. Bund ({ $when }).
buzz_frets = Mindestens { $force }: Saite { $string } schnarrte vom { $from }. bis zum { $to }. Bund ({ $when }).
left_out = Nicht verwendet, Eintrag vom { $when }: { $why }.

left_out_turns = wie weit gedreht wurde, ist nicht eingetragen
left_out_not_before = davor wurde die Halskrümmung nicht gemessen
left_out_not_after = danach wurde die Halskrümmung nicht gemessen
left_out_between = zwischen den beiden Messungen: { $done }
left_out_far_apart = mehr als drei Tage zwischen den beiden Messungen
left_out_not_alike = davor und danach wurde verschieden gemessen, oder ohne Kenntnis davon
left_out_outvoted = mehr Beobachtungen zeigen die andere Richtung
left_out_another_way = auf andere Weise, an anderer Stelle oder in anderer Lage gemessen als meistens
left_out_no_climate = kein Klima in zeitlicher Nähe eingetragen, in dem das Instrument einen Tag gestanden hatte
left_out_climate_beyond = das eingetragene Klima liegt außerhalb des Bereichs, für den die Holzfeuchte bekannt ist
left_out_bound = nur eine Grenze gemessen, kein Wert
left_out_stands_apart = weit von allen anderen entfernt: vielleicht falsch abgelesen oder vertippt
left_out_action_unread = die Saitenlage dieser Saite wurde nicht gemessen
left_out_relief_unread = die Halskrümmung wurde nicht gemessen
left_out_long_from = Halskrümmung und Saitenlage wurden nicht innerhalb von zwei Wochen gemessen
left_out_strings = Stärke, Ton, Mensur oder Bünde dieser Saite zu jener Zeit sind nicht bekannt
left_out_open_string = bei einer leeren Saite kann die Sattelkerbe die Ursache sein
left_out_others_first = nach dem Modell der Saitenschwingung würden andere Töne zuerst schnarren als die genannten: eine andere Ursache als der Anschlag
left_out_lies_on_fret = nach den Messungen liegt die Saite ungespielt auf einem Bund
left_out_touch_beyond = nach dem Modell der Saitenschwingung wären es { $force }, außerhalb der möglichen { $low } bis { $high } (übliche Praxis, ohne Quelle): vielleicht eine andere Ursache
