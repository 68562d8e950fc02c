"""What findings say of openings and places: how bad each is, for the marks of a picture."""

from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.openings import Openings
from pastecheck.pictures.measured import MEASURED_ALONG_LINES
from pastecheck.report import Finding, LayerReport, Level, Status
from pastecheck.units import NM_PER_MM

LEVELS: Final = ("settled", "warning", "error")
"""In order: what is drawn last is seen best. Settled is what was known before, or is waived."""


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
    """Where something was found, each place once. Shape (k, 2)."""
    of_place: IntArray
    """Row of `LEVELS`. Shape (k,)."""
    within_mm: FloatArray
    """Radius of the mark that lies within an opening, as what lies below it cannot be seen; else 0. (k,)."""
    is_bare: BoolArray
    """Whether there is no opening. Shape (k,)."""


def marked(layer: LayerReport | None, openings: Openings) -> Marked:
    """What is to be marked of a layer; nothing where it was not judged."""
    findings = () if layer is None else _with_places(layer)
    level = np.array([_level(found) for found in findings], np.int64)
    of_opening = np.full(len(openings), -1, np.int64)
    first = np.array([found.opening or 0 for found in findings], np.int64) - 1
    second = np.array([found.other or 0 for found in findings], np.int64) - 1
    for row in (first, second):
        np.maximum.at(of_opening, row[row >= 0], level[row >= 0])
    place_mm = np.array([(found.x_mm, found.y_mm) for found in findings], np.float64).reshape(-1, 2)
    _, once, kind = np.unique(np.rint(place_mm * 1000), axis=0, return_index=True, return_inverse=True)
    of_place, within_mm = np.full(len(once), -1, np.int64), np.full(len(once), np.inf)
    np.maximum.at(of_place, kind.reshape(-1), level)
    has_line = np.array([found.check in MEASURED_ALONG_LINES for found in findings], bool)
    room_mm = np.where(has_line, 0.0, _room_mm(openings, first, place_mm))
    np.minimum.at(within_mm, kind.reshape(-1), room_mm)
    every = 0 if layer is None else sum(len(outcome.findings) for outcome in layer.outcomes)
    return Marked(
        findings, every - len(findings), of_opening, place_mm[once], of_place, within_mm, first[once] < 0
    )


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


def _with_places(layer: LayerReport) -> tuple[Finding, ...]:
    """
    Findings that have a place of their own.

    Those of the layer as a whole have none: theirs is the middle of the layer, where there is nothing to see.
    Of those without an opening only bare lands are somewhere.
    """
    return tuple(
        found
        for outcome in layer.outcomes
        for found in outcome.findings
        if found.opening is not None or found.check == "missing-opening"
    )


def _level(found: Finding) -> int:
    if found.status is not Status.NEW:
        return LEVELS.index("settled")
    return LEVELS.index("error" if found.level is Level.ERROR else "warning")
