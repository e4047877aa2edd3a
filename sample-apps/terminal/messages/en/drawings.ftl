written = Drawn to { $file }.
nothing_to_turn = Nothing is to be turned now.
