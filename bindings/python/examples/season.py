"""What a season does to a neck, from the readings of a history: a table, and a line through it."""

import sys

import fallaway


def relief_by_day(folder: str, instrument: str) -> list[tuple[str, float]]:
    """Day and relief in millimetres, oldest first."""
    with fallaway.open_workshop(folder, "tech") as workshop:
        history = workshop.instrument_named(instrument).history(fallaway.HistoryFilter(hide_retracted=True))
    rows: list[tuple[str, float]] = []
    for entry in history:
        body = entry.body
        if isinstance(body, fallaway.EntryBody.READINGS):
            taken = body.taken
            if isinstance(taken.quantity, fallaway.Quantity.RELIEF):
                day = f"{fallaway.moment(entry.at):%Y-%m-%d}"
                rows += [(day, read.reading.value.value) for read in taken.readings]
    return rows


if __name__ == "__main__":
    for day, relief_mm in relief_by_day(sys.argv[1], sys.argv[2]):
        print(f"{day}  {relief_mm:.2f} mm  {'#' * round(relief_mm * 100)}")
