written = Gezeichnet nach { $file }.
nothing_to_turn = Jetzt ist nichts zu drehen.
since_of_changed = --since gibt es nur bei `draw changed`.
