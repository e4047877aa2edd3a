### Die Karte mit den Werten.
title = { $name }
title_setup = { $name }, Setup „{ $setup }“
nothing = Noch nichts gemessen.
column_where = wo
column_read = gemessen
column_target = Soll
target = Soll { $target }
last_read = Zuletzt gemessen { $when }.
on_target = im Soll
within_error = im Soll, soweit messbar
above = über dem Soll
below = unter dem Soll
two_targets = zwei verschiedene Sollwerte
measure_again = neu messen
