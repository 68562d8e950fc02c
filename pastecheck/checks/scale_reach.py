"""
Scale reach: how far off a cut lies at the farthest opening, if the cutter's scale is off.

What: half the diagonal of the extent of all openings, times the scale error that is to be expected of the
cutter (`scale-error`). One reading for the layer, and only where it has a row of openings at a pitch of 0.65
mm or less: wider ones forgive it.

Why: a stretched cut is right in the middle of the board and off at its ends. It shifts every opening there
against its land, and cannot be mended by laying the sheet down anew.

How: from the boxes of the openings; the sheet is laid down by its middle.

Cannot see: the cutter. What it does is measured on a line of 100 mm, once for each axis.
"""

import math
from dataclasses import dataclass

import numpy as np

from pastecheck.check import NO_OPENING, ROUNDING, Check, Example, Readings, Scope, Unit, Wish, Worse
from pastecheck.measurements import FINE_PITCH_MM, Measurements
from pastecheck.units import shown


@dataclass(frozen=True, slots=True)
class Params:
    """What is known of the cutter."""

    scale_error: float = 0.001
    """Part of a length that a cut is off: `common practice, no source`."""

    def __post_init__(self) -> None:
        """Refuse what is no such part."""
        if not 0 < self.scale_error <= 0.1:
            raise ValueError("expected a scale-error between 0 and 0.1, as 0.001 for 0.1 %")


def measure(m: Measurements, scope: Scope[Params]) -> Readings:
    """How far the corners of the layer are off."""
    low_x, low_y, high_x, high_y = m.bounds_mm
    is_fine = bool((m.rows.row_pitch_mm <= FINE_PITCH_MM).any())
    off_mm = (
        scope.params.scale_error * math.hypot(high_x - low_x, high_y - low_y) / 2 if is_fine else math.nan
    )
    error_mm = scope.params.scale_error * float(m.openings.shapes.tolerance_mm.max(initial=0.0)) + ROUNDING
    place_mm = np.array([[(low_x + high_x) / 2, (low_y + high_y) / 2]])
    return Readings(
        np.array([off_mm]),
        np.array([error_mm]),
        np.array([NO_OPENING]),
        place_mm=place_mm,
        params=scope.params,
    )


def wish(_m: Measurements, failed: Readings, limit: float) -> Wish:
    """In words: how well the scale has to be set."""
    params = failed.params if isinstance(failed.params, Params) else Params()
    texts = [
        f"cut a line of 100 mm along each axis and set the cutter's scale until it is right to "
        f"{shown(100 * params.scale_error * limit / value, 'mm')}"
        for value in failed.values.tolist()
    ]
    return Wish(advice=np.array(texts, np.object_))


def _frame(width: int, height: int, pitch: float) -> str:
    """A fine row, and openings whose outer corners are the corners of a rectangle about the origin."""
    x, y = 5e5 * (width - 1), 5e5 * (height - 1)
    corners = [f"X{sx * x:.0f}Y{sy * y:.0f}D03*" for sx in (-1, 1) for sy in (-1, 1)]
    row = [f"X{1e6 * pitch * k:.0f}Y0D03*" for k in range(3)]
    return "\n".join(["%ADD10R,1X1*%", "%ADD11R,0.25X1*%", "D10*", *corners, "D11*", *row])


CHECK = Check(
    title="Scale reach",
    quantity="scale reach",
    unit=Unit.MM,
    worse=Worse.ABOVE,
    definition="half the diagonal of the openings' extent x scale error of the cutter (our own definition)",
    error_bound="1e-9 mm; where curves are flattened also 0.1 um x scale error",
    measure=measure,
    wish=wish,
    foresees=False,
    params=Params,
    of_layer=True,
    examples=(
        Example("100 x 80 mm: 0.001 root(50² + 40²)", _frame(100, 80, 0.5), (0.0640312,)),
        Example("200 x 150 mm: 0.001 x 125", _frame(200, 150, 0.65), (0.125,)),
        Example("200 x 150 mm, leads at 0.8 mm: they forgive it", _frame(200, 150, 0.8), (math.nan,)),
    ),
)
