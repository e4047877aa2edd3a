"""Crowns, relief, gaps and conversions against beams integrated by scipy."""

import numpy as np
import pytest
from scipy.integrate import solve_bvp, solve_ivp

import neck_model as own


def question(rng, **fixed):
    scale = float(rng.uniform(300, 900))
    frets = int(rng.integers(12, 25))
    q = {
        "ask": "neck",
        "scale": scale,
        "frets": frets,
        "joint": float(rng.uniform(10, frets + 2)),
        "curvature": float(rng.uniform(-6e-6, 1.2e-5)),
        "tilt": float(rng.uniform(-0.004, 0.004)),
        "offsets": [],
        "compensation": float(rng.uniform(0, 8)),
        "saddle": float(rng.uniform(1, 12)),
        "nut": float(rng.uniform(0, 1)),
        "ways": [[1, frets, None], [1, min(14, frets), None], [1, frets, 7]],
        "places": [[0, 1], [0, 12], [1, frets], [3, 9], [frets - 1, frets]],
        "held": [[3, 1], [5, 2]],
    }
    return q | fixed


def integrated(q):
    """The crowns by integrating y'' = kappa from the joint (where the body's frame begins)."""
    x = own.fret_positions(q["scale"], q["frets"])
    joint = own.joint_position(q["scale"], q["joint"])
    before = x < joint
    z = np.zeros_like(x)
    # y'' = kappa, starting at the joint with the tilt as slope, toward the nut.
    bent = solve_ivp(
        lambda _, y: [y[1], q["curvature"]],
        (0.0, joint),
        [0.0, q["tilt"]],
        t_eval=np.sort(joint - x[before]),
        rtol=1e-11,
        atol=1e-13,
    )
    z[before] = bent.y[0][::-1]
    if q["offsets"]:
        z[1:] += q["offsets"]
    return x, z


def test_crowns_gaps_and_reliefs_of_integrated_beams(ask, rng):
    questions = [question(rng) for _ in range(80)]
    for q in questions[40:]:
        q["offsets"] = [float(v) for v in rng.uniform(-0.1, 0.1, q["frets"])]
    for q, a in zip(questions, ask.all(questions)):
        x, z = integrated(q)
        assert a["x"] == pytest.approx(x, abs=1e-9)
        assert a["crowns"] == pytest.approx(z, abs=1e-9)
        saddle_x = q["scale"] + q["compensation"]
        for (m, j), gap, factor in zip(q["places"], a["gaps"], a["factors"]):
            wanted = own.gap(x, z, q["nut"], saddle_x, q["saddle"], m, j)
            assert gap == pytest.approx(wanted, abs=1e-9)
            # The saddle's lever: the gap once more with the saddle 1 mm higher.
            higher = own.gap(x, z, q["nut"], saddle_x, q["saddle"] + 1, m, j)
            assert factor == pytest.approx(1 / (higher - wanted), rel=1e-9)
        for (at, over), gap in zip(q["held"], a["held"]):
            assert gap == pytest.approx(own.gap_held(x, z, q["nut"], at, over), abs=1e-9)
        for (first, last, at), relief in zip(q["ways"], a["reliefs"]):
            gap, fret = own.relief(x, z, first, last, at)
            assert relief["gap"] == pytest.approx(gap, abs=1e-9)
            assert relief["fret"] == fret


def test_necks_at_their_limits(ask, rng):
    """No bend, a strong back-bow, a joint at fret 1 and far beyond the last, three frets, long scales."""
    questions = [
        question(rng, curvature=0.0, tilt=0.0),
        question(rng, curvature=-1e-4),
        question(rng, joint=36.0),
        question(rng, scale=100.0, curvature=9e-4),
        question(rng, scale=3000.0, curvature=5e-7),
        question(rng, tilt=0.05, saddle=60.0),
        question(rng, frets=3, joint=2.5, ways=[[1, 3, None], [1, 3, 2]], places=[[0, 3], [2, 3]],
                 held=[[3, 2]]),
        question(rng, frets=36, joint=20.3),
    ]
    questions[0]["ways"] = []
    for q, a in zip(questions, ask.all(questions)):
        x, z = integrated(q)
        assert a["crowns"] == pytest.approx(z, rel=1e-9, abs=1e-9)
        saddle_x = q["scale"] + q["compensation"]
        for (m, j), gap in zip(q["places"], a["gaps"]):
            wanted = own.gap(x, z, q["nut"], saddle_x, q["saddle"], m, j)
            assert gap == pytest.approx(wanted, rel=1e-9, abs=1e-8)
        for (first, last, at), relief in zip(q["ways"], a["reliefs"]):
            assert relief["gap"] == pytest.approx(own.relief(x, z, first, last, at)[0], abs=1e-8)
    # A joint at the first fret: nothing bends between frets, so no relief tells the curvature.
    stiff = question(rng, joint=1.0, curvature=1e-5, tilt=0.0)
    assert "refused" in ask.raw([stiff])[0]


def test_relief_is_the_deflection_of_a_beam_between_two_supports(ask, rng):
    """A beam under a constant moment up to the joint, free of moment beyond: y'' = -kappa H(x_J - x),
    resting on the crowns of the first and last fret. No body frame, no tilt: a boundary value
    problem in its own frame."""
    for _ in range(12):
        q = question(rng, tilt=0.0)
        q["joint"] = float(rng.uniform(12, q["frets"] - 0.5)) if q["frets"] > 13 else 12.0
        q["curvature"] = float(rng.uniform(1e-6, 1e-5))
        a = ask.all([q])[0]
        x = own.fret_positions(q["scale"], q["frets"])
        joint = own.joint_position(q["scale"], q["joint"])
        mesh = np.unique(np.concatenate([x[1:], [joint]]))
        # The curvature jumps at the joint; a mesh of two sides keeps the jump off an interval.
        left, right = joint - x[1], x[-1] - joint
        solution = solve_bvp(
            # Both sides at once on t in 0..1: y1 before the joint, y2 beyond.
            lambda t, y: np.vstack([
                y[1] * left, np.full_like(t, q["curvature"] * left), y[3] * right, np.zeros_like(t),
            ]),
            # On the supports; height and slope continuous at the joint.
            lambda ya, yb: np.array([ya[0], yb[2], yb[0] - ya[2], yb[1] - ya[3]]),
            np.linspace(0, 1, 9),
            np.zeros((4, 9)),
            tol=1e-10,
        )
        assert solution.success and mesh.size
        inner = x[2:-1]
        depth = np.where(
            inner < joint,
            -solution.sol(np.clip((inner - x[1]) / left, 0, 1))[0],
            -solution.sol(np.clip((inner - joint) / right, 0, 1))[2],
        )
        assert a["reliefs"][0]["gap"] == pytest.approx(depth.max(), abs=1e-8)
        assert a["reliefs"][0]["fret"] == 2 + int(np.argmax(depth))
        assert a["reliefs"][0]["curvature_back"] == pytest.approx(q["curvature"], rel=1e-9)


def test_small_slopes_are_small_enough(ask, rng):
    """Against the exact arc, integrated by arc length: theta' = kappa, x' = cos, z' = sin. The
    module's documentation claims 1e-5 mm for relief up to 0.3 mm on a 34 in scale."""
    scale, frets = 863.6, 24
    for joint in (16.0, 20.0, 24.0):
        level = question(rng, scale=scale, frets=frets, joint=joint, curvature=1e-6, tilt=0.0)
        level |= {"ways": [[1, 24, None]], "places": [[0, 12], [1, 24]], "compensation": 0.0}
        unit = ask.all([level])[0]["reliefs"][0]["gap"]
        q = level | {"curvature": 0.3 / unit * 1e-6}
        a = ask.all([q])[0]
        # Frets lie along the arc, the joint at its far end.
        x = own.fret_positions(scale, frets)
        joint_x = own.joint_position(scale, joint)
        along = np.clip(joint_x - x, 0, None)
        arc = solve_ivp(
            lambda _, y: [q["curvature"], np.cos(y[0]), np.sin(y[0])],
            (0.0, joint_x), [0.0, 0.0, 0.0], dense_output=True, rtol=1e-12, atol=1e-13,
        )
        _, back, z = arc.sol(along)
        seen = np.where(x < joint_x, joint_x - back, x)
        gap, _ = own.relief(seen, z, 1, frets)
        assert a["reliefs"][0]["gap"] == pytest.approx(gap, abs=1e-5)
        for (m, j), ours in zip(q["places"], a["gaps"]):
            exact = own.gap(seen, z, q["nut"], scale, q["saddle"], m, j)
            assert ours == pytest.approx(exact, abs=3e-5)


def test_conversions_against_random_draws(ask, rng):
    """What another way of reading would show, and how surely: 40 000 draws of every reading and of
    the joint through the beam of `neck_model`. First order against draws: 3 % of the spread."""
    draws = 40_000
    for index in range(6):
        frets, scale = 24 if index % 2 else 21, 863.6 if index % 2 else 647.7
        q = {
            "ask": "converted", "scale": scale, "frets": frets,
            "joint": [16.0 + index / 2, 0.4], "compensation": 2.0,
            "relief": [0.10 + 0.05 * index, 0.015], "action": [1.6 + 0.1 * index, 0.06],
            "action_place": [1, frets] if index < 3 else [0, 12], "nut": [0.5, 0.02],
            "wanted": [[0, 12], [1, frets], [0, 17], [5, 15]],
        }
        a = ask.all([q])[0]
        x = own.fret_positions(scale, frets)
        saddle_x = scale + 2.0

        def solved(joint, relief, action, nut):
            """Curvature, saddle and nut from the three readings, by their linearity."""
            joint_x = own.joint_position(scale, joint)[:, None]
            unit = np.clip(joint_x - x, 0, None) ** 2 / 2
            chord = np.linspace(0, 1, 2)  # ends of the straight edge
            t = (x[2:-1] - x[1]) / (x[-1] - x[1])
            sag = (unit[:, [1]] * (chord[1] - t) + unit[:, [-1]] * t - unit[:, 2:-1]).max(axis=1)
            z = unit * (relief / sag)[:, None]
            m, j = q["action_place"]
            # Open over 1 and the action are two equations for nut and saddle.
            def row(m, j):
                t = (x[j] - x[m]) / (saddle_x - x[m])
                return (1 - t) * z[:, m] - z[:, j], t, (1 - t) * (m == 0)
            c1, s1, n1 = row(0, 1)
            c2, s2, n2 = row(m, j)
            det = s1 * n2 - s2 * n1
            saddle = ((nut - c1) * n2 - (action - c2) * n1) / det
            slot = (s1 * (action - c2) - s2 * (nut - c1)) / det
            gaps = [c + s * saddle + n * slot for c, s, n in (row(*w) for w in q["wanted"])]
            t = x[1] / x[3]
            held = (1 - t) * (z[:, 0] + slot) + t * z[:, 3] - z[:, 1]
            return [*gaps, held, saddle]

        best = solved(*(np.array([q[k][0]]) for k in ("joint", "relief", "action", "nut")))
        drawn = solved(*(rng.normal(*q[k], draws) for k in ("joint", "relief", "action", "nut")))
        # A converted gap is known no better than 0.04 mm: what the measured neck leaves open (measured.rs).
        model = [0.0 if way == q["action_place"] else 0.04 for way in q["wanted"]] + [0.04, 0.0]
        for ours, value, many, own_u in zip([*a["gaps"], a["held"], a["saddle"]], best, drawn, model):
            assert ours[0] == pytest.approx(value[0], abs=1e-9)
            assert ours[1] == pytest.approx(np.hypot(many.std(), own_u), rel=0.03, abs=2e-4)


def test_three_crowns_under_a_straight_edge(ask, rng):
    x = own.fret_positions(650.0, 20)[1:]
    for _ in range(20):
        z = rng.normal(0, 0.05, 20)
        above = [
            z[i] - np.interp(x[i], [x[i - 1], x[i + 1]], [z[i - 1], z[i + 1]]) for i in range(1, 19)
        ]
        assert ask("rocking", x=list(x), z=list(z)) == pytest.approx(above, abs=1e-12)
