"""
Deposit height: thickness of the paste spread over its land.

What: the volume of the openings on a land, area times foil thickness, over the area of the land. Half of it
is metal.

Why: coverage alone cannot tell a thin film from a thick one. Too low, and the solder does not reach the lead;
too high, and it bridges or the part floats.

How: land-coverage, or thermal-coverage, times the thickness.

Cannot see: what the part needs, how much paste stays in the foil, and that soft film lifts and prints more.
"""

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, Needs, NoParams, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Height of the paste on each land that has openings."""
    found, thickness_mm = m.on_lands.coverage, m.foil.thickness_mm
    return Readings(found.value * thickness_mm, found.error * thickness_mm + ROUNDING, found.opening)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """Another foil, in proportion: thicker where the paste is low, thinner where it is high."""
    thickness_mm = m.foil.thickness_mm * limit / failed.values
    low = failed.values < limit
    return Wish(
        thickness_mm=np.where(low, np.nan, thickness_mm), thinnest_mm=np.where(low, thickness_mm, np.nan)
    )


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """Of the new coverage, in the new foil."""
    rows = readings.opening
    coverage = changed.coverage(rows, readings.values / changed.m.foil.thickness_mm)
    return coverage * changed.thickness_mm[rows]


_PAD = "%ADD10R,0.3X1.5*%\nD10*\nX0Y0D03*"
_FREE = "%ADD10R,0.4X1.6*%\nD10*\nX0Y0D03*"

CHECK = Check(
    title="Deposit height",
    quantity="deposit height",
    unit=Unit.MM,
    worse=Worse.BOTH,
    definition="opening area on the land x thickness / land area (our own definition)",
    error_bound="that of land-coverage times the thickness",
    measure=measure,
    wish=wish,
    outlook=outlook,
    foresees=False,
    needs=Needs.LANDS,
    examples=(
        Example(
            "an opening of 0.25 x 1.5 mm on a land of 0.30 x 1.5 mm, in 75 um",
            "%ADD10R,0.25X1.5*%\nD10*\nX0Y0D03*",
            (0.0625,),
            0.075,
            land=_PAD,
            mask=_FREE,
        ),
        Example("an opening as large as its land, in 50 um", _PAD, (0.05,), 0.05, land=_PAD, mask=_FREE),
        Example(
            "four panes of 1.29 mm on a land of 3.1 mm, in 75 um: 0.075 x 6.6564 / 9.61",
            "%ADD10R,1.29X1.29*%\nD10*\nX-845000Y-845000D03*\nX845000D03*\nY845000D03*\nX-845000D03*",
            (0.05194901,),
            0.075,
            land="%ADD10R,3.1X3.1*%\nD10*\nX0Y0D03*",
            mask="%ADD10R,3.2X3.2*%\nD10*\nX0Y0D03*",
        ),
    ),
)
