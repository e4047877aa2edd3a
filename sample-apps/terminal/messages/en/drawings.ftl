written = Drawn to { $file }.
nothing_to_turn = Nothing is to be turned now.
since_of_changed = Only `draw changed` takes --since.
