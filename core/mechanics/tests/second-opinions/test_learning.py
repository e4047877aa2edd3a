"""Regressions and what a record teaches, against formulas in numpy and integrals by scipy."""

import numpy as np
import pytest
from scipy import stats
from scipy.integrate import cumulative_simpson, simpson


def conjugate(priors, x, y, u, degrees=4.0):
    """Normal, inverse-gamma: posterior mean, covariance, scatter, degrees; by stacking the prior
    under the data as rows of a least-squares problem (numpy.linalg.lstsq and its residuals)."""
    mean, sd = np.array(priors).T
    x, y, u = np.asarray(x, float).reshape(-1, len(mean)), np.asarray(y, float), np.asarray(u, float)
    rows = np.vstack([x / u[:, None], np.diag(1 / sd)])
    right = np.concatenate([y / u, mean / sd])
    beta, *_ = np.linalg.lstsq(rows, right, rcond=None)
    left = right - rows @ beta
    nu = degrees + len(y)
    s2 = (degrees + left @ left) / nu
    scale = s2 * np.linalg.inv(rows.T @ rows)
    return beta, scale, s2, nu


def test_regression_with_priors(ask, rng):
    for _ in range(60):
        p, n = int(rng.integers(1, 6)), int(rng.integers(0, 30))
        priors = [[float(rng.normal()), float(10 ** rng.uniform(-1, 1))] for _ in range(p)]
        x = rng.normal(0, 2, (n, p))
        u = 10 ** rng.uniform(-2, 0, n)
        y = x @ rng.normal(0, 1, p) + rng.normal(0, 1, n) * u * rng.uniform(0.5, 3)
        at, extra, coverage = rng.normal(0, 2, p), float(rng.uniform(0, 0.5)), float(rng.uniform(0.5, 0.99))
        a = ask(
            "regression", priors=priors,
            observations=[[list(r), float(v), float(w)] for r, v, w in zip(x, y, u)],
            at=list(at), u=extra, coverage=coverage,
        )
        beta, scale, s2, nu = conjugate(priors, x, y, u)
        assert a["mean"] == pytest.approx(beta, rel=1e-7, abs=1e-9)
        assert np.array(a["covariance"]) == pytest.approx(scale * nu / (nu - 2), rel=1e-6, abs=1e-12)
        assert a["scatter"] == pytest.approx(np.sqrt(s2), rel=1e-7)
        middle = at @ beta
        half = stats.t.ppf(0.5 + coverage / 2, nu) * np.sqrt(at @ scale @ at + s2 * extra**2)
        assert a["predicted"] == pytest.approx([middle, middle - half, middle + half], rel=1e-5, abs=1e-7)


def test_the_posterior_by_direct_integration(ask):
    """One coefficient: the joint density of slope and scatter, integrated over the scatter and
    normalised numerically, has the mean and spread that are given."""
    prior_mean, prior_sd, data = 0.3, 0.8, [(1.0, 0.9, 0.2), (2.0, 1.1, 0.3), (-1.0, -0.2, 0.2)]
    a = ask(
        "regression", priors=[[prior_mean, prior_sd]],
        observations=[[[x], y, u] for x, y, u in data], at=[1.0], u=0.0, coverage=0.9,
    )

    # Slope against precision 1/s^2, which is gamma with mean 1 and four degrees of freedom.
    grid, precision = np.linspace(-1.5, 2.5, 1601), np.linspace(1e-6, 25, 6001)
    slope, tau = np.meshgrid(grid, precision, indexing="ij")
    log = np.log(tau) - 2 * tau
    log += np.log(tau) / 2 - tau * ((slope - prior_mean) / prior_sd) ** 2 / 2
    for x, y, u in data:
        log += np.log(tau) / 2 - tau * ((y - slope * x) / u) ** 2 / 2
    p = np.trapezoid(np.exp(log), precision, axis=1)
    p /= np.trapezoid(p, grid)
    mean = np.trapezoid(grid * p, grid)
    variance = np.trapezoid((grid - mean) ** 2 * p, grid)
    assert a["mean"][0] == pytest.approx(mean, abs=1e-5)
    assert a["covariance"][0][0] == pytest.approx(variance, rel=5e-3)
    inside = (grid >= a["predicted"][1]) & (grid <= a["predicted"][2])
    assert np.trapezoid(p[inside], grid[inside]) == pytest.approx(0.9, abs=0.01)


def test_quantiles_of_students_t(ask, rng):
    cases = [(float(c), float(10 ** d)) for c, d in zip(rng.uniform(0.01, 0.999, 80), rng.uniform(0, 6, 80))]
    cases += [(0.95, 1.0), (0.999, 1.0), (0.999, 2.0), (0.01, 1e6), (0.95, 1e6)]
    for (coverage, degrees), t in zip(cases, ask.all(
        {"ask": "student", "coverage": c, "degrees": d} for c, d in cases
    )):
        assert t == pytest.approx(stats.t.ppf(0.5 + coverage / 2, degrees), rel=2e-6), (coverage, degrees)


def test_a_season_learned_from_a_record(ask, rng):
    """relief = a + b turns + c (M - mean M) + d (T - mean T)/100 N with the documented priors."""
    priors = [[0.2, 0.5], [0.0, 1.5], [0.0, 0.1], [0.0, 0.2]]
    for _ in range(20):
        n = int(rng.integers(1, 20))
        moisture, turns = rng.uniform(5, 14, n), np.cumsum(rng.choice([0, 0, 0.125, -0.25], n))
        tension, u = rng.uniform(600, 760, n), rng.uniform(0.01, 0.05, n)
        relief = 0.2 + 0.3 * turns + 0.03 * (moisture - 9) + rng.normal(0, 0.03, n)
        visits = np.column_stack([relief, u, moisture, turns, tension]).tolist()
        a = ask("season", visits=visits, moisture=12.0, turns=0.25, tension=700.0, coverage=0.9)

        def columns(m, t, f):
            return np.column_stack([
                np.ones_like(m), t, m - moisture.mean(), (f - tension.mean()) / 100
            ])

        beta, scale, _, nu = conjugate(priors, columns(moisture, turns, tension), relief, u)
        spread = np.sqrt(scale[2, 2] * nu / (nu - 2))
        assert a["per_percent"] == pytest.approx([beta[2], spread], rel=1e-6, abs=1e-10)
        at = columns(np.array([12.0]), np.array([0.25]), np.array([700.0]))[0]
        half = stats.t.ppf(0.95, nu) * np.sqrt(at @ scale @ at)
        middle = at @ beta
        assert a["forecast"] == pytest.approx([middle, middle - half, middle + half], rel=1e-5, abs=1e-8)


def test_a_rod_learned_from_pairs(ask, rng):
    """Log-normal size (median 0.6 mm a turn, a factor of 2), either sign alike, readings normal:
    the posterior by scipy's Simpson rule."""
    prior = stats.lognorm(np.log(2), scale=0.6)
    for count in (0, 1, 1, 2, 3, 3):
        turns = [float(rng.choice([-0.25, -0.125, 0.125, 0.25])) for _ in range(count)]
        pairs = [[t, 0.5 * t + float(rng.normal(0, 0.04)), 0.04] for t in turns]
        a = ask("rod", pairs=pairs)

        # In logarithms of the size; up and down are the two signs.
        log_r = np.log(0.6) + np.log(2) * np.linspace(-5, 5, 200_001)
        r = np.exp(log_r)
        density = {}
        for sign in (1, -1):
            density[sign] = prior.pdf(r) * r
            for t, c, u in pairs:
                density[sign] = density[sign] * stats.norm.pdf(c, sign * r * t, u)
        whole = sum(simpson(d, x=log_r) for d in density.values())
        assert a["raises"] == pytest.approx(simpson(density[1], x=log_r) / whole, abs=1e-6)
        below = cumulative_simpson(density[1] + density[-1], x=log_r, initial=0) / whole
        # The grid has 2001 points over 10 factors of 2: 0.35 % each.
        wanted = np.exp(np.interp([0.16, 0.5, 0.84], below, log_r))
        assert a["per_turn"] == pytest.approx(wanted, rel=0.005)


def test_moisture_by_the_published_equation(ask, rng):
    """W. T. Simpson, USDA FPL-RN-0268 (1998), the equation as the Wood Handbook has it (read in a
    secondary source); there in degrees Celsius, the relative humidity from 0 to 1."""

    def equation(t, h):
        w = np.polyval([0.0135, 1.29, 349], t)
        k = np.polyval([-0.00000273, 0.000736, 0.805], t)
        k1 = np.polyval([-0.000303, -0.00938, 6.27], t)
        k2 = np.polyval([-0.000293, 0.0407, 1.91], t)
        a, b = k * h, k1 * k * h
        c = k1 * k2 * (k * h) ** 2
        return 1800 / w * (a / (1 - a) + (b + 2 * c) / (1 + b + c))

    cases = [(float(t), float(h)) for t, h in zip(rng.uniform(-1, 71, 200), rng.uniform(0, 100, 200))]
    cases += [(-1.0, 0.0), (71.0, 100.0), (20.0, 100.0), (21.1, 50.0)]
    for (t, h), a in zip(cases, ask.all(
        {"ask": "moisture", "celsius": t, "percent": h} for t, h in cases
    )):
        assert a["percent"] == pytest.approx(equation(t, h / 100), rel=1e-9, abs=1e-12), (t, h)
