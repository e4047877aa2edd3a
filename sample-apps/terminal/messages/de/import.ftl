### Eine Tabelle einlesen.

problem = Zeile { $row }, Spalte „{ $column }“: { $value }: { $reason }
with_accepted = { $problem } ({ $accepted })
doubt = Zeile { $row }, Spalte „{ $column }“: { $why }
line = Zeile { $row }, { $at }: { $text }
written = { $entries ->
    [one] 1 Eintrag
   *[other] { $entries } Einträge
  } aus { $rows ->
    [one] 1 Zeile
   *[other] { $rows } Zeilen
  } geschrieben; fallaway undo nimmt sie zurück
nothing_written = nichts geschrieben; { $entries ->
    [one] 1 Eintrag käme dazu
   *[other] { $entries } Einträge kämen dazu
  }, { $here } sind schon da
cannot_read_table = die Tabelle ist nicht zu lesen
