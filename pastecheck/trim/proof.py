"""What was written, read back and held against what was meant and against what was drawn."""

from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck import gerber
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.errors import PastecheckError
from pastecheck.geometry.pairs import placed
from pastecheck.limits import Limits
from pastecheck.openings import GeometryArray, Openings, cut_from
from pastecheck.source import Span
from pastecheck.trim.writing import Header, difference_bound_mm2, written
from pastecheck.units import NM_PER_MM

NOT_PROVED: Final = "not-proved"
_WRITTEN: Final = "what was written"


class Proof(NamedTuple):
    """A layer that was read back."""

    openings: Openings
    origin: IntArray
    """For each opening that was read the one that it is of, as drawn."""
    difference_mm2: float
    """Area that either what was meant or what was read has, and the other has not."""
    bound_mm2: float
    """Below which it has to be."""


def proved(
    content: bytes,
    path: str,
    meant: Openings,
    drawn: Openings,
    limits: Limits,
    *,
    everything: bool = True,
) -> Proof:
    """
    The openings of a written layer: those that were meant, and none that was drawn is gone.

    Raises:
        PastecheckError: If they are not: openings that nearly touch were merged by rounding, say. Then the
            layer must not be used.
    """
    found = cut_from(gerber.read(content, path, limits), limits, everything=everything)
    difference_mm2, bound_mm2 = _held(found, meant, path)
    origin = _origins(_placed(found), _placed(drawn))
    if len(np.unique(origin)) != len(drawn):
        raise _not_proved("an opening that was drawn is gone", path)
    return Proof(found, origin, difference_mm2, bound_mm2)


def _held(found: Openings, meant: Openings, path: str) -> tuple[float, float]:
    """How far what was read is from what was meant, and may be; raises if it is farther."""
    bound_mm2 = difference_bound_mm2(meant)
    difference_mm2 = _difference_mm2(_placed(meant), _placed(found))
    if len(found) != len(meant):
        raise _not_proved(f"{len(found)} openings were read back, and {len(meant)} were meant", path)
    if difference_mm2 > bound_mm2:
        off = f"what was read back is off by {difference_mm2:.6f} mm2, and may be by {bound_mm2:.6f} mm2"
        raise _not_proved(off, path)
    return difference_mm2, bound_mm2


def _not_proved(text: str, path: str) -> PastecheckError:
    return PastecheckError(text, Span(path), "nothing was written; trim it by hand", NOT_PROVED)


def as_written(meant: Openings, limits: Limits) -> tuple[Openings, IntArray]:
    """
    Openings as they are when they were written and read, and which of those that were meant each is.

    Raises:
        PastecheckError: As `proved`.
    """
    content = written(meant, Header("", ()))
    found = cut_from(gerber.read(content, _WRITTEN, limits), limits, everything=True)
    _held(found, meant, _WRITTEN)
    return found, _origins(_placed(found), _placed(meant))


def _placed(openings: Openings) -> GeometryArray:
    x_mm, y_mm = openings.x_nm / NM_PER_MM, openings.y_nm / NM_PER_MM
    return placed(openings.shapes.outline[openings.shape], x_mm, y_mm)


def _common_mm2(one: GeometryArray, other: GeometryArray) -> tuple[IntArray, IntArray, FloatArray]:
    """Pairs of outlines that meet, and the area that they have in common."""
    row, at = shapely.STRtree(other).query(one, predicate="intersects")
    return row, at, np.asarray(shapely.area(shapely.intersection(one[row], other[at])))


def _difference_mm2(one: GeometryArray, other: GeometryArray) -> float:
    """Of outlines that lie apart from one another, on either side."""
    row, at, _ = _common_mm2(one, other)
    alone = (np.bincount(row, minlength=len(one)) == 1)[row] & (np.bincount(at, minlength=len(other)) == 1)[
        at
    ]
    pairs = shapely.symmetric_difference(one[row[alone]], other[at[alone]])
    rest = np.setdiff1d(np.arange(len(one)), row[alone]), np.setdiff1d(np.arange(len(other)), at[alone])
    left = shapely.symmetric_difference(shapely.union_all(one[rest[0]]), shapely.union_all(other[rest[1]]))
    return float(shapely.area(pairs).sum() + shapely.area(left))


def _origins(found: GeometryArray, drawn: GeometryArray) -> IntArray:
    """The drawn outline that each found one has most area in common with. Shape (n,)."""
    row, at, common_mm2 = _common_mm2(found, drawn)
    order = np.argsort(common_mm2, kind="stable")
    origin = np.zeros(len(found), np.int64)
    origin[row[order]] = at[order]  # the last one written is the largest
    return origin
