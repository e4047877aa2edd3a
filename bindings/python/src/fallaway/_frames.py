"""Tables of a history, for notebooks. They need pandas: `pip install fallaway[pandas]`."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

from ._core.fallaway import EntryBody, HistoryFilter, Instrument, Moment, quantity_label, location_label, tool_label

if TYPE_CHECKING:
    import pandas


COLUMNS = (
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
    "entry",
)


def moment(at: Moment) -> datetime.datetime:
    """A moment of the record as Python has it, with the offset of the place where it was written."""
    zone = datetime.timezone(datetime.timedelta(minutes=at.offset_min))
    return datetime.datetime.fromtimestamp(at.unix_s, zone)


def readings_frame(instrument: Instrument) -> pandas.DataFrame:
    """Every reading that was not crossed out, one row each, oldest first.

    The columns are `COLUMNS`; `at` has its offset. A reading that is only a bound has the bound as
    `value`; `kind` tells.
    """
    import pandas

    rows: list[dict[str, object]] = []
    for entry in instrument.history(HistoryFilter(hide_retracted=True)):
        body = entry.body
        if not isinstance(body, EntryBody.READINGS):
            continue
        taken = body.taken
        for read in taken.readings:
            rows.append(
                {
                    "at": moment(entry.at),
                    "by": entry.by,
                    "device": entry.device,
                    "visit": entry.visit,
                    "quantity": quantity_label(taken.quantity),
                    "place": location_label(read.location),
                    "value": read.estimate.value,
                    "unit": read.estimate.unit.name.lower(),
                    "as_entered": read.estimate.as_entered,
                    "standard_uncertainty": read.estimate.standard_uncertainty,
                    "kind": read.kind.name.lower(),
                    "tool": tool_label(taken.tool) if taken.tool else None,
                    "phase": taken.conditions.phase.name.lower() if taken.conditions.phase else None,
                    "entry": entry.short_id,
                }
            )
    return pandas.DataFrame(rows, columns=list(COLUMNS))
