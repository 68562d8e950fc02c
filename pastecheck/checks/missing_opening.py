"""
Missing opening: lands without an opening whose like neighbours have one.

What: for each land with no opening that is in a row, or is one of the two of a part, the share of the other
lands of that row or part that have one. One bare land in a row of ten reads 1; in a row that is all bare each
reads 0.

Why: a joint without paste stays open.

How: rows and pairs of lands are told as those of openings are, from what was drawn for the pads, without the
tracks that leave them. An opening that only touches a land does not count for it.

Cannot see: bare lands that have no like neighbour within 1.4 mm, and whether a part is meant to be fitted.
Test points, fiducials, edge contacts, vias and plated holes are left out where the copper tells them
(.AperFunction, or a hole in it); where it does not, their neighbours are bare as well.
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
    """Share of like neighbours with an opening, for each bare land that has any."""
    bare = m.on_lands.bare
    count = len(bare.land)
    return Readings(
        bare.share,
        np.full(count, ROUNDING),
        np.full(count, NO_OPENING),
        examined=bare.compared,
        place_mm=m.on_lands.places_mm[bare.land],
    )


def wish(_m: Measurements, failed: Readings, _limit: float) -> Wish:
    """In words."""
    return Wish(
        advice=np.full(len(failed.values), "draw an opening there, as its neighbours have", np.object_)
    )


def _row(count: int, size: str) -> str:
    flashes = [f"X{500_000 * k}Y0D03*" for k in range(count)]
    return "\n".join([f"%ADD10R,{size}*%", "D10*", *flashes])


CHECK = Check(
    title="Missing opening",
    quantity="missing opening",
    unit=Unit.RATIO,
    worse=Worse.ABOVE,
    definition="share of a bare land's like neighbours that have an opening (our own definition)",
    error_bound="none but float rounding: things are counted",
    measure=measure,
    wish=wish,
    needs=Needs.LANDS,
    examples=(
        Example(
            "nine openings on a row of ten lands",
            _row(9, "0.25X1.5"),
            (1.0,),
            land=_row(10, "0.3X1.5"),
            mask=_row(10, "0.4X1.6"),
        ),
        Example(
            "three openings on a row of five lands: for either bare one three of the other four",
            _row(3, "0.25X1.5"),
            (0.75, 0.75),
            land=_row(5, "0.3X1.5"),
            mask=_row(5, "0.4X1.6"),
        ),
        Example(
            "a row that is all bare, beside an opening on a land elsewhere",
            "%ADD10R,1X1*%\nD10*\nX0Y9000000D03*",
            (0.0, 0.0, 0.0),
            land=_row(3, "0.3X1.5") + "\n%ADD11R,1X1*%\nD11*\nX0Y9000000D03*",
            mask=_row(3, "0.4X1.6") + "\n%ADD11R,2X2*%\nD11*\nX0Y9000000D03*",
        ),
        Example(
            "one of the two lands of a chip",
            "%ADD10R,0.5X0.6*%\nD10*\nX0Y0D03*",
            (1.0,),
            land="%ADD10R,0.5X0.6*%\nD10*\nX0Y0D03*\nX1000000D03*",
            mask="%ADD10R,0.6X0.7*%\nD10*\nX0Y0D03*\nX1000000D03*",
        ),
        Example(
            "a test point by itself is no neighbour's",
            "%ADD10R,0.5X0.6*%\nD10*\nX0Y0D03*",
            (),
            land="%ADD10R,0.5X0.6*%\n%ADD11C,1*%\nD10*\nX0Y0D03*\nD11*\nX1500000D03*",
            mask="%ADD10R,0.6X0.7*%\n%ADD11C,1.1*%\nD10*\nX0Y0D03*\nD11*\nX1500000D03*",
        ),
    ),
)
