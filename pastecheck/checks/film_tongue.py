"""
Film tongue: narrowest film between two parts of one opening.

What: the diameter of the smallest disc outside the opening that touches its outer wall on two sides across
from each other, as the check neck-width has it: parallel to within a degree, or the narrow end of a taper of
up to 20 degrees. Film inside a hole is an island and no tongue. It does not apply where no tongue is narrower
than 0.6 mm and the loosest limit.

Why: such film is held at one end only. Weeding lifts it, and the squeegee folds it under, so that paste
spreads below it. Where it tears off, the opening is larger than drawn.

How: from the vertices of the medial axis of what lies outside the opening, and from each inner corner to what
lies nearest across from it. Where two curves meet almost as tangents the error is larger: 0.1 um over the
cosine of half their turn. Other openings are ignored: where one lies beside a tongue, the film between is a
web, and narrower.

Cannot see: cusps between two arcs that meet outside the opening, and how long the tongue is (see
tongue-slenderness).
"""

import math

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, NoParams, Readings, Scope, Unit, Wish, Worse, region
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.units import shown


def measure(m: Measurements, scope: Scope[NoParams]) -> Readings:
    """Narrowest tongue in each opening."""
    width_mm, error_mm, place_mm = m.insides.tongues_within(scope.loosest_below).across
    return Readings.of_each(width_mm, error_mm + ROUNDING, place_mm)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """In words: the notch filled, or drawn wider where the opening beside it has room."""
    _, first, kind = np.unique(m.openings.shape[failed.opening], return_index=True, return_inverse=True)
    rows = failed.opening[first]
    place_mm = m.insides.tongues_within(limit).across.place_mm[rows]
    filled_mm2 = m.insides.film_at_mm2(rows, place_mm, np.full(len(rows), limit))
    left_mm = m.insides.necks.width_mm[rows] - (limit - failed.values[first])
    wider = f"draw the notch {shown(limit, 'mm')} wide, or "
    texts = [
        f"{wider if left >= limit else ''}fill the notch: the opening grows by {shown(grown, 'mm2')}"
        for left, grown in zip(left_mm.tolist(), filled_mm2.tolist(), strict=True)
    ]
    return Wish(advice=np.array(texts, np.object_)[kind])


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """A tongue gets no narrower than by the smaller factor of the two sides."""
    return readings.values * changed.least_factor[readings.opening]


CHECK = Check(
    title="Film tongue",
    quantity="film tongue",
    unit=Unit.MM,
    worse=Worse.BELOW,
    definition="smallest disc outside that touches the opening on two sides (our own definition)",
    error_bound="0.2 um; 0.4 um where curves are flattened; farther where two curves meet almost as "
    "tangents: 0.1 um over the cosine of half their turn",
    measure=measure,
    wish=wish,
    outlook=outlook,
    examples=(
        Example(
            "a U of 1 x 1 mm with a slot of 0.3 mm",
            region((0, 0), (1, 0), (1, 1), (0.65, 1), (0.65, 0.35), (0.35, 0.35), (0.35, 1), (0, 1)),
            (0.3,),
        ),
        Example(
            "a comb with teeth of 0.4 mm and gaps of 0.1 mm",
            "%ADD10R,1.4X0.3*%\n%ADD11R,0.4X1*%\nD10*\nX700000Y150000D03*\nD11*\n"
            "X200000Y500000D03*\nX700000D03*\nX1200000D03*",
            (0.1,),
        ),
        Example(
            "a ring of 1.6 and 1.0 mm with a mouth of 0.2 mm",
            "%ADD10C,1.6*%\n%ADD11C,1*%\n%ADD12R,1X0.2*%\nD10*\nX0Y0D03*\n%LPC*%\nD11*\nX0Y0D03*\n"
            "D12*\nX500000Y0D03*\n%LPD*%",
            (0.2,),
        ),
        Example(
            "a square of 1 mm with a notch of 0.2 mm",
            region((0, 0), (1, 0), (1, 1), (0.6, 1), (0.6, 0.7), (0.4, 0.7), (0.4, 1), (0, 1)),
            (0.2,),
        ),
        Example(
            "a V of 46 degrees cut into a square of 1 mm: no two walls face",
            region((0, 0), (1, 0), (1, 1), (0.712237, 1), (0.5, 0.5), (0.287763, 1), (0, 1)),
            (math.nan,),
        ),
        Example(
            "an L: nothing juts in",
            region((0, 0), (1, 0), (1, 0.3), (0.3, 0.3), (0.3, 1), (0, 1)),
            (math.nan,),
        ),
        Example(
            "a ring: what lies in its hole is an island",
            "%ADD10C,1.6*%\n%ADD11C,1*%\nD10*\nX0Y0D03*\n%LPC*%\nD11*\nX0Y0D03*\n%LPD*%",
            (math.nan,),
        ),
    ),
)
