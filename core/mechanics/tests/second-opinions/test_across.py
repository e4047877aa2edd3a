"""Arcs, boards, bridges against scipy.optimize, numpy.linalg and plane geometry."""

import numpy as np
import pytest
from scipy.optimize import brentq, least_squares

import neck_model as own


def row_of_undersides(rng, noise):
    count = int(rng.integers(4, 8))
    spread = float(rng.uniform(20, 36))
    y = np.linspace(-spread, spread, count) + rng.normal(0, 0.5, count)
    radius, centre, top = float(rng.uniform(180, 600)), float(rng.normal(0, 2)), 3.0
    z = top - radius + np.sqrt(radius**2 - (y - centre) ** 2) + rng.normal(0, noise, count)
    return y, z, radius, centre, top


def circle_fit(y, z, distance, start):
    """Middle and radius of a circle, whatever is minimised."""
    done = least_squares(distance, start, x_scale=[1.0, 100.0, 100.0], args=(y, z),
                         xtol=1e-15, ftol=1e-15, gtol=1e-15, max_nfev=5000, method="trf")
    assert done.success
    return done


def in_height(parameters, y, z):
    yc, zc, r = parameters
    return zc + np.sqrt(r * r - (y - yc) ** 2) - z


def square_to_the_arc(parameters, y, z):
    yc, zc, r = parameters
    return np.hypot(y - yc, z - zc) - r


def test_circles_through_undersides(ask, rng):
    noise = 0.02
    for _ in range(40):
        y, z, radius, centre, top = row_of_undersides(rng, noise)
        a = ask("arc", points=np.column_stack([y, z]).tolist(), centre=None, u=noise)
        start = [centre, top - radius, radius]
        fit = circle_fit(y, z, in_height, start)
        yc, zc, r = fit.x
        # Where the heights do not bend enough to tell, both wander; compare what they fit.
        assert a["rms"] == pytest.approx(np.sqrt(np.mean(fit.fun**2)), abs=1e-8)
        assert a["curvature"] == pytest.approx(1 / r, rel=2e-4)
        assert a["centre"] == pytest.approx(yc, abs=2e-3)
        assert a["top"] == pytest.approx(zc + r, abs=1e-4)
        # The uncertainty by scipy's Jacobian: that of r, carried over to 1/r.
        covariance = np.linalg.inv(fit.jac.T @ fit.jac) * noise**2
        assert a["u"] == pytest.approx(np.sqrt(covariance[2, 2]) / r**2, rel=1e-2)
        # The distance square to the arc is another least squares; on so flat an arc it must agree
        # far within the uncertainty.
        geometric = circle_fit(y, z, square_to_the_arc, start)
        assert abs(a["curvature"] - 1 / geometric.x[2]) < 0.1 * a["u"]


def test_circles_about_a_given_middle(ask, rng):
    for _ in range(40):
        y, z, radius, centre, top = row_of_undersides(rng, 0.02)
        a = ask("arc", points=np.column_stack([y, z]).tolist(), centre=centre, u=0.02)
        fit = least_squares(
            lambda p: p[0] - (y - centre) ** 2 * p[1]
            / (1 + np.sqrt(1 - (p[1] * (y - centre)) ** 2)) - z,
            [top, 1 / radius], x_scale=[1.0, 1e-3], xtol=1e-15, ftol=1e-15, gtol=1e-15,
        )
        assert a["curvature"] == pytest.approx(fit.x[1], rel=1e-7)
        assert a["top"] == pytest.approx(fit.x[0], abs=1e-9)
        covariance = np.linalg.inv(fit.jac.T @ fit.jac) * 0.02**2
        assert a["u"] == pytest.approx(np.sqrt(covariance[1, 1]), rel=1e-4)


def test_a_row_that_is_flat_or_hollow(ask):
    y = np.linspace(-26, 26, 6)
    flat = ask("arc", points=[[v, 2.0] for v in y], centre=0.0, u=0.02)
    assert flat["radius"] is None and flat["curvature"] == pytest.approx(0, abs=1e-12)
    hollow = ask("arc", points=[[v, 2 + v * v / 800] for v in y], centre=0.0, u=0.02)
    assert hollow["radius"] is None and hollow["curvature"] == pytest.approx(-1 / 400, rel=2e-2)


def test_boards_by_plane_geometry(ask, rng):
    """Crowns found as the intersection of a circle with the vertical over the string."""
    for _ in range(40):
        frets, scale = int(rng.integers(18, 25)), float(rng.uniform(600, 870))
        near, far = (float(v) for v in rng.uniform(180, 500, 2))
        x = own.fret_positions(scale, frets)
        nut = float(rng.uniform(5, 20))
        path = [nut, nut * float(rng.uniform(1.2, 2.0))]
        place = [1, frets] if rng.integers(2) else [5, 17]
        q = {
            "ask": "board", "scale": scale, "frets": frets,
            "radii": [[x[1], near], [x[frets], max(far, near * 0.8)]], "nut": path[0],
            "saddle": path[1], "height": float(rng.uniform(1, 9)), "shift": float(rng.uniform(-2, 2)),
            "place": place,
        }
        a = ask.all([q])[0]
        far = q["radii"][1][1]

        def crown(fret, saddle_offset):
            r = np.interp(x[fret], [x[1], x[frets]], [near, far])
            y = np.interp(x[fret], [0, scale], [path[0], saddle_offset])
            # The spine is the top of a circle about (0, -r).
            return brentq(lambda z: np.hypot(y, z + r) - r, -r / 2, 0.0, xtol=1e-14)

        z = np.array([crown(f, path[1]) for f in range(1, frets + 1)])
        assert a["crowns"] == pytest.approx(z, abs=1e-9)
        chord = np.interp(x[1:], [x[1], x[frets]], [z[0], z[-1]])
        assert a["profile"] == pytest.approx(z - chord, abs=1e-9)

        def gap(saddle_offset):
            m, j = place
            zm, zj = crown(m, saddle_offset), crown(j, saddle_offset)
            return own.line_height(x[m], zm, scale, q["height"], x[j]) - zj

        assert a["gap"] == pytest.approx(gap(path[1]), abs=1e-9)
        assert a["height_back"] == pytest.approx(q["height"], abs=1e-9)
        assert a["sideways"] == pytest.approx(gap(path[1] + q["shift"]) - gap(path[1]), abs=1e-9)


def test_bridges_with_posts_and_shared_saddles(ask, rng):
    """What the screws must do: numpy.linalg.lstsq, the shortest of equally good answers."""
    for _ in range(60):
        count = int(rng.integers(4, 8))
        wanted = [float(v) for v in rng.uniform(-1, 1, count)]
        for skip in rng.choice(count, int(rng.integers(0, count - 2)), replace=False):
            wanted[skip] = None
        if rng.integers(2):
            posts = [-40.0, float(rng.uniform(36, 44))]
            strings = list(np.linspace(-27, 27, count))
            a = ask("bridge", posts=posts, strings=strings, shared=[], wanted=wanted)
            levers = np.array([
                [(posts[1] - s) / (posts[1] - posts[0]), (s - posts[0]) / (posts[1] - posts[0])]
                for s in strings
            ])
        else:
            shared = [2] * (count // 2) + [1] * (count % 2)
            a = ask("bridge", posts=None, strings=[], shared=shared, wanted=wanted)
            levers = np.zeros((count, len(shared)))
            levers[np.arange(count), np.repeat(np.arange(len(shared)), shared)] = 1
        asked = [i for i, w in enumerate(wanted) if w is not None]
        advances, *_ = np.linalg.lstsq(levers[asked], [wanted[i] for i in asked], rcond=1e-10)
        assert a["advances"] == pytest.approx(advances, abs=1e-9)
        assert a["gives"] == pytest.approx(levers @ advances, abs=1e-9)


def test_floating_bridges_as_one_linear_system(ask, rng):
    """Unknown: the angle and every tension. A string's own law, and equal moments."""
    for _ in range(40):
        springs = [
            [float(rng.uniform(0.5, 3)), float(rng.uniform(15, 30))]
            for _ in range(int(rng.integers(1, 6)))
        ]
        count = int(rng.integers(4, 9))
        k, arm, reach = rng.uniform(5, 40, count), rng.uniform(8, 15, count), rng.uniform(-5, 15, count)
        added, wanted = rng.uniform(-8, 8, count), rng.uniform(-5, 5, count)
        strings = np.column_stack([k, arm, reach]).tolist()
        question = {"ask": "floating", "springs": springs, "strings": strings,
                    "added": list(added), "wanted": list(wanted), "within": 0.05}
        raw = ask.raw([question])[0]
        rate = sum(s * b * b for s, b in springs)
        # dT_i + k_i r_i phi = added_i;  sum r_i dT_i - K phi = 0.
        matrix = np.zeros((count + 1, count + 1))
        matrix[:count, :count] = np.eye(count)
        matrix[:count, count] = k * arm
        matrix[count, :count] = arm
        matrix[count, count] = -rate
        solution = np.linalg.solve(matrix, np.append(added, 0.0))
        # The other way round: the tensions are wanted, the additions unknown.
        phi = arm @ wanted / rate
        back = np.linalg.solve(
            np.eye(count) - np.outer(k * arm, arm) / (rate + (k * arm**2).sum()), wanted
        )
        # One string after the other (Gauss-Seidel on the same matrix).
        answers_to = np.column_stack([
            np.linalg.solve(matrix, np.append(unit, 0.0))[:count] for unit in np.eye(count)
        ])
        now, rounds = np.zeros(count), 0
        while np.abs(wanted - now).max() > 0.05 and rounds <= 100:
            for i in range(count):
                now = now + answers_to[:, i] * (wanted[i] - now[i]) / answers_to[i, i]
            rounds += 1
        if rounds > 100:
            assert "refused" in raw
            continue
        a = raw["answer"]
        assert a["angle"] == pytest.approx(solution[count], rel=1e-9, abs=1e-14)
        assert a["tensions"] == pytest.approx(solution[:count], abs=1e-9)
        assert a["heights"] == pytest.approx(reach * solution[count], abs=1e-9)
        assert a["angle_after"] == pytest.approx(phi, rel=1e-9)
        assert a["added_for"] == pytest.approx(back, abs=1e-7)
        assert a["anchor"] == pytest.approx(
            arm @ wanted / sum(s * b for s, b in springs), rel=1e-9
        )
        assert a["rounds"] == rounds


def test_spacing_as_a_linear_system(ask, rng):
    """Unknown: every centre and the common distance. The outer strings keep the margins; neighbours
    are one distance apart, from centre to centre or from edge to edge."""
    for index in range(40):
        count = int(rng.integers(2, 9))
        gauges, width = np.sort(rng.uniform(0.2, 3.2, count)), float(rng.uniform(40, 90))
        margins, equal_gaps = rng.uniform(0, 4, 2), bool(index % 2)
        a = ask("spacing", width=width, margins=list(margins), gauges=list(gauges),
                equal_gaps=equal_gaps)
        matrix, right = np.zeros((count + 1, count + 1)), np.zeros(count + 1)
        matrix[0, 0], right[0] = 1, margins[0] + gauges[0] / 2
        matrix[1, count - 1], right[1] = 1, width - margins[1] - gauges[-1] / 2
        for i in range(count - 1):
            matrix[2 + i, [i, i + 1, count]] = [-1, 1, -1]
            right[2 + i] = (gauges[i] + gauges[i + 1]) / 2 if equal_gaps else 0
        solution = np.linalg.solve(matrix, right)
        assert a["centres"] == pytest.approx(solution[:-1], abs=1e-9)
        between = np.diff(solution[:-1]) - (gauges[1:] + gauges[:-1]) / 2
        assert a["gaps"] == pytest.approx(between, abs=1e-9)
