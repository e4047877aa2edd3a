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
    points = bass.series(fallaway.Quantity.relief(1, 24))
# A day is as wide as a hundredth of a millimetre is high.
first, low = points[0].at.unix_s, min(one.value.value for one in points)
line = " ".join(f"{(one.at.unix_s - first) / 86_400:.1f},{100 * (low - one.value.value):.1f}" for one in points)
svg = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 -100 366 105"><polyline fill="none" stroke="black"'
picture.write_text(f'{svg} points="{line}"/></svg>\n', "utf-8")
