"""
Which openings are no openings: line work, told by how it was drawn and by its shape.

Real paste layers hold board outlines, frames of drawing sheets, rings round holes, corner marks and
lettering. All of them are drawn with strokes along a line that is nowhere wider than the pen. So nothing
that is flashed or filled as a region is ever taken for line work, nor what strokes have painted wider than
their pen, nor a single straight stroke of ordinary length, which is the usual way to draw a slot. A letter or
a short ring cannot be told from a bent land by itself: it takes length, or a run of letters.

What is left out is a loss if it was an opening after all, so in doubt it stays one.
"""

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.boxes import close_boxes
from pastecheck.geometry.dissolve import connected
from pastecheck.openings.holes import Drawn
from pastecheck.openings.table import GeometryArray, Openings
from pastecheck.ragged import among, distinct_rows
from pastecheck.units import NM_PER_MM

THIN_MM = 0.35
"""Pens below this are thin; lettering is drawn with up to 0.3 mm: `common practice, no source`."""
CLOSED_PENS = 25
"""
A closed line of a thin pen that is longer than so many pens is no land: `common practice, no source`.

A ring of paste about the port of a microphone, 0.3 mm wide and 1.3 mm across its middle, is 14 pens long.
"""
OPEN_PENS = 100
"""And any line: no land is a hundred times as long as it is wide, `common practice, no source`."""
WIDE_PENS = 300
"""
And a closed line of a pen that is not thin: `common practice, no source`.

The frame of a shielding can, 30 x 40 mm and 0.7 mm wide, is 200 pens long.
"""
LETTER_PENS = 40
"""Nothing larger than so many pens is a letter; most are 5 to 20 high: `common practice, no source`."""
LETTER_PENS_HIGH = 5
"""And no run is one of letters unless so many pens high: what is bent and shorter may be lands of a part."""
LETTERS = 4
"""Letters that a run has at least, to show that its pen writes."""
LETTER_FORMS = 3
"""Different ones among them, turned and mirrored ones being the same: lands of one part repeat themselves."""

_NARROW_PENS = 1.5
"""What is narrower than this is a single line. Where lines cross at right angles it is 1.41 pens wide."""
_MEAN_PENS = 1.2
"""What has a larger mean width is no line. It may be above 1 where letters run into each other."""
_WIDE_PART = 0.05
"""Part of the area that may be wider: where lines meet at a sharp angle."""
_STRAIGHT_PART = 0.85
"""A line that fills so much of its hull is straight."""
_SAME_FORM = 0.05
"""Part by which area and perimeter of one form differ: lands are rounded to the file's steps."""


class LineWork(NamedTuple):
    """Which openings are line work. Shape (n,) each; none is both."""

    lettering: BoolArray
    outline: BoolArray


@dataclass(frozen=True, eq=False, slots=True)
class _Lines:
    """Distinct outlines made of strokes alone. Shape (k,) each."""

    row: IntArray
    """Of the table of shapes."""
    outline: GeometryArray
    pen_mm: FloatArray
    area_mm2: FloatArray
    perimeter_mm: FloatArray
    hull_mm2: FloatArray
    extent_mm: FloatArray
    """Longer side of the box about it."""

    @property
    def thin(self) -> BoolArray:
        """Whether the pen is."""
        return self.pen_mm < THIN_MM

    @property
    def bent(self) -> BoolArray:
        """Bent, branching or closed; else it is a straight stroke or a painted land."""
        return self.area_mm2 < _STRAIGHT_PART * self.hull_mm2

    @property
    def closed(self) -> BoolArray:
        """Whether it goes round more than it covers."""
        filled = shapely.area(shapely.polygons(shapely.get_exterior_ring(self.outline)))
        return np.asarray(self.area_mm2 < filled / 2)

    @property
    def pens(self) -> FloatArray:
        """How long a line of that area is, in pens."""
        return self.area_mm2 / self.pen_mm**2

    def only(self, rows: BoolArray) -> "_Lines":
        """Some of them."""
        return _Lines(
            self.row[rows],
            self.outline[rows],
            self.pen_mm[rows],
            self.area_mm2[rows],
            self.perimeter_mm[rows],
            self.hull_mm2[rows],
            self.extent_mm[rows],
        )


def line_work_of(holes: Openings, drawn: Drawn) -> LineWork:
    """
    Openings that are outlines, frames, rings and marks drawn thin, and those that are lettering.

    Args:
        holes: All that was drawn and merged, n rows.
        drawn: How each of their shapes was drawn.

    Cost:
        Looks at what strokes alone have drawn, each distinct outline once, then at the places of letters.
    """
    lines = _lines(holes, drawn)
    lettering = _lettering(holes, lines.only(_could_be_lettering(lines)))
    is_long = np.zeros(len(holes.shapes), bool)
    is_long[lines.row[_is_long(lines)]] = True
    return LineWork(lettering, is_long[holes.shape] & ~lettering)


def _lines(holes: Openings, drawn: Drawn) -> _Lines:
    """What strokes alone have drawn and could be a line: by area and perimeter as wide as a pen."""
    shapes = holes.shapes
    row = np.flatnonzero(drawn.pen_nm)
    pen_mm = drawn.pen_nm[row] / NM_PER_MM
    mean_width_mm = 2 * shapes.area_mm2[row] / shapes.perimeter_mm[row]
    line = mean_width_mm < _MEAN_PENS * pen_mm
    row, pen_mm = row[line], pen_mm[line]
    outline, box = shapes.outline[row], shapes.bounds_mm[row]
    return _Lines(
        row,
        outline,
        pen_mm,
        shapes.area_mm2[row],
        shapes.perimeter_mm[row],
        shapely.area(shapely.convex_hull(outline)),
        np.maximum(box[:, 2] - box[:, 0], box[:, 3] - box[:, 1]),
    )


def _is_long(lines: _Lines) -> BoolArray:
    """Whether lines are too long for a land. Lines so close that their gaps are no wider paint one."""
    enough = np.where(lines.closed, np.where(lines.thin, CLOSED_PENS, WIDE_PENS), OPEN_PENS)
    gap_mm = 2 * (lines.hull_mm2 - lines.area_mm2) / lines.perimeter_mm
    painted = lines.bent & (gap_mm <= lines.pen_mm)
    return (lines.pens >= enough) & (lines.closed | lines.thin) & ~painted


def _could_be_lettering(lines: _Lines) -> BoolArray:
    """Whether lines are thin and small enough to be letters or parts of them."""
    return lines.thin & (lines.extent_mm < LETTER_PENS * lines.pen_mm)


def _is_narrow(lines: _Lines) -> BoolArray:
    """Whether an outline is a line of its pen, not painted wider with several strokes beside each other."""
    narrow = 2 * lines.area_mm2 < lines.perimeter_mm * lines.pen_mm  # so it is for a straight stroke
    bent = np.flatnonzero(lines.bent)
    left = shapely.buffer(lines.outline[bent], -_NARROW_PENS / 2 * lines.pen_mm[bent], quad_segs=4)
    narrow[bent] = shapely.area(left) <= _WIDE_PART * lines.area_mm2[bent]
    return narrow


def _lettering(holes: Openings, lines: _Lines) -> BoolArray:
    """
    Openings in runs of letters: drawn with one pen, and no farther apart than they are large. Shape (n,).

    A run shows that its pen writes if it has several letters of different forms, high enough, and more of
    them than straight strokes. Of a pen that writes, all runs with more letters than straight strokes are
    lettering. Dots of letters count for neither.
    """
    lines = lines.only(_is_narrow(lines))
    found = np.zeros(len(holes), bool)
    dot = lines.extent_mm <= 2 * lines.pen_mm
    letter, bar = lines.bent & ~dot, ~lines.bent & ~dot
    if np.count_nonzero(letter) < LETTER_FORMS:
        return found
    line_of_shape = np.full(len(holes.shapes), -1)
    line_of_shape[lines.row] = np.arange(len(lines.row))
    opening = np.flatnonzero(line_of_shape[holes.shape] >= 0)
    line = line_of_shape[holes.shape[opening]]
    run = _runs(holes, opening, lines.pen_mm[line])
    letters, bars = (np.bincount(run[are[line]], minlength=len(opening)) for are in (letter, bar))
    high = letter & (lines.extent_mm >= LETTER_PENS_HIGH * lines.pen_mm)
    high_letters = np.bincount(run[high[line]], minlength=len(opening))
    form = np.column_stack([run, _forms(lines)[line]])[high[line]]
    forms = np.bincount(form[distinct_rows(form).first, 0], minlength=len(opening))
    text_like = letters > bars
    shows = text_like & (high_letters >= LETTERS) & (forms >= LETTER_FORMS)
    writes = among(lines.pen_mm[line], lines.pen_mm[line[shows[run]]])
    found[opening[text_like[run] & writes]] = True
    return found


def _runs(holes: Openings, opening: IntArray, pen_mm: FloatArray) -> IntArray:
    """The run of each of some openings: those of one pen whose boxes, grown by their own size, touch."""
    box_nm = np.rint(holes.shapes.bounds_mm[holes.shape[opening]] * NM_PER_MM).astype(np.int64)
    extent_nm = (box_nm[:, 2:] - box_nm[:, :2]).max(axis=1, keepdims=True)
    place_nm = np.column_stack([holes.x_nm[opening], holes.y_nm[opening]])
    low, high = place_nm + box_nm[:, :2] - extent_nm, place_nm + box_nm[:, 2:] + extent_nm
    first, second = close_boxes(np.concatenate([low, high], axis=1))
    same = pen_mm[first] == pen_mm[second]
    return connected(len(opening), first[same], second[same])


def _forms(lines: _Lines) -> IntArray:
    """A number for each outline that is shared by those of about the same area and perimeter."""
    sizes = np.log(np.column_stack([lines.area_mm2, lines.perimeter_mm])) / np.log1p(_SAME_FORM)
    return distinct_rows(np.rint(sizes).astype(np.int64)).inverse
