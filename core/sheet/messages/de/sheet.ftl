### Was auf der Seite für Kunden steht, und auf der im Kofferdeckel.
customer = Einstellung, { $day }
customer_for = Einstellung, { $day }: { $purpose }
bench = Werte der Einstellung
bench_of = Werte von Setup „{ $setup }“
numbers = Werte
what = was
as_found = vorgefunden
wanted = Soll
as_left = übergeben
wanted_within = { $wanted } ± { $tolerance }
on_target = { $all ->
    [1] Der eine Wert mit Soll liegt bei der Übergabe außerhalb seiner Toleranz.
   *[other] { $within } von { $all } Werten mit Soll liegen bei der Übergabe in ihrer Toleranz.
  }
on_target_all = { $all ->
    [1] Der eine Wert mit Soll liegt bei der Übergabe in seiner Toleranz.
   *[other] Alle { $all } Werte mit Soll liegen bei der Übergabe in ihrer Toleranz.
  }
on_target_read = { $all ->
    [1] { $within ->
        [1] Der eine zuletzt gemessene Wert liegt bei der Übergabe in seiner Toleranz;
       *[other] Der eine zuletzt gemessene Wert liegt bei der Übergabe außerhalb seiner Toleranz;
      }
   *[other] { $within } von { $all } zuletzt gemessenen Werten liegen bei der Übergabe in ihrer Toleranz;
  } { $open ->
    [1] einer mit Soll wurde zuletzt nicht gemessen.
   *[other] { $open } mit Soll wurden zuletzt nicht gemessen.
  }
not_read_this_time = Diesmal nicht gemessen: { $what }.
not_read = –
done = Was gemacht wurde
nothing_done = Es wurde nichts verändert.
notes = Anmerkungen
facts = Instrument
by = Von
strings = Saiten
strings_since = Saiten aufgezogen
tuning = Gestimmt auf
air = Klima
air_humidity = { $humidity } relative Luftfeuchte
air_temperature = { $temperature }
air_of = { $air } ({ $day })
neck_today = Hals
watch = Worauf zu achten ist
watch_open = Offen geblieben: { $steps }.
watch_two_values = { $what }: zwei Sollwerte sind eingetragen; einer davon ist auszuwählen.
watch_wood = Der Hals folgt der Luftfeuchte. Wenn das Heizen beginnt oder endet, ändern sich Halskrümmung und Saitenlage über einige Wochen; möglichst bei 40 % bis 60 % relativer Luftfeuchte aufbewahren (übliche Praxis).
come_back = Wann wiederkommen
come_back_by = Spätestens am { $day }, nach einem halben Jahr (übliche Praxis); früher, wenn es schnarrt, sich schwerer spielt, Saiten anderer Stärke oder Stimmung bekommt oder sehr trocken oder feucht gestanden hat.
invitation = Einladung
invitation_reads = Lässt ein Gerät einmal in die Akte dieses Instruments, um sie zu lesen; gültig bis { $until }.
invitation_writes = Lässt ein Gerät einmal in die Akte dieses Instruments, um sie zu lesen und Messwerte einzutragen; gültig bis { $until }.
invitation_how = Der App den Code zeigen oder diese Wörter eingeben: { $words }. Die Akte selbst kommt in einer Datei oder über das Relais.
invitation_caution = Wer diese Seite oder ein Foto davon sieht, kann die Einladung als Erster benutzen. Gerät sie in andere Hände: zurückziehen lassen.
large_of = { $place }: { $what }
large_within = ± { $tolerance }
large_read = zuletzt { $read }
