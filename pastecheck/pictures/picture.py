"""One layer drawn to scale: its parts, from the board below to the figures on top."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.lands import NOTHING_KNOWN, Board
from pastecheck.openings import Openings, Shapes, boxes_mm
from pastecheck.pictures.conditions import LEVELS
from pastecheck.pictures.figures import figures
from pastecheck.pictures.levels import Marked, marked
from pastecheck.pictures.measured import Lines, lines_measured
from pastecheck.pictures.outlines import STEPS_PER_MM, diamonds, discs, paths_of_polygons, paths_of_shapes
from pastecheck.pictures.tiles import placed_paths, strokes, tiled_paths
from pastecheck.report import LayerReport
from pastecheck.units import NM_PER_MM

ONE_BY_ONE: Final = 4_000
"""So many openings with findings have a path of their own; of more, those of one level are gathered."""
_PARTS_WITHIN: Final = {"rim": 1.0, "ring": 0.84, "middle": 0.58}
"""Of a mark within an opening, one on top of the other, and how large they are."""


@dataclass(frozen=True, eq=False, slots=True)
class Picture:
    """A layer as a picture."""

    body: str
    """SVG elements, in a group of the class `film`, without a style."""
    bounds_mm: tuple[float, float, float, float]
    """Of all that is drawn, in coordinates of the picture: min x, min y, max x, max y; no margin."""
    openings: int
    side: str
    """top, bottom or unknown."""
    is_mirrored: bool
    places: Mapping[str, int]
    """How many places are marked, by the worst level of what was found there: one of `LEVELS`."""
    left_out: tuple[str, ...]
    """What was left out as there is so much of it, in words."""
    lines: Lines
    """Where narrow places were measured, in coordinates of the layer."""


class OnPage(NamedTuple):
    """What a page wants of a picture that it draws."""

    groups: IntArray | None = None
    """
    Where groups of findings may be hidden: of each new finding, in the order of the report, the number of its
    group from 1, or 0 of what is in none that is told.

    Then marks say in `data-of` with which groups they are shown, but for those in `data-unless`; what is not
    at first has `data-off`; and openings say in `data-levels` which groups give them which colour.
    """
    named: str = ""
    """Before all ids, where a side of the board is drawn twice."""


_BY_ITSELF: Final = OnPage()


def picture_of(
    openings: Openings,
    board: Board = NOTHING_KNOWN,
    layer: LayerReport | None = None,
    *,
    side: str = "unknown",
    is_mirrored: bool = False,
    on_page: OnPage = _BY_ITSELF,
) -> Picture:
    """
    A layer drawn to scale, every opening within 0.5 um of its outline (`outlines.LOOSE_MM`).

    The group holds, each only where there is something: `board`, a path; `lands`, paths; of each level
    `settled`, `warning` and `error` the paths `halo` and `inner`, marks that lie below the openings; a group
    `openings` with paths `outlines` of what nothing was found of, and of each level those of what was, with
    their row from 1 in `data-opening` if they are no more than `ONE_BY_ONE`; `dot`, the middle of marks of
    bare lands; of each level the paths `within`, marks on openings that hide those below them; `measured`,
    lines across narrow places (`inside` where they lie in an opening); and a group `figures` with what the
    lines measure. Paths of many things are one for each tile of a grid.

    Args:
        openings: What is cut.
        board: Lands and outline, drawn below.
        layer: What was found in it; without it nothing is marked.
        side: top, bottom or unknown, where there is no layer to say so.
        is_mirrored: Whether it is drawn as seen from below.
        on_page: What a page wants besides.
    """
    found = marked(layer, openings, on_page.groups)
    lines = lines_measured(openings, found.findings)
    side = side if layer is None else layer.side
    paths = "".join(_paths(openings, board, found, lines))
    count = np.bincount(found.of_place[found.is_worst], minlength=len(LEVELS)).tolist()
    shown = found.lines_shown(lines.opening, lines.other).each
    beside = figures(lines, f"{on_page.named}{side}", shown, is_mirrored=is_mirrored)
    left_out = () if beside.are_all else ("figures beside some of the lines only",)
    return Picture(
        body=f'<g class="film"><g transform="{_flip(is_mirrored=is_mirrored)}">{paths}</g>{beside.svg}</g>',
        bounds_mm=_bounds_mm(openings, board, is_mirrored=is_mirrored),
        openings=len(openings),
        side=side,
        is_mirrored=is_mirrored,
        places=dict(zip(LEVELS, count, strict=True)),
        left_out=(*_not_marked(found), *left_out),
        lines=lines,
    )


def sketch_of(openings: Openings, rows: IntArray, classes: str, *, is_mirrored: bool) -> str:
    """
    Outlines of some openings, without findings, to lie over a picture: SVG elements, as those of a `Picture`.

    Args:
        openings: Of a layer.
        rows: Those that are drawn.
        classes: Of their paths.
        is_mirrored: Whether they are drawn as seen from below.
    """
    paths = _gathered(openings.shapes, openings.shape[rows], openings.x_nm[rows], openings.y_nm[rows])
    drawn = "".join(_elements(classes, paths))
    return f'<g class="film"><g transform="{_flip(is_mirrored=is_mirrored)}">{drawn}</g></g>'


def _flip(*, is_mirrored: bool) -> str:
    """From steps, y upward, to mm, y downward."""
    return f"scale({'-' if is_mirrored else ''}{1 / STEPS_PER_MM:g} {-1 / STEPS_PER_MM:g})".replace("0.", ".")


def _not_marked(found: Marked) -> list[str]:
    if not found.of_layer:
        return []
    findings = "1 finding is" if found.of_layer == 1 else f"{found.of_layer} findings are"
    return [f"{findings} of the layer as a whole"]


def _paths(openings: Openings, board: Board, found: Marked, lines: Lines) -> Iterator[str]:
    """All that is drawn in steps of 0.1 um."""
    if board.profile is not None:
        rings = np.concatenate([board.profile.boards, board.profile.cutouts])
        yield from _elements("board", _whole(rings))
    if board.lands is not None:
        lands = board.lands
        yield from _elements("lands", _gathered(lands.shapes, lands.shape, lands.x_nm, lands.y_nm))
    yield from _marks(("halo", "inner"), found)
    yield '<g class="openings">'
    yield from _openings(openings, found)
    yield "</g>"
    yield from _marks(("dot",), found)
    yield from _marks_within(found)
    for row, level in enumerate(LEVELS):
        for is_inside in (False, True):
            some = lines.rows((lines.level == row) & (lines.is_inside == is_inside))
            names = f"measured {level}{' inside' if is_inside else ''}"
            begin = _steps(some.begin_mm)
            way = _steps(some.end_mm) - begin
            for text, rows in found.lines_shown(some.opening, some.other).apart():
                yield from _elements(names, strokes(begin[rows], way[rows]), text)


def _elements(names: str, paths: list[str], shown: str = "") -> Iterator[str]:
    """Paths of some classes, with attributes that say when they are shown."""
    return (f'<path class="{names}"{shown} d="{path}"/>' for path in paths if path)


def _whole(polygons: "np.ndarray[tuple[int, ...], np.dtype[np.object_]]") -> list[str]:
    nowhere = np.zeros(len(polygons), np.int64)
    paths = paths_of_polygons(polygons, nowhere + 1)
    return placed_paths(paths, np.arange(len(polygons)), nowhere, nowhere)


def _gathered(shapes: Shapes, shape: IntArray, x_nm: IntArray, y_nm: IntArray) -> list[str]:
    used, kind, count = np.unique(shape, return_inverse=True, return_counts=True)
    return tiled_paths(paths_of_shapes(shapes, used, count), kind, x_nm, y_nm)


def _openings(openings: Openings, found: Marked) -> Iterator[str]:
    """Those of which nothing was found first, then by how bad it is."""
    of_opening = found.of_opening
    used, kind, count = np.unique(openings.shape, return_inverse=True, return_counts=True)
    paths = paths_of_shapes(openings.shapes, used, count)
    are_many = np.count_nonzero(of_opening >= 0) > ONE_BY_ONE
    for level in range(-1, len(LEVELS)):
        rows = np.flatnonzero(of_opening == level)
        placed = kind[rows], openings.x_nm[rows], openings.y_nm[rows]
        names = "outlines" if level < 0 else f"outlines {LEVELS[level]}"
        if level < 0:
            yield from _elements(names, tiled_paths(paths, *placed))
            continue
        shown = found.opening_shown.rows(rows)
        if are_many:
            for text, some in shown.apart():
                yield from _elements(names, tiled_paths(paths, *(column[some] for column in placed)), text)
            continue
        element = f'<path class="{names}" data-opening="{{}}"{{}} d="{{}}"/>'.format
        yield from map(element, (rows + 1).tolist(), shown.each, placed_paths(paths, *placed))


def _marks(kinds: tuple[str, ...], found: Marked) -> Iterator[str]:
    """Dots of no length, whose width the style sets: it may be one on the screen, however far one zooms."""
    for level, name in enumerate(LEVELS):
        shown = found.of_place == level
        if "dot" in kinds:
            shown = shown & found.is_bare
        # a square end turned by 45 degrees is a diamond
        step = np.array([9, 9] if name == "error" else [1, 0])
        for text, rows in _by_groups(found, np.flatnonzero(shown)):
            at = _steps(found.place_mm[rows])
            for kind in kinds:
                yield from _elements(f"{kind} {name}", strokes(at, np.broadcast_to(step, at.shape)), text)


def _marks_within(found: Marked) -> Iterator[str]:
    """Marks as large as the opening lets them be, for those that lie below it are hidden."""
    for level, name in enumerate(LEVELS):
        for text, rows in _by_groups(
            found, np.flatnonzero((found.of_place == level) & (found.within_mm > 0))
        ):
            radii, kind = np.unique(np.round(found.within_mm[rows], 3), return_inverse=True)
            x_nm, y_nm = np.rint(found.place_mm[rows].T * NM_PER_MM).astype(np.int64)
            for part, share in _PARTS_WITHIN.items():
                paths = diamonds(radii * share) if name == "error" else discs(radii * share)
                yield from _elements(f"within {part} {name}", tiled_paths(paths, kind, x_nm, y_nm), text)


def _by_groups(found: Marked, rows: IntArray) -> Iterator[tuple[str, IntArray]]:
    """Some marks apart by the groups with which they are shown: attributes, and rows."""
    for text, some in found.place_shown.rows(rows).apart():
        yield text, rows[some]


def _steps(place_mm: FloatArray) -> IntArray:
    steps: IntArray = np.rint(place_mm * STEPS_PER_MM).astype(np.int64)
    return steps


def _bounds_mm(openings: Openings, board: Board, *, is_mirrored: bool) -> tuple[float, float, float, float]:
    boxes = [boxes_mm(openings.shapes, openings.shape, openings.x_nm, openings.y_nm)]
    if board.lands is not None and len(board.lands):
        lands = board.lands
        boxes.append(boxes_mm(lands.shapes, lands.shape, lands.x_nm, lands.y_nm))
    if board.profile is not None:
        boxes.append(shapely.bounds(board.profile.boards).reshape(-1, 4))
    every = np.concatenate(boxes)
    low_x, low_y = every[:, :2].min(axis=0).tolist()
    high_x, high_y = every[:, 2:].max(axis=0).tolist()
    if is_mirrored:
        low_x, high_x = -high_x, -low_x
    return low_x, -high_y, high_x, -low_y
