"""The words a check is declared in. A check measures; it does not judge, phrase or print."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from functools import lru_cache
from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.measurements import Measurements, Sheet
from pastecheck.measurements.changed import Changed
from pastecheck.ragged import distinct_rows

TextArray = NDArray[np.object_]


class Redraws(IntEnum):
    """How much is drawn anew by what a check advises: what is said besides is of no use then."""

    NOTHING = 0
    OPENING = 1
    """It is drawn anew, for itself: webs between it and others may still want a change."""
    LAND = 2
    """All openings of its land are."""
    EVERYTHING = 3
    """It is moved, or left out."""


NO_OPENING = -1
"""Row of a reading that is not of an opening."""

ROUNDING = 1e-9
"""Error bound of a reading in closed form: float arithmetic only, in the reading's own unit."""


class Unit(StrEnum):
    """Units of readings, as the reports write them."""

    RATIO = "1"
    MM = "mm"
    MM2 = "mm2"
    MM3 = "mm3"


class Worse(StrEnum):
    """Which way a reading gets worse, and so which limits a rule may set."""

    BELOW = "below"
    ABOVE = "above"
    BOTH = "both"


class Needs(StrEnum):
    """What a check needs besides the paste layer, in the words of the report."""

    NOTHING = ""
    LANDS = "--land FILE, and --mask FILE"
    OUTLINE = "--outline FILE"
    SHEET = "a sheet in the rule set"


@dataclass(frozen=True, slots=True)
class NoParams:
    """For checks that take no settings."""


P = TypeVar("P")


@dataclass(frozen=True, slots=True)
class Scope(Generic[P]):
    """What a check is told before it measures: the rule's parameters, and how far it need look."""

    params: P
    loosest_below: float = 0.0
    """Largest value that could still fail a limit from below, slack included, in the check's unit."""
    nearer_mm: float = 0.0
    """How much nearer to each other openings may come: so much farther a check of what is near looks."""


@lru_cache(maxsize=2)
def _every_row(count: int) -> IntArray:
    """0, 1, ... count - 1; one column for all checks, as a layer of a million openings has many."""
    rows = np.arange(count, dtype=np.int64)
    rows.flags.writeable = False
    return rows


@dataclass(frozen=True, eq=False, slots=True)
class Readings:
    """
    What a check measured. All columns have shape (k,).

    `values` is NaN where the check does not apply. `error` bounds the distance from the true value for the
    layer as drawn. `opening` and `other` are rows of the openings table; `other` is None where a reading is
    of one opening. A reading of something else, a bare land or the whole layer, has the opening `NO_OPENING`
    and a place.
    """

    values: FloatArray
    error: FloatArray
    opening: IntArray
    other: IntArray | None = None
    examined: int | None = None
    """Openings looked at, where that is not the number of rows (a pair check lists near pairs only)."""
    place_mm: FloatArray | None = None
    """Where the reading was taken, shape (k, 2); None where that is the opening's middle or the web's."""
    params: object = None
    """What the check was told, where its wishes depend on that."""

    @staticmethod
    def of_each(
        values: FloatArray, error: "FloatArray | float" = ROUNDING, place_mm: FloatArray | None = None
    ) -> "Readings":
        """One reading an opening, in order of the table."""
        bound = np.broadcast_to(np.asarray(error, dtype=np.float64), values.shape)
        return Readings(values, bound, _every_row(len(values)), place_mm=place_mm)

    @property
    def pairs(self) -> tuple[IntArray, IntArray]:
        """Both openings of each reading; the same twice where it is of one."""
        return self.opening, self.opening if self.other is None else self.other

    def rows(self, rows: IntArray) -> "Readings":
        """Some of the readings."""
        return Readings(
            self.values[rows],
            self.error[rows],
            self.opening[rows],
            None if self.other is None else self.other[rows],
            place_mm=None if self.place_mm is None else self.place_mm[rows],
            params=self.params,
        )


@dataclass(frozen=True, eq=False, slots=True)
class Wish:
    """
    What would have to change for readings to pass; columns of shape (k,), NaN where a change does not help.

    A wish is a figure. Which wish is granted, and in what words, is decided where all limits are known.
    """

    width_mm: FloatArray | None = None
    """Width (narrow side) at which the opening would just pass, its length kept."""
    thickness_mm: FloatArray | None = None
    """Thickest foil with which it would just pass as drawn."""
    give_way_mm: FloatArray | None = None
    """How far each of the two openings would have to give way on the side that faces the other."""
    narrowed_mm: FloatArray | None = None
    """Width at which the opening, narrowed, would just pass, its length kept."""
    thinnest_mm: FloatArray | None = None
    """Thinnest foil with which it would just pass as drawn."""
    square_mm: FloatArray | None = None
    """Side of the square of equal area that would pass in place of a circle; better than other advice."""
    advice: TextArray | None = None
    """What would help that is no change of width or foil, in words, lower case; empty where nothing would."""


def worded(figures: FloatArray | IntArray, say: Callable[[list[Any]], str]) -> TextArray:
    """
    A text for each row of figures; equal rows are put into words once.

    Args:
        figures: Shape (k, columns).
        say: Puts a row into words.

    Example:
        >>> worded(np.array([[1, 2], [3, 4], [1, 2]]), lambda row: f"{row[0]} x {row[1]}").tolist()
        ['1 x 2', '3 x 4', '1 x 2']
    """
    kinds = distinct_rows(np.ascontiguousarray(figures).view(np.int64))
    return np.array([say(row) for row in figures[kinds.first].tolist()], np.object_)[kinds.inverse]


@dataclass(frozen=True, slots=True)
class Example:
    """A layer small enough to work out by hand, and what the check must read from it."""

    says: str
    gerber: str
    """The drawing commands of a millimetre file, format 4.6, with apertures; the frame is added around it."""
    expect: tuple[float, ...]
    thickness_mm: float = 0.1
    reach: float = 1.0
    """For checks that only look so far: `Scope.loosest_below`."""
    land: str = ""
    """Drawing commands of the copper, written as `gerber`; empty where a check needs none."""
    mask: str = ""
    """Of the solder mask."""
    outline: str = ""
    """Of the board's outline."""
    sheet: Sheet | None = None


def region(*corners_mm: tuple[float, float]) -> str:
    """Statements for an example that fill a polygon."""
    first, *others = [f"X{1e6 * x:.0f}Y{1e6 * y:.0f}" for x, y in (*corners_mm, corners_mm[0])]
    return "\n".join(["G36*", f"{first}D02*", "G01*", *(f"{corner}D01*" for corner in others), "G37*"])


@dataclass(frozen=True, slots=True)
class Check:
    """How one quantity is measured. Its id is its module's name with hyphens and stands nowhere else."""

    title: str
    quantity: str
    unit: Unit
    worse: Worse
    definition: str
    """Where the quantity is defined; the rule set says where the limit comes from."""
    error_bound: str
    """How far a reading can be from the truth, in words."""
    measure: "Callable[[Measurements, Scope[Any]], Readings]"
    wish: "Callable[[Measurements, Readings, float], Wish]"
    """What would let readings pass a limit. Called with the failed readings only."""
    examples: tuple[Example, ...]
    outlook: "Callable[[Changed, Readings], FloatArray] | None" = None
    """
    What readings would be in a changed layer, or worse; NaN where it would not apply. Shape (k,).
    Remedies keep the limits of all checks that can tell. None: no change of size changes what is read.
    """
    foresees: bool = True
    """Whether the outlook knows all. Else what a change does is measured: it may make a row, or break one."""
    params: type = NoParams
    needs: Needs = Needs.NOTHING
    redraws: Redraws = Redraws.NOTHING
    """What its advice takes the place of."""
    of_layer: bool = False
    """Whether it reads the layer as a whole, once."""
    mended: "Callable[[Measurements], Measurements] | None" = None
    """Where a finding of it explains others: the layer as if it were mended. All is judged by that."""
