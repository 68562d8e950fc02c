"""
Pitch fraction: share of the pitch of a row of leads that its openings fill.

What: extent of the opening along its row over the pitch of the row, for openings that leave less than 0.235
mm between them (`only-gaps-below`). A row is three or more like openings at an even pitch of 0.25 to 1.4 mm,
at any angle, across their long sides; a missing lead, a wider end land or another size ends it. It does not
apply to panes, to balls of a grid, to chips side by side, and outside of rows.

Why: hand registration is good to 0.1 mm, and paste slumps and smears under soft film. With too much of the
pitch filled, the deposits of neighbouring leads meet, and the joints bridge. That goes by the film left
between them: at 0.8 mm pitch and wider most rows fill more than half of it, and nothing bridges.

How: each row's pitch is that of an even ladder fitted to its centres by least squares, which may lie 0.03 mm
off it, as old files round places to a mil.

Cannot see: which lead is bent, how wide the lands are, and without labels or lands which openings are of one
part. So rows wider than 0.65 mm are judged only where three openings bear one label and each lies on a land
of its own; up to 0.65 mm three chips side by side may be taken for leads, and bridge as easily.
"""

import math
from dataclasses import dataclass, replace

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import BoolArray, FloatArray
from pastecheck.geometry.rows import Rows
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed


@dataclass(frozen=True, slots=True)
class Params:
    """Which rows are judged."""

    only_gaps_below_mm: float = 0.235
    """Openings that leave so much between them do not bridge: `common practice, no source`."""


def measure(m: Measurements, scope: Scope[Params]) -> Readings:
    """Pitch fraction of each opening in a row."""
    fraction = _judged(m.are_leads, m.rows, scope.params)
    return replace(Readings.of_each(fraction, m.fraction_error + ROUNDING), params=scope.params)


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """The width that fills the limit's share of the pitch."""
    return Wish(narrowed_mm=limit * m.rows.pitch_mm[failed.opening])


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """Of the new side along the row; it may leave less than it did, and be judged, or more."""
    params, rows = readings.params, changed.rows
    assert isinstance(params, Params)  # noqa: S101 - of our own readings
    return _judged(changed.are_leads, rows, params)[readings.opening]


def _judged(are_leads: BoolArray, rows: Rows, params: Params) -> FloatArray:
    """Fraction of those that are judged, NaN for all others."""
    with np.errstate(invalid="ignore"):
        judged = are_leads & (rows.gap_mm < params.only_gaps_below_mm - ROUNDING)
    return np.where(judged, rows.fraction, np.nan)


def _row(count: int, width: float, pitch: float) -> str:
    flashes = [f"X{1e6 * pitch * k:.0f}Y0D03*" for k in range(count)]
    return "\n".join([f"%ADD10R,{width}X1.5*%", "D10*", *flashes])


CHECK = Check(
    title="Pitch fraction",
    quantity="pitch fraction",
    unit=Unit.RATIO,
    most=1.0,
    worse=Worse.ABOVE,
    definition=(
        "extent along the row / pitch of the row (our own definition; makers of stencils give widths)"
    ),
    error_bound="1e-9 and 1 nm / pitch; where curves are flattened also error of width and places / pitch",
    measure=measure,
    wish=wish,
    outlook=outlook,
    foresees=False,
    params=Params,
    examples=(
        Example("three slots 0.3 mm wide at 0.5 mm: 0.3 / 0.5", _row(3, 0.3, 0.5), (0.6,) * 3),
        Example("slots 0.25 mm wide at 0.5 mm leave 0.25 mm", _row(3, 0.25, 0.5), (math.nan,) * 3),
        Example("slots 0.4 mm wide at 0.65 mm leave 0.25 mm", _row(3, 0.4, 0.65), (math.nan,) * 3),
        Example("slots 0.45 mm wide at 0.65 mm: 0.45 / 0.65", _row(3, 0.45, 0.65), (0.6923077,) * 3),
        Example("slots 0.25 mm wide at 0.4 mm: 0.25 / 0.4", _row(4, 0.25, 0.4), (0.625,) * 4),
        Example("two openings are no row", _row(2, 0.3, 0.5), (math.nan,) * 2),
        Example(
            "3 x 3 panes of 0.9 mm at 1.1 mm",
            "%ADD10R,0.9X0.9*%\nD10*\n%SRX3Y3I1.1J1.1*%\nX0Y0D03*\n%SR*%",
            (math.nan,) * 9,
        ),
        Example(
            "three panes of 0.3 mm at 0.5 mm on one land",
            _row(3, 0.3, 0.5),
            (math.nan,) * 3,
            land="%ADD10R,1.4X1.6*%\nD10*\nX500000Y0D03*",
            mask="%ADD10R,1.5X1.7*%\nD10*\nX500000Y0D03*",
        ),
        Example(
            "3 x 3 balls of 0.3 mm at 0.5 mm: a grid",
            "%ADD10C,0.3*%\nD10*\n%SRX3Y3I0.5J0.5*%\nX0Y0D03*\n%SR*%",
            (math.nan,) * 9,
        ),
    ),
)
