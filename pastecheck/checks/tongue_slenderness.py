"""
Tongue slenderness: length of a film tongue over its width.

What: how long the two walls of a tongue (see film-tongue) run alongside each other, over its width; of all
tongues that jut into the opening the largest. The outline is halved at the tongue's free end; a wall is what
lies along one half from where the tongue is narrowest, as long as the other half is within 1.2 widths of it
and faces it to within 60 degrees; of both walls the shorter counts.

Why: a tongue is a beam held at one end. How far the blade, the tweezers and the squeegee bend it grows with
the fourth power of its length over its width; a short notch of the same width stays flat.

How: for each distinct outline, piece by piece along its outer wall. Breaks of less than half a width, such as
a jog, do not end a wall.

Cannot see: which way the squeegee moves, and tongues wider than 0.6 mm.
"""

import math

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, NoParams, Readings, Scope, Unit, Wish, Worse, region
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.units import shown

_WIDER = 1.2
"""A tongue is filled as far as it is no wider than so many of its widths."""


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Slenderness of the slenderest tongue in each opening."""
    found = m.insides.tongues_within(0.0)
    error = found.slenderness_error + ROUNDING
    return Readings.of_each(found.slenderness, error, found.slenderest.place_mm)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """In words: the depth at which the notch would do, and what it brings to fill it."""
    _, first, kind = np.unique(m.openings.shape[failed.opening], return_index=True, return_inverse=True)
    rows = failed.opening[first]
    across = m.insides.tongues_within(0.0).slenderest
    width_mm = across.width_mm[rows]
    filled_mm2 = m.insides.film_at_mm2(rows, across.place_mm[rows], _WIDER * width_mm)
    texts = [
        f"cut the notch no deeper than {shown(depth, 'mm')}, or fill it: "
        f"the opening grows by {shown(grown, 'mm2')}"
        for depth, grown in zip((limit * width_mm).tolist(), filled_mm2.tolist(), strict=True)
    ]
    return Wish(advice=np.array(texts, np.object_)[kind])


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """At most as much longer as the one side, and as much narrower as the other."""
    rows = readings.opening
    return readings.values * changed.most_factor[rows] / changed.least_factor[rows]


CHECK = Check(
    title="Tongue slenderness",
    quantity="tongue slenderness",
    unit=Unit.RATIO,
    worse=Worse.ABOVE,
    definition="length of the walls that face each other / width at the narrowest (our own definition)",
    error_bound="relative 0.4 um / width, 0.8 um where curves are flattened, and a facet / width there",
    measure=measure,
    wish=wish,
    outlook=outlook,
    examples=(
        Example(
            "a U of 1 x 1 mm with a slot of 0.3 mm, 0.65 mm deep: 0.65 / 0.3",
            region((0, 0), (1, 0), (1, 1), (0.65, 1), (0.65, 0.35), (0.35, 0.35), (0.35, 1), (0, 1)),
            (2.1666667,),
        ),
        Example(
            "a comb with gaps 0.1 mm wide and 0.7 mm deep",
            "%ADD10R,1.4X0.3*%\n%ADD11R,0.4X1*%\nD10*\nX700000Y150000D03*\nD11*\n"
            "X200000Y500000D03*\nX700000D03*\nX1200000D03*",
            (7.0,),
        ),
        Example(
            "a notch 0.2 mm wide and 0.3 mm deep",
            region((0, 0), (1, 0), (1, 1), (0.6, 1), (0.6, 0.7), (0.4, 0.7), (0.4, 1), (0, 1)),
            (1.5,),
        ),
        Example(
            "an L: nothing juts in",
            region((0, 0), (1, 0), (1, 0.3), (0.3, 0.3), (0.3, 1), (0, 1)),
            (math.nan,),
        ),
    ),
)
