"""
Film island: film inside the opening that falls out.

What: the area of the largest part of the film that an opening surrounds and that hangs on nothing: a hole in
the opening, less the openings that lie in the hole. It does not apply to openings without holes.

Why: cut all round, it comes out with the plug, and the opening is larger than drawn. A ring can only be
printed as some arcs with webs between.

How: exact for straight walls; curves are flattened at equal area.

Cannot see: tongues that are almost cut through, and film that two openings surround together where they touch
in points.
"""

import math
from typing import Final

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, NoParams, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.units import shown

_WEB_MM: Final = 0.3
"""Webs that hold an island: `common practice, no source`."""
_LARGE_MM: Final = 2.0
"""An island that is larger across is held by four of them, else by three."""


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Largest island in each opening."""
    islands = m.insides.islands
    return Readings.of_each(islands.area_mm2, islands.error_mm2 + ROUNDING, islands.place_mm)


def wish(m: Measurements, failed: Readings, _limit: float) -> Wish:
    """In words: some webs, where the parts between them are longer than wide, or the hole filled."""
    rows = failed.opening
    area_mm2, hole_mm2 = failed.values, m.insides.islands.hole_mm2[rows]
    across_mm = np.sqrt(4 * hole_mm2 / np.pi)
    webs = np.where(across_mm > _LARGE_MM, 4, 3)
    # the parts run about the hole, and a part should not be shorter than it is wide
    part_mm = np.pi * (across_mm + m.insides.necks.width_mm[rows]) / webs - _WEB_MM
    holds = part_mm >= m.insides.necks.width_mm[rows]
    texts = [
        (f"draw it as {count} parts with webs of {shown(_WEB_MM, 'mm')} between, or " if held else "")
        + f"fill the hole: the opening grows by {shown(grown, 'mm2')}"
        for count, held, grown in zip(webs.tolist(), holds.tolist(), area_mm2.tolist(), strict=True)
    ]
    return Wish(advice=np.array(texts, np.object_))


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """A hole grows with its opening; what is cut in the hole stays."""
    rows = readings.opening
    factor: FloatArray = changed.factor[rows].prod(axis=1)
    return readings.values + changed.m.insides.islands.hole_mm2[rows] * (factor - 1)


CHECK = Check(
    title="Film island",
    quantity="film island",
    unit=Unit.MM2,
    worse=Worse.ABOVE,
    definition="area of a hole in the opening less the openings in it (our own definition)",
    error_bound="float rounding for straight walls; else 0.1 um x the length of the walls",
    measure=measure,
    wish=wish,
    outlook=outlook,
    examples=(
        Example(
            "a ring of 1.6 and 1.0 mm: pi x 0.5 x 0.5",
            "%ADD10C,1.6*%\n%ADD11C,1*%\nD10*\nX0Y0D03*\n%LPC*%\nD11*\nX0Y0D03*\n%LPD*%",
            (0.7853982,),
        ),
        Example(
            "a square of 1 mm with a hole of 0.2 x 0.2 mm",
            "%ADD10R,1X1*%\n%ADD11R,0.2X0.2*%\nD10*\nX0Y0D03*\n%LPC*%\nD11*\nX0Y0D03*\n%LPD*%",
            (0.04,),
        ),
        Example(
            "that ring with a dot of 0.4 mm in it: pi x (0.25 - 0.04); the dot comes first and has no hole",
            "%ADD10C,1.6*%\n%ADD11C,1*%\n%ADD12C,0.4*%\nD10*\nX0Y0D03*\n%LPC*%\nD11*\nX0Y0D03*\n%LPD*%\n"
            "D12*\nX0Y0D03*",
            (math.nan, 0.6597345),
        ),
        Example(
            "a ring that is cut open",
            "%ADD10C,1.6*%\n%ADD11C,1*%\n%ADD12R,1X0.2*%\nD10*\nX0Y0D03*\n%LPC*%\nD11*\nX0Y0D03*\n"
            "D12*\nX500000Y0D03*\n%LPD*%",
            (math.nan,),
        ),
    ),
)
