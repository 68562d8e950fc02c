"""What was written, read back and held against what was meant and against what was drawn."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from pastecheck import gerber
from pastecheck.drawing import Drawing, IntArray
from pastecheck.errors import PastecheckError
from pastecheck.limits import Limits
from pastecheck.openings import Openings, cut_from
from pastecheck.ragged import distinct_rows
from pastecheck.source import Span
from pastecheck.trim.likeness import Partners, differences, origins, partners
from pastecheck.trim.writing import Header, difference_bounds_mm2, written

NOT_PROVED: Final = "not-proved"


class Proof(NamedTuple):
    """A layer that was read back."""

    openings: Openings
    origin: IntArray
    """For each opening that was read the one that it is of, as drawn."""
    difference_mm2: float
    """Area that either what was meant or what was read has, and the other has not; at most."""
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
    The openings of a written layer: those that were meant, each drawn once, and none that was drawn is gone.

    Raises:
        PastecheckError: If they are not: openings that nearly touch were merged by rounding, say. Then the
            layer must not be used.
    """
    drawing = gerber.read(content, path, limits)
    found = cut_from(drawing, limits, everything=everything)
    same = partners(found, meant)
    off_mm2, bound_mm2 = _held(found, meant, same, path)
    if not draws_each_once(drawing, meant):
        count = int(np.count_nonzero(drawing.dark))
        raise _not_proved(f"{len(meant)} openings would be drawn as {count} things, and cut twice", path)
    if not _say_the_same(same, (found.label, found.labels), (meant.label, meant.labels)):
        raise _not_proved("an opening would be of another component", path)
    of_object = (found.of_object, found.object_sets), (meant.of_object, meant.object_sets)
    of_aperture = (found.of_aperture, found.aperture_sets), (meant.of_aperture, meant.aperture_sets)
    if not (_say_the_same(same, *of_object) and _say_the_same(same, *of_aperture)):
        raise _not_proved("an opening would have other attributes", path)
    origin = origins(found, drawn)
    if len(np.unique(origin)) != len(drawn):
        raise _not_proved("an opening that was drawn is gone", path)
    return Proof(found, origin, off_mm2, bound_mm2)


def draws_each_once(drawing: Drawing, openings: Openings) -> bool:
    """Whether a layer draws each of its openings as one thing: a cutter that follows it cuts none twice."""
    return int(np.count_nonzero(drawing.dark)) == len(openings)


def _held(found: Openings, meant: Openings, same: Partners, path: str) -> tuple[float, float]:
    """How far what was read is from what was meant, and may be; raises if it is farther."""
    bounds_mm2 = difference_bounds_mm2(meant)
    bound_mm2 = float(bounds_mm2.sum())
    if len(found) != len(meant):
        hint = (
            "some nearly touch, nearer than a file's numbers tell apart: draw them farther apart, or as one"
        )
        raise _not_proved(f"{len(meant)} openings, written and read again, would be {len(found)}", path, hint)
    off = differences(found, meant, same)
    # each by itself: what the rounding of all leaves room for is no other's
    off_mm2 = np.append(off.of_pairs_mm2, off.of_others_mm2)
    most_mm2 = np.append(bounds_mm2[same.other], np.delete(bounds_mm2, same.other).sum())
    for row in np.flatnonzero(off_mm2 > most_mm2).tolist():
        what = f"off by {off_mm2[row]:.6f} mm2, where {most_mm2[row]:.6f} is rounding"
        raise _not_proved(f"written and read again, an opening would be {what}", path)
    return off.in_all_mm2, bound_mm2


_Column = tuple[IntArray, Sequence[object]]
"""Of each opening the row of one of some values, and these."""


def _say_the_same(same: Partners, one: _Column, other: _Column) -> bool:
    """Whether partners have the same value; each two values are compared once."""
    rows = np.column_stack([one[0][same.one], other[0][same.other]])
    return all(one[1][row] == other[1][at] for row, at in rows[distinct_rows(rows).first].tolist())


def _not_proved(text: str, path: str, hint: str = "change by hand what trim would change") -> PastecheckError:
    return PastecheckError(text, Span(path), f"{hint}; nothing was written", NOT_PROVED)


def as_written(meant: Openings, limits: Limits, path: str) -> tuple[Openings, IntArray]:
    """
    Openings of a layer as they are when they were written and read, and which of those meant each is.

    Components and other attributes are not written for that, as there are very many in some files: they stay.

    Raises:
        PastecheckError: As `proved`.
    """
    content = written(meant.unnamed(), Header("", ()))
    found = cut_from(gerber.read(content, path, limits), limits, everything=True)
    same = partners(found, meant)
    _held(found, meant, same, path)
    of = origins(found, meant, same)
    return found.named_as(meant, of), of
