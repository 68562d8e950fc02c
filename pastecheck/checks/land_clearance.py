"""
Land clearance: how far paste stays off the next land.

What: the distance of an opening from the nearest land that it is not meant for, less what the film can be off
when it is laid on by hand (`registration`, 0.1 mm). An opening that touches such a land reads -0.1.

Why: paste printed on the neighbour bridges the two, whatever its volume.

How: between circles, obrounds and rounded rectangles from their middle lines, which is exact; else between
the outlines. Looked for only as far as the loosest limit of the rule set. Lands that one track or area of
copper joins with its own count as its own: paste between them does no harm.

Cannot see: slump, and that two lands are of one net where several pieces of copper join them.
"""

from dataclasses import dataclass

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, Needs, Readings, Scope, Unit, Wish, Worse, worded
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.units import shown


@dataclass(frozen=True, slots=True)
class Params:
    """How well the film is laid on the board."""

    registration_mm: float = 0.1
    """How far it can be off."""


def measure(m: Measurements, scope: Scope[Params]) -> Readings:
    """Clearance of each opening that lies close to a land of others."""
    off_mm = scope.params.registration_mm
    found = m.on_lands.nearest_others(max(scope.loosest_below + scope.nearer_mm + off_mm, 0.0))
    examined = int(np.count_nonzero(m.on_lands.land >= 0))
    return Readings(
        found.gap_mm - off_mm,
        found.error_mm + ROUNDING,
        found.opening,
        examined=examined,
        place_mm=found.place_mm,
        params=scope.params,
    )


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """The edge that faces the other land drawn back; where that is a long one, narrower on both sides."""
    rows = failed.opening
    missing_mm = limit - failed.values
    place_mm = m.centroid_mm[rows] if failed.place_mm is None else failed.place_mm
    way_mm = np.abs(m.rectangles.rows(rows).outside(place_mm))
    across = (way_mm[:, 1] > way_mm[:, 0]) & ~np.isnan(m.direction_rad[rows])
    narrowed_mm = m.width_mm[rows] - 2 * missing_mm
    narrower = across & (narrowed_mm > 0)
    words = worded(
        missing_mm.round(6)[:, None],
        lambda by: f"draw the edge that faces the other land back by {shown(by[0], 'mm')}",
    )
    return Wish(
        narrowed_mm=np.where(narrower, narrowed_mm, np.nan),
        advice=np.where(narrower, "", words),
    )


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """Less what it grows by, or more by how far the side that faces the land is drawn back."""
    rows = readings.opening
    place_mm = changed.m.centroid_mm[rows] if readings.place_mm is None else readings.place_mm
    return readings.values + changed.drawn_back_mm(rows, place_mm)


def _row(size: str, pitch_nm: int) -> str:
    return f"%ADD10R,{size}*%\nD10*\nX0Y0D03*\nX{pitch_nm}D03*"


CHECK = Check(
    title="Land clearance",
    quantity="land clearance",
    unit=Unit.MM,
    worse=Worse.BELOW,
    definition="distance from the nearest land not its own, less the registration (our own definition)",
    error_bound="float rounding between standard shapes; else 0.1 um for each flattened outline",
    measure=measure,
    wish=wish,
    outlook=outlook,
    foresees=False,
    params=Params,
    needs=Needs.LANDS,
    examples=(
        Example(
            "openings of 0.25 mm on lands of 0.30 mm at a pitch of 0.5 mm",
            _row("0.25X1.5", 500_000),
            (0.125, 0.125),
            land=_row("0.3X1.5", 500_000),
            mask=_row("0.4X1.6", 500_000),
        ),
        Example(
            "the same, as wide as the lands",
            _row("0.3X1.5", 500_000),
            (0.1, 0.1),
            land=_row("0.3X1.5", 500_000),
            mask=_row("0.4X1.6", 500_000),
        ),
        Example(
            "openings of 0.20 mm on lands of 0.25 mm at a pitch of 0.4 mm, in one opening of the mask",
            _row("0.2X1.25", 400_000),
            (0.075, 0.075),
            land=_row("0.25X1.25", 400_000),
            mask="%ADD10R,2X2*%\nD10*\nX200000Y0D03*",
        ),
        Example(
            "an opening that reaches onto the next land: 0 less 0.1",
            "%ADD10R,0.5X1*%\nD10*\nX100000Y0D03*",
            (-0.1,),
            land="%ADD10R,0.5X1*%\nD10*\nX0Y0D03*\nX600000D03*",
            mask="%ADD10R,3X3*%\nD10*\nX0Y0D03*",
        ),
    ),
)
