"""A year out of a notebook: brings a table in with its dates, says what the year has taught, and draws the
relief of the neck over the humidity of the air.

    python3 year.py notebook.csv year.svg

The table has the columns day, by, temperature, humidity, relief, action; what stands in a cell is what a
person writes, with its unit or in steps of the tool: "21 C", "45 %", "12", "5 5 5 6".
"""

import csv
import datetime
import sys

import fallaway
from fallaway import Climate, Quantity, Tool, WriteOptions


def bring_in(bass: fallaway.Instrument, notebook: str) -> None:
    """Every row with the day on which it was read; a doubt is a slip of the pen, told with its row."""
    with open(notebook, newline="", encoding="utf-8") as file:
        for number, row in enumerate(csv.DictReader(file), 2):
            then = WriteOptions(at=datetime.datetime.fromisoformat(row["day"]).astimezone(), by=row["by"])
            try:
                air = Climate(temperature=row["temperature"], humidity=row["humidity"], hours_there=48)
                bass.add_climate(air, options=then)
                bass.add_pass_text(Quantity.relief(1, 24), row["relief"], Tool.FEELER_THOU, options=then)
                bass.add_pass_text(Quantity.action(1, 24), row["action"], Tool.RULE64, options=then)
            except fallaway.FallawayError as error:
                sys.exit(f"row {number}: {error}")


def drawing(points: list[tuple[float, float]]) -> str:
    """Points as an SVG, the largest and smallest of each axis at its edges."""
    (left, right), (low, high) = ((min(axis), max(axis)) for axis in zip(*points, strict=True))
    dots = "".join(
        f'<circle cx="{20 + 360 * (x - left) / (right - left or 1):.1f}" '
        f'cy="{220 - 200 * (y - low) / (high - low or 1):.1f}" r="3"/>'
        for x, y in points
    )
    text = f"relief {low:.2f} to {high:.2f} mm, humidity {left:.0f} to {right:.0f} %"
    frame = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 260">{dots}'
    return f'{frame}<text x="20" y="250" font-size="12">{text}</text></svg>\n'


if __name__ == "__main__":
    with fallaway.workshop_in_memory("tech") as workshop:
        instrument = workshop.add_instrument("bass-4", "walnut bass")
        bring_in(instrument, sys.argv[1])
        print(*instrument.learned().sentences, sep="\n")
        table = fallaway.readings_frame(instrument)
        table = table[table["quantity"].str.startswith("relief")].dropna(subset="humidity_percent")
        with open(sys.argv[2], "w", encoding="utf-8") as out:
            out.write(drawing(list(zip(table["humidity_percent"], table["value"], strict=True))))
