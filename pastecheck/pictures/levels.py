"""What findings say of openings and places: how bad each is, for the marks of a picture."""

from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.openings import Openings
from pastecheck.pictures.conditions import (
    NO_GROUP,
    Shown,
    coloured_by,
    conditions,
    kinds_of,
    level_of,
    shown_as,
    shown_with,
)
from pastecheck.pictures.measured import MEASURED_ALONG_LINES
from pastecheck.ragged import rows_of_runs
from pastecheck.report import Finding, LayerReport, Status
from pastecheck.units import NM_PER_MM

_LEAST_ROOM_MM: Final = 0.3
"""From the place to the edge: in narrower openings a mark would hide what is cut."""
_OF_THE_ROOM: Final = 0.7
_LARGEST_MM: Final = 1.5


class Marked(NamedTuple):
    """What is to be marked."""

    findings: tuple[Finding, ...]
    """Of openings, pairs of them and bare lands; not those of the layer as a whole."""
    of_layer: int
    """How many there are of the layer as a whole."""
    of_opening: IntArray
    """Row of `LEVELS`, the worst of each opening; -1 where nothing was found. Shape (n,)."""
    place_mm: FloatArray
    """
    Where something was found, each place once. Shape (k, 2).

    Where groups may be hidden, once for each level that it then may have.
    """
    of_place: IntArray
    """Row of `LEVELS`. Shape (k,)."""
    is_worst: BoolArray
    """Whether it is that of the worst level there. Shape (k,)."""
    place_shown: Shown
    """With which groups it is shown; empty where all are, always. Shape (k,)."""
    opening_shown: Shown
    """As well, of each opening, with the levels that it has. Shape (n,)."""
    line: IntArray
    """Lines that belong to findings, by the numbers of `_lines`, in ascending order. Shape (m,)."""
    line_shown: Shown
    """As well, of those. Shape (m,)."""
    within_mm: FloatArray
    """Radius of the mark that lies within an opening, as what lies below it cannot be seen; else 0. (k,)."""
    is_bare: BoolArray
    """Whether there is no opening. Shape (k,)."""

    def lines_shown(self, opening: IntArray, other: IntArray) -> Shown:
        """
        With which groups lines are shown.

        Args:
            opening: That of each line, from 1. Shape (k,).
            other: The other one, 0 where there is none. Shape (k,).
        """
        if not len(self.line):
            return _always(len(opening))
        line = _lines(opening, other, len(self.of_opening))
        row = np.minimum(np.searchsorted(self.line, line), len(self.line) - 1)
        kind = np.where(self.line[row] == line, self.line_shown.kind[row] + 1, 0)
        return Shown(("", *self.line_shown.texts), kind)


def _lines(opening: IntArray, other: IntArray, count: int) -> IntArray:
    """Numbers of lines by their openings, from 1, the other 0 where there is none. Shape (k,)."""
    return opening * (count + 1) + other


def _always(count: int) -> Shown:
    """Of things that are shown with whatever groups."""
    return Shown(("",), np.zeros(count, np.int64))


def marked(layer: LayerReport | None, openings: Openings, groups: IntArray | None = None) -> Marked:
    """
    What is to be marked of a layer; nothing where it was not judged.

    Args:
        layer: What was found.
        openings: Of the layer.
        groups: Of each new finding, in the order of the report, the number of its group, from 1; `NO_GROUP`
            for what is in none that is listed. None where no group is ever hidden.
    """
    findings, group = ((), np.zeros(0, np.int64)) if layer is None else _with_places(layer, groups)
    level = np.array([level_of(found) for found in findings], np.int64)
    of_opening = np.full(len(openings), -1, np.int64)
    first = np.array([found.opening or 0 for found in findings], np.int64) - 1
    second = np.array([found.other or 0 for found in findings], np.int64) - 1
    for row in (first, second):
        np.maximum.at(of_opening, row[row >= 0], level[row >= 0])
    place_mm = np.array([(found.x_mm, found.y_mm) for found in findings], np.float64).reshape(-1, 2)
    _, once, kind = np.unique(np.rint(place_mm * 1000), axis=0, return_index=True, return_inverse=True)
    kind = kind.reshape(-1)
    worst, within_mm = np.full(len(once), -1, np.int64), np.full(len(once), np.inf)
    np.maximum.at(worst, kind, level)
    has_line = np.array([found.check in MEASURED_ALONG_LINES for found in findings], bool)
    room_mm = np.where(has_line, 0.0, _room_mm(openings, first, place_mm))
    np.minimum.at(within_mm, kind, room_mm)
    every = 0 if layer is None else sum(len(outcome.findings) for outcome in layer.outcomes)
    rows = _Rows(np.arange(len(once)), worst, np.ones(len(once), bool), _always(len(once)))
    opening_shown, line, line_shown = _always(len(openings)), np.zeros(0, np.int64), _always(0)
    if groups is not None:
        rows = _rows(kind, level, group)
        opening_shown = _openings_shown(len(openings), first, second, level, group)
        of_lines = _lines(first + 1, second + 1, len(openings))[has_line]
        line, line_shown = _lines_shown(of_lines, group[has_line])
    return Marked(
        findings=findings,
        of_layer=every - len(findings),
        of_opening=of_opening,
        place_mm=place_mm[once][rows.place],
        of_place=rows.level,
        is_worst=rows.is_worst,
        place_shown=rows.shown,
        opening_shown=opening_shown,
        line=line,
        line_shown=line_shown,
        within_mm=within_mm[rows.place],
        is_bare=(first[once] < 0)[rows.place],
    )


class _Rows(NamedTuple):
    """Marks: rows of the places, their levels, and when they are shown."""

    place: IntArray
    level: IntArray
    is_worst: BoolArray
    shown: Shown


def _rows(place: IntArray, level: IntArray, group: IntArray) -> _Rows:
    found = kinds_of(place, level, group)
    made = [conditions(groups) for groups in found.groups]
    every = [one for its in made for one in its]
    count = np.array([len(its) for its in made], np.int64)
    its_count = count[found.kind]
    row = rows_of_runs((np.cumsum(count) - count)[found.kind], its_count)
    return _Rows(
        np.repeat(found.thing, its_count),
        np.array([one.level for one in every], np.int64)[row],
        np.array([one.is_shown_at_first for one in every], bool)[row],
        shown_as([one.attributes for one in every], row),
    )


def _openings_shown(count: int, first: IntArray, second: IntArray, level: IntArray, group: IntArray) -> Shown:
    of = np.concatenate([first, second])
    some = np.flatnonzero(of >= 0)
    found = kinds_of(of[some], np.tile(level, 2)[some], np.tile(group, 2)[some])
    row = np.zeros(count, np.int64)
    row[found.thing] = found.kind + 1
    return shown_as(["", *map(coloured_by, found.groups)], row)


def _lines_shown(line: IntArray, group: IntArray) -> tuple[IntArray, Shown]:
    """Lines, and with which groups they are shown: one of several findings with those of all of them."""
    any_level = np.zeros(len(line), np.int64)
    found = kinds_of(line, any_level, group)
    return found.thing, shown_as([shown_with(groups[0]) for groups in found.groups], found.kind)


def _room_mm(openings: Openings, row: IntArray, place_mm: FloatArray) -> FloatArray:
    """How large a mark may be within the opening of a place; 0 where it is too large for it. Shape (k,)."""
    room_mm = np.zeros(len(row))
    some = np.flatnonzero(row >= 0)
    shape = openings.shape[row[some]]
    origin_mm = np.column_stack([openings.x_nm, openings.y_nm])[row[some]] / NM_PER_MM
    place = shapely.points(place_mm[some] - origin_mm)
    used, kind = np.unique(shape, return_inverse=True)
    outline = openings.shapes.outline[used]
    far_mm = shapely.distance(shapely.boundary(outline)[kind], place)
    has_room = (far_mm >= _LEAST_ROOM_MM) & shapely.intersects(outline[kind], place)
    room_mm[some] = np.where(has_room, np.minimum(_OF_THE_ROOM * far_mm, _LARGEST_MM), 0.0)
    return room_mm


def _with_places(layer: LayerReport, groups: IntArray | None) -> tuple[tuple[Finding, ...], IntArray]:
    """
    Findings that have a place of their own, and the number of the group that each is in.

    Those of the layer as a whole have none: theirs is the middle of the layer, where there is nothing to see.
    Of those without an opening only bare lands are somewhere.
    """
    every = [found for outcome in layer.outcomes for found in outcome.findings]
    group = np.full(len(every), NO_GROUP)
    if groups is not None:
        group[np.array([found.status is Status.NEW for found in every], bool)] = groups
    rows = [
        row
        for row, found in enumerate(every)
        if found.opening is not None or found.check == "missing-opening"
    ]
    return tuple(every[row] for row in rows), group[rows]
