"""
Pair balance: volume of the smaller over that of the larger deposit of a two-land part.

What: the ratio of the open areas of two openings of one part, which is that of their volumes in one foil.
They are the two of a part if they alone bear its label, centres up to 3.5 mm apart; without labels if they
face each other, sides within 30 %, centres up to 2.2 mm apart, and no third like opening lies within 1.2
times that distance. Copies of a part in a panel are told apart. With lands known, all that lies on one land
counts as one.

Why: the land with more paste pulls first and harder while both melt, and lifts the other end of a chip: it
stands up like a tombstone, or turns.

How: in closed form for standard shapes, else from the outline.

Cannot see: lands of unequal size, tracks that carry off heat on one side, and without labels the two openings
of chips that lie closer side by side than their own lands. What is larger than a 1206 does not stand up.
"""

from typing import Final

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, NoParams, Readings, Scope, Unit, Wish, Worse, region
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.ragged import distinct_rows
from pastecheck.units import shown

_AS_FULL: Final = 0.01
"""Openings that fill as much of their rectangles are of one kind: one size does for both."""
_STEP_MM2: Final = 1e-6


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Balance of each pair."""
    parts = m.parts_of_two_lands
    values = parts.area_mm2.min(axis=1) / parts.area_mm2.max(axis=1)
    error = values * (parts.error_mm2 / parts.area_mm2).sum(axis=1) + ROUNDING
    examined = 2 * len(values)
    return Readings(values, error, parts.first, parts.second, examined, parts.place_mm)


def wish(m: Measurements, failed: Readings, _limit: float) -> Wish:
    """In words: both openings like the smaller, or of its area where they are not alike but in size."""
    parts = m.parts_of_two_lands
    row = np.searchsorted(parts.first, failed.opening)
    both = np.column_stack([parts.first[row], parts.second[row]])
    area_mm2 = parts.area_mm2[row]
    least_mm2 = area_mm2.min(axis=1)
    smaller = both[np.arange(len(row)), area_mm2.argmin(axis=1)]
    filled = area_mm2 / (m.width_mm * m.length_mm)[both]
    are_alike = np.abs(filled[:, 0] - filled[:, 1]) <= _AS_FULL
    figures = (m.openings.shape[smaller], np.rint(least_mm2 / _STEP_MM2), are_alike)
    kinds = distinct_rows(np.column_stack(figures).astype(np.int64))
    texts = []
    for one in kinds.first.tolist():
        width, length = (shown(float(side[smaller[one]]), "mm") for side in (m.width_mm, m.length_mm))
        size = f"make both like the smaller: {width.removesuffix(' mm')} x {length}"
        area = f"give both the area of the smaller: {shown(float(least_mm2[one]), 'mm2')}"
        texts.append(size if are_alike[one] else area)
    return Wish(advice=np.array(texts, np.object_)[kinds.inverse])


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """Both lands with as much more or less on them as the one opening changes by."""
    parts = changed.m.parts_of_two_lands
    row = np.searchsorted(parts.first, readings.opening)
    openings = np.column_stack([parts.first[row], parts.second[row]])
    area_mm2 = parts.area_mm2[row] + changed.area_mm2[openings] - changed.m.area_mm2[openings]
    least, most = area_mm2.min(axis=1), area_mm2.max(axis=1)
    balance: FloatArray = np.divide(least, most, out=np.zeros_like(most), where=most > 0)
    return balance


def _two(first: str, second: str) -> str:
    return f"%ADD10{first}*%\n%ADD11{second}*%\nD10*\nX0Y0D03*\nD11*\nX1000000Y0D03*"


CHECK = Check(
    title="Pair balance",
    quantity="pair balance",
    unit=Unit.RATIO,
    worse=Worse.BELOW,
    definition="smaller / larger volume of the two openings of a part (our own definition)",
    error_bound="1e-9 for standard shapes; else relative 0.1 um x perimeter / area of each",
    measure=measure,
    wish=wish,
    outlook=outlook,
    foresees=False,
    examples=(
        Example("two openings of 0.5 x 0.65 mm", _two("R,0.5X0.65", "R,0.5X0.65"), (1.0,)),
        Example(
            "0.45 x 0.60 beside 0.5 x 0.65 mm: 0.27 / 0.325", _two("R,0.5X0.65", "R,0.45X0.6"), (0.8307692,)
        ),
        Example(
            "one of 0.5 x 0.65 mm with a corner of 0.13 x 0.5 / 2 cut off: 0.2925 / 0.325",
            "%ADD10R,0.5X0.65*%\nD10*\nX0Y0D03*\n"
            + region((0.75, -0.325), (1.25, -0.325), (1.25, 0.325), (0.88, 0.325), (0.75, -0.175)),
            (0.9,),
        ),
        Example(
            "two panes of 0.5 x 0.3 mm on one land, 0.5 x 0.7 mm on the other: 0.30 / 0.35",
            "%ADD10R,0.5X0.3*%\n%ADD11R,0.5X0.7*%\nD10*\nX0Y-200000D03*\nY200000D03*\nD11*\nX1000000Y0D03*",
            (0.8571429,),
            land="%ADD10R,0.6X0.8*%\nD10*\nX0Y0D03*\nX1000000D03*",
            mask="%ADD10R,0.7X0.9*%\nD10*\nX0Y0D03*\nX1000000D03*",
        ),
        Example("an opening alone", "%ADD10R,0.5X0.65*%\nD10*\nX0Y0D03*", ()),
        Example(
            "three in a row: no two of them are alone",
            "%ADD10R,0.5X0.65*%\nD10*\nX0Y0D03*\nX1000000D03*\nX2000000D03*",
            (),
        ),
    ),
)
