"""
Aspect ratio: width of the opening over thickness of the foil.

What: W / T, the narrow side of the opening (as the check opening-width measures it) over the thickness.

Why: a long slot releases by its width alone: the two long walls hold the paste, whatever the ends do. Below
the limit it stays in the foil.

How: the width comes in closed form for standard shapes, else from the outline.

Cannot see: arms and waists narrower than the whole opening.

It is judged beside the area ratio, never instead of it. The two agree only at a length of 7.33 widths; for
shorter openings the area ratio is the stricter one.
"""

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, NoParams, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Aspect ratio of each opening."""
    thickness_mm = m.foil.thickness_mm
    return Readings.of_each(m.width_mm / thickness_mm, m.width_error_mm / thickness_mm + ROUNDING)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """The width that would do in this foil, and the thickest foil that would do as drawn."""
    width_mm = m.width_mm[failed.opening]
    return Wish(width_mm=np.full_like(width_mm, limit * m.foil.thickness_mm), thickness_mm=width_mm / limit)


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """Of the new width, in the new foil."""
    rows = readings.opening
    return changed.width_mm[rows] / changed.thickness_mm[rows]


CHECK = Check(
    title="Aspect ratio",
    quantity="aspect ratio",
    unit=Unit.RATIO,
    worse=Worse.BELOW,
    definition=(
        "width / thickness: ST data sheets ESDALC6V1-1M2 (DocID 12385) section 4.1 and ESDALC5-1BM2 "
        "(DocID 16936) section 3.1"
    ),
    error_bound="float rounding for standard shapes; else error of the width / thickness",
    measure=measure,
    wish=wish,
    outlook=outlook,
    examples=(
        Example("a slot 0.25 mm wide in 75 um", "%ADD10R,0.25X1.5*%\nD10*\nX0Y0D03*", (3.3333333,), 0.075),
        Example("a slot 0.19 mm wide in 125 um", "%ADD10R,0.19X1.5*%\nD10*\nX0Y0D03*", (1.52,), 0.125),
        Example("a circle of 0.3 mm in 100 um", "%ADD10C,0.3*%\nD10*\nX0Y0D03*", (3.0,), 0.1),
    ),
)
