# Die Eingabe an der Werkbank.

begin = Kurze Wörter, nach jeder Zeile der nächste Schritt; ? zeigt sie, Strg-Z nimmt zurück, q verlässt.
enter_does = Enter allein: wie vorgeschlagen ausgeführt.
enter_shows = Enter allein: den nächsten Schritt zeigen.
words =
    Gemessen
      5 5 5 6          was der nächste Schritt verlangt
      a 5 5 5 6        Saitenlage    r 12   Halskrümmung  n 8 8 9 9   Sattel
      i 0 2 -1 3       Oktavreinheit f 0 0 -2 0  Stimmung  s 19 19 19  Abstände
      pickup 3 3,5 mm  Tonabnehmer   = wie vorher  - nicht gemessen
    Ausgeführt
      d                wie vorgeschlagen; d ccw, wo beides möglich ist
      t                gestimmt
      rod 1/8 cw       saddle 4 down 1/4 ccw       pickup 1 bass up 1/2 cw
      nut 4 filed      air 21C 45%                 remark "..."
      u                zurücknehmen, was zuletzt eingetragen wurde (Strg-Z)
    Ansehen
      p  Plan          c  Werte      h  dieser Termin     Enter  nächster Schritt
    Termin
      add bass-4 "Name"    on "Name"        tool rule 1/64
      w action all 5/64    ein Sollwert     b "warum"  beginnen   e  beenden
      l                    Endwerte: alles, was noch gilt
      enter                Enter allein heißt: wie vorgeschlagen ausgeführt
      q                    verlassen
    Jeder andere Befehl geht wie in einer Shell, ohne „fallaway“.
