"""Outlines in their places, gathered in one path for each tile of a grid: few elements, each of a region."""

from itertools import pairwise
from typing import Final

import numpy as np

from pastecheck.drawing import BoolArray, IntArray
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
    return _joined(list(each), first)


def strokes(begin: IntArray, way: IntArray) -> list[str]:
    """Path data of straight lines by tiles; from each begin, in steps, along a way. Shape (k, 2) each."""
    if not len(begin):
        return []
    tile = _tiles(*begin.T)
    order = np.argsort(tile, kind="stable")
    first = np.diff(tile[order], prepend=-1) != 0
    begin, way = begin[order], way[order]
    move = begin.copy()
    move[1:] -= np.where(first[1:, None], 0, begin[:-1] + way[:-1])
    command = np.where(first, "M", "m").tolist()
    texts = list(map("{}{} {}l{} {}".format, command, *move.T.tolist(), *way.T.tolist()))
    return _joined(texts, first)


def _joined(texts: list[str], first: BoolArray) -> list[str]:
    """Texts of each tile together; `first` says where one begins."""
    bounds = [*np.flatnonzero(first).tolist(), len(texts)]
    return ["".join(texts[a:b]) for a, b in pairwise(bounds)]


def _tiles(x: IntArray, y: IntArray) -> IntArray:
    """Number of the square tile that each place is in, whatever the unit. Shape (k,)."""
    width, height = int(np.ptp(x)) + 1, int(np.ptp(y)) + 1
    count = max(1, len(x) // _IN_A_TILE)
    side = max(1, max(width, height) // count, int(np.sqrt(width / count * height)))
    across = width // side + 1
    tile: IntArray = (y - y.min()) // side * across + (x - x.min()) // side
    return tile


def _steps(place_nm: IntArray) -> IntArray:
    steps: IntArray = (place_nm + STEP_NM // 2) // STEP_NM
    return steps
