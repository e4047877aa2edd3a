written = Gezeichnet nach { $file }.
nothing_to_turn = Jetzt ist nichts zu drehen.
