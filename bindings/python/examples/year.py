"""A year out of a notebook: brings a table in with its dates, says what the year has taught, and draws the
relief of the neck over the year.

    python3 year.py notebook.csv year.svg

What the table may look like is in docs/import.md: "day,by,temperature,humidity,hours,relief (feeler 1 thou)".
"""

import pathlib
import sys

import fallaway

notebook, picture = map(pathlib.Path, sys.argv[1:])
with fallaway.workshop_in_memory("tech") as workshop:
    bass = workshop.add_instrument("bass-4", "walnut bass")
    try:
        bass.import_table(notebook.read_text("utf-8"))
    except fallaway.FallawayError as error:
        sys.exit(str(error))
    print(*bass.learned().sentences, sep="\n")
    relief, whole = fallaway.Quantity.relief(1, 24), fallaway.Location.WHOLE
    drawn = bass.draw_history(relief, whole, theme=fallaway.Theme.LIGHT)
picture.write_text(drawn.svg or "", "utf-8")
