"""
Sheet fit: what the sheet has to spare for the openings and a margin.

What: over both ways to lay the layer on the sheet the larger of what is left of the usable sides, less the
extent of the openings and the margin on either side (`margin`). Negative: the sheet is too small by so much.

Why: film that is too small is noticed when half of it is cut.

How: from the box about all openings.

Cannot see: whether the sheet could be larger, and layers that would fit if they were turned by other angles.
"""

from dataclasses import dataclass

import numpy as np

from pastecheck.check import NO_OPENING, ROUNDING, Check, Example, Needs, Readings, Scope, Unit, Wish, Worse
from pastecheck.geometry.sheets import sheet_fit, smallest_sheet_mm
from pastecheck.measurements import Measurements, Sheet

_BOX_MM = 2e-6


@dataclass(frozen=True, slots=True)
class Params:
    """What is wanted about the openings."""

    margin_mm: float = 15.0
    """Bare film on all sides, for tape and the run-out of the squeegee."""


def measure(m: Measurements, scope: Scope[Params]) -> Readings:
    """What the sheet has to spare; NaN without a sheet."""
    low_x, low_y, high_x, high_y = m.bounds_mm
    spare_mm = np.nan
    if m.sheet is not None:
        spare_mm = sheet_fit(_extent_mm(m), m.sheet.usable_mm, scope.params.margin_mm).spare_mm
    return Readings(
        np.array([spare_mm]),
        np.array([_BOX_MM + ROUNDING]),
        np.array([NO_OPENING]),
        place_mm=np.array([[(low_x + high_x) / 2, (low_y + high_y) / 2]]),
        params=scope.params,
    )


def wish(m: Measurements, failed: Readings, _limit: float) -> Wish:
    """In words: the smallest sheet that takes the layer."""
    margin_mm = failed.params.margin_mm if isinstance(failed.params, Params) else Params().margin_mm
    unusable_mm = m.sheet.unusable_mm if m.sheet else 0.0
    short, long = smallest_sheet_mm(_extent_mm(m), margin_mm, unusable_mm)
    text = f"it takes a sheet of {short:.1f} x {long:.1f} mm or larger"
    return Wish(advice=np.full(len(failed.values), text, np.object_))


def _extent_mm(m: Measurements) -> tuple[float, float]:
    low_x, low_y, high_x, high_y = m.bounds_mm
    return high_x - low_x, high_y - low_y


def _frame(x_mm: float, y_mm: float) -> str:
    """Two openings of 1 mm in opposite corners of an extent."""
    return f"%ADD10R,1X1*%\nD10*\nX500000Y500000D03*\nX{1e6 * x_mm - 5e5:.0f}Y{1e6 * y_mm - 5e5:.0f}D03*"


CHECK = Check(
    title="Sheet fit",
    quantity="sheet fit",
    unit=Unit.MM,
    worse=Worse.BELOW,
    definition="larger of min(usable side - extent - 2 margins) over both orientations (our own definition)",
    error_bound="2 nm, by which boxes are rounded",
    measure=measure,
    wish=wish,
    params=Params,
    needs=Needs.SHEET,
    of_layer=True,
    examples=(
        Example("80 x 60 mm on a usable 110 x 110 mm", _frame(80, 60), (0.0,), sheet=Sheet(110, 110)),
        Example("90 x 60 mm there: too large by 10 mm", _frame(90, 60), (-10.0,), sheet=Sheet(110, 110)),
        Example(
            "100 x 160 mm on A4, of which 10 mm at each edge cannot be cut",
            _frame(100, 160),
            (60.0,),
            sheet=Sheet(210, 297, 10),
        ),
        Example("the same, drawn lying", _frame(160, 100), (60.0,), sheet=Sheet(210, 297, 10)),
    ),
)
