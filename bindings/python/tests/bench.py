"""Workshops for the tests, and readings in short."""

from __future__ import annotations

import fallaway as f

ACTION = f.Quantity.GAP(stopped_fret=1, over_fret=24)
RELIEF = f.Quantity.RELIEF(from_fret=1, to_fret=24, at_fret=None)


def workshop(label: str = "tech") -> f.Workshop:
    """A workshop that ends with the process."""
    return f.Workshop.in_memory(label)


def walnut_bass(tech: f.Workshop) -> f.Instrument:
    """A four-string bass without readings."""
    return tech.add_instrument("bass-4", "walnut bass")


def place(course: int) -> f.StringPlace:
    """A string by its number."""
    return f.StringPlace(course=course)


def string(course: int) -> f.Location:
    """At a string."""
    return f.Location.ONE_STRING(place=place(course))


def read(instrument: f.Instrument, text: str) -> str:
    """A pass of action off the rule in sixty-fourths."""
    return instrument.add_pass_text(ACTION, text, tool=f.Tool.RULE64())


def target(course: int, wanted: str) -> f.NewTarget:
    """The wanted action of a string."""
    return f.NewTarget(
        quantity=ACTION,
        location=string(course),
        wanted=f.Entered(text=wanted),
        tolerance=f.Entered(text="0.1 mm"),
    )


def touch(force_n: float | None) -> f.Touch:
    """A pluck toward the board, 100 mm from the saddle."""
    toward = f.PluckDirection.TOWARD_BOARD
    return f.Touch(force_n=force_n, direction=toward, from_saddle_mm=100.0, spare_mm=0.0)


def set_up_bass(tech: f.Workshop) -> f.Instrument:
    """A bass that was tuned and read, with a setup."""
    bass = walnut_bass(tech)
    for course in (1, 2, 3, 4):
        bass.set_target(f.SetupId("stage"), target(course, "6/64 in" if course == 4 else "5/64 in"))
    bass.add_tuning(f.TuningChange())
    bass.add_pass_text(RELIEF, "12", tool=f.Tool.FEELER_THOU())
    bass.add_pass_text(ACTION, "8 5 5 6", tool=f.Tool.RULE64())
    return bass


def texts(instrument: f.Instrument) -> list[str]:
    """The whole history in words."""
    return [entry.text for entry in instrument.history(f.HistoryFilter())]


def carry(instrument: f.Instrument, other: f.Workshop) -> f.MergeReport:
    """Everything that one knows, to another."""
    return other.bundle_in(instrument.bundle_out().file)


def news(instrument: f.Instrument) -> bytes:
    """What has not been delivered yet, and it is from now on."""
    unsent = instrument.bundle_unsent()
    assert unsent is not None
    instrument.delivered(unsent.token)
    return unsent.file


def share(
    one: f.Workshop,
    instrument: f.Instrument,
    other: f.Workshop,
    role: f.Role = f.Role.CONTRIBUTOR,
) -> f.Instrument:
    """Invites `other` and carries bundles until both have everything."""
    invitation = instrument.invite(role, 14)
    joined = other.accept(invitation.words, instrument.bundle_out().file)
    carry(joined, one)
    carry(instrument, other)
    return joined
