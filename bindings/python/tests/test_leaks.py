"""100,000 times: create, use, close. Memory stays bounded, and no thread is left behind."""

from __future__ import annotations

import gc
import os
import pathlib
import sys
import threading
from typing import Callable

import pytest
from bench import read, walnut_bass, workshop

import fallaway as f

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")

CYCLES = 100_000
WARM_UP = 5_000
GROWTH_KIB = 8 * 1024


def resident_kib() -> int:
    pages = int(pathlib.Path("/proc/self/statm").read_text().split()[1])
    return pages * os.sysconf("SC_PAGE_SIZE") // 1024


def threads() -> tuple[int, int]:
    """As the system and as Python counts them."""
    return len(list(pathlib.Path("/proc/self/task").iterdir())), threading.active_count()


def cycles(one: Callable[[], None], warm_up: int, count: int) -> int:
    """How many KiB the process has grown by after the warm-up; no thread may be left behind."""
    before = threads()
    for _ in range(warm_up):
        one()
    gc.collect()
    warm = resident_kib()
    for _ in range(count):
        one()
    gc.collect()
    assert threads() == before
    grown = resident_kib() - warm
    print(f"{count} cycles: grown by {grown} KiB from {warm} KiB")
    return grown


class Listener(f.ChangeListener):
    """Listens to nothing in particular."""

    def changed(self, instruments: list[str]) -> None:
        pass


def test_workshops() -> None:
    def one() -> None:
        tech = workshop()
        tech.device()
        tech.listen(Listener()).cancel()
        tech.shut_down()

    assert cycles(one, WARM_UP, CYCLES) < GROWTH_KIB


def test_instruments_and_listeners_of_one_workshop() -> None:
    tech = workshop()
    id_ = walnut_bass(tech).id()

    def one() -> None:
        tech.instrument(id_).name()
        tech.listen(Listener()).cancel()

    assert cycles(one, WARM_UP, CYCLES) < GROWTH_KIB


def test_errors() -> None:
    tech = workshop()

    def one() -> None:
        with pytest.raises(f.FallawayError.NotFound):
            tech.instrument_named("nothing")

    assert cycles(one, WARM_UP, CYCLES) < GROWTH_KIB


def test_workshops_that_are_worked_in() -> None:
    def one() -> None:
        tech = workshop()
        bass = walnut_bass(tech)
        read(bass, "5 5 5 6")
        bass.plan()
        bass.details()
        tech.shut_down()

    assert cycles(one, 200, 1_000) < GROWTH_KIB


def test_stores_in_a_folder(tmp_path: pathlib.Path) -> None:
    options = f.WorkshopOptions(folder=str(tmp_path), label="tech")
    first = f.Workshop.open(options)
    walnut_bass(first)
    first.shut_down()

    def one() -> None:
        tech = f.Workshop.open(options)
        tech.instrument_named("walnut").card()
        tech.shut_down()

    assert cycles(one, 200, 1_000) < GROWTH_KIB
    assert len(list(pathlib.Path("/proc/self/fd").iterdir())) < 32
