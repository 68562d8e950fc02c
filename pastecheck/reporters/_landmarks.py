"""Openings by which a later run finds a layer again, though its origin was moved."""

from typing import Final

import numpy as np

from pastecheck.drawing import IntArray
from pastecheck.ragged import distinct
from pastecheck.report import OpeningTable

_OF_A_KIND: Final = 30
"""So many of the rarest outlines, and as many spread over the layer."""


def landmarks(table: OpeningTable) -> IntArray:
    """Rows of the outermost openings, of some of rare outlines, and of some all over the layer; in order."""
    if not len(table):
        return np.zeros(0, np.int64)
    outermost = [column.argmin() for column in (table.x_mm, table.y_mm, -table.x_mm, -table.y_mm)]
    _, shape, count = np.unique(table.shape, return_inverse=True, return_counts=True)
    rarest = np.argsort(count[shape], kind="stable")[:_OF_A_KIND]
    spread = np.linspace(0, len(table) - 1, _OF_A_KIND).astype(np.int64)
    return distinct(np.concatenate([np.array(outermost, np.int64), rarest, spread]))
