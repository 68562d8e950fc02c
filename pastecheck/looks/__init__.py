"""
What the objects of a drawing look like: each distinct flash, stroke and contour once, as geometry.

A layer of a million objects has some hundred looks; one whose parts all have sizes of their own has tens of
thousands, so looks are made many at once. Whatever has a core and a radius (see `Shapes`) keeps them, so that
it can be measured without its flattened curves.
"""

import numpy as np

from pastecheck.drawing import Drawing, IntArray, Kind
from pastecheck.limits import STANDARD, Limits
from pastecheck.looks.apertures import looks_of_apertures
from pastecheck.looks.contours import looks_of_contours
from pastecheck.looks.flattening import refuse_many_vertices
from pastecheck.looks.strokes import looks_of_strokes
from pastecheck.looks.table import Columns, Looks, joined, table_of

__all__ = ["Looks", "looks_of"]


def looks_of(drawing: Drawing, limits: Limits = STANDARD) -> tuple[Looks, IntArray]:
    """
    The distinct looks of a drawing's objects, and the look of each object.

    Raises:
        TooMuchError: If curves have more vertices, or a contour crosses itself more often, than limits allow.
    """
    refuse_many_vertices(drawing, limits)
    look = np.zeros(len(drawing), np.int64)
    found: list[Columns] = []
    count = 0
    makers = ((Kind.FLASH, _flashes), (Kind.STROKE, _strokes), (Kind.REGION, looks_of_contours))
    for kind, looks_of_kind in makers:
        rows = np.flatnonzero(drawing.kind == kind)
        if len(rows):
            used, inverse = np.unique(drawing.what[rows], return_inverse=True)
            columns, of_used = looks_of_kind(drawing, used, limits)
            look[rows] = count + of_used[inverse]
            found.append(columns)
            count += len(columns.outline)
    return table_of(joined(found)), look


def _flashes(drawing: Drawing, used: IntArray, limits: Limits) -> tuple[Columns, IntArray]:
    apertures = [drawing.apertures[row] for row in used.tolist()]
    return looks_of_apertures(apertures, limits), np.arange(len(used))


def _strokes(drawing: Drawing, used: IntArray, limits: Limits) -> tuple[Columns, IntArray]:
    return looks_of_strokes(drawing, used, limits)
