"""The marks that apertures are made of, in any unit: discs, rectangles, polygons, and how they are moved."""

import math

import numpy as np

from pastecheck.drawing import FloatArray, Mark


def disc(diameter: float, x: float = 0.0, y: float = 0.0, *, adds: bool = True) -> Mark:
    """A circle."""
    return Mark(np.array([[x, y]]), diameter / 2, adds)


def box(width: float, height: float, x: float = 0.0, y: float = 0.0, *, adds: bool = True) -> Mark:
    """A rectangle about its centre."""
    a, b = width / 2, height / 2
    return Mark(np.array([[x - a, y - b], [x + a, y - b], [x + a, y + b], [x - a, y + b]]), 0.0, adds)


def polygon(diameter: float, corners: int, x: float = 0.0, y: float = 0.0) -> Mark:
    """A regular polygon by the circle through its corners, the first one to the right of its centre."""
    ring = [cosine_and_sine(360 * corner / corners) for corner in range(corners)]
    return Mark(np.array(ring) * (diameter / 2) + np.array([x, y]), 0.0, adds=True)


def turned(mark: Mark, degrees: float) -> Mark:
    """A mark turned counter-clockwise about the origin."""
    if degrees == 0:
        return mark
    cosine, sine = cosine_and_sine(degrees)
    return Mark(mark.core_mm @ np.array([[cosine, sine], [-sine, cosine]]), mark.radius_mm, mark.adds)


def scaled(mark: Mark, factor: float) -> Mark:
    """A mark in another unit."""
    return mark if factor == 1 else Mark(mark.core_mm * factor, mark.radius_mm * factor, mark.adds)


def cosine_and_sine(degrees: float) -> tuple[float, float]:
    """Cosine and sine of an angle, exact for quarter turns."""
    quarter, rest = divmod(degrees, 90)
    if rest == 0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    return math.cos(math.radians(degrees)), math.sin(math.radians(degrees))


def is_convex(core: FloatArray) -> bool:
    """Whether a core is a point, a line or a convex polygon that goes round once. Shape (k, 2)."""
    if len(core) < 3:
        return True
    side = np.roll(core, -1, axis=0) - core
    after = np.roll(side, -1, axis=0)
    cross = side[:, 0] * after[:, 1] - side[:, 1] * after[:, 0]
    turning = float(np.arctan2(cross, (side * after).sum(axis=1)).sum())
    same_way = bool((cross >= 0).all() or (cross <= 0).all())
    return same_way and math.isclose(abs(turning), 2 * math.pi, rel_tol=1e-6)
