"""
Land overhang: how far the opening reaches beyond its land.

What: the largest distance of a point of the opening from the lands that it is meant for. Inside it reads 0.
Openings over a drilled land, and those on no land, have no reading: paste beside a plated hole is meant.

Why: paste that is printed on the mask rolls up into balls, or is drawn under the part.

How: from the corners of what lies beyond; that no other point is farther is proved by growing the lands.
Where all openings are off in the same way, that is registration's finding, and this one is measured as if the
layers lay right.

Cannot see: that paste was printed beside its land on purpose.
"""

import numpy as np

from pastecheck.check import (
    ROUNDING,
    Check,
    Example,
    Needs,
    NoParams,
    Readings,
    Redraws,
    Scope,
    Unit,
    Wish,
    Worse,
    worded,
)
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.units import shown


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Overhang of each opening on a land."""
    found = m.on_lands.overhang
    return Readings.of_each(found.reach_mm, found.loose_mm + ROUNDING, found.place_mm)


def wish(m: Measurements, failed: Readings, _limit: float) -> Wish:
    """Larger than the land: as large as that. Else moved onto it; both in words."""
    rows = failed.opening
    on_lands = m.on_lands
    pad = on_lands.lands.pad[on_lands.land[rows]]
    sides_mm = np.column_stack([on_lands.pad_sides.width_mm[pad], on_lands.pad_sides.length_mm[pad]])
    own_mm = np.column_stack([m.width_mm[rows], m.length_mm[rows]])
    larger = (own_mm > sides_mm + ROUNDING).any(axis=1)
    least_mm = np.minimum(own_mm, sides_mm)
    way_mm = -on_lands.off_centre_mm[rows]
    figures = np.column_stack([larger, least_mm, way_mm]).round(4)
    return Wish(advice=worded(figures, lambda row: _in_words(*row)))


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """As far beyond as it has grown; what gets smaller may have been drawn in elsewhere."""
    return readings.values + changed.grown_mm[readings.opening]


def _in_words(larger: float, width_mm: float, length_mm: float, dx_mm: float, dy_mm: float) -> str:
    if larger:
        size = f"{shown(width_mm, 'mm').removesuffix(' mm')} x {shown(length_mm, 'mm')}"
        return f"shrink it to its land, {size}"
    return f"move it onto its land, by ({dx_mm:z.3f}, {dy_mm:z.3f}) mm"


_PAD = "%ADD10R,0.6X1.2*%\nD10*\nX0Y0D03*"
_FREE = "%ADD10R,0.7X1.3*%\nD10*\nX0Y0D03*"

CHECK = Check(
    title="Land overhang",
    quantity="land overhang",
    unit=Unit.MM,
    worse=Worse.ABOVE,
    definition="largest distance of a point of the opening from its lands (our own definition)",
    error_bound=(
        "0.1 um for each flattened outline, and 1 um where the land is not convex; four times as much, again "
        "and again, where that cannot be proved"
    ),
    measure=measure,
    wish=wish,
    outlook=outlook,
    redraws=Redraws.OPENING,
    foresees=False,
    needs=Needs.LANDS,
    examples=(
        Example(
            "an opening as large as its land of 0.6 x 1.2 mm, shifted by 0.1 mm",
            "%ADD10R,0.6X1.2*%\nD10*\nX100000Y0D03*",
            (0.1,),
            land=_PAD,
            mask=_FREE,
        ),
        Example(
            "an opening that is 0.05 mm larger on all sides: at its corners",
            "%ADD10R,0.7X1.3*%\nD10*\nX0Y0D03*",
            (0.0707107,),
            land=_PAD,
            mask=_FREE,
        ),
        Example(
            "an opening inside its land", "%ADD10R,0.5X1*%\nD10*\nX0Y0D03*", (0.0,), land=_PAD, mask=_FREE
        ),
        Example(
            "one opening over two lands 0.4 mm apart: the middle between them",
            "%ADD10R,1.6X1.2*%\nD10*\nX500000Y0D03*",
            (0.2,),
            land=_PAD + "\nX1000000D03*",
            mask="%ADD10R,3X3*%\nD10*\nX0Y0D03*",
        ),
        Example(
            "over the ring of a plated hole it has none",
            "%ADD10C,1*%\nD10*\nX0Y0D03*",
            (float("nan"),),
            land="%ADD10C,1X0.5*%\nD10*\nX0Y0D03*",
            mask="%ADD10C,1.1*%\nD10*\nX0Y0D03*",
        ),
    ),
)
