### Was sich zwischen zwei Terminen geändert hat.
nothing = Noch lässt sich nichts vergleichen.
postures = Davor { $before }, danach { $after } gemessen: die Halskrümmung hängt von der Haltung ab, daher werden solche Messungen nicht verglichen.
neck = der Hals
twist = die Verdrehung des Halses
joint = der Halsansatz
saddle = der Reiter von Saite { $string }
nut = die Sattelkerbe von Saite { $string }
nuts = die Sattelkerben von { $strings }
saddles = die Reiter von { $strings }
heights = die mittlere Höhe aller Saiten
of_neck = Halskrümmung in der Mitte des Griffbretts
of_twist = Halskrümmung der Bassseite minus der Diskantseite
of_joint = Höhe an den Reitern durch die Neigung des Halses
of_saddle = Höhe der Saite am Reiter
of_nut = Höhe der Saite am Sattel
of_heights = mittlere Höhe der Saiten an den Reitern
no_change = Diese Messungen zeigen keine Änderung außerhalb der Messunsicherheit.
likely = Nach diesen Messungen: { $list }.
likely_moved = { $part } hat sich bewegt, um etwa { $by } ({ $odds } zu 1)
likely_most = am wahrscheinlichsten hat sich { $part } bewegt, um etwa { $by } ({ $odds } zu 1)
likely_most_against = am wahrscheinlichsten hat sich { $part } bewegt, um etwa { $by } ({ $odds } zu 1 gegen einen Ablesefehler bei { $reading })
likely_again = Um es zu klären, noch einmal messen: { $of }.
likely_other_tool = Um es zu klären, mit einem feineren Werkzeug messen (noch einmal mit demselben rundet auf denselben Strich): { $of }.
likely_agree = Was früher gemessen wurde, lässt sich nicht noch einmal messen: spielt es sich, wie es soll, die heutigen Werte als neue nehmen.
moved = { $part }: bewegt. { $of }: Änderung { $value } ({ $low } bis { $high }), nach den Messungen davor und danach und dem Halsmodell.
still = { $part }: keine Änderung außerhalb der Messunsicherheit ({ $of }: { $low } bis { $high }), nach den Messungen davor und danach und dem Halsmodell.
still_likely = { $part }: vielleicht { $by }, doch diese Werkzeuge können das nicht von keiner Änderung unterscheiden ({ $of }: { $low } bis { $high }), nach den Messungen davor und danach und dem Halsmodell.
still_unbounded = { $part }: keine Änderung außerhalb der Messunsicherheit, nach den Messungen davor und danach und dem Halsmodell ({ $of }).
unclear = { $part }: aus diesen Messungen lässt sich nicht sagen, ob sich etwas bewegt hat ({ $of }: { $low } bis { $high }).
still_several = { $parts }: keine Änderung außerhalb der Messunsicherheit ({ $of }: höchstens { $low } bis { $high }), nach den Messungen davor und danach und dem Halsmodell.
unclear_several = { $parts }: aus diesen Messungen lässt sich nicht sagen, ob sich etwas bewegt hat ({ $of }: höchstens { $low } bis { $high }).
open = Diese Messungen sagen nicht, ob sich hier etwas geändert hat: { $list }.
to_settle = Um es zu klären, messen: { $of }.
once_more = Noch einmal messen.
earlier = Sie stammt von einem früheren Termin und lässt sich nicht wiederholen: heute mit einem zweiten Werkzeug messen und das als neuen Wert festhalten.
doubtful = { $part }: entweder bewegt, oder eine Messung ist falsch, nach den Messungen dieses Termins und der benachbarten ({ $of }). Die fragliche Messung: { $reading }.
doubtful_several = { $parts }: entweder bewegt, oder eine Messung ist falsch, nach den Messungen dieses Termins und der benachbarten. Die fragliche Messung: { $reading }.
rests_on_one = Das beruht auf einer einzigen Messung; vor jedem Eingriff noch einmal messen: { $reading }.
slot_rose = Eine Kerbe wächst nicht von selbst: den 1. Bund auf Abnutzung prüfen.
noted = Dazwischen eingetragen: { $list }.
common = Nach den Messungen haben sich alle Saiten gleich weit bewegt: Halsansatz, Steg und seine Bolzen prüfen.
contradict = Diese Messungen widersprechen einander oder den übrigen, daher wird aus ihnen weniger geschlossen. Noch einmal messen.
wishes = Verglichen mit den eingegebenen Sollwerten (was sich bewegt hat, zeigt nur ein früherer Termin):
wish_above = { $of }: { $reading } gemessen, { $by } über dem Soll von { $target }.
wish_below = { $of }: { $reading } gemessen, { $by } unter dem Soll von { $target }.
wish_open = { $of }: { $reading } gemessen; das sagt nicht, ob es dem Soll von { $target } entspricht.
wish_met = Im Soll: { $list }.
wish_within = Im Soll, soweit messbar: { $list }.
left_aside = { $count ->
    [one] Ein weiterer Messwert blieb
   *[other] { $count } weitere Messwerte blieben
  } unberücksichtigt: wurde bei einer Gelegenheit mehrmals dasselbe gemessen, zählen der maßgebliche Wert und die letzten anderen, höchstens vier.
readers_unknown = Davor hat { $first } gemessen, danach { $second }: wie weit beide auseinanderliegen, ist nicht bekannt; bis { $within } werden dafür eingeräumt (übliche Praxis, ohne Quelle).
readers = Davor hat { $first } gemessen, danach { $second }: { $second } misst { $estimate } im Vergleich mit { $first }, gelernt aus { $count ->
    [one] einem Vergleich
   *[other] { $count } Vergleichen
  } anderer Messungen, und das ist berücksichtigt.
