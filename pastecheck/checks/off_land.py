"""
Off land: share of the opening that lies on no land.

What: the area of the opening that lies on no land, over its area. All of it on one or several lands reads 0,
none of it 1.

Why: paste that is printed on the mask or on the bare board makes balls, and solders nothing: a part that was
moved in one layer, a mark drawn on the paste layer, or the other side of the board.

How: from the areas that the opening shares with lands.

Cannot see: a land that the copper and mask named do not show, as without a mask an area of copper is none.
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
    Redraws,
    Scope,
    Unit,
    Wish,
    Worse,
)
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed

_NONE: Final = 0.999
"""So much off is all of it."""


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """Share of each opening that is off."""
    return Readings.of_each(m.on_lands.share_off, m.on_lands.share_off_error + ROUNDING)


def wish(_m: Measurements, failed: Readings, _limit: float) -> Wish:
    """In words: look what it is for."""
    alone = "leave it out if it is no part's; else check that copper and mask are of this side and revision"
    partly = "move it onto its land; check that copper and mask are of this revision"
    return Wish(advice=np.where(failed.values > _NONE, alone, partly).astype(np.object_))


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """As if all that is new were off its land, and all that is gone had been on it."""
    rows = readings.opening
    drawn_mm2, area_mm2 = changed.m.area_mm2[rows], changed.area_mm2[rows]
    off_mm2 = readings.values * drawn_mm2 + np.maximum(area_mm2 - drawn_mm2, 0.0)
    return np.minimum(np.divide(off_mm2, area_mm2, out=np.ones_like(off_mm2), where=area_mm2 > 0), 1.0)


_PAD = "%ADD10R,0.6X1.2*%\nD10*\nX0Y0D03*"
_FREE = "%ADD10R,0.7X1.3*%\nD10*\nX0Y0D03*"

CHECK = Check(
    title="Off land",
    quantity="off land",
    unit=Unit.RATIO,
    most=1.0,
    worse=Worse.ABOVE,
    definition="area of the opening on no land / its area (our own definition)",
    error_bound="as that of the areas: relative 0.1 um x edge of what is shared / area of the opening",
    measure=measure,
    wish=wish,
    outlook=outlook,
    redraws=Redraws.EVERYTHING,
    foresees=False,
    needs=Needs.LANDS,
    examples=(
        Example(
            "an opening inside its land", "%ADD10R,0.5X1*%\nD10*\nX0Y0D03*", (0.0,), land=_PAD, mask=_FREE
        ),
        Example(
            "one that is shifted by a third of its width",
            "%ADD10R,0.6X1.2*%\nD10*\nX200000Y0D03*",
            (0.3333333,),
            land=_PAD,
            mask=_FREE,
        ),
        Example(
            "one on a track that the mask covers",
            "%ADD10R,0.5X1*%\nD10*\nX5000000Y0D03*",
            (1.0,),
            land=_PAD + "\n%ADD11C,0.5*%\nD11*\nX0Y0D02*\nX9000000D01*",
            mask=_FREE,
        ),
    ),
)
