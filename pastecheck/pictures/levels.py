"""What findings say of openings and places: how bad each is, for the marks of a picture."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.pictures.measured import MEASURED_ALONG_LINES
from pastecheck.report import Finding, LayerReport, Level, Status

LEVELS: Final = ("settled", "warning", "error")
"""In order: what is drawn last is seen best. Settled is what was known before, or is waived."""


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
    has_line: BoolArray
    """Whether it was measured across a gap there, so that there is a line. Shape (k,)."""


def marked(layer: LayerReport | None, openings: int) -> Marked:
    """What is to be marked of a layer; nothing where it was not judged."""
    findings = () if layer is None else _with_places(layer)
    level = np.array([_level(found) for found in findings], np.int64)
    of_opening = np.full(openings, -1, np.int64)
    for rows in ([found.opening or 0 for found in findings], [found.other or 0 for found in findings]):
        row = np.array(rows, np.int64)
        np.maximum.at(of_opening, row[row > 0] - 1, level[row > 0])
    places = _each_place_once(findings, level)
    every = 0 if layer is None else sum(len(outcome.findings) for outcome in layer.outcomes)
    return Marked(findings, every - len(findings), of_opening, *places)


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


def _each_place_once(findings: Sequence[Finding], level: IntArray) -> tuple[FloatArray, IntArray, BoolArray]:
    """Places to the micrometre, the worst level of each, and whether it has a line."""
    place_mm = np.array([(found.x_mm, found.y_mm) for found in findings], np.float64).reshape(-1, 2)
    has_line = np.array([found.check in MEASURED_ALONG_LINES for found in findings], bool)
    _, first, kind = np.unique(np.rint(place_mm * 1000), axis=0, return_index=True, return_inverse=True)
    worst, with_line = np.full(len(first), -1, np.int64), np.zeros(len(first), bool)
    np.maximum.at(worst, kind.reshape(-1), level)
    np.logical_or.at(with_line, kind.reshape(-1), has_line)
    return place_mm[first], worst, with_line
