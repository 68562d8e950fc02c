"""
Opening width: narrow side of the opening.

What: the short side of the turned bounding rectangle of smallest area; where two have the same area, the
smaller short side. A circle reads its diameter.

Why: below a certain width a knife tears the plug out instead of cutting it, a laser burns the film away
beside its path, and paste does not enter.

How: in closed form for circles, rectangles, obrounds and rounded rectangles that nothing overlaps, at any
angle; else the sides of the convex hull are tried one by one.

Cannot see: arms, waists and tapers inside the rectangle.
"""

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, NoParams, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Width of each opening."""
    return Readings.of_each(m.width_mm, m.width_error_mm + ROUNDING)


def wish(_m: Measurements, failed: Readings, limit: float) -> Wish:
    """The width at the limit."""
    return Wish(width_mm=np.full_like(failed.values, limit))


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """The narrow side."""
    return changed.width_mm[readings.opening]


CHECK = Check(
    title="Opening width",
    quantity="opening width",
    unit=Unit.MM,
    worse=Worse.BELOW,
    definition="short side of the turned bounding rectangle of smallest area (our own definition)",
    error_bound=("float rounding for standard shapes; else 0.2 um, and of rectangles as small the narrowest"),
    measure=measure,
    wish=wish,
    outlook=outlook,
    examples=(
        Example("a slot of 0.25 x 1.5 mm", "%ADD10R,0.25X1.5*%\nD10*\nX0Y0D03*", (0.25,)),
        Example("the same slot turned by 30 degrees", "%ADD10R,0.25X1.5*%\n%LR30*%\nD10*\nX0Y0D03*", (0.25,)),
        Example("a circle of 0.4 mm", "%ADD10C,0.4*%\nD10*\nX0Y0D03*", (0.4,)),
        Example(
            "an L of 1 x 1 mm with arms of 0.3 mm: blind to the arms",
            "G36*\nX0Y0D02*\nG01*\nX1000000Y0D01*\nX1000000Y300000D01*\nX300000Y300000D01*\n"
            "X300000Y1000000D01*\nX0Y1000000D01*\nX0Y0D01*\nG37*",
            (1.0,),
        ),
        Example(
            "a triangle with sides of 1 mm: its height",
            "G36*\nX0Y0D02*\nG01*\nX1000000Y0D01*\nX500000Y866025D01*\nX0Y0D01*\nG37*",
            (0.866025,),
        ),
    ),
)
