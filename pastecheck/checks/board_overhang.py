"""
Board overhang: how far the opening reaches beyond the edge of the board.

What: the largest distance of a point of the opening from the board; 0 inside.

Why: paste that is printed beyond the edge lands on the table, and on the underside of the next board. Lands
that are cut through by the edge have openings up to it, so a little is no mistake.

How: the board is what the closed lines of the outline enclose, by their middles, less what is cut out of it.
A cut-out with openings in it is none: it is a board in the frame of a panel. Ends of lines that miss each
other by up to 0.05 mm are taken to meet, and the edge may be off by so much there.

Cannot see: holes that only the drill file holds.
"""

import numpy as np

from pastecheck.check import ROUNDING, Check, Example, Needs, NoParams, Readings, Scope, Unit, Wish, Worse
from pastecheck.drawing import FloatArray
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed


def measure(m: Measurements, _scope: Scope[NoParams]) -> Readings:
    """How far each opening reaches beyond the board."""
    found = m.beyond_board
    return Readings.of_each(found.reach_mm, found.loose_mm + ROUNDING, found.place_mm)


def wish(_m: Measurements, failed: Readings, _limit: float) -> Wish:
    """In words."""
    text = "end it at the edge of the board, or leave it out if it is no part's"
    return Wish(advice=np.full(len(failed.values), text, np.object_))


def outlook(changed: Changed, readings: Readings) -> FloatArray:
    """As far beyond as it has grown."""
    return readings.values + changed.grown_mm[readings.opening]


def _frame(side_nm: int, low_nm: int = 0) -> str:
    """A square drawn with a thin pen."""
    high_nm = low_nm + side_nm
    corners = ((high_nm, low_nm), (high_nm, high_nm), (low_nm, high_nm), (low_nm, low_nm))
    drawn = [f"X{x}Y{y}D01*" for x, y in corners]
    return "\n".join([f"X{low_nm}Y{low_nm}D02*", *drawn])


_BOARD = "%ADD10C,0.1*%\nD10*\n" + _frame(50_000_000)
_OPENING = "%ADD10R,1X1*%\nD10*\n"

CHECK = Check(
    title="Board overhang",
    quantity="board overhang",
    unit=Unit.MM,
    worse=Worse.ABOVE,
    definition="largest distance of a point of the opening from the board (our own definition)",
    error_bound=(
        "0.1 um for each flattened curve, and 1 um where the edge is not convex; 0.05 mm where lines of the "
        "outline miss each other"
    ),
    measure=measure,
    wish=wish,
    outlook=outlook,
    needs=Needs.OUTLINE,
    examples=(
        Example("well inside", _OPENING + "X25000000Y25000000D03*", (0.0,), outline=_BOARD),
        Example(
            "an opening to x = 50.2 mm on a board 50 mm wide",
            _OPENING + "X49700000Y25000000D03*",
            (0.2,),
            outline=_BOARD,
        ),
        Example("beyond a corner", _OPENING + "X49800000Y49900000D03*", (0.5,), outline=_BOARD),
        Example(
            "0.1 mm over the edge of a cut-out of 10 mm",
            _OPENING + "X19600000Y25000000D03*",
            (0.1,),
            outline=_BOARD + "\n" + _frame(10_000_000, 20_000_000),
        ),
        Example(
            "a board drawn in the frame of a panel",
            _OPENING + "X25000000Y25000000D03*",
            (0.0,),
            outline=_BOARD + "\n" + _frame(10_000_000, 20_000_000),
        ),
    ),
)
