"""What the library tells an app: changes, lines for a log; and an app's own clock and randomness."""

from __future__ import annotations

import pathlib

import pytest
from bench import walnut_bass, workshop

import fallaway as f


class Looking(f.ChangeListener):
    """Reads the instrument's name whenever it is told, and then throws if it is to."""

    def __init__(self, tech: f.Workshop, throws: bool) -> None:
        self.tech, self.throws = tech, throws
        self.told: list[str] = []

    def changed(self, instruments: list[str]) -> None:
        self.told += [self.tech.instrument(id_).name() for id_ in instruments]
        if self.throws:
            raise RuntimeError("out of luck")


class Lines(f.LogSink):
    """Takes lines, and throws all the same."""

    def __init__(self) -> None:
        self.lines: list[tuple[f.LogLevel, str]] = []

    def log(self, level: f.LogLevel, line: str) -> None:
        self.lines.append((level, line))
        raise RuntimeError("nobody is told of this")


def test_a_listener_is_told_until_it_is_cancelled_and_may_throw(tmp_path: pathlib.Path) -> None:
    log = Lines()
    options = f.WorkshopOptions(folder=str(tmp_path), label="tech")
    tech = f.Workshop.open(options, log=log)
    calm, throwing = Looking(tech, False), Looking(tech, True)
    first, second = tech.listen(calm), tech.listen(throwing)
    bass = walnut_bass(tech)
    bass.add_remark("one")
    assert calm.told == throwing.told == ["walnut bass"] * 2
    first.cancel()
    first.cancel()
    # To drop the place does not end it.
    del second
    bass.add_remark("two")
    assert (len(calm.told), len(throwing.told)) == (2, 3)
    failed = [line for level, line in log.lines if level == f.LogLevel.WARNING]
    assert sum("out of luck" in line for line in failed) == 3
    assert not any("walnut" in line for _, line in log.lines)


class Fixed(f.TimeSource, f.RandomSource):
    """One moment, one byte."""

    def now(self) -> f.Moment:
        return f.Moment(unix_s=1_780_000_000, offset_min=120)

    def draw(self, count: int) -> bytes:
        return bytes([7]) * count


def test_time_and_randomness_can_be_given() -> None:
    one, other = (f.Workshop.in_memory("tech", Fixed(), Fixed()) for _ in range(2))
    assert one.device() == other.device()
    assert one.device() != workshop().device()
    bass = walnut_bass(one)
    entry = bass.entry(bass.add_remark("one"))
    assert entry.at == f.Moment(unix_s=1_780_000_000, offset_min=120)


class Broken(f.TimeSource, f.RandomSource):
    """Has no battery and no luck."""

    def now(self) -> f.Moment:
        raise OSError("no battery")

    def draw(self, count: int) -> bytes:
        return b"\x07"


def test_without_a_time_the_devices_own_is_used_and_without_randomness_nothing_goes() -> None:
    bass = walnut_bass(f.Workshop.in_memory("tech", Broken()))
    assert bass.entry(bass.add_remark("one")).at.unix_s > 1_780_000_000
    with pytest.raises(f.FallawayError.Keys, match="1 random bytes instead of"):
        f.Workshop.in_memory("tech", None, Broken())
