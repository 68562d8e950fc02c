"""
Area ratio: area of the opening over area of its walls.

What: A / (P T), the area of the opening over its perimeter times the thickness of the foil. Every ring
counts, so an island of film inside an opening adds its wall.

Why: when the foil is lifted, paste clings to the land below and to the walls around it. With too much wall
for its area it stays in the foil, and the joint starves.

How: closed form for circles, rectangles, obrounds and rounded rectangles that nothing overlaps; else from the
outline, its curves flattened at equal area to 0.1 um.

Cannot see: how smooth the walls are, a coating, one narrow place in a large opening, and how the foil parts
from the board (film that is peeled releases worse than foil that is lifted straight).

It is judged beside the aspect ratio, never instead of it: at a length of five widths an aspect ratio of 1.5
alone lets an area ratio of 0.625 through.
"""

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, NoParams, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Area ratio of each opening."""
    return Readings.of_each(m.area_ratio, m.area_ratio_error + ROUNDING)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """
    The thickest foil that would do, and the width that would do at the length as drawn.

    A rectangle of sides w and l has the ratio w l / (2 (w + l) T), so w = 2 a T l / (l - 2 a T); as round as
    it is long, w = 4 a T.
    """
    rows = failed.opening
    length_mm, wall = m.length_mm[rows], 2 * limit * m.foil.thickness_mm
    thickness_mm = m.area_mm2[rows] / (limit * m.perimeter_mm[rows])
    with np.errstate(divide="ignore", invalid="ignore"):
        width_mm = wall * length_mm / (length_mm - wall)
    square = (length_mm <= wall) | (width_mm >= length_mm)
    return Wish(width_mm=np.where(square, 2 * wall, width_mm), thickness_mm=thickness_mm)


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """Of the new area and perimeter, in the new foil."""
    rows = readings.opening
    return changed.area_mm2[rows] / (changed.perimeter_mm[rows] * changed.thickness_mm[rows])


CHECK = Check(
    title="Area ratio",
    quantity="area ratio",
    unit=Unit.RATIO,
    worse=Worse.BELOW,
    definition=(
        "opening area / (perimeter x thickness): ST data sheets ESDALC6V1-1M2 (DocID 12385) section 4.1 and "
        "ESDALC5-1BM2 (DocID 16936) section 3.1 give L W / (2 (L + W) T)"
    ),
    error_bound=(
        "float rounding for standard shapes; else relative 0.1 um x (P / A + turning / P), and 1.7 chords of "
        "P for each cusp"
    ),
    measure=measure,
    wish=wish,
    outlook=outlook,
    examples=(
        Example(
            "a slot of 0.25 x 1.5 mm in 75 um: 0.375 / (3.5 x 0.075)",
            "%ADD10R,0.25X1.5*%\nD10*\nX0Y0D03*",
            (1.4285714,),
            0.075,
        ),
        Example("a circle of 0.4 mm in 100 um: D / 4 T", "%ADD10C,0.4*%\nD10*\nX0Y0D03*", (1.0,), 0.1),
        Example("a square of 0.3 mm in 125 um: W / 4 T", "%ADD10R,0.3X0.3*%\nD10*\nX0Y0D03*", (0.6,), 0.125),
        Example(
            "an obround of 0.25 x 0.8 mm in 75 um: (0.1375 + pi / 64) / ((1.1 + pi / 4) x 0.075)",
            "%ADD10O,0.25X0.8*%\nD10*\nX0Y0D03*",
            (1.319526,),
            0.075,
        ),
    ),
)
