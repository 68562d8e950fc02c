"""What findings say of openings and places: how bad each is, for the marks of a picture."""

from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.openings import Openings
from pastecheck.pictures.measured import MEASURED_ALONG_LINES
from pastecheck.report import Finding, LayerReport, Level, Status

LEVELS: Final = ("settled", "warning", "error")
"""In order: what is drawn last is seen best. Settled is what was known before, or is waived."""


_ROOM_MM: Final = 0.6
"""Openings narrower than this would be hidden by a dot in their middle."""


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
    has_dot: BoolArray
    """Whether there is room for a dot: on film where nothing was measured, and in wide openings. (k,)."""


def marked(layer: LayerReport | None, openings: Openings) -> Marked:
    """What is to be marked of a layer; nothing where it was not judged."""
    findings = () if layer is None else _with_places(layer)
    level = np.array([_level(found) for found in findings], np.int64)
    of_opening = np.full(len(openings), -1, np.int64)
    first = np.array([found.opening or 0 for found in findings], np.int64) - 1
    second = np.array([found.other or 0 for found in findings], np.int64) - 1
    for row in (first, second):
        np.maximum.at(of_opening, row[row >= 0], level[row >= 0])
    size_mm = np.diff(openings.shapes.bounds_mm.reshape(-1, 2, 2), axis=1).min(axis=(1, 2))
    is_wide = np.append(size_mm[openings.shape] >= _ROOM_MM, True)  # the last for what is of no opening
    has_line = np.array([found.check in MEASURED_ALONG_LINES for found in findings], bool)
    place_mm = np.array([(found.x_mm, found.y_mm) for found in findings], np.float64).reshape(-1, 2)
    _, once, kind = np.unique(np.rint(place_mm * 1000), axis=0, return_index=True, return_inverse=True)
    of_place, has_dot = np.full(len(once), -1, np.int64), np.ones(len(once), bool)
    np.maximum.at(of_place, kind.reshape(-1), level)
    np.logical_and.at(has_dot, kind.reshape(-1), is_wide[first] & ~has_line)
    every = 0 if layer is None else sum(len(outcome.findings) for outcome in layer.outcomes)
    return Marked(findings, every - len(findings), of_opening, place_mm[once], of_place, has_dot)


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
