### Bringing a table in.

problem = row { $row }, column “{ $column }”: { $value }: { $reason }
with_accepted = { $problem } ({ $accepted })
doubt = row { $row }, column “{ $column }”: { $why }
line = row { $row }, { $at }: { $text }
written = { $entries ->
    [one] 1 entry written
   *[other] { $entries } entries written
  } from { $rows ->
    [one] 1 row
   *[other] { $rows } rows
  }; fallaway undo takes them back
nothing_written = nothing written; { $entries ->
    [one] 1 entry
   *[other] { $entries } entries
  } would be, { $here } are here already
cannot_read_table = the table cannot be read
