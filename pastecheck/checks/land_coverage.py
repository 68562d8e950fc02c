"""
Land coverage: area of the openings on a land over its area.

What: the share of a land that the openings on it cover. A land is a part of the copper that the solder mask
leaves free; an opening over several lands counts on each with what lies there. Openings larger than their
land read more than 1: paste beside a land runs onto it when it melts, so what they have beyond a whole land
counts as well. Lands wide enough to carry heat are thermal-coverage's, plated holes are nobody's. Areas of
copper that the mask leaves free, and of which openings cover less than a fifth, are left out: a joint on such
an area is not meant to wet all of it.

Why: too little paste starves the joint, and what is left dry on the land does not wet; too much floods it.

How: in closed form where opening and land are standard shapes and one lies in the other; else from the area
they share, curves flattened. An opening is meant for the land it covers most of, and for others of which it
covers half, or half as much; lands that it only touches are not measured.

Cannot see: plating, the height of the mask, vias, and what the part needs.
"""

from typing import Final

import numpy as np

from pastecheck.check import (
    ROUNDING,
    Check,
    Example,
    Needs,
    NoParams,
    Readings,
    Scope,
    Unit,
    Wish,
    Worse,
    worded,
)
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.units import shown

_AS_LARGE: Final = 1.1
"""A land that is so much larger than its pad is more than that: the mask leaves tracks or areas free."""


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Coverage of each land that is no thermal one."""
    found = m.on_lands.coverage
    rows = np.flatnonzero(~m.on_lands.is_thermal[found.land])
    return Readings(found.value[rows], found.error[rows] + ROUNDING, found.opening[rows])


def wish(m: Measurements, failed: Readings, limit: float) -> Wish:
    """A width in proportion, where one opening lies on the land; else how much more or less, in words."""
    rows, factor = failed.opening, limit / failed.values
    on_lands = m.on_lands
    land = on_lands.lands_of(rows, failed.values)
    pad = on_lands.lands.pad[land]
    sides_mm = np.column_stack([on_lands.pad_sides.width_mm[pad], on_lands.pad_sides.length_mm[pad]])
    single = np.bincount(on_lands.overlaps.land, minlength=len(on_lands.lands))[land] == 1
    width_mm = m.width_mm[rows] * factor
    wider = single & (factor > 1) & (width_mm <= sides_mm[:, 0] + ROUNDING)
    narrower = single & (factor < 1)
    shapes = on_lands.lands.shapes
    land_mm2, pad_mm2 = (shapes.area_mm2[of[land]] for of in (on_lands.lands.shape, on_lands.lands.pad))
    beside = land_mm2 > _AS_LARGE * pad_mm2
    figures = np.column_stack([factor, sides_mm, np.where(beside, land_mm2, 0.0)])
    texts = worded(figures.round(6), lambda row: _in_words(*row))
    return Wish(
        width_mm=np.where(wider, width_mm, np.nan),
        narrowed_mm=np.where(narrower, width_mm, np.nan),
        advice=np.where(wider | narrower, "", texts),
    )


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """With what its openings grow by, as far as there is land, and less what they lose."""
    return changed.coverage(readings.opening, readings.values)


def _in_words(factor: float, width_mm: float, length_mm: float, land_mm2: float) -> str:
    """By how much more or less; where the land is larger than its pad, how large it is as well."""
    size = f"{shown(width_mm, 'mm').removesuffix(' mm')} x {shown(length_mm, 'mm')}"
    which = f"which is {size}"
    if land_mm2:
        which = f"{shown(land_mm2, 'mm2')} that the mask leaves free about a pad of {size}"
    if factor > 1:
        return f"print {100 * (factor - 1):.0f} % more on this land, {which}"
    return f"print {100 * (1 - factor):.0f} % less on this land, {which}"


_PAD = "%ADD10R,0.3X1.5*%\nD10*\nX0Y0D03*"
_FREE = "%ADD10R,0.4X1.6*%\nD10*\nX0Y0D03*"

CHECK = Check(
    title="Land coverage",
    quantity="land coverage",
    unit=Unit.RATIO,
    worse=Worse.BOTH,
    definition=(
        "area of openings on the land / land area, and what the openings have beyond a whole land; a land is "
        "a part of copper and mask opening (our own definition)"
    ),
    error_bound=(
        "float rounding where opening and land are standard shapes and one lies in the other; else relative "
        "0.1 um x edge of what they share / its area, twice"
    ),
    measure=measure,
    wish=wish,
    outlook=outlook,
    foresees=False,
    needs=Needs.LANDS,
    examples=(
        Example(
            "an opening of 0.25 x 1.5 mm on a land of 0.30 x 1.5 mm, whose track the mask covers",
            "%ADD10R,0.25X1.5*%\nD10*\nX0Y0D03*",
            (0.8333333,),
            land=_PAD + "\n%ADD11C,0.2*%\nD11*\nX0Y850000D02*\nX0Y5000000D01*",
            mask=_FREE.replace("1.6", "1.5"),
        ),
        Example(
            "an opening as large as its land, shifted by half its width",
            "%ADD10R,0.3X1.5*%\nD10*\nX150000Y0D03*",
            (0.5,),
            land=_PAD,
            mask=_FREE,
        ),
        Example(
            "two openings of 0.35 x 0.55 mm on a land of 0.35 x 1.3 mm: 0.385 / 0.455",
            "%ADD10R,0.35X0.55*%\nD10*\nX0Y-375000D03*\nY375000D03*",
            (0.8461538,),
            land="%ADD10R,0.35X1.3*%\nD10*\nX0Y0D03*",
            mask="%ADD10R,0.45X1.4*%\nD10*\nX0Y0D03*",
        ),
        Example(
            "an opening of 0.36 x 1.5 mm holds a fifth more than its land of 0.30 x 1.5 mm",
            "%ADD10R,0.36X1.5*%\nD10*\nX0Y0D03*",
            (1.2,),
            land=_PAD,
            mask=_FREE,
        ),
        Example(
            "one of 0.7 mm over two lands of 0.3 x 1.5 mm, 0.1 mm apart, has 0.525 mm2 for each",
            "%ADD10R,0.7X1.5*%\nD10*\nX200000Y0D03*",
            (1.1666667, 1.1666667),
            land=_PAD + "\nX400000D03*",
            mask="%ADD10R,2X2*%\nD10*\nX0Y0D03*",
        ),
    ),
)
