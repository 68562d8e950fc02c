"""
Edge margin: film between the openings and the edge of what can be cut.

What: the distance of the openings from the edge of the usable part of the sheet, the openings in its middle,
turned by 90 degrees where that leaves more. One reading for the layer, at the opening that is nearest.

Why: tape, the run-out of the squeegee and the bead of paste before it need bare film.

How: from the boxes about the openings.

Cannot see: where the openings are laid on the sheet, if not in its middle.
"""

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, Needs, NoParams, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.geometry.sheets import centred_mm, edge_margins_mm
from pastecheck.measurements import Measurements, Sheet
from pastecheck.measurements.changed import Changed
from pastecheck.units import NM_PER_MM

_BOX_MM = 2e-6


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """The least margin; NaN without a sheet."""
    if m.sheet is None:
        return Readings(np.array([np.nan]), np.array([ROUNDING]), np.array([0]))
    usable = centred_mm(m.bounds_mm, m.sheet.usable_mm)
    margins_mm = edge_margins_mm(m.bounds_nm / NM_PER_MM, usable)
    row = int(np.argmin(np.round(margins_mm, 6)))
    return Readings(margins_mm[[row]], np.array([_BOX_MM + ROUNDING]), np.array([row]))


def wish(_m: Measurements, failed: Readings, limit: float) -> Wish:
    """In words: a larger sheet."""
    texts = [
        f"use a sheet that is {2 * (limit - value):.1f} mm larger that way"
        for value in failed.values.tolist()
    ]
    return Wish(advice=np.array(texts, np.object_))


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """Less what any opening grows by."""
    return readings.values - float(changed.grown_mm.max(initial=0.0))


def _frame(x_mm: float, y_mm: float) -> str:
    """Two openings of 1 mm in opposite corners of an extent."""
    return f"%ADD10R,1X1*%\nD10*\nX500000Y500000D03*\nX{1e6 * x_mm - 5e5:.0f}Y{1e6 * y_mm - 5e5:.0f}D03*"


CHECK = Check(
    title="Edge margin",
    quantity="edge margin",
    unit=Unit.MM,
    worse=Worse.BELOW,
    definition="distance from the openings to the edge of the sheet's usable part (our own definition)",
    error_bound="2 nm, by which boxes are rounded",
    measure=measure,
    wish=wish,
    outlook=outlook,
    needs=Needs.SHEET,
    examples=(
        Example(
            "openings over 80 x 60 mm on a usable 100 x 100 mm",
            _frame(80, 60),
            (10.0,),
            sheet=Sheet(100, 100),
        ),
        Example(
            "openings over 96 x 60 mm on a sheet of 110 x 120 mm, of which 5 mm at each edge cannot be cut",
            _frame(96, 60),
            (7.0,),
            sheet=Sheet(110, 120, 5),
        ),
        Example(
            "openings over 96 x 60 mm on a usable 100 x 100 mm", _frame(96, 60), (2.0,), sheet=Sheet(100, 100)
        ),
        Example(
            "openings over 103 x 60 mm reach beyond a usable 100 x 100 mm",
            _frame(103, 60),
            (-1.5,),
            sheet=Sheet(100, 100),
        ),
    ),
)
