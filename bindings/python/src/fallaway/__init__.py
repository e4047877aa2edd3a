"""One history of a fretted instrument's set-up, and what to turn next.

A `Workshop` keeps the records of all instruments that a device knows, in one folder; an `Instrument`
is a handle to one of them. Everything works offline, and merges when bundles come in.

>>> import fallaway
>>> with fallaway.workshop_in_memory("tech") as workshop:
...     bass = workshop.add_instrument("bass-4", "walnut bass")
...     relief = fallaway.Quantity.RELIEF(1, 24, None)
...     _ = bass.add_pass_text(relief, "12", fallaway.Tool.FEELER_THOU())
...     bass.card().lines[0].last.value.text
'12 thou'

Records are plain dataclasses; every value has its unit in its name or beside it. Errors are kinds of
`FallawayError`, each with something to do about it.
"""

from . import _records
from ._core import fallaway as _generated

# Without what serves the generated code alone.
_generated.__all__[:] = [name for name in _generated.__all__ if not name.endswith(("Impl", "Protocol"))]

from ._core.fallaway import *  # noqa: E402, F403
from ._core.fallaway import FallawayError  # noqa: E402
from ._frames import moment, readings_frame  # noqa: E402
from ._workshop import Workshop, open_workshop, workshop_in_memory  # noqa: E402

_records.make_plain(_generated)


def _told(error: FallawayError) -> str:
    """What went wrong, in words for a person."""
    named = vars(error)
    parts = [str(named[name]) for name in ("what", "field", "name", "reason") if name in named]
    accepted = named.get("accepted")
    return ": ".join([type(error).__name__, *parts]) + (f" ({accepted})" if accepted else "")


FallawayError.__str__ = _told  # type: ignore[assignment,method-assign]

__all__ = ["moment", "open_workshop", "readings_frame", "workshop_in_memory"]
__all__ += _generated.__all__
