"""Layers of openings among others, for tests of the checks that look at them."""

import math
from collections.abc import Sequence

import numpy as np

from pastecheck.check import Check, Readings, Scope
from pastecheck.measurements import Foil, Measurements
from tests.drawn import cut

FOIL = Foil("film", "polyester", 0.075)
Place = tuple[float, float]


def measured(*statements: str) -> Measurements:
    """A layer in millimetres."""
    return Measurements(cut(*statements), FOIL)


def flashes(aperture: str, places_mm: Sequence[Place], *, label: str = "", code: int = 10) -> list[str]:
    """Flashes of one aperture, of one part if it is named."""
    named = [f"%TO.C,{label}*%"] if label else []
    drawn = [f"X{1e6 * x:.0f}Y{1e6 * y:.0f}D03*" for x, y in places_mm]
    return [f"%ADD{code}{aperture}*%", f"D{code}*", *named, *drawn, "%TD*%"]


def line(pitch_mm: float, *rungs: int, y: float = 0.0) -> list[Place]:
    """Places on a level ladder."""
    return [(rung * pitch_mm, y) for rung in rungs]


def turned(places_mm: Sequence[Place], degrees: float) -> list[Place]:
    """Places turned about the origin."""
    t = math.radians(degrees)
    return [(x * math.cos(t) - y * math.sin(t), x * math.sin(t) + y * math.cos(t)) for x, y in places_mm]


def readings(check: Check, m: Measurements, params: object = None) -> Readings:
    """What a check reads of a layer."""
    return check.measure(m, Scope(check.params() if params is None else params))


def values(check: Check, m: Measurements, params: object = None) -> list[float]:
    """Readings to six decimals, in order of the table."""
    return [float(value) for value in np.round(readings(check, m, params).values, 6)]
