### Was andere Saiten oder eine andere Stimmung bewirken.
pull = Zug am Hals: jetzt { $now }, dann { $later } ({ $change }); der Unterschied ist auf ± { $spread } genau.
column_string = Saite
column_now = Zug jetzt
column_then = dann
column_action = niedrigste saubere Saitenlage
column_slot = Sattelkerbe
from_to = jetzt { $now }, dann { $later }
unknown = unbekannt
slot_unknown = Stärken nicht bekannt: ansehen
slot_fits = passt nach der Stärke
slot_binds = kann klemmen oder hoch liegen: die Saite ist dicker
slot_rattles = kann klirren oder tiefer liegen: die Saite ist dünner
refused = Saite { $string } wäre nah am Reißen: nicht so hoch stimmen.
relief_more = Mehr Zug biegt den Hals weiter: mehr Halskrümmung ist zu erwarten. Wie viel, muss dieses Instrument erst zeigen.
relief_less = Weniger Zug lässt den Hals gerader werden: weniger Halskrümmung ist zu erwarten. Wie viel, muss dieses Instrument erst zeigen.
relief_either = Der Zug ändert sich weniger, als die Schätzung hergibt: die Halskrümmung kann größer oder kleiner werden.
relief_learned = Zu erwartende Änderung der Halskrümmung: { $estimate }, gelernt aus { $count ->
    [one] einem früheren Saiten- oder Stimmungswechsel
   *[other] { $count } früheren Saiten- oder Stimmungswechseln
  } mit Messung der Halskrümmung davor und danach.
saddle_stays = Oktavreinheit von Saite { $string }: der Reiter kann wohl bleiben, ± { $spread }.
saddle_back = Oktavreinheit von Saite { $string }: Reiter um etwa { $by } nach hinten ({ $least } bis { $most }, Saitenenden von gelenkig bis eingespannt).
saddle_forward = Oktavreinheit von Saite { $string }: Reiter um etwa { $by } nach vorn ({ $least } bis { $most }, Saitenenden von gelenkig bis eingespannt).
saddle_unknown = Oktavreinheit von { $strings }: wie weit der Reiter zu versetzen ist, lässt sich nicht schätzen, weil der Kerndurchmesser der alten oder neuen Saite nicht bekannt ist. Am 12. Bund messen.
saddle_basis = Reiter: Modell einer steifen Saite, die beim Greifen gedehnt wird, M. B. Anderson und R. G. Beausoleil, JASA 156(1):683 (2024); die Messung entscheidet.
again = Danach neu messen: { $what }.
checklist = Danach der Reihe nach:
check_tune = stimmen, dehnen, noch einmal stimmen
check_relief = den Hals setzen lassen, dann die Halskrümmung messen
check_nut = den Sattel gegriffen am 3. Bund messen und jede Kerbe ansehen
check_action = die Saitenlage messen, Saite für Saite
check_pickup = den Abstand zum Tonabnehmer messen
check_intonation = die Oktavreinheit am 12. Bund messen
tension_basis = Modell: Saitenzug ist Masse je Länge mal dem Quadrat aus doppelter Länge mal Frequenz.
action_basis = Niedrigste saubere Saitenlage: Modell der Saitenschwingung bei der letzten Halskrümmung.
action_assumed = Für die niedrigste saubere Saitenlage ist angenommen, dass die Halskrümmung wieder auf ihren alten Wert gestellt wird.
