### Der Arbeitsplan. Zahlen, Messgrößen, Saiten, Werkzeuge und Drehungen kommen als fertiger Text.

## Arbeitsschritte, wie sie im Satz stehen
step_targets = Sollwerte
step_tune = Stimmen
step_relief = Halskrümmung
step_fall_away = Griffbrettabfall
step_bridge_height = Höhe des Stegs
step_bridge_tilt = Neigung des Stegs
step_nut = Sattel
step_spacing = Saitenabstand
step_action = Saitenlage
step_radius = Saitenradius
step_pickup = Tonabnehmerhöhe
step_intonation = Oktavreinheit
step_as_left = Endwerte

## Was neu zu messen ist, als Aufzählung
again_pitch = Stimmung
again_relief = Halskrümmung
again_fall_away = Griffbrettabfall
again_nut = Sattel
again_action = Saitenlage
again_pickup = Abstand zum Tonabnehmer
again_intonation = Oktavreinheit
again_spacing_bridge = Saitenabstand am Steg
again_spacing_nut = Saitenabstand am Sattel
again_bridge_height = Höhe des Stegs an den Bolzen
again_bridge_tail = Höhe der Steghinterkante

## Was gemacht wurde
done_strings = Saiten gewechselt
done_tuning = Stimmung geändert
done_rod = Halsspannstab gedreht
done_season = Klima geändert
done_nut = Sattel bearbeitet
done_saddle_sideways = Reiter seitlich versetzt
done_saddle_height = Reiterhöhe geändert
done_saddle_position = Reiter vor- oder zurückgesetzt
done_springs = Federn geändert
done_frets = Bünde bearbeitet
done_neck = Hals abgenommen oder unterlegt
done_bridge = Arbeit an Steg oder Reitern
done_pickup = Tonabnehmer verstellt
done_unknown = etwas, das diese Version nicht kennt
done_on = { $done }, { $strings }

## Ein Schritt in wenigen Worten
on_target = im Soll
within_reading_error = im Soll, soweit messbar
above_no_closer = über dem Soll, aber feiner stellt es der Stab nicht ein
below_no_closer = unter dem Soll, aber feiner stellt es der Stab nicht ein
measure = messen
measure_again = neu messen
measure_with_another = mit zweitem Werkzeug messen
measure_straight_edge = mit langem Lineal messen
measure_finer = mit feinerem Werkzeug messen
disagree = Messungen widersprechen einander
read_again = noch einmal messen
look_at_screw = zuerst die Schraube ansehen
two_targets = zwei verschiedene Sollwerte
after = nach: { $step }
not_applicable = entfällt
could_not = ging nicht
stop = Halt
tune = auf Tonhöhe stimmen
tune_to = auf { $notes } stimmen
tune_note = { $place ->
   *[any] { $note }
}
play_every_note = jeden Ton spielen
set_targets = Sollwerte für Halskrümmung und Saitenlage setzen

## Wohin ein Teil geht, und wie weit
tune_up = höher stimmen
tune_down = tiefer stimmen
more_relief = Halskrümmung vergrößern
less_relief = Halskrümmung verringern
raise = Reiter höher stellen
lower = Reiter tiefer stellen
bridge_up = Steg an diesem Bolzen höher stellen
bridge_down = Steg an diesem Bolzen tiefer stellen
tail_up = Hinterkante des Stegs steigen lassen (weniger Federzug)
tail_down = Hinterkante des Stegs senken (mehr Federzug)
pickup_up = Tonabnehmer höher stellen
pickup_down = Tonabnehmer tiefer stellen
back = Reiter nach hinten setzen, vom Hals weg
forward = Reiter nach vorn setzen, zum Hals hin
apart = Saiten weiter auseinandersetzen
together = Saiten enger zusammensetzen
cut_slot = Sattelkerbe tiefer feilen
fill_slot = Sattelkerbe höher machen
take_off = Stegeinlage von unten abnehmen
shim = Stegeinlage unterlegen
tune_up_by = um { $by } höher stimmen
tune_down_by = um { $by } tiefer stimmen
more_relief_by = Halskrümmung um { $by } vergrößern
less_relief_by = Halskrümmung um { $by } verringern
raise_by = Reiter um { $by } höher stellen
lower_by = Reiter um { $by } tiefer stellen
bridge_up_by = Steg an diesem Bolzen um { $by } höher stellen
bridge_down_by = Steg an diesem Bolzen um { $by } tiefer stellen
tail_up_by = Hinterkante des Stegs um { $by } steigen lassen (weniger Federzug)
tail_down_by = Hinterkante des Stegs um { $by } senken (mehr Federzug)
pickup_up_by = Tonabnehmer um { $by } höher stellen
pickup_down_by = Tonabnehmer um { $by } tiefer stellen
back_by = Reiter um { $by } nach hinten setzen, vom Hals weg
forward_by = Reiter um { $by } nach vorn setzen, zum Hals hin
apart_by = Saiten um { $by } weiter auseinandersetzen
together_by = Saiten um { $by } enger zusammensetzen
cut_slot_by = Sattelkerbe um { $by } tiefer feilen
fill_slot_by = Sattelkerbe um { $by } höher machen: auffüllen oder den Sattel unterlegen
take_off_by = { $by } von der Unterseite der Stegeinlage abnehmen
shim_by = Stegeinlage um { $by } unterlegen

## Eine Schraube drehen
turn_screws = { $way }: { $turns }.
turn = { $screw } { $turn } drehen
turn_both = { $screw } { $turn } drehen, beide Schrauben gleich weit
turn_all = { $screw } { $turn } drehen, alle Schrauben gleich weit
both_screws = beide Schrauben eines Reiters gleich weit
both_claw_screws = beide Schrauben der Federkralle gleich weit
all_screws = alle Schrauben eines Reiters gleich weit
trial = Zur Probe { $screw } { $turn } drehen; wie diese Schraube wirkt, ist noch nicht bekannt.
trial_rod = Zur Probe den Halsspannstab { $turn } drehen. Die meisten Muttern ziehen im Uhrzeigersinn an, und Anziehen verringert die Halskrümmung (übliche Praxis, ohne Quelle); wie dieser Stab wirkt, ist noch nicht bekannt, daher zuerst lösen.
size_thread = Berechnet aus dem Gewinde: { $pitch } je Umdrehung.
size_learned = Berechnet aus { $count ->
    [one] einer früheren Drehung
   *[other] { $count } früheren Drehungen
  } an diesem Instrument.
size_usual = Ein üblicher Wert, bis dieses Instrument seinen eigenen gezeigt hat: { $usual } Halskrümmung je Vierteldrehung, bis auf einen Faktor 2 (übliche Praxis).
size_usual_claw = Ein üblicher Wert, bis dieses Instrument seinen eigenen gezeigt hat: etwa { $usual } an der Hinterkante je Umdrehung beider Schrauben, bis auf einen Faktor 2; solche Schrauben ziehen im Uhrzeigersinn an (übliche Praxis).
size_unknown = Weder Gewinde noch Wirkung sind bekannt.
rod_shown = An diesem Stab { $count ->
    [one] einmal
    [2] zweimal
   *[other] { $count }-mal
  } beobachtet: Drehen { $way } verringert die Halskrümmung, um etwa { $quarter } je Vierteldrehung.
will_read = Die Messung sollte danach { $expected } ergeben.
will_read_left = Die Messung sollte danach { $expected } ergeben, noch { $left } vom Soll entfernt.
then_measure = Danach stimmen und neu messen: { $what }.
then_read = Danach stimmen und neu messen: { $what }. Das zeigt, was die Drehung bewirkt.
explains = Nach dem Halsmodell erklärt diese Halskrümmung die Saitenlage bei { $strings }: den Halsspannstab drehen, die Reiter nicht anrühren.

## Worauf es beruht
read = Gemessen: { $reading }.
read_of = { $of }: gemessen { $reading }.
target = Soll { $target } ± { $tolerance }.
target_by = Soll { $target } ± { $tolerance } ({ $by }).
converted = Nach dem Halsmodell auf die Messweise des Sollwerts umgerechnet: { $value }.
elsewhere = An anderer Stelle gemessen, als der Sollwert vorsieht.
above = Diese Messung liegt { $by } über dem Soll; eine solche Messung ist auf etwa { $spread } genau.
below = Diese Messung liegt { $by } unter dem Soll; eine solche Messung ist auf etwa { $spread } genau.
likely_above = Nach allen Messungen und Drehungen liegt es am wahrscheinlichsten { $by } über dem Soll, auf etwa { $spread } genau.
likely_below = Nach allen Messungen und Drehungen liegt es am wahrscheinlichsten { $by } unter dem Soll, auf etwa { $spread } genau.
above_at_least = Diese Messung liegt mindestens { $by } über dem Soll; eine solche Messung ist auf etwa { $spread } genau.
below_at_least = Diese Messung liegt mindestens { $by } unter dem Soll; eine solche Messung ist auf etwa { $spread } genau.
repeats = { $reader } wiederholt eine solche Messung auf { $spread } genau (eine Standardabweichung, aus { $count ->
    [one] einer Wiederholung
   *[other] { $count } Wiederholungen
  }).

## Was zu tun ist
todo_tune_since = Stimmen (seit dem letzten Stimmen: { $done }).
todo_not_tuned = Stimmen: heute ist noch kein Stimmen eingetragen.
todo_as_left = Jeden Ton spielen und eintragen, wo es schnarrt. Dann die Endwerte messen und eintragen: mit ihnen wird beim nächsten Termin verglichen.
todo_targets = Zuerst Sollwerte setzen: die gewünschte Halskrümmung und Saitenlage eintragen, oder die Werte eines Termins übernehmen, nach dem es sich gut spielte. Ohne Sollwerte lässt sich keine Messung vergleichen.
todo_measure = Stimmen, dann messen: heute wurde es noch nicht gemessen.
todo_measure_again = Stimmen, dann neu messen (seit der letzten Messung: { $done }).
todo_with_another = Der nächste Schritt lässt sich nicht rückgängig machen: stimmen und noch einmal messen, mit einem zweiten Werkzeug, das so fein ist wie die Toleranz; wenn keines da ist, noch zweimal mit demselben.
todo_finer = Dieses Werkzeug ist gröber als die Toleranz: stimmen und mit einem feineren messen, etwa mit Fühlerlehre oder Messuhr.
todo_no_closer = Nach den Messungen davor und danach führte weniger als eine Achteldrehung über das Soll der Halskrümmung hinaus: feiner stellt sie der Stab nicht ein. So lassen, zurückdrehen, wenn sie vorher näher lag, oder eine größere Toleranz zulassen.
todo_straight_edge = Nach dieser Messung liegt die Saite auf den Bünden auf; so zeigt sie weder, wie weit der Hals gebogen ist, noch was eine Drehung am Halsspannstab bewirkt. Bevor am Stab gedreht wird: stimmen, ein langes Lineal auf die Bünde legen und messen, wie weit es absteht (Rückbiegung mit Minus: −0,10 mm). Ohne Lineal noch einmal messen.
todo_third = Diese Messungen liegen weiter auseinander als ihre Unsicherheit, und dazwischen wurde nichts verstellt. Ein drittes Mal messen.
todo_read_again = Nach der letzten Messung und den Drehungen seither hätten es { $expected } sein sollen (eine Vorhersage). Diese Messung passt nicht dazu: stimmen und noch einmal messen, bevor etwas gedreht wird.
look_unseen = Die Messungen haben nicht gezeigt, was die letzten Drehungen bewirkt haben: { $screw }. Nachsehen, in welche Richtung sich die Saiten bewegen, und das eintragen, bevor weitergedreht wird.
look_against_written = Nach den Messungen wirkt diese Schraube umgekehrt, als eingetragen ist: { $screw }. Nachsehen, wie sie wirkt, und den Eintrag berichtigen: die Richtung oder die Drehungen.
look_beyond_travel = Nach dieser Messung müsste diese Schraube weiter gehen, als solche Schrauben sonst reichen (übliche Praxis, ohne Quelle): { $screw }. Messung und Soll prüfen und nachsehen, wie viel Gewinde noch da ist.
todo_choose_target = Zwei Personen haben verschiedene Sollwerte gesetzt; solange keiner davon gewählt ist, gibt es dazu keinen Rat.
todo_could_not = Das ging nicht: { $reason } ({ $tried }). Der Plan geht ohne diesen Schritt weiter; wird der Eintrag gestrichen, fragt er wieder danach.
todo_after = Zuerst: { $step }.
forecast = Mit der Halskrümmung im Soll und unveränderten Reitern sollte die Messung { $expected } ergeben ({ $low } bis { $high }): eine Vorhersage des Halsmodells.
forecast_side = Mit der Halskrümmung im Soll und unveränderten Reitern sollte die Messung { $expected } ergeben: eine Vorhersage des Halsmodells.

## Warum ein Schritt entfällt
no_target = Kein Sollwert zum Vergleichen.
zero_fret = Die Saiten liegen auf einem Nullbund; der Sattel führt sie nur.
locking_nut = Ein Klemmsattel wird bei entspannten Saiten mit Unterlagen eingestellt; im Zweifel der Fachwerkstatt überlassen.
nothing_asked = Weder Sollwert noch Messung.
no_radius = Das Griffbrett ist flach, oder sein Radius oder die Saitenspreizung ist nicht bekannt.
no_such_place = Diese Saite, diesen Bund oder diesen Abstand hat das Instrument nicht (nach der letzten Saite kommt keine mehr).
bridge_stands = Nach den Angaben zu diesem Instrument schwebt sein Steg nicht auf Federn, oder er steht nicht auf Bolzen.

## Warum aufzuhören ist
stop_wrong_way = Nach den Messungen davor und danach hat der Stab den Hals in die falsche Richtung bewegt. Aufhören und eine Fachwerkstatt aufsuchen.
stop_no_response = Nach den Messungen davor und danach reagiert der Hals nicht auf den Stab. Aufhören und eine Fachwerkstatt aufsuchen.
stop_twisted = Nach den Messungen braucht eine Seite mehr Halskrümmung und die andere weniger: ein verdrehter Hals, den ein Halsspannstab nicht richten kann. Eine Fachwerkstatt aufsuchen.
stop_no_rod = Nach der Messung liegt die Halskrümmung außerhalb des Solls, und es gibt keinen Halsspannstab: eine Fachwerkstatt aufsuchen.
stop_board_rises = Nach der Messung steigt das Griffbrett zu seinem Ende hin an: die hohen Töne schnarren, bevor die Saitenlage niedrig ist. Keine Schraube senkt es. Eine Fachwerkstatt aufsuchen; die übrige Einstellung geht weiter, die Saitenlage über den letzten Bünden bleibt so hoch wie nötig.
stop_board_end = Nach der Messung fällt das Griffbrett anders ab als gewünscht, und keine Schraube bewegt sein Ende: das ist Sache einer Fachwerkstatt. Die übrige Einstellung geht weiter.
stop_stress = Nach Länge und Tonhöhe würde diese blanke Saite mit mehr als { $share } % der Mindestfestigkeit von Federstahldraht ihrer Stärke belastet (ASTM A228), oder mit mehr als { $limit } GPa, wo keine Stärke eingetragen ist.

## Bemerkungen
not_tuned_noted = Ob das Instrument bei dieser Messung gestimmt war, ist nicht eingetragen.
other_posture = In anderer Lage gemessen, daher nicht verglichen: { $reading }.
outvoted = Nicht berücksichtigt, weil andere Messungen oder eine Vorhersage daraus widersprechen: { $reading }.
on_the_frets = Nach dieser Messung liegt die Saite auf den Bünden: wie weit sie steigen muss, um frei zu sein, lässt sich nicht messen.
shim_lifts = Eine Unterlage hebt die ganze Stegeinlage: alle Saiten gleich viel.
shim_lifts_to = Eine Unterlage hebt die ganze Stegeinlage: alle Saiten gleich viel. Die anderen sollten danach, nach diesen Messungen, { $strings } ergeben. Ist nur eine Saite zu tief, braucht es eine neue Stegeinlage: das gehört in eine Fachwerkstatt.
to_and_fro = Diese Saite wurde { $turns }-mal höher und tiefer gestellt, und genauer zeigt es dieses Werkzeug nicht. So lassen, oder mit einem feineren messen.
against_written = Nach den Messungen bewirkte eine Drehung das Gegenteil von dem, was eingetragen ist: vielleicht war eine Messung falsch, oder es wurde andersherum gedreht.
rod_unseen = Die Messungen haben noch nicht gezeigt, was die letzten Drehungen des Stabs bewirkt haben ({ $turns }): jetzt höchstens ein Achtel, und aufhören, wenn eine halbe Drehung nichts zeigt.
explains_part = { $of }: die Halskrümmung erklärt { $explained } von { $total } (Halsmodell), { $left } bleiben.
read_as = Umgerechnet aus einer Messung: { $way }.
sideways_lifts = So weit seitlich versetzt, ändert der Reiter seine Höhe über dem Griffbrett um etwa { $by } (Wölbung des Griffbretts).
last_time = Letztes Mal: { $reading }.
could_not_before = Beim letzten Mal ging das nicht: { $reason } ({ $tried }).
radius_between = zwischen { $least } und { $most }
radius_at_least = von mindestens { $least } (oder flach)
row = Nach einem Bogen durch die heutigen Messungen liegen die Saitenunterseiten auf einem Radius { $radius }, das Griffbrett auf { $board }: die mittleren Saiten stehen { $by } höher über dem Griffbrett als die äußeren, ± { $spread }.
row_lower = Nach einem Bogen durch die heutigen Messungen liegen die Saitenunterseiten auf einem Radius { $radius }, das Griffbrett auf { $board }: die mittleren Saiten stehen { $by } tiefer über dem Griffbrett als die äußeren, ± { $spread }.
row_flat = Nach einem Bogen durch die heutigen Messungen liegen die Saitenunterseiten flach oder hohl, das Griffbrett auf { $board }: die mittleren Saiten stehen { $by } tiefer über dem Griffbrett als die äußeren, ± { $spread }.

## Der Plan im Ganzen
conflict = { $fact }: zwei widersprüchliche Werte; sie zählen nicht, bis einer davon gewählt ist.
next = Als Nächstes: { $step }
after_that = Danach
nothing_left = Nichts mehr zu tun: jeder Wert ist im Soll.
nothing_left_no_closer = Nichts mehr zu tun: die Halskrümmung ist nicht im Soll, aber feiner stellt sie der Stab nicht ein.
nothing_left_but = Hier ist nichts mehr zu tun außer dem, was nicht ging.
fine = Im Soll: { $list }
fine_within = { $what } (soweit messbar)
fine_to_and_fro = { $what } (höher und tiefer gestellt: genauer zeigt es dieses Werkzeug nicht)
untargeted = Kein Sollwert für { $list }.
column_read = gemessen
column_target = Soll
column_turn = Drehung
column_then = sollte danach zeigen

## Änderung seit dem Setup
since_head = Änderung seit dem Setup
off_head = Neben dem Soll
since_total = gesamt
since_explained = durch Halskrümmung
since_unexplained = unerklärt
since_within_error = nicht nachweisbar
since_relief = Seit dem Setup: { $way }: { $by } (gemessen).
since_part = { $of }: Änderung { $by } (gemessen); davon erklärt die Halskrümmung { $explained } (Halsmodell), { $left } bleiben unerklärt.
since_part_within = { $of }: Änderung { $by } (gemessen); davon erklärt die Halskrümmung { $explained } (Halsmodell), der Rest liegt innerhalb der Messunsicherheit.
off_relief = { $way }: { $by } neben dem Soll (gemessen).
off_part = { $of }: { $by } neben dem Soll (gemessen); davon erklärt die Halskrümmung neben dem Soll { $explained } (Halsmodell), { $left } bleiben unerklärt.
off_part_within = { $of }: { $by } neben dem Soll (gemessen); davon erklärt die Halskrümmung neben dem Soll { $explained } (Halsmodell), der Rest liegt innerhalb der Messunsicherheit.
since_rod_explains = Im Mittel dieser Saiten erklärt die Halskrümmung { $explained } von { $total } (Halsmodell); { $left } bleiben, innerhalb der Messunsicherheit. Den Halsspannstab drehen, die Reiter nicht anrühren.
since_common = Der unerklärte Teil ist auf allen Saiten gleich: Halsansatz, Steg und seine Bolzen prüfen.
since_one_string = Der unerklärte Teil betrifft nur { $string }: Höhenschraube am Reiter (sie kann sich losrütteln), Sattelkerbe und Bünde prüfen.
since_rod_explains_part = Im Mittel dieser Saiten erklärt die Halskrümmung { $explained } von { $total } (Halsmodell); { $left } bleiben, innerhalb der Messunsicherheit: zuerst die Halskrümmung, dann die Saitenlage neu messen.
since_one_string_once = Der unerklärte Teil betrifft nur { $string }, nach einer Messung: noch einmal messen. Bleibt es dabei, Höhenschraube am Reiter (sie kann sich losrütteln), Sattelkerbe und Bünde prüfen.
since_apart = Die anderen Saiten weichen gleich ab, { $string } anders: Höhenschraube am Reiter (sie kann sich losrütteln), Sattelkerbe und Bünde prüfen.
since_apart_once = Die anderen Saiten weichen gleich ab, { $string } anders, nach einer Messung: noch einmal messen. Bleibt es dabei, Höhenschraube am Reiter (sie kann sich losrütteln), Sattelkerbe und Bünde prüfen.
since_unclear = Aus diesen Messungen lässt sich nicht sagen, woher der Rest kommt.

## Kurzformen für eine Zeile einer Liste
since_done = { $what }: seither { $done }
after_with_forecast = nach: { $step }; bewegt sich sonst nichts, sollte die Messung danach etwa { $expected } ergeben
disagree_short = Messungen widersprechen einander: { $readings }; ein drittes Mal messen
choose_target_short = zwei verschiedene Sollwerte: { $targets }; zuerst einen wählen
stop_short = Halt: { $why }
could_not_short = ging nicht: { $reason }
of_strings = { $strings }: { $what }
reading_by = { $reading } ({ $by })
about = etwa { $number }
at_most = höchstens { $number }
at_least = mindestens { $number }
clockwise = im Uhrzeigersinn
anticlockwise = gegen den Uhrzeigersinn

## Schrauben
screw_rod = Halsspannstab
screw_saddle = Reiter { $string }
screw_shared_saddle = Reiter von { $strings }
screw_post_bass = Bolzen der Bassseite
screw_post_treble = Bolzen der Diskantseite
screw_spring_claw = Federkralle
screw_intonation = Oktavreinheitsschraube { $string }
screw_pickup_bass = Tonabnehmer { $pickup }, Bassseite
screw_pickup_treble = Tonabnehmer { $pickup }, Diskantseite
screw_pickup = Tonabnehmer { $pickup }

of_place = { $place }: { $quantity }
sentence = { $text }.
total = Nötige Änderung nach dieser Messung: { $way }.
by_this_reading = Nach dieser Messung: { $way }.
give_or_take = { $value } ± { $spread }
next_line = { $step }: { $what }
turn_each = { $ways }:
turn_each_alike = { $ways } ({ $alike }):
kind_of_strings = { $kind } { $strings }
