"""Tables of a history, for notebooks. They need pandas: `pip install fallaway[pandas]`."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

from ._core.fallaway import (
    Climate,
    EntryBody,
    HistoryFilter,
    Instrument,
    Location,
    Moment,
    location_label,
    quantity_label,
    tool_label,
)

if TYPE_CHECKING:
    import pandas


COLUMNS = (
    "instrument",
    "at",
    "by",
    "device",
    "visit",
    "quantity",
    "place",
    "value",
    "unit",
    "as_entered",
    "standard_uncertainty",
    "kind",
    "tool",
    "phase",
    "posture",
    "temperature_c",
    "humidity_percent",
    "entry",
)


def moment(at: Moment) -> datetime.datetime:
    """A moment of the record as Python has it, with the offset of the place where it was written."""
    return at.to_datetime()


def readings_frame(instrument: Instrument) -> pandas.DataFrame:
    """Every reading that was not crossed out, one row each, oldest first.

    The columns are `COLUMNS`; `at` has its offset. Lengths are in mm and intervals in cents, as `unit`
    says. A reading that is only a bound has the bound as `value`; `kind` tells. The air is the last
    that was noted in the same visit before the reading.
    """
    import pandas

    view = instrument.details()
    notes = {tuned.place: tuned.note.rstrip("-0123456789") for tuned in view.spec.tuning}
    air: dict[str | None, Climate] = {}
    rows: list[dict[str, object]] = []
    for entry in instrument.history(HistoryFilter(hide_retracted=True)):
        body = entry.body
        if isinstance(body, EntryBody.CLIMATE_NOTED):
            air[entry.visit] = body.climate
        if not isinstance(body, EntryBody.READINGS):
            continue
        taken, climate = body.taken, air.get(entry.visit, Climate())
        phase, posture = taken.conditions.phase, taken.conditions.posture
        for read in taken.readings:
            place = location_label(read.location)
            if isinstance(read.location, Location.ONE_STRING) and read.location.place in notes:
                place = f"{place} ({notes[read.location.place]})"
            rows.append(
                {
                    "instrument": view.name,
                    "at": moment(entry.at),
                    "by": entry.by,
                    "device": entry.device,
                    "visit": entry.visit,
                    "quantity": quantity_label(taken.quantity),
                    "place": place,
                    "value": read.reading.value.value,
                    "unit": read.reading.value.unit.name.lower(),
                    "as_entered": read.reading.value.as_entered,
                    "standard_uncertainty": read.reading.value.standard_uncertainty,
                    "kind": read.reading.kind.name.lower(),
                    "tool": tool_label(taken.tool) if taken.tool else None,
                    "phase": phase.name.lower() if phase else None,
                    "posture": posture.name.lower() if posture else None,
                    "temperature_c": climate.temperature.value if climate.temperature else None,
                    "humidity_percent": climate.humidity.value if climate.humidity else None,
                    "entry": entry.short_id,
                }
            )
    return pandas.DataFrame(rows, columns=list(COLUMNS))
