"""Shutting a workshop down, also while other threads are inside; threads that share one."""

from __future__ import annotations

import pathlib
import queue
import threading

import pytest
from bench import read, texts, walnut_bass, workshop

import fallaway as f


def open_in(folder: pathlib.Path) -> f.Workshop:
    return f.Workshop.open(f.WorkshopOptions(folder=str(folder), label="tech"))


def test_after_shutting_down_every_handle_says_so() -> None:
    tech = workshop()
    bass = walnut_bass(tech)
    tech.shut_down()
    calls = (
        tech.shut_down,
        tech.pause,
        tech.instruments,
        tech.device,
        bass.details,
        bass.name,
        bass.setups,
        lambda: bass.plan(),
        lambda: bass.add_remark("too late"),
    )
    for call in calls:
        with pytest.raises(f.FallawayError.Closed):
            call()


def test_what_a_call_answered_is_there_at_the_next_open(tmp_path: pathlib.Path) -> None:
    tech = open_in(tmp_path)
    bass = walnut_bass(tech)
    read(bass, "5 5 5 6")
    before, fingerprint = texts(bass), tech.device().fingerprint
    tech.shut_down()
    again = open_in(tmp_path)
    assert texts(again.instrument_named("walnut")) == before
    assert again.device().fingerprint == fingerprint
    again.shut_down()


def test_shutting_down_while_other_threads_are_inside(tmp_path: pathlib.Path) -> None:
    tech = open_in(tmp_path)
    bass = walnut_bass(tech)
    inside: queue.Queue[None] = queue.Queue()
    written: queue.Queue[int] = queue.Queue()

    def work(number: int) -> None:
        count = 0
        try:
            while True:
                bass.add_remark(f"thread {number}, turn {count}")
                count += 1
                inside.put(None)
                tech.instruments()
        except f.FallawayError.Closed:
            written.put(count)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(4)]
    for thread in threads:
        thread.start()
    for _ in range(12):
        inside.get()
    tech.shut_down()
    for thread in threads:
        thread.join()
    # Nobody met anything but `Closed`, and what was answered as written is there.
    counts = [written.get_nowait() for _ in threads]
    assert len(texts(open_in(tmp_path).instrument_named("walnut"))) == sum(counts)


def test_two_threads_at_once() -> None:
    bass = walnut_bass(workshop())
    failed: list[BaseException] = []

    def work(number: int) -> None:
        try:
            for turn in range(20):
                bass.add_remark(f"thread {number}, turn {turn}")
                bass.card()
        except BaseException as error:
            failed.append(error)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failed == []
    assert sorted(texts(bass)) == sorted(
        f"thread {number}, turn {turn}" for number in range(2) for turn in range(20)
    )
