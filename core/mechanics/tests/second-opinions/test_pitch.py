"""Note names and frequencies against music21."""

import math

import numpy as np
import pytest
from music21 import pitch as m21


def music21_pitch(letter, alteration, octave):
    """music21 writes flats as "-"; its octave is set apart, so that -1 is no flat."""
    p = m21.Pitch(letter + ("#" * alteration if alteration > 0 else "-" * -alteration))
    p.octave = octave
    return p


def spelled():
    """Every spelling with up to two accidentals in every octave."""
    for octave in range(-1, 10):
        for letter in "CDEFGAB":
            for alteration in range(-2, 3):
                sign = "#" * alteration if alteration > 0 else "b" * -alteration
                yield f"{letter}{sign}{octave}", music21_pitch(letter, alteration, octave)


def test_every_spelling_of_every_note(ask, rng):
    cases = [(name, p, float(rng.choice([415.0, 432.0, 440.0, 442.0, 466.0]))) for name, p in spelled()]
    answers = ask.raw([{"ask": "note", "name": name, "a4": a4} for name, _, a4 in cases])
    known = 0
    for (name, p, a4), answer in zip(cases, answers):
        if not 0 <= p.ps <= 127:
            assert "refused" in answer, name
            continue
        known += 1
        note = answer["answer"]
        assert note["number"] == p.ps, name
        # music21's own reference is A4 = 440 Hz.
        assert note["hz"] == pytest.approx(p.frequency * a4 / 440.0, rel=1e-12), name
        assert note["name"] == name
    assert known > 350


def test_the_nearest_note(ask, rng):
    cases = [
        (float(hz), float(rng.uniform(430, 446)), bool(rng.integers(2)))
        for hz in np.exp(rng.uniform(np.log(15), np.log(5000), 400))
    ]
    answers = ask.all(
        {"ask": "nearest", "hz": hz, "a4": a4, "flats": flats} for hz, a4, flats in cases
    )
    for (hz, a4, flats), answer in zip(cases, answers):
        p = m21.Pitch()
        p.frequency = hz * 440.0 / a4
        # music21 rounds the rest to microtones; take the tone itself and compute the rest.
        exact = 69 + 12 * math.log2(hz / a4)
        number = round(exact)
        assert answer["number"] == number
        assert answer["cents"] == pytest.approx(100 * (exact - number), abs=1e-9)
        sounding = p.ps
        assert abs(sounding - exact) < 0.011, "music21 rounds to a cent"
        name = answer["name"]
        assert music21_pitch(
            name[0],
            name.count("#") - name[1:].count("b"),
            int(name.lstrip("ABCDEFG").lstrip("#b")),
        ).ps == number
        assert ("#" not in name) if flats else ("b" not in name[1:])
