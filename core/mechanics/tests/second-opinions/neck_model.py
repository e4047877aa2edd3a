"""The neck as a beam, written down again: for checks that need many answers at once.

Own notation: everything in mm, x from the nut. Nothing here is taken from the Rust source; the
curvature is integrated, and heights of strings are read off straight lines by interpolation.
"""

import numpy as np


def fret_positions(scale, frets):
    """Equal temperament, by repeated division: each fret leaves 2^(-1/12) of what is left."""
    left = scale * np.cumprod(np.full(frets, 2.0 ** (-1 / 12)))
    return np.concatenate([[0.0], scale - left])


def joint_position(scale, fret):
    return scale * (1 - 2.0 ** (-fret / 12))


def crowns(x, joint_x, curvature, tilt, offsets=None):
    """Twice integrated constant curvature before the joint; tilted there."""
    before = np.clip(joint_x - x, 0.0, None)
    z = curvature * before**2 / 2 + tilt * before
    if offsets is not None and len(offsets):
        z = z + np.concatenate([[0.0], offsets])
    return z


def line_height(xa, za, xb, zb, x):
    """Straight from a to b, through x, also beyond the ends."""
    return za + np.polyfit([0.0, xb - xa], [0.0, zb - za], 1)[0] * (x - xa)


def gap(x, z, nut, saddle_x, saddle, stopped, over):
    start = z[stopped] + (nut if stopped == 0 else 0.0)
    return line_height(x[stopped], start, saddle_x, saddle, x[over]) - z[over]


def gap_held(x, z, nut, held, over):
    return line_height(0.0, z[0] + nut, x[held], z[held], x[over]) - z[over]


def relief(x, z, first, last, at=None):
    """The gap under the chord: at a fret, or of the greatest size."""
    inner = np.arange(first + 1, last)
    under = np.interp(x[inner], [x[first], x[last]], [z[first], z[last]]) - z[inner]
    if at is not None:
        return under[at - first - 1], at
    worst = np.argmax(np.abs(under))
    return under[worst], int(inner[worst])
