"""
Registration: how far all openings lie off their lands in the same way.

What: the length of the common shift of openings against their lands: the median of the ways from the middle
of a pad to the middle of its only opening, if at least 80 % of them lie within 0.02 mm of it, and there are
three. Else, for openings that were shifted onto lands of others, the way of up to 10 mm to a pad of about
their size that 80 % of ten or more openings share. One reading for the layer. Where it fails, all else about
lands is measured as if the layers lay right.

Why: layers that were exported with different origins shift everything, and every opening would be reported.

How: middles of the boxes about openings and pads; of a pad what was drawn for it counts, without the tracks.

Cannot see: a layer that is turned or stretched: openings are then off in different ways, and overhang tells.
An array shifted by its pitch lies on lands again, but for its edge.
"""

import numpy as np

from pastecheck.check import (
    NO_OPENING,
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
)
from pastecheck.measurements import Measurements


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """The length of the common shift."""
    shift = m.shift
    low_x, low_y, high_x, high_y = m.bounds_mm
    return Readings(
        np.array([np.nan if shift is None else shift.length_mm]),
        np.array([m.on_lands.middle_error_mm + ROUNDING]),
        np.array([NO_OPENING]),
        place_mm=np.array([[(low_x + high_x) / 2, (low_y + high_y) / 2]]),
    )


def wish(m: Measurements, failed: Readings, _limit: float) -> Wish:
    """In words: which way the layers are off."""
    text = "export paste, copper and mask again with one origin"
    if m.shift:
        text = f"the openings lie ({m.shift.x_mm:z.3f}, {m.shift.y_mm:z.3f}) mm off their lands: {text}"
    return Wish(advice=np.full(len(failed.values), text, np.object_))


def _three(size: str, dx_nm: int = 0, dy_nm: int = 0, spread_nm: int = 0) -> str:
    places = ((0, 0, 0), (3_000_000, 0, 1), (0, 3_000_000, -1))
    flashes = [f"X{x + dx_nm + spread_nm * turn}Y{y + dy_nm}D03*" for x, y, turn in places]
    return "\n".join([f"%ADD10R,{size}*%", "D10*", *flashes])


CHECK = Check(
    title="Registration",
    quantity="registration",
    unit=Unit.MM,
    worse=Worse.ABOVE,
    definition="length of the median way from pads to openings, if 80 % share it (our own definition)",
    error_bound="0.2 um where outlines are flattened, else float rounding",
    measure=measure,
    wish=wish,
    foresees=False,
    needs=Needs.LANDS,
    of_layer=True,
    mended=Measurements.registered,
    examples=(
        Example(
            "three openings, each 0.1 mm to the right of its land",
            _three("0.5X0.5", 100_000),
            (0.1,),
            land=_three("0.6X0.6"),
            mask=_three("0.7X0.7"),
        ),
        Example(
            "three openings, each (0.03, 0.04) mm off",
            _three("0.5X0.5", 30_000, 40_000),
            (0.05,),
            land=_three("0.6X0.6"),
            mask=_three("0.7X0.7"),
        ),
        Example(
            "three openings that are off by 0.1 mm, each another way",
            _three("0.5X0.5", spread_nm=100_000),
            (float("nan"),),
            land=_three("0.6X0.6"),
            mask=_three("0.7X0.7"),
        ),
    ),
)
