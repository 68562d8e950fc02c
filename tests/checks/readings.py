"""What a check reads of a small layer, and what it wishes for."""

from typing import NamedTuple

import numpy as np

from pastecheck.check import Check, Readings, Scope, Wish, region
from pastecheck.checks import catalogue
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Foil, Measurements
from tests.drawn import cut

RING = "%ADD10C,1.6*%\n%ADD11C,1*%\nD10*\nX0Y0D03*\n%LPC*%\nD11*\nX0Y0D03*\n%LPD*%"
"""A circle of 1.6 mm with a hole of 1 mm."""
C_RING = RING.replace("%LPD*%", "%ADD12R,1X0.2*%\nD12*\nX500000Y0D03*\n%LPD*%")
"""The same, open by 0.2 mm on the right."""
DUMBBELL = "%ADD10R,1X1*%\n%ADD11R,3X0.3*%\nD10*\nX-1000000Y0D03*\nX1000000D03*\nD11*\nX0Y0D03*"
"""Squares of 1 mm, 1 mm apart, on a bar of 0.3 mm."""
PLUS = "%ADD10R,1X0.3*%\n%ADD11R,0.3X1*%\nD10*\nX0Y0D03*\nD11*\nX0Y0D03*"
ELL = region((0, 0), (1, 0), (1, 0.3), (0.3, 0.3), (0.3, 1), (0, 1))
U = region((0, 0), (1, 0), (1, 1), (0.65, 1), (0.65, 0.35), (0.35, 0.35), (0.35, 1), (0, 1))
"""1 x 1 mm, with a slot 0.3 mm wide and 0.65 mm deep."""
COMB = (
    "%ADD10R,1.9X0.3*%\n%ADD11R,0.4X1*%\nD10*\nX950000Y150000D03*\nD11*\n"
    "X200000Y500000D03*\nX700000D03*\nX1200000D03*\nX1700000D03*"
)
"""Teeth of 0.4 mm, gaps of 0.1 mm that are 0.7 mm deep, and a back of 0.3 mm."""
ROUNDED = (
    "%AMROUNDED*21,1,0.3,0.65,0,0,0*21,1,0.15,0.8,0,0,0*1,1,0.15,0.075,0.325*1,1,0.15,-0.075,0.325*"
    "1,1,0.15,0.075,-0.325*1,1,0.15,-0.075,-0.325*%\n%ADD10ROUNDED*%\nD10*\nX0Y0D03*"
)
"""0.3 x 0.8 mm with corners of 0.075 mm."""
HOME_PLATE = region((0, 0), (0.5, 0), (0.5, 0.5), (0.25, 0.75), (0, 0.5))
BOW_TIE = region((-0.5, -0.25), (0, -0.1), (0.5, -0.25), (0.5, 0.25), (0, 0.1), (-0.5, 0.25))
"""1 x 0.5 mm with a waist of 0.2 mm."""
TRAPEZOID = region((0, -0.12), (1.5, -0.15), (1.5, 0.15), (0, 0.12))
TRIANGLE = region((0, 0), (1, 0), (0.5, 0.866025))
HALF_DISC = "G75*\nG36*\nX1000000Y0D02*\nG03*\nX-1000000Y0I-1000000J0D01*\nG01*\nX1000000Y0D01*\nG37*"


def flash(aperture: str) -> str:
    """One flash of a standard aperture."""
    return f"%ADD10{aperture}*%\nD10*\nX0Y0D03*"


def ellipse(length_mm: float, width_mm: float, corners: int = 720) -> str:
    t = np.linspace(0, 2 * np.pi, corners, endpoint=False)
    x, y = length_mm / 2 * np.cos(t), width_mm / 2 * np.sin(t)
    return region(*zip(x.tolist(), y.tolist(), strict=True))


class Read(NamedTuple):
    """A check and what it read of a layer."""

    check: Check
    m: Measurements
    readings: Readings

    @property
    def value(self) -> float:
        """Of the only opening."""
        (value,) = self.readings.values.tolist()
        return float(value)

    @property
    def place_mm(self) -> FloatArray:
        """Where it was read. Shape (k, 2)."""
        assert self.readings.place_mm is not None
        return self.readings.place_mm

    def wish(self, limit: float) -> Wish:
        """What is wished for if all readings fail a limit."""
        return self.check.wish(self.m, self.readings, limit)

    def advice(self, limit: float) -> str:
        """What is said of the only opening."""
        texts = self.wish(limit).advice
        assert texts is not None
        (text,) = texts.tolist()
        return str(text)


def read(
    check_id: str, *drawn: str, params: object = None, reach: float = 1.0, thickness_mm: float = 0.1
) -> Read:
    """What a check reads of a layer."""
    check = catalogue()[check_id]
    m = Measurements(cut(*drawn), Foil("film", "polyester", thickness_mm))
    return Read(check, m, check.measure(m, Scope(params or check.params(), reach)))
