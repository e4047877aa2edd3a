"""Partials, plucks and envelopes against eigenvalue solvers and sums of modes."""

import numpy as np
import pytest
from scipy.linalg import eigh
from scipy.optimize import brentq, linprog

import neck_model as own


def stiff_string(b, elements, left_clamped, right_clamped):
    """Stiffness and mass of b^2 y'''' - y'' = omega^2 y on 0..1, by Hermite cubic elements.
    The mesh is finer toward the ends, where a clamp bends the string within about b."""
    s = np.linspace(0, 1, elements + 1)
    nodes = s - 0.85 * np.sin(2 * np.pi * s) / (2 * np.pi)
    size = 2 * nodes.size
    stiffness, mass = np.zeros((size, size)), np.zeros((size, size))
    for e, h in enumerate(np.diff(nodes)):
        at = slice(2 * e, 2 * e + 4)
        bend = np.array([
            [12, 6 * h, -12, 6 * h], [6 * h, 4 * h * h, -6 * h, 2 * h * h],
            [-12, -6 * h, 12, -6 * h], [6 * h, 2 * h * h, -6 * h, 4 * h * h],
        ]) / h**3
        pull = np.array([
            [36, 3 * h, -36, 3 * h], [3 * h, 4 * h * h, -3 * h, -h * h],
            [-36, -3 * h, 36, -3 * h], [3 * h, -h * h, -3 * h, 4 * h * h],
        ]) / (30 * h)
        inert = np.array([
            [156, 22 * h, 54, -13 * h], [22 * h, 4 * h * h, 13 * h, -3 * h * h],
            [54, 13 * h, 156, -22 * h], [-13 * h, -3 * h * h, -22 * h, 4 * h * h],
        ]) * h / 420
        stiffness[at, at] += b * b * bend + pull
        mass[at, at] += inert
    held = {0, size - 2} | ({1} if left_clamped else set()) | ({size - 1} if right_clamped else set())
    free = np.array([i for i in range(size) if i not in held])
    return nodes, free, stiffness[np.ix_(free, free)], mass[np.ix_(free, free)]


def lowest(stiffness, mass, count):
    """The lowest squares of frequencies and their shapes. Asked for as the largest of the inverse
    problem, which keeps their digits although the highest frequencies are far away."""
    size = len(mass)
    inverse, shapes = eigh(mass, stiffness, subset_by_index=[size - count, size - 1])
    return 1 / inverse[::-1], shapes[:, ::-1] / np.sqrt(inverse[::-1])


CLAMPS = {"pp": (False, False), "cp": (True, False), "cc": (True, True)}


def test_partials_by_finite_elements(ask):
    for ends, clamps in CLAMPS.items():
        for b in (0.002, 0.01, 0.05, 0.1):
            _, _, stiffness, mass = stiff_string(b, 160, *clamps)
            squares, _ = lowest(stiffness, mass, 10)
            answers = ask.all(
                {"ask": "partial", "b": b, "q": q, "ends": ends} for q in range(1, 11)
            )
            for q, (square, answer) in enumerate(zip(squares, answers), 1):
                ratio = np.sqrt(square) / (q * np.pi)
                assert answer["exact"] == pytest.approx(ratio, rel=1e-5), (ends, b, q)


def frequency_equation(b, ends):
    """The determinant of the boundary conditions for the shape
    A sin ks + B cos ks + C exp(-Ks) + D exp(-K(1 - s)), as a function of k."""

    def rows(k, s):
        big = np.sqrt(k * k + 1 / (b * b))
        near, far = np.exp(-big * s), np.exp(-big * (1 - s))
        value = [np.sin(k * s), np.cos(k * s), near, far]
        slope = [k * np.cos(k * s) / big, -k * np.sin(k * s) / big, -near, far]
        bend = [-k * k * np.sin(k * s) / big**2, -k * k * np.cos(k * s) / big**2, near, far]
        return value, slope, bend

    def determinant(k):
        left, right = rows(k, 0.0), rows(k, 1.0)
        clamped_left, clamped_right = CLAMPS[ends]
        return np.linalg.det([
            left[0], left[1] if clamped_left else left[2],
            right[0], right[1] if clamped_right else right[2],
        ])

    return determinant


def test_partials_by_the_frequency_equation(ask, rng):
    for _ in range(60):
        b, q = float(10 ** rng.uniform(-4, -1)), int(rng.integers(1, 31))
        ends = str(rng.choice(["pp", "cp", "cc"]))
        determinant = frequency_equation(b, ends)
        # Clamps shift a root up by less than half a wave each; scan for the q-th one.
        grid = np.linspace(0.5, (q + 2) * np.pi, 400 * (q + 2))
        signs = np.sign([determinant(k) for k in grid])
        starts = np.flatnonzero(signs[:-1] * signs[1:] < 0)
        k = brentq(determinant, grid[starts[q - 1]], grid[starts[q - 1] + 1], xtol=1e-13)
        ratio = k * np.sqrt(1 + (b * k) ** 2) / (q * np.pi)
        answer = ask("partial", b=b, q=q, ends=ends)
        assert answer["exact"] == pytest.approx(ratio, rel=1e-10), (ends, b, q)
        if b * q < 0.02:
            # The series after Anderson and Beausoleil leaves terms of the third order.
            assert answer["formula"] == pytest.approx(ratio, abs=60 * (b * q) ** 3 + 1e-9)


@pytest.mark.parametrize("ends", ["pp", "cp", "cc"])
@pytest.mark.parametrize("b", [0.0, 1e-9, 1e-6, 1e-3, 0.1])
def test_partials_at_the_limits(ask, ends, b):
    """An ideal string, hardly any stiffness, the stiffest and highest accepted: the determinant
    changes sign within 1e-9 of the answer."""
    for q in (1, 2, 50, 1000):
        ratio = ask("partial", b=b, q=q, ends=ends)["exact"]
        if b < 1e-7:
            assert ratio == pytest.approx(1 + b * (ends.count("c")), rel=1e-10)
            continue
        omega = ratio * q * np.pi
        k = brentq(lambda k: k * np.hypot(1, b * k) - omega, 0, omega + 1, xtol=1e-13, rtol=1e-14)
        determinant = frequency_equation(b, ends)
        assert determinant(k * (1 - 1e-9)) * determinant(k * (1 + 1e-9)) < 0
        # The q-th: below it the shape has q - 1 nodes, so k lies within a wave above q half waves.
        assert q * np.pi * (1 - 1e-12) <= k < (q + 1) * np.pi


def test_plucks_close_to_the_ends(ask):
    for p, s in [(0.01, 0.99), (0.01, 0.01), (0.99, 0.5), (0.5, 0.0), (0.5, 1.0), (0.25, 0.75)]:
        a = ask("pluck", length=1000.0, from_saddle=1000 * p, tension=100.0, force=1.0, k=0.0,
                places=[1000 * s])
        t = np.unique(np.abs([0, 1, s - p, s + p, 2 - s - p, 1 + s - p, 1 - s + p]))
        y = 10 * shape_sum(p, s, t, 100_000)
        assert a["toward"][0] == pytest.approx(y.max(), abs=5e-5)
        assert a["away"][0] == pytest.approx(-y.min(), abs=5e-5)


def shape_sum(p, s, t, modes):
    """The plucked ideal string by its modes, unit length, F/T = 1, pinned; t in units of L/c."""
    q = np.arange(1, modes + 1)
    weights = 2 / (np.pi * q) ** 2 * np.sin(np.pi * q * p) * np.sin(np.pi * q * s)
    return np.cos(np.pi * np.outer(t, q)) @ weights


def test_plucks_of_an_ideal_string_by_its_modes(ask, rng):
    modes = 20_000
    for _ in range(15):
        length, p = float(rng.uniform(200, 900)), float(rng.uniform(0.04, 0.6))
        tension, force = float(rng.uniform(60, 250)), float(rng.uniform(0.5, 4))
        places = rng.uniform(0.01, 0.99, 4)
        a = ask(
            "pluck", length=length, from_saddle=p * length, tension=tension, force=force, k=1.1,
            places=list(places * length),
        )
        unit = force * length / tension
        # What the sum leaves out is below 2 / (pi^2 modes).
        left_out = 2 / (np.pi**2 * modes) * unit + 1e-12
        assert a["depth"] == pytest.approx(unit * shape_sum(p, p, [0.0], modes)[0], abs=left_out)
        for s, toward, away, cheap, waves in zip(
            places, a["toward"], a["away"], a["cheap"], a["waves"]
        ):
            # Straight in time between the passing of kinks, so extremes lie at these instants.
            t = np.array([0.0, 1.0, *np.abs([s - p, s + p]), 2 - s - p, 1 + s - p, 1 - s + p])
            t = np.concatenate([t, np.linspace(0, 2, 41)])
            y = unit * shape_sum(p, s, t, modes)
            assert toward == pytest.approx(y.max(), abs=2 * left_out)
            assert away == pytest.approx(-y.min(), abs=2 * left_out)
            # The first mode, read off the projection of the static triangle.
            grid = np.linspace(0, 1, 20_001)
            triangle = np.interp(grid, [0, p, 1], [0, p * (1 - p), 0])
            first = 2 * np.trapezoid(triangle * np.sin(np.pi * grid), grid) * np.sin(np.pi * s)
            assert cheap == pytest.approx(max(toward, 1.1 * unit * first), abs=1e-6 * unit)
            # The same by travelling waves, for a depth of 1 at the pluck.
            scale = unit * p * (1 - p)
            assert np.array(waves) * scale == pytest.approx([toward, away], abs=1e-9 * unit)


def test_travelling_waves_by_interpolation(ask, rng):
    """Half the sum of two waves of the odd periodic continuation, on a fine grid of time."""
    for _ in range(30):
        p, s = (float(v) for v in rng.uniform(0.02, 0.98, 2))
        corner = np.array([-1, -p, 0, p, 1.0])
        height = np.array([0, -1, 0, 1, 0.0])
        t = np.concatenate([np.linspace(0, 2, 4001), np.abs([s - p, s + p, 2 - s - p, 2 - s + p])])
        wave = lambda x: np.interp((x + 1) % 2 - 1, corner, height)
        y = (wave(s - t) + wave(s + t)) / 2
        a = ask(
            "pluck", length=500.0, from_saddle=500 * p, tension=100.0, force=1.0, k=1.0,
            places=[500 * s],
        )
        assert a["waves"][0] == pytest.approx([y.max(), -y.min()], abs=1e-3 / min(p, 1 - p))
        # No wave goes beyond what is said.
        assert y.max() <= a["waves"][0][0] + 1e-9 and -y.min() <= a["waves"][0][1] + 1e-9


def swing(**fixed):
    return {
        "scale": 863.6, "frets": 24, "hz": 41.203, "inharmonicity": 1e-4, "from_saddle": 100.0,
        "tension": 155.0, "force": 2.0, "away": False, "factor": None, "periods": 20,
        "finger": 10.0, "decay": 8.0, "modes": 48, "steps": 128,
    } | fixed


@pytest.mark.parametrize(
    "fixed",
    [
        {},
        {"hz": 97.999, "inharmonicity": 2e-5, "tension": 190.0},
        {"hz": 30.868, "inharmonicity": 3e-4, "tension": 160.0, "scale": 889.0, "from_saddle": 60.0},
        {"hz": 82.407, "inharmonicity": 1e-4, "tension": 80.0, "scale": 647.7, "frets": 22,
         "finger": 3.0, "from_saddle": 120.0, "away": True},
        {"inharmonicity": 2e-3, "decay": 1.0, "away": True},
        # As the library has it where nothing else is said, at two thirds of the depth.
        {"periods": 60, "decay": 20.0, "force": 1.5},
    ],
)
def test_envelopes_of_a_stiff_string_by_finite_elements(ask, fixed):
    """All modes that finite elements give, clamped at the fret and pinned at the saddle, through
    the same finger, decay and instants. At 2 N both agree to 0.002 mm."""
    own_swing = swing(**fixed)
    places = [[m, j] for m in (0, 1, 5, 12) for j in range(m + 1, own_swing["frets"] + 1, 3)]
    ours = ask("envelope", swing=own_swing, places=places)
    b_open = np.sqrt(own_swing["inharmonicity"]) / np.pi
    by_finite_elements = {}
    for m in {m for m, _ in places}:
        length = own_swing["scale"] * 2.0 ** (-m / 12)
        b = b_open * own_swing["scale"] / length
        # s from the saddle: pinned at 0, clamped at 1.
        nodes, free, stiffness, mass = stiff_string(b, 200, False, True)
        count = 70
        squares, shapes = lowest(stiffness, mass, count)
        whole = np.zeros((2 * nodes.size, count))
        whole[free] = shapes
        at = hermite(nodes, whole)
        p, width = own_swing["from_saddle"] / length, own_swing["finger"] / length
        p = min(p, 0.75)
        # The load spread evenly over the finger: the mean of each shape under it.
        finger = np.linspace(p - width / 2, p + width / 2, 201)
        load = np.trapezoid(at(finger), finger, axis=0) / width
        omega = np.sqrt(squares)
        t60 = own_swing["decay"]
        hz = own_swing["hz"] * 2.0 ** (m / 12)
        sigma = np.log(1000) / t60 * (1 + 0.004 * np.arange(1, count + 1) ** 2)
        step = 2 * np.pi / omega[0] / own_swing["steps"]
        t = step * np.arange(own_swing["periods"] * own_swing["steps"] + 1)
        motion = np.cos(np.outer(t, omega)) * np.exp(-np.outer(t / (2 * hz), sigma))
        spots = 2.0 ** (-(np.arange(m + 1, own_swing["frets"] + 1) - m) / 12)
        y = motion @ (load / squares * at(spots)).T
        depth = -y.min(axis=0) if own_swing["away"] else y.max(axis=0)
        by_finite_elements[m] = depth * length * own_swing["force"] / own_swing["tension"]
    for (m, j), depth in zip(places, ours):
        assert depth == pytest.approx(by_finite_elements[m][j - m - 1], abs=0.005), (m, j)


def hermite(nodes, values):
    """Evaluates shapes given by heights and slopes at nodes."""
    from scipy.interpolate import CubicHermiteSpline

    return CubicHermiteSpline(nodes, values[0::2], values[1::2])


def test_lowest_action_and_best_relief_by_linear_programming(ask, rng):
    """Every gap is linear in saddle height and curvature, so the lowest clean action, and the relief
    that allows the lowest, are linear programmes (HiGHS through scipy)."""
    for index in range(8):
        frets = 24 if index % 2 else 21
        scale = 863.6 if index % 2 else 647.7
        own_swing = swing(
            scale=scale, frets=frets, factor=float(rng.uniform(0.9, 1.3)),
            force=float(rng.uniform(0.8, 2.0)), tension=float(rng.uniform(120, 200)),
            away=bool(index >= 6),
        )
        q = {
            "ask": "clearance", "swing": own_swing, "joint": float(rng.uniform(14, frets)),
            "curvature": float(rng.uniform(1e-6, 4e-6)), "saddle": 9.0, "nut": 0.6,
            "offsets": [float(v) for v in rng.normal(0, 0.01 * (index % 3), frets)],
            "first": 1, "spare": 0.05, "between": [-0.2, 0.8],
        }
        a = ask.all([q])[0]
        x = own.fret_positions(scale, frets)
        joint_x = own.joint_position(scale, q["joint"])
        flat = np.concatenate([[0.0], q["offsets"]])
        unit = own.crowns(x, joint_x, 1.0, 0.0)

        def row(m, j):
            t = (x[j] - x[m]) / (scale - x[m])
            return (1 - t) * flat[m] - flat[j], (1 - t) * unit[m] - unit[j], t

        rows = np.array([row(m, j) for m, j, _, _ in a["margins"]])
        depth = np.array([d for _, _, d, _ in a["margins"]])
        margin = rows @ [1, q["curvature"], q["saddle"]] - depth
        assert [m for *_, m in a["margins"]] == pytest.approx(margin, abs=1e-9)
        assert a["smallest"] == pytest.approx(margin.min(), abs=1e-9)
        read = np.array(row(1, frets))

        # Unknowns: curvature in 1e-6/mm, saddle height. Minimise the action.
        cost = [read[1] * 1e-6, read[2]]
        inside = -np.column_stack([rows[:, 1] * 1e-6, rows[:, 2]])

        def solve(spare, bounds):
            done = linprog(cost, A_ub=inside, b_ub=rows[:, 0] - depth - spare, bounds=bounds)
            assert done.status == 0
            return done.fun + read[0], done.x

        fixed = q["curvature"] * 1e6
        action, (_, saddle) = solve(q["spare"], [(fixed, fixed), (None, None)])
        assert a["lowest"]["action"] == pytest.approx(action, abs=1e-7)
        assert a["lowest"]["saddle"] == pytest.approx(saddle, abs=1e-7)

        ends = [relief_curvature(x, unit, flat, r) * 1e6 for r in q["between"]]
        action, (best, _) = solve(0.0, [tuple(sorted(ends)), (None, None)])
        assert a["best"]["action"] == pytest.approx(action, abs=1e-6)
        relief, _ = own.relief(x, flat + unit * best * 1e-6, 1, frets)
        low, high = a["best"]["good"]
        assert low - 1e-6 <= relief <= high + 1e-6
        # The ends of the good range cost what is said, where the limits do not cut them off.
        for end, limit in ((low, q["between"][0]), (high, q["between"][1])):
            k = relief_curvature(x, unit, flat, end) * 1e6
            cost_there, _ = solve(0.0, [(k, k), (None, None)])
            if abs(end - limit) > 1e-3:
                assert cost_there == pytest.approx(action + 0.02, abs=1e-4)
        # The touch: the force that uses up the smallest of gap over depth for one newton.
        per_newton = depth / own_swing["force"]
        reached = per_newton > 0
        force = ((margin + depth)[reached] / per_newton[reached]).min()
        assert a["touch"] == pytest.approx(force, rel=1e-6)


def relief_curvature(x, unit, flat, relief):
    """The curvature at which the largest (for a back-bow: the lowest) gap is `relief`."""

    def off(k):
        z = flat + unit * k * 1e-6
        inner = np.interp(x[2:-1], [x[1], x[-1]], [z[1], z[-1]]) - z[2:-1]
        return (inner.max() if relief >= 0 else inner.min()) - relief

    return brentq(off, -40.0, 60.0, xtol=1e-12) * 1e-6
