"""
Open fraction: share of the foil around an opening that is cut away.

What: what of a square window of 10 x 10 mm (`window`), centred on the opening, is open. It does not apply
with fewer than 6 openings (`least`) whose middles lie in the window.

Why: a sieve stretches when it is peeled off its carrier and tears when it is lifted off the board.

How: by the part of each opening that lies in the window; of an opening across its edge, by the part of its
box that does where it fills its box well, else by its outline. The window moves with the opening, so readings
do not change when a board is moved on its sheet.

Cannot see: in which direction the film between the openings runs.
"""

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from pastecheck.check import Check, Example, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed

ADVICE: Final = "keep the carrier on until the sheet is taped down, and lift it from all corners at once"

_PLACES: Final = 1e-6
"""Middles and boxes are whole nanometres: of a window of a millimetre that makes no more."""


@dataclass(frozen=True, slots=True)
class Params:
    """Where openings are looked at together."""

    window_mm: float = 10.0
    least: int = 6

    def __post_init__(self) -> None:
        """Refuse what is no window."""
        if not 1 <= self.window_mm <= 1000:
            raise ValueError("expected a window of 1 mm to 1000 mm")
        if self.least < 1:
            raise ValueError("expected at least one opening")


def measure(m: Measurements, scope: Scope[Params]) -> Readings:
    """Open fraction about each opening."""
    fraction, error = m.open_fraction(scope.params.window_mm, scope.params.least)
    return replace(Readings.of_each(fraction, error + _PLACES), params=scope.params)


def wish(_m: Measurements, failed: Readings, _limit: float) -> Wish:
    """In words: how to handle such a sheet."""
    return Wish(advice=np.full(len(failed.values), ADVICE, np.object_))


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """With all that openings about it grow by; what gets smaller does not count."""
    params = readings.params
    assert isinstance(params, Params)  # noqa: S101 - of our own readings
    grown_mm2 = changed.grown_about_mm2(params.window_mm)[readings.opening]
    return readings.values + grown_mm2 / params.window_mm**2


_BESIDE = (3, 4, 5, 4, 3)
"""Squares of 1 mm, 2 mm apart, that lie in the window of the first, the second, ... of five."""
_SLOTS = (0.275, 0.325, 0.375, 0.425, 0.475, 0.5, 0.475, 0.425, 0.375, 0.325, 0.275)
"""The first: 4.5 of the slots beside it lie in its window, each 0.5 of 10, and its own."""


CHECK = Check(
    title="Open fraction",
    quantity="open fraction",
    unit=Unit.RATIO,
    most=1.0,
    worse=Worse.ABOVE,
    definition="open area in a window of 10 x 10 mm about the opening / its area (our own definition)",
    error_bound=(
        "1e-6; and for each opening across the window's edge that is no upright rectangle at most "
        "(1 - share of its box) of its area, unless its outline is cut exactly"
    ),
    measure=measure,
    wish=wish,
    outlook=outlook,
    params=Params,
    examples=(
        Example(
            "5 x 5 squares of 1 mm at 2 mm: 25 of 100 in the middle, 9 at a corner",
            "%ADD10R,1X1*%\nD10*\n%SRX5Y5I2J2*%\nX0Y0D03*\n%SR*%",
            tuple(x * y / 100 for y in _BESIDE for x in _BESIDE),
        ),
        Example(
            "11 slots of 0.5 x 10 mm at 1 mm: 9 and two halves in the middle",
            "%ADD10R,0.5X10*%\nD10*\n%SRX11Y1I1J0*%\nX0Y0D03*\n%SR*%",
            _SLOTS,
        ),
        Example(
            "6 circles of 0.4 mm: 6 x pi x 0.04 of 100",
            "%ADD10C,0.4*%\nD10*\n%SRX3Y2I1J1*%\nX0Y0D03*\n%SR*%",
            (0.0075398,) * 6,
        ),
        Example(
            "5 openings are too few",
            "%ADD10R,1X1*%\nD10*\n%SRX5Y1I2J0*%\nX0Y0D03*\n%SR*%",
            (math.nan,) * 5,
        ),
    ),
)
