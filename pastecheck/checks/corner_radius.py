"""
Corner radius: radius of the sharpest corner of the opening.

What: the smallest radius over all convex corners. A sharp corner has 0, and a vertex that turns by 30 degrees
or more is sharp; what turns less is a facet of a curve, and reads its length over its turn, taken over the
tightest 60 degrees. Corners of the film that juts in are not read.

Why: paste holds in sharp corners, and where a blade runs past one a tear begins. Rounded corners release
better; 0.05 mm is a usual radius on stencil drawings.

How: as constructed for circles, obrounds and rounded rectangles; from the facets of all other outlines.

Cannot see: what a blade makes of a corner. The rule sets set no limit: half of the openings that people draw
are sharp rectangles, which are printed every day. It is measured for the table.
"""

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, NoParams, Readings, Scope, TextArray, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.units import shown


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Radius of the sharpest corner of each opening."""
    return Readings.of_each(m.insides.corner_radius_mm, m.insides.corner_radius_error_mm + ROUNDING)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """In words: all corners rounded, where the opening is wide enough to hold the radius on either side."""
    fits = m.width_mm[failed.opening] >= 2 * limit
    words = f"round its corners to a radius of {shown(limit, 'mm')}"
    advice: TextArray = np.where(fits, words, "").astype(np.object_)
    return Wish(advice=advice)


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """Radii are kept where there is room; those of other outlines go with the smaller factor."""
    rows = readings.opening
    stretched = readings.values * changed.least_factor[rows]
    return np.where(changed.m.are_rounded_rectangles[rows], changed.radius_mm[rows], stretched)


CHECK = Check(
    title="Corner radius",
    quantity="corner radius",
    unit=Unit.MM,
    worse=Worse.BELOW,
    definition="smallest radius over convex corners, 0 where one is sharp (our own definition)",
    error_bound="float rounding for standard shapes; else 0.1 um, and 5 % where facets of two arcs mix",
    measure=measure,
    wish=wish,
    outlook=outlook,
    examples=(
        Example("a rectangle", "%ADD10R,0.25X1.5*%\nD10*\nX0Y0D03*", (0.0,)),
        Example(
            "a rectangle of 0.3 x 0.8 mm with corners of 0.075 mm, made of bars and discs",
            "%AMROUNDED*21,1,0.3,0.65,0,0,0*21,1,0.15,0.8,0,0,0*1,1,0.15,0.075,0.325*1,1,0.15,-0.075,0.325*"
            "1,1,0.15,0.075,-0.325*1,1,0.15,-0.075,-0.325*%\n%ADD10ROUNDED*%\nD10*\nX0Y0D03*",
            (0.075,),
        ),
        Example("a circle of 0.4 mm: its radius", "%ADD10C,0.4*%\nD10*\nX0Y0D03*", (0.2,)),
        Example("an obround 0.25 mm wide: half of that", "%ADD10O,0.25X0.8*%\nD10*\nX0Y0D03*", (0.125,)),
        Example("an octagon: it turns 45 degrees at each corner", "%ADD10P,0.5X8*%\nD10*\nX0Y0D03*", (0.0,)),
    ),
)
