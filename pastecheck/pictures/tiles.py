"""Outlines in their places, gathered in one path for each tile of a grid: few elements, each of a region."""

from itertools import pairwise
from typing import Final

import numpy as np

from pastecheck.drawing import IntArray
from pastecheck.pictures.outlines import STEP_NM, Paths

_IN_A_TILE: Final = 250
"""About so many outlines: a viewer passes over tiles that it does not show, and has few to look at."""


def placed_paths(paths: Paths, kind: IntArray, x_nm: IntArray, y_nm: IntArray) -> list[str]:
    """Path data of each outline by itself, in order. Rows of `paths`, and places. Shape (k,)."""
    x, y = _steps(x_nm) + paths.begin[kind, 0], _steps(y_nm) + paths.begin[kind, 1]
    return list(map("M{} {}{}".format, x.tolist(), y.tolist(), paths.text[kind].tolist()))


def tiled_paths(paths: Paths, kind: IntArray, x_nm: IntArray, y_nm: IntArray) -> list[str]:
    """
    Path data of outlines, together for each tile of a grid.

    Args:
        paths: Distinct outlines.
        kind: Row of `paths`. Shape (k,).
        x_nm: Place of each. Shape (k,).
        y_nm: As well.
    """
    if not len(kind):
        return []
    tile = _tiles(x_nm, y_nm)
    order = np.argsort(tile, kind="stable")
    first = np.diff(tile[order], prepend=-1) != 0
    place = np.column_stack([_steps(x_nm), _steps(y_nm)])[order]
    begin, end = place + paths.begin[kind[order]], place + paths.end[kind[order]]
    move = begin.copy()
    move[1:] -= np.where(first[1:, None], 0, end[:-1])
    command = np.where(first, "M", "m")
    each = map("{}{} {}{}".format, command.tolist(), *move.T.tolist(), paths.text[kind[order]].tolist())
    texts = list(each)
    bounds = [*np.flatnonzero(first).tolist(), len(texts)]
    return ["".join(texts[a:b]) for a, b in pairwise(bounds)]


def strokes(begin: IntArray, way: IntArray) -> list[str]:
    """Path data of straight lines, one path; from each begin, in steps, along a way. Shape (k, 2) each."""
    if not len(begin):
        return []
    move = begin.copy()
    move[1:] -= begin[:-1] + way[:-1]
    each = map("m{} {}l{} {}".format, *move.T.tolist(), *way.T.tolist())
    return [f"M{''.join(each)[1:]}"]


def _tiles(x_nm: IntArray, y_nm: IntArray) -> IntArray:
    """Number of the square tile that each place is in. Shape (k,)."""
    width, height = int(np.ptp(x_nm)) + 1, int(np.ptp(y_nm)) + 1
    count = max(1, len(x_nm) // _IN_A_TILE)
    side = max(1, max(width, height) // count, int(np.sqrt(width / count * height)))
    across = width // side + 1
    tile: IntArray = (y_nm - y_nm.min()) // side * across + (x_nm - x_nm.min()) // side
    return tile


def _steps(place_nm: IntArray) -> IntArray:
    steps: IntArray = (place_nm + STEP_NM // 2) // STEP_NM
    return steps
