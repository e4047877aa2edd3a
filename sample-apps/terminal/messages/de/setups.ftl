# Setups: Sollwerte.
taken = Die heutigen Messungen sind die Sollwerte von „{ $name }“:
none = Noch kein Setup. Wenn die Werte stimmen: fallaway setup take NAME. Oder einen Sollwert setzen: fallaway setup target NAME relief 0.25 mm
none_deleted = Kein Setup ist gelöscht.
renamed = Das Setup „{ $setup }“ heißt jetzt „{ $name }“.
deleted = Das Setup „{ $setup }“ ist mit seinen Sollwerten gelöscht. Zurückholen: fallaway undo, später fallaway setup back „{ $setup }“
brought_back = Das Setup „{ $setup }“ ist wieder da.
unknown = es gibt kein Setup „{ $name }“; hier: { $known }
none_yet = noch keines
head = | wo | Sollwert | Toleranz | 
two_values = zwei Werte
set = „{ $setup }“: { $what }, Sollwert { $target }
set_within = „{ $setup }“: { $what }, Sollwert { $target } ± { $within }
dropped = „{ $setup }“ hat keinen Sollwert mehr für { $what }.
nothing_to_drop = „{ $setup }“ hat keinen Sollwert für { $what }
value_missing = erst welche Saiten, dann der Wert: fallaway setup target stage action 4 2.1 mm
strings_missing = welche Saiten? Möglich: 4, 1,3, 2-5, all
