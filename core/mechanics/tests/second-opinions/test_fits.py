"""Least squares: intonation from readings, predicted set-backs, the state of an instrument, what
changed. Against scipy.linalg.lstsq, scipy.optimize and covariances written out in numpy."""

import numpy as np
import pytest
from scipy import stats
from scipy.linalg import lstsq
from scipy.optimize import least_squares, lsq_linear

import neck_model as own

CENTS = 1200 / np.log(2)


def intonation_system(scale, frets, nut):
    """Cents per mm of saddle and of nut, by differences of the sounding lengths."""
    step = 1e-3

    def cents(fret, saddle, at_nut):
        stopped = scale * 2.0 ** (-fret / 12) + saddle
        return 1200 * np.log2((scale + saddle + at_nut) / stopped) - 100 * fret

    columns = [[(cents(n, step, 0) - cents(n, -step, 0)) / (2 * step) for n in frets]]
    if nut:
        columns.append([(cents(n, 0, step) - cents(n, 0, -step)) / (2 * step) for n in frets])
    return np.column_stack(columns)


def test_intonation_moves_by_weighted_least_squares(ask, rng):
    for index in range(80):
        scale, nut = float(rng.uniform(330, 890)), bool(index % 2)
        frets = rng.choice(np.arange(1, 23), int(rng.integers(2, 9)), replace=False)
        cents, u = rng.normal(3, 4, len(frets)), rng.uniform(0.2, 2, len(frets))
        readings = [[int(n), float(c), float(w)] for n, c, w in zip(frets, cents, u)]
        a = ask("intonation", scale=scale, readings=readings, nut=nut, travel=None)
        system = intonation_system(scale, frets, nut)
        rows, right = system / u[:, None], -cents / u
        moves, *_ = lstsq(rows, right)
        covariance = np.linalg.inv(rows.T @ rows)
        assert a["saddle"][0] == pytest.approx(moves[0], rel=1e-6, abs=1e-8)
        assert a["saddle"][1] == pytest.approx(np.sqrt(covariance[0, 0]), rel=1e-6)
        if nut:
            assert a["nut"][0] == pytest.approx(moves[1], rel=1e-6, abs=1e-8)
            assert a["nut"][1] == pytest.approx(np.sqrt(covariance[1, 1]), rel=1e-6)
        left = cents + system @ moves
        assert a["left_over"] == pytest.approx(left, abs=1e-6)
        assert a["rms"] == pytest.approx(np.sqrt(np.mean(left**2)), abs=1e-7)


def test_intonation_within_the_travel_of_the_saddle(ask, rng):
    """A saddle that reaches its end: bounded least squares (scipy.optimize.lsq_linear)."""
    ended = 0
    for index in range(60):
        scale, nut = 863.6, bool(index % 2)
        frets = rng.choice(np.arange(1, 23), 6, replace=False)
        cents, u = rng.normal(6, 4, 6), rng.uniform(0.2, 2, 6)
        travel = [float(v) for v in rng.uniform(0, 3, 2)]
        readings = [[int(n), float(c), float(w)] for n, c, w in zip(frets, cents, u)]
        a = ask("intonation", scale=scale, readings=readings, nut=nut, travel=travel)
        rows = intonation_system(scale, frets, nut) / u[:, None]
        width = rows.shape[1]
        bounds = ([-travel[0] - 1e-12, -np.inf][:width], [travel[1] + 1e-12, np.inf][:width])
        moves = lsq_linear(rows, -cents / u, bounds, tol=1e-14, lsmr_tol=None).x
        assert a["saddle"][0] == pytest.approx(moves[0], abs=1e-5)
        if nut:
            assert a["nut"][0] == pytest.approx(moves[1], abs=1e-4)
        ended += a["travel_ended"]
    assert ended > 10


def test_first_order_of_intonation_is_enough(ask):
    """The documented error of first order: below 0.2 cents for moves of 5 mm at fret 12 of a 34 in
    scale. The whole logarithm after the move that the library gives."""
    scale = 863.6
    for cents in (-10.0, 10.0):
        saddle = ask(
            "intonation", scale=scale, readings=[[12, cents, 0.5]], nut=False, travel=None
        )["saddle"][0]
        assert 4.9 < abs(saddle) < 5.1
        # A string that reads so many cents is as if its half were so much too short.
        lack = scale / 2 * (2 ** (-cents / 1200)) - scale / 2
        after = 1200 * np.log2((scale + saddle) / (scale / 2 + lack + saddle)) - 1200
        assert abs(after) < 0.2


def pressed(q, fret, saddle, nut):
    """Anderson and Beausoleil, JASA 156(1):683 (2024), written down again (equations as this
    project's documentation gives them): geometry, stretch, tension, stiffness."""
    scale, h, rise = q["scale"], q["nut_height"], q["saddle_rise"]
    x = scale * 2.0 ** (-fret / 12)
    # The string as a polygon through nut, fret and saddle.
    at_nut, at_fret, at_saddle = (
        np.array([-nut, h]), np.array([scale - x, 0.0]), np.array([scale + saddle, h + rise]),
    )
    open_length = np.linalg.norm(at_saddle - at_nut)
    sounding, behind = np.linalg.norm(at_saddle - at_fret), np.linalg.norm(at_fret - at_nut)
    stretch = (sounding + behind) / open_length - 1
    tension, mass = 1 + q["kappa"] * stretch, 1 / (1 + stretch)

    def stiff(b):
        return {
            "pp": np.sqrt(1 + (np.pi * b) ** 2),
            "cp": 1 + b + (1 + np.pi**2 / 2) * b**2,
            "cc": 1 + 2 * b + (4 + np.pi**2 / 2) * b**2,
        }[q["ends"]]

    b = q["b"] * 2.0 ** (fret / 12)
    if not q["by_length_only"]:
        b = q["b"] * open_length / sounding / np.sqrt(tension)
    ratio = open_length / sounding * np.sqrt(tension / mass) * stiff(b) / stiff(q["b"])
    return 1200 * np.log2(ratio) - 100 * fret


def test_predicted_set_backs_by_nonlinear_least_squares(ask, rng):
    for index in range(40):
        q = {
            "ask": "set_back", "scale": float(rng.uniform(600, 890)),
            "nut_height": float(rng.uniform(0.3, 1.2)), "saddle_rise": float(rng.uniform(1, 6)),
            "kappa": float(rng.uniform(20, 250)), "b": float(10 ** rng.uniform(-4, -2.4)),
            "ends": str(rng.choice(["pp", "cp", "cc"])), "by_length_only": bool(index % 2),
            "fret": int(rng.integers(5, 20)), "with_nut": bool(index % 3),
        }
        a = ask.all([q])[0]
        frets = np.arange(1, q["fret"] + 1)
        assert a["drawn"] == pytest.approx([pressed(q, n, 0, 0) for n in frets], abs=1e-8)
        if q["with_nut"]:
            fit = least_squares(
                lambda m: [pressed(q, n, *m) for n in frets], [0.0, 0.0], jac="3-point",
                xtol=1e-15, ftol=1e-15, gtol=1e-15,
            )
            moves = fit.x
        else:
            fit = least_squares(
                lambda m: [pressed(q, q["fret"], m[0], 0.0)], [0.0], xtol=1e-15, ftol=1e-15, gtol=1e-15
            )
            moves = np.array([fit.x[0], 0.0])
        assert a["saddle"] == pytest.approx(moves[0], abs=2e-5)
        assert a["nut"] == pytest.approx(moves[1], abs=2e-5)
        assert a["left_over"] == pytest.approx([pressed(q, n, *moves) for n in frets], abs=1e-4)


# The state of an instrument.

# Documented as choices of the library: one standard deviation of what is thought beforehand.
# Curvatures, and the difference of both sides of the neck, for a 34 in scale.
PRIOR = {"curvature": 30e-6, "twist": 10e-6, "tilt": 3e-3, "saddle": 20.0, "nut": 1.0,
         "tilt_change": 1e-3, "twist_change": 4e-6, "nut_change": 10.0}


def blank(**fields):
    return {"relief": None, "gap": None, "held": None, "read": None, "between": None,
            "shared": None} | fields


def instrument(rng, joint_u):
    count, frets = int(rng.integers(1, 6)), 24
    scale, fan = 863.6, float(rng.choice([0.0, 50.0]))
    joint = [float(rng.uniform(15, 18)), joint_u]
    return [
        {"scale": scale - fan * (1 - i / max(count - 1, 1)), "frets": frets, "joint": joint,
         "compensation": float(rng.uniform(0, 6)),
         "offsets": [float(v) for v in rng.normal(0, 0.01, frets)] if rng.integers(2) else [],
         "across": i / max(count - 1, 1)}
        for i in range(count)
    ]


def unknowns(strings):
    n = len(strings)
    return {"treble": 0, "bass": 1, "tilt": 2, "saddle": 3, "nut": 3 + n, "width": 3 + 2 * n}


def predicted(strings, reading, state, joint_shift):
    """What a reading shows: the beam of `neck_model`, no linear rows."""
    string = strings[reading["string"]]
    u = unknowns(strings)
    x = own.fret_positions(string["scale"], string["frets"])
    place = string["joint"][0] + joint_shift * string["joint"][1]
    kappa = np.interp(string["across"], [0, 1], state[:2])
    joint_x = own.joint_position(string["scale"], place)
    z = own.crowns(x, joint_x, kappa, state[2], string["offsets"])
    saddle = state[u["saddle"] + reading["string"]]
    nut = state[u["nut"] + reading["string"]]
    if reading["relief"]:
        first, last, at = reading["relief"]
        if at is None:
            # Documented: at the crown where curvature makes the largest gap.
            _, at = own.relief(x, own.crowns(x, joint_x, 1.0, 0.0), first, last)
        return own.relief(x, z, first, last, at)[0]
    if reading["gap"]:
        return own.gap(x, z, nut, string["scale"] + string["compensation"], saddle, *reading["gap"])
    return own.gap_held(x, z, nut, *reading["held"])


def true_state(rng, strings):
    n = len(strings)
    return np.concatenate([
        rng.uniform(1e-6, 6e-6, 2), [float(rng.normal(0, 5e-4))], rng.uniform(4, 8, n),
        rng.uniform(0.3, 0.6, n),
    ])


def visit(rng, strings, state, joint_shift=0.0, noise=1.0, offset=None):
    readings = []
    for i in range(len(strings)):
        asked = [("relief", [1, 24, None], 0.015), ("gap", [1, 24], 0.06), ("gap", [0, 12], 0.06),
                 ("gap", [0, 1], 0.02), ("held", [3, 1], 0.02), ("gap", [20, 24], 0.05)]
        for kind, place, u in asked:
            if rng.random() < 0.15:
                continue
            reading = blank(string=i, **{kind: place})
            value = predicted(strings, reading, state, joint_shift) + noise * rng.normal(0, u)
            if kind == "held":
                reading["between"] = [value - 0.03, value + 0.03]
            else:
                reading["read"] = [value, u]
            if offset and kind == "gap":
                reading["shared"] = offset
            readings.append(reading)
    return readings


def solve(strings, visits):
    """All visits together by scipy.optimize.least_squares: priors and readings as residuals, the
    joint and shared offsets as further unknowns."""
    u = unknowns(strings)
    width, n = u["width"], len(strings)
    shorter = (863.6 / max(s["scale"] for s in strings)) ** 2
    sd = np.concatenate([
        [PRIOR["curvature"] * shorter] * 2, [PRIOR["tilt"]],
        [PRIOR["saddle"]] * n, [PRIOR["nut"]] * n,
    ])
    ids = sorted({r["shared"][0] for v in visits for r in v if r["shared"]})
    scale = np.concatenate([np.tile(sd, len(visits)), np.ones(1 + len(ids))])

    def residuals(free):
        whole = free * scale
        joint, offsets = whole[width * len(visits)], whole[width * len(visits) + 1:]
        states = whole[: width * len(visits)].reshape(len(visits), width)
        twist = states[:, 1] - states[:, 0]
        out = [
            free, twist / (PRIOR["twist"] * shorter), np.diff(states[:, 2]) / PRIOR["tilt_change"],
            np.diff(twist) / (PRIOR["twist_change"] * shorter),
            np.diff(states[:, u["nut"]:], axis=0).ravel() / PRIOR["nut_change"],
        ]
        for k, readings in enumerate(visits):
            state = whole[width * k:width * (k + 1)]
            for r in readings:
                value = predicted(strings, r, state, joint)
                if r["shared"]:
                    value += offsets[ids.index(r["shared"][0])] * r["shared"][1]
                if r["read"]:
                    read, wide = r["read"]
                else:
                    low, high = r["between"]
                    read, wide = (low + high) / 2, (high - low) / np.sqrt(12)
                out.append([(read - value) / wide])
        return np.concatenate(out)

    done = least_squares(residuals, np.zeros(scale.size), xtol=1e-15, ftol=1e-15, gtol=1e-15,
                         x_scale="jac", method="trf")
    covariance = np.linalg.inv(done.jac.T @ done.jac) * np.outer(scale, scale)
    return done.x * scale, covariance, residuals


def height_row(strings, i):
    """The saddle over the neck's line: the saddle plus tilt times what lies beyond the joint."""
    u = unknowns(strings)
    s = strings[i]
    row = np.zeros(u["width"])
    row[u["saddle"] + i] = 1
    row[2] = s["scale"] + s["compensation"] - own.joint_position(s["scale"], s["joint"][0])
    return row


def spread(row, covariance):
    return np.sqrt(row @ covariance[: row.size, : row.size] @ row)


@pytest.mark.parametrize("joint_u", [0.0, 2 / np.sqrt(3)])
def test_the_state_behind_readings(ask, rng, joint_u):
    """With a known joint the problem is linear and must agree to rounding. An uncertain joint is a
    product of unknowns; there the library linearises over one standard uncertainty, scipy does not:
    they agree well within the uncertainty."""
    for index in range(12):
        strings = instrument(rng, joint_u)
        state = true_state(rng, strings)
        offset = [7, 0.08] if index % 2 else None
        readings = visit(rng, strings, state, joint_u and float(rng.normal(0, 0.3)), offset=offset)
        asked = [blank(string=0, gap=[0, 17]), blank(string=len(strings) - 1, gap=[5, 20])]
        a = ask("estimate", strings=strings, readings=readings, predict=asked)
        if a["contradictions"]:
            continue  # its covariance is widened on purpose
        x, covariance, _ = solve(strings, [readings])
        u, n = unknowns(strings), len(strings)
        # StatePart of the uncertainty by which values may differ, and relative width of uncertainties.
        near, wide = (1e-4, 1e-4) if joint_u == 0 else (0.25, 0.10)
        pairs = [*a["curvatures"], a["tilt"], *a["saddles"], *a["nuts"]]
        for k, (value, width) in enumerate(pairs):
            assert width == pytest.approx(np.sqrt(covariance[k, k]), rel=wide), k
            assert abs(value - x[k]) < near * width, k
        for i, (value, width) in enumerate(a["heights"]):
            row = height_row(strings, i)
            assert value == pytest.approx(row @ x[: row.size], abs=near * width)
            assert width == pytest.approx(spread(row, covariance), rel=wide)
        if joint_u == 0:
            for reading, (value, width) in zip(asked, a["predicted"]):
                base = predicted(strings, reading, x[: u["width"]], 0.0)
                assert value == pytest.approx(base, abs=1e-6)
                # The row of an unread place, by differences (it is linear).
                row = np.array([
                    (predicted(strings, reading, x[: u["width"]] + d, 0.0) - base)
                    / np.abs(d).max()
                    for d in np.diag([1e-7, 1e-7, 1e-4, *[1e-2] * (2 * n)])
                ])
                assert width == pytest.approx(spread(row, covariance), rel=1e-3)


def test_contradictions_are_named_as_numpy_finds_them(ask, rng):
    """One reading spoilt by fifteen times its uncertainty: the normalised residual, its own standard
    deviation from the covariance of residuals R - A C A^T."""
    seen = 0
    for _ in range(12):
        strings = instrument(rng, 0.0)
        readings = visit(rng, strings, true_state(rng, strings))
        spoilt = int(rng.integers(len(readings)))
        if not readings[spoilt]["read"] or len(readings) < 6:
            continue
        readings[spoilt]["read"][0] += 15 * readings[spoilt]["read"][1]
        a = ask("estimate", strings=strings, readings=readings, predict=[])
        x, covariance, residuals = solve(strings, [readings])
        width = unknowns(strings)["width"]
        base = x[:width]
        rows = []
        for r in readings:
            at = predicted(strings, r, base, 0.0)
            steps = np.diag([1e-7, 1e-7, 1e-4, *[1e-2] * (width - 3)])
            rows.append([(predicted(strings, r, base + d, 0.0) - at) / np.abs(d).max() for d in steps])
        rows = np.array(rows)
        u = np.array([
            r["read"][1] if r["read"] else np.diff(r["between"])[0] / np.sqrt(12) for r in readings
        ])
        scale = x.size - width
        residual = residuals_in_mm(strings, readings, base)
        left = u**2 - np.einsum("ij,jk,ik->i", rows, covariance[:width, :width], rows)
        assert scale == 1
        normalised = np.where(left > 1e-3 * u**2, np.abs(residual) / np.sqrt(np.abs(left)), 0.0)
        limit = stats.norm.isf(0.005 / len(readings))
        worst = normalised.max()
        if abs(worst - limit) < 0.05:
            continue
        named = dict((i, size) for i, size in a["contradictions"])
        expected = {
            i: size for i, size in enumerate(normalised) if size > limit and size >= 0.9 * worst
        }
        near_edge = any(abs(s - 0.9 * worst) < 1e-2 or abs(s - limit) < 1e-2 for s in normalised)
        if not near_edge:
            assert set(named) == set(expected)
        for i in set(named) & set(expected):
            assert named[i] == pytest.approx(expected[i], rel=1e-3)
        seen += bool(named)
    assert seen >= 3


def residuals_in_mm(strings, readings, state):
    out = []
    for r in readings:
        read = r["read"][0] if r["read"] else np.mean(r["between"])
        out.append(read - predicted(strings, r, state, 0.0))
    return np.array(out)


def test_what_changed_between_two_visits(ask, rng):
    """Both visits as one system, tied by how much a joint gives way; the change of each part with
    its standard uncertainty, and Bonferroni's factor from the normal distribution."""
    for index in range(8):
        strings = instrument(rng, 0.0)
        state = true_state(rng, strings)
        later = state.copy()
        later[:2] += rng.normal(0, 1e-6, 2)
        later[3] += 0.3
        offset = [3, 0.1] if index % 2 else None
        before = visit(rng, strings, state, offset=offset)
        after = visit(rng, strings, later, offset=offset)
        raw = ask("compare", strings=strings, before=before, after=after)
        parts = {p["part"]: p for p in raw["parts"]}
        count = len(raw["parts"])
        # The library's factor is a published approximation with its error added.
        assert raw["coverage_factor"] == pytest.approx(stats.norm.isf(0.025 / count), abs=1e-3)
        assert raw["coverage_factor"] >= stats.norm.isf(0.025 / count)
        check = ask.all(
            [{"ask": "estimate", "strings": strings, "readings": v, "predict": []}
             for v in (before, after)]
        )
        if any(c["contradictions"] for c in check):
            continue
        x, covariance, _ = solve(strings, [before, after])
        u = unknowns(strings)
        width = u["width"]
        for i in range(len(strings)):
            rows = {
                f"Saddle({i})": np.eye(width)[u["saddle"] + i],
                f"Nut({i})": np.eye(width)[u["nut"] + i],
                f"StringHeight({i})": height_row(strings, i),
            }
            for name, row in rows.items():
                both = np.concatenate([-row, row])
                change, wide = parts[name]["change"]
                assert change == pytest.approx(both @ x[: 2 * width], abs=1e-4 * wide + 1e-7), name
                assert wide == pytest.approx(spread(both, covariance), rel=1e-4), name
                moved = abs(change) > raw["coverage_factor"] * wide
                assert (parts[name]["verdict"] == "Moved") == moved
