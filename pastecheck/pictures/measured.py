"""The lines along which narrow places were measured: across webs, necks and tongues that a check found."""

from collections.abc import Callable, Iterable
from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.discs import Discs
from pastecheck.geometry.facing import necks
from pastecheck.geometry.pairs import Apart, gaps_apart, placed
from pastecheck.geometry.tongues import REACH_MM, tongues
from pastecheck.openings import Openings
from pastecheck.pictures.conditions import level_of
from pastecheck.report import Finding
from pastecheck.units import NM_PER_MM

_OF_WEBS: Final = ("web-width", "web-slenderness")
_INSIDE: Final = ("neck-width", "film-tongue", "tongue-slenderness")
MEASURED_ALONG_LINES: Final = frozenset((*_OF_WEBS, *_INSIDE))
"""Checks whose findings have a line."""
_AS_LONG_MM: Final = 1e-6
"""A line through the place is the shortest one, but for rounding."""


class Lines(NamedTuple):
    """Lines from wall to wall, each once. Shape (k,)."""

    begin_mm: FloatArray
    """Shape (k, 2)."""
    end_mm: FloatArray
    level: IntArray
    """Row of `LEVELS`."""
    opening: IntArray
    """Row of the openings table, from 1."""
    other: IntArray
    """The other opening of a web; 0 where the line is of one opening."""
    is_inside: BoolArray
    """Whether it lies in the opening; else on film."""

    def rows(self, rows: IntArray | BoolArray) -> "Lines":
        """Some of the lines."""
        begin_mm, end_mm, level = self.begin_mm[rows], self.end_mm[rows], self.level[rows]
        opening, other, is_inside = self.opening[rows], self.other[rows], self.is_inside[rows]
        return Lines(begin_mm, end_mm, level, opening, other, is_inside)

    @property
    def length_mm(self) -> FloatArray:
        """Shape (k,)."""
        length: FloatArray = np.hypot(*(self.end_mm - self.begin_mm).T)
        return length


_NO_PLACES: Final = np.zeros((0, 2))
_NO_ROWS: Final = np.zeros(0, np.int64)
_NONE: Final = np.zeros(0, bool)
_NO_LINES: Final = Lines(_NO_PLACES, _NO_PLACES, _NO_ROWS, _NO_ROWS, _NO_ROWS, _NONE)


def lines_measured(openings: Openings, findings: Iterable[Finding]) -> Lines:
    """
    Where the readings of findings were taken, for those of `MEASURED_ALONG_LINES`.

    A place that several checks found has one line, of the level of the worst.

    Args:
        openings: Of the layer that was judged.
        findings: Of any checks.
    """
    some = [found for found in findings if found.check in MEASURED_ALONG_LINES and found.opening]
    found = [_across_webs(openings, [each for each in some if each.check in _OF_WEBS])]
    for check, discs_of in zip(_INSIDE, (_necks, _narrowest, _slenderest), strict=True):
        found.append(_across(openings, [each for each in some if each.check == check], discs_of))
    return _each_once(_together(found))


def _together(every: list[Lines]) -> Lines:
    return Lines(
        np.concatenate([lines.begin_mm for lines in every]),
        np.concatenate([lines.end_mm for lines in every]),
        np.concatenate([lines.level for lines in every]),
        np.concatenate([lines.opening for lines in every]),
        np.concatenate([lines.other for lines in every]),
        np.concatenate([lines.is_inside for lines in every]),
    )


def _each_once(lines: Lines) -> Lines:
    """The worst first, so that they stay of what is there twice."""
    worst = np.argsort(-lines.level, kind="stable")
    middle_nm = np.rint((lines.begin_mm + lines.end_mm)[worst] / 2 * NM_PER_MM)
    same = np.column_stack([lines.opening[worst], lines.other[worst], np.rint(middle_nm / 1000)])
    _, first = np.unique(same, axis=0, return_index=True)
    return lines.rows(worst[np.sort(first)])


def _across_webs(openings: Openings, findings: list[Finding]) -> Lines:
    """
    From one opening of each web to the other, through the place that was found.

    Where a web is as narrow in several places, that one is between them; then the line is in one of them.
    """
    if not findings:
        return _NO_LINES
    first = np.array([found.opening for found in findings], np.int64) - 1
    second = np.array([found.other for found in findings], np.int64) - 1
    place_mm = _places_mm(findings)
    begin_mm, end_mm = _nearest_mm(openings, first, place_mm), _nearest_mm(openings, second, place_mm)
    shapes, origin_mm = openings.shapes, _origins_mm(openings)
    through_mm = np.hypot(*(end_mm - begin_mm).T)
    way_mm = origin_mm[second] - origin_mm[first]
    pairs = Apart(openings.shape[first], openings.shape[second], way_mm[:, 0], way_mm[:, 1])
    gap_mm = gaps_apart(shapes.core, shapes.radius_mm, pairs, float(through_mm.max()) + _AS_LONG_MM)
    between = np.flatnonzero(np.abs(through_mm - gap_mm) > _AS_LONG_MM)
    if len(between):
        begin_mm[between], end_mm[between] = _shortest_mm(openings, first[between], second[between])
    is_inside = np.zeros(len(first), bool)
    return Lines(begin_mm, end_mm, _levels(findings), first + 1, second + 1, is_inside)


def _nearest_mm(openings: Openings, row: IntArray, place_mm: FloatArray) -> FloatArray:
    """The point of each opening that is nearest to a place beside it. Shape (k, 2)."""
    shape, origin_mm = openings.shape[row], _origins_mm(openings)[row]
    place_mm = place_mm - origin_mm
    line = shapely.shortest_line(openings.shapes.core[shape], shapely.points(place_mm))
    return _drawn_out(shapely.get_coordinates(line), openings.shapes.radius_mm[shape])[0] + origin_mm


def _shortest_mm(openings: Openings, first: IntArray, second: IntArray) -> tuple[FloatArray, FloatArray]:
    """Both ends of a shortest line between two openings. Shape (k, 2) each."""
    shapes, origin_mm = openings.shapes, _origins_mm(openings)
    cores = (placed(shapes.core[openings.shape[row]], *origin_mm[row].T) for row in (first, second))
    line = shapely.get_coordinates(shapely.shortest_line(*cores))
    radius_mm = shapes.radius_mm
    return _drawn_out(line, radius_mm[openings.shape[first]], radius_mm[openings.shape[second]])


def _drawn_out(
    line_mm: FloatArray, radius_mm: FloatArray, other_mm: FloatArray | float = 0.0
) -> tuple[FloatArray, FloatArray]:
    """Ends of lines, two points each, shortened by a radius at either end."""
    begin, end = line_mm.reshape(-1, 2, 2).transpose(1, 0, 2)
    length = np.maximum(np.hypot(*(end - begin).T), np.finfo(float).tiny)[:, None]
    unit = (end - begin) / length
    return begin + unit * radius_mm[:, None], end - unit * np.reshape(other_mm, (-1, 1))


def _across(
    openings: Openings,
    findings: list[Finding],
    discs_of: Callable[[Openings, IntArray, list[Finding]], Discs],
) -> Lines:
    """From where a disc touches one wall to where it touches the other."""
    if not findings:
        return _NO_LINES
    row = np.array([found.opening for found in findings], np.int64) - 1
    shape, kind = np.unique(openings.shape[row], return_inverse=True)
    discs = discs_of(openings, shape, findings)
    origin_mm = _origins_mm(openings)[row]
    begin_mm, end_mm = discs.begin_mm[kind] + origin_mm, discs.end_mm[kind] + origin_mm
    there = ~np.isnan(discs.diameter_mm)[kind]
    no_other, is_inside = np.zeros(len(row), np.int64), np.full(len(row), discs_of is _necks)
    return Lines(begin_mm, end_mm, _levels(findings), row + 1, no_other, is_inside).rows(there)


def _necks(openings: Openings, shape: IntArray, _: list[Finding]) -> Discs:
    shapes = openings.shapes
    return necks(shapes.core[shape], shapes.radius_mm[shape], shapes.tolerance_mm[shape])


def _narrowest(openings: Openings, shape: IntArray, findings: list[Finding]) -> Discs:
    reach_mm = max(REACH_MM, *(found.value * 1.001 for found in findings))
    return tongues(openings.shapes.outline[shape], openings.shapes.tolerance_mm[shape], reach_mm).narrowest


def _slenderest(openings: Openings, shape: IntArray, _: list[Finding]) -> Discs:
    return tongues(openings.shapes.outline[shape], openings.shapes.tolerance_mm[shape]).slenderest


def _origins_mm(openings: Openings) -> FloatArray:
    return np.column_stack([openings.x_nm, openings.y_nm]) / NM_PER_MM


def _levels(findings: list[Finding]) -> IntArray:
    return np.array([level_of(found) for found in findings], np.int64)


def _places_mm(findings: list[Finding]) -> FloatArray:
    return np.array([(found.x_mm, found.y_mm) for found in findings], np.float64).reshape(-1, 2)
