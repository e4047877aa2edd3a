"""A year out of a notebook: brings a table in with its dates, says what the year has taught, and draws the
relief of the neck over the year.

    python3 year.py notebook.csv year.svg

What the table may look like is in docs/import.md: "day,by,temperature,humidity,hours,relief (feeler 1 thou)".
"""

import pathlib
import sys

import fallaway
from fallaway import Quantity


def drawing(points: list[fallaway.SeriesPoint]) -> str:
    """A chart as SVG: the first and the last day, the least and the most, at its edges."""
    days, values = [one.at.unix_s for one in points], [one.value.value for one in points]
    wide, high = max(days) - min(days) or 1, max(values) - min(values) or 1
    dots = "".join(
        f'<circle cx="{20 + 360 * (day - min(days)) / wide:.1f}" cy="{220 - 200 * (value - min(values)) / high:.1f}" r="3"/>'
        for day, value in zip(days, values, strict=True)
    )
    text = f"relief {min(values):.2f} to {max(values):.2f} mm"
    frame = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 260">{dots}'
    return f'{frame}<text x="20" y="250" font-size="12">{text}</text></svg>\n'


if __name__ == "__main__":
    with fallaway.workshop_in_memory("tech") as workshop:
        instrument = workshop.add_instrument("bass-4", "walnut bass")
        try:
            instrument.import_table(pathlib.Path(sys.argv[1]).read_text("utf-8"))
        except fallaway.FallawayError as error:
            sys.exit(str(error))
        print(*instrument.learned().sentences, sep="\n")
        pathlib.Path(sys.argv[2]).write_text(drawing(instrument.series(Quantity.relief(1, 24))), "utf-8")
