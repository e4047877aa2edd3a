# Die Geschichte der Demo, der Reihe nach, und was um sie herum steht.
october = Ein Montag im Oktober, an der Werkbank
take_in = Der Techniker nimmt einen fünfsaitigen Bass an. Die Saitenlage wird mit einem Stahllineal in 64stel Zoll gemessen, die Halskrümmung mit Fühlerlehren; der erste Wert ist die höchste Saite.
wishes = Was der Spieler möchte:
first_eighth = Zuerst der Halsspannstab, und nur eine Achteldrehung: noch weiß niemand, in welche Richtung dieser wirkt. Im Zweifel zuerst lösen.
rod_known = Drehen im Uhrzeigersinn verringert die Halskrümmung: jetzt steht es in der Akte. Weiter mit Vierteldrehungen.
relief_there = Die Halskrümmung stimmt. Die Saitenlage wurde gemessen, bevor der Halsspannstab gedreht wurde, sie gilt also nicht mehr:
saddle_way = Ein Blick auf einen Reiter zeigt, wie die Schrauben wirken: im Uhrzeigersinn geht er höher.
final_numbers = Die Endwerte werden mit der Messuhr gemessen, denn mit ihnen wird beim nächsten Termin verglichen. Sie werden die Sollwerte.
invitation = Der Spieler wird eingeladen: zwölf Wörter auf einem Weg, ein Bündel auf einem anderen. Auf welchen, ist gleich.
friday = Freitagabend, beide offline
backstage = Hinter der Bühne sieht sich der Spieler die Werte an, trägt ein Schnarren ein und will die tiefste Saite höher.
same_evening = Am selben Abend hat der Techniker, der davon nichts weiß, den Bass noch einmal für eine Stunde auf der Werkbank und senkt genau diese Saite.
saturday = Samstag, die Bündel kreuzen sich
second_first = Die zweite Datei des Spielers kommt vor der ersten an. Sie enthält alles, was tech fehlen kann; die erste bringt dann nichts Neues.
two_values = Beide haben für dieselbe Saite einen anderen Sollwert gesetzt. Beide Werte bleiben, und der Plan wählt keinen. Nach einem Wort am Telefon entscheidet der Spieler.
up_again = Also geht die Saite wieder nach oben. = heißt „wie zuvor“.
january = Januar, ein trockener Winter
heating = Seit Wochen läuft die Heizung. Niemand hat eine Schraube berührt, aber jede Saite liegt höher.
one_nut = Fünf Saiten zu hoch, und eine Mutter zu drehen.
untouched = Die Saitenlage ist wieder, wo sie war, und kein Reiter wurde berührt.

differ = die beiden Akten unterscheiden sich: der Stand des Technikers ist { $tech }, der des Spielers { $player }
same = Beide Geräte haben dieselbe Akte: Stand { $state } auf beiden Seiten.
go_on = Von hier aus weiter, zum Beispiel:
your_own = Das eigene Instrument: { $program } --help
not_from_demo = { $path } enthält etwas, das nicht aus einer Demo stammt; mit --into einen anderen Ordner nennen
marker = Diesen Ordner hat `fallaway demo` angelegt; er darf ersetzt werden.
stopped = die Geschichte bricht ab: `fallaway { $command }` endete mit Code { $code }
no_state = die Akte von { $device } zeigt keinen Stand: { $why }
