### Die Karte mit den Werten.
title = { $name }
title_setup = { $name }, Setup „{ $setup }“
nothing = Noch nichts gemessen.
column_where = wo
column_read = gemessen
column_target = Soll
target = Soll { $target }
last_read = Zuletzt gemessen { $when }.
read_earlier = Seit { $day } nicht gemessen: { $quantities }.
above = über dem Soll
below = unter dem Soll
unclear = unklar: neu messen
