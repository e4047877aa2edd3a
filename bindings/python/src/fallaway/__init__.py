"""One history of a fretted instrument's set-up, and what to turn next.

A `Workshop` keeps the records of all instruments that a device knows, in one folder; an `Instrument`
is a handle to one of them. Everything works offline, and merges when bundles come in.

>>> import fallaway
>>> with fallaway.workshop_in_memory("tech") as workshop:
...     bass = workshop.add_instrument("bass-4", "walnut bass")
...     relief = fallaway.Quantity.relief(1, 24)
...     _ = bass.add_pass_text(relief, "12", fallaway.Tool.FEELER_THOU)
...     bass.card().lines[0].last.value.text
'12 thou'

Records are plain dataclasses; every value has its unit in its name or beside it. What has no fields is
taken with brackets and without; a text is taken for a value with its unit, and a `datetime` for a
moment. Errors are kinds of `FallawayError`, each with something to do about it.
"""

from ._core import fallaway as _generated
from ._core.fallaway import *  # noqa: F403
from ._frames import moment, readings_frame
from ._stream import SocketStream
from ._transport import UrllibTransport
from ._workshop import Workshop, back_up, open_workshop, restore, workshop_in_memory

__version__ = _generated.version()

__all__ = [
    "SocketStream",
    "UrllibTransport",
    "moment",
    "open_workshop",
    "readings_frame",
    "workshop_in_memory",
]
__all__ += _generated.__all__
