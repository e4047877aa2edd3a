"""Conversions of readings and of string units against pint."""

from fractions import Fraction

import numpy as np
import pint
import pytest

units = pint.UnitRegistry(non_int_type=Fraction)
units.define("thou = inch / 1000")


def exact_mm(count, unit):
    """The exact number of millimetres, as a fraction."""
    return units.Quantity(Fraction(count), unit).to("millimeter").magnitude


def written(rng):
    """A reading in one of the notations, with its exact number of millimetres."""
    kind = rng.integers(5)
    if kind == 0:
        denominator = int(rng.choice([8, 16, 32, 64, 128]))
        numerator = int(rng.integers(1, denominator))
        return f"{numerator}/{denominator}", exact_mm(Fraction(numerator, denominator), "inch")
    if kind == 1:
        whole, numerator = int(rng.integers(1, 40)), int(rng.integers(1, 64))
        return (
            f"{whole} {numerator}/64 in",
            exact_mm(whole + Fraction(numerator, 64), "inch"),
        )
    places = int(rng.integers(0, 4))
    digits = int(rng.integers(1, 60_000))
    number = Fraction(digits, 10**places)
    text = f"{digits / 10**places:.{places}f}"
    symbol, name = [("mm", "millimeter"), ("in", "inch"), ("thou", "thou")][kind - 2]
    return f"{text} {symbol}", exact_mm(number, name)


def test_a_reading_is_as_long_as_pint_says(ask, rng):
    cases = [written(rng) for _ in range(600)]
    cases += [
        ("2.5/32", exact_mm(Fraction(5, 64), "inch")),
        ("2 1/2 /32", exact_mm(Fraction(5, 64), "inch")),
        ("1,98", Fraction(198, 100)),
        (".078", exact_mm(Fraction(78, 1000), "inch")),
        ('.012"', exact_mm(Fraction(12, 1000), "inch")),
        ('3/32"', exact_mm(Fraction(3, 32), "inch")),
        ("-0.10 mm", Fraction(-1, 10)),
        ("-5 thou", exact_mm(Fraction(-5), "thou")),
        ("0 mm", Fraction(0)),
        ("34 in", exact_mm(34, "inch")),
    ]
    answers = ask.all({"ask": "reading", "text": text} for text, _ in cases)
    for (text, mm), answer in zip(cases, answers):
        assert answer["low"] == pytest.approx(float(mm), rel=1e-14, abs=1e-15), text
        assert answer["high"] == answer["low"], text


@pytest.mark.parametrize(
    ("text", "tool", "low", "high"),
    [
        ("5", "rule 1/64", "5/64", "5/64"),
        ("2.5", "rule 1/32", "5/64", "5/64"),
        ("12", "feeler 1 thou", "12/1000", "12/1000"),
        (".010 goes, .012 not", None, "10/1000", "12/1000"),
        ("0.010 in to 0.012 in", None, "10/1000", "12/1000"),
        (">= 3/64", None, "3/64", None),
        ("<= 3/64", None, None, "3/64"),
    ],
)
def test_tools_and_bounds(ask, text, tool, low, high):
    answer = ask("reading", text=text, tool=tool)
    for end, inches in (("low", low), ("high", high)):
        if inches is None:
            assert answer[end] is None
        else:
            assert answer[end] == pytest.approx(float(exact_mm(inches, "inch")), rel=1e-14)


def test_what_is_shown_is_rounded_as_fractions_are(ask, rng):
    """Exact rational arithmetic, rounded once with halves away from zero."""

    def rounded(value, step):
        count, rest = divmod(abs(value), step)
        count += rest * 2 >= step
        return (count if value >= 0 else -count), rest == 0

    cases = [written(rng) for _ in range(400)]
    # Ties: half of the last place asked for.
    cases += [("0.125 mm", Fraction(1, 8)), ("-0.125 mm", Fraction(-1, 8)), ("0.5 thou", None)]
    cases[-1] = ("0.5 thou", exact_mm(Fraction(1, 2), "thou"))
    symbols = {"mm": "millimeter", "in": "inch", "thou": "thou"}
    asked = []
    for text, mm in cases:
        symbol = str(rng.choice(list(symbols)))
        asked.append((text, mm, symbol, int(rng.integers(0, 5))))
    answers = ask.all(
        {"ask": "shown", "text": t, "unit": s, "places": p} for t, _, s, p in asked
    )
    for (text, mm, symbol, places), answer in zip(asked, answers):
        inside = units.Quantity(mm, "millimeter").to(symbols[symbol]).magnitude
        count, exact = rounded(Fraction(inside), Fraction(1, 10**places))
        number, unit = answer["shown"].split(" ")
        assert unit == symbol and Fraction(number) * 10**places == count, (text, answer)
        assert answer["exact"] == exact, (text, answer)

    divided = [(text, mm, int(rng.choice([16, 32, 64]))) for text, mm in cases if mm < 9_999 * 25]
    answers = ask.all({"ask": "shown", "text": t, "divisions": d} for t, _, d in divided)
    for (text, mm, divisions), answer in zip(divided, answers):
        inch = Fraction(units.Quantity(mm, "millimeter").to("inch").magnitude)
        count, exact = rounded(inch, Fraction(1, divisions))
        shown = answer["shown"].removesuffix(" in")
        sign = -1 if shown.startswith("-") else 1
        total = sum(Fraction(part) for part in shown.lstrip("-").split(" "))
        assert sign * total * divisions == count, (text, answer)
        assert answer["exact"] == exact


def test_temperatures(ask, rng):
    plain = pint.UnitRegistry()
    for _ in range(100):
        tenths = int(rng.integers(-200, 1200))
        fahrenheit = ask.all(
            [{"ask": "shown", "text": f"{tenths / 10:.1f} °C", "unit": "°F", "places": 3}]
        )[0]["shown"]
        wanted = plain.Quantity(tenths / 10, "degC").to("degF").magnitude
        assert float(fahrenheit.split(" ")[0]) == pytest.approx(wanted, abs=5e-4 + 1e-9)


def test_tension_from_unit_weight(ask, rng):
    """T = mu (2 L f)^2 with pint's units: a pound of mass, an inch, standard gravity for lbf."""
    plain = pint.UnitRegistry()
    questions = [
        {
            "ask": "tension",
            "lb_per_in": float(10 ** rng.uniform(-4.6, -2.7)),
            "length_in": float(rng.uniform(20, 36)),
            "hz": float(rng.uniform(28, 340)),
        }
        for _ in range(200)
    ]
    kept = [
        q for q in questions if q["lb_per_in"] * (q["length_in"] * q["hz"]) ** 2 < 2e4
    ]
    assert len(kept) > 50
    for question, answer in zip(kept, ask.all(kept)):
        mass = plain.Quantity(question["lb_per_in"], "pound / inch")
        speed = 2 * plain.Quantity(question["length_in"], "inch") * plain.Quantity(
            question["hz"], "hertz"
        )
        force = mass * speed**2
        # The pounds of the core's unit library carry 7 digits.
        assert answer["newton"] == pytest.approx(force.to("newton").magnitude, rel=1e-6)
        assert answer["lbf"] == pytest.approx(force.to("force_pound").magnitude, rel=1e-6)
        assert answer["lbf_by_unit_weight"] == pytest.approx(
            force.to("force_pound").magnitude, rel=1e-12
        )
        assert answer["kg_per_m"] == pytest.approx(mass.to("kilogram / meter").magnitude, rel=1e-6)
        assert answer["lb_per_in_back"] == pytest.approx(question["lb_per_in"], rel=1e-12)


def test_a_wound_string_weighs_what_its_helix_does(ask, rng):
    """The winding as a helix of touching turns, its lead and length found numerically."""
    from scipy.integrate import quad
    from scipy.optimize import brentq

    for _ in range(40):
        core, density = float(rng.uniform(0.25, 0.7)), float(rng.uniform(7800, 7861))
        layers = [
            (float(rng.uniform(0.1, 0.6)), float(rng.uniform(7000, 9000)))
            for _ in range(int(rng.integers(0, 4)))
        ]
        answer = ask("unit_mass", core=core, density=density, layers=layers)
        mass, under = density * np.pi / 4 * (core / 1e3) ** 2, core
        for wire, rho in layers:
            mean = under + wire
            # Turns touch where they lie side by side: wire = pitch * cos(lead).
            pitch = brentq(
                lambda p: p * np.cos(np.arctan(p / (np.pi * mean))) - wire, wire * 0.5, wire * 3,
                xtol=1e-15, rtol=1e-14,
            )
            along, _ = quad(
                lambda turn: np.hypot(np.pi * mean, pitch), 0.0, 1.0 / pitch, epsabs=0, epsrel=1e-13
            )
            mass += rho * np.pi / 4 * (wire / 1e3) ** 2 * along
            under += 2 * wire
        assert answer["kg_per_m"] == pytest.approx(mass, rel=1e-10)
