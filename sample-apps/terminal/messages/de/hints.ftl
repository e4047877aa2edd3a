# Was als Nächstes einzugeben ist.
two_values = Ansehen und wählen: fallaway two-values
set_target = Einen setzen, zum Beispiel: fallaway setup target { $setup } { $example }
keep_readings = Oder die heutigen Messungen als Sollwerte übernehmen: fallaway setup take { $setup }
tuned = Dann eintragen: fallaway tuned
targets_here = Zum Beispiel: w relief 0,25 mm, dann w action all 5/64 (oder: targets usual)
as_left = Die Endwerte mit --as-left eintragen.
which_way = Wenn zu sehen ist, wohin der Reiter beim Drehen geht, eintragen: fallaway set saddle-clockwise more (oder less)
toward = Ziel: „{ $setup }“ (ein anderes: fallaway plan --setup NAME)
all_steps = Jeder Schritt ausführlich: fallaway plan --all
other_steps = Die übrigen Schritte
photos = { $count ->
    [one] 1 Foto: fallaway photo
   *[other] { $count } Fotos: fallaway photo
}
all_numbers = Alle Werte: fallaway card
caution = Vorsicht:
