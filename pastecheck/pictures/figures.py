"""Figures beside the lines of a picture: what each measures, in millimetres."""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray
from pastecheck.openings import GeometryArray
from pastecheck.pictures.lettering import path_of, width_of
from pastecheck.pictures.measured import Lines

MOST_FIGURES: Final = 4_000
"""So many lines have their figure beside them."""
_HIGHEST_MM: Final = 0.5
_IN_THE_GAP: Final = 0.6
"""Figures stand in the gap they tell of, turned along it: so high, as a share of its width."""
_HIGH: Final = 6
"""Of figures, in the unit of their letters."""
_ASIDE: Final = 3
"""From the line to its figure, as well."""


class Figures(NamedTuple):
    """What is drawn, and whether every line has its figure."""

    svg: str
    are_all: bool


def figures(lines: Lines, side: str, shown: Sequence[str], *, is_mirrored: bool) -> Figures:
    """
    The length of each line, of the shortest where there are very many.

    Each stands in the gap that it tells of, beside the line, to be read from below or from the right; what
    would lie on the figure of a shorter line is left out.

    Args:
        lines: In coordinates of the layer.
        side: Told in the ids of what is drawn many times, so that both sides of a board may stand in a page.
        shown: Of each line the attributes that say when it is.
        is_mirrored: Whether the picture is.
    """
    # to 1 nm, or the last bit would say which of equal lines comes first
    length_mm = np.round(lines.length_mm, 6)
    rows = np.argsort(length_mm, kind="stable")[:MOST_FIGURES]
    rows = rows[length_mm[rows] > 0]
    placed = _placed(lines.rows(rows), is_mirrored=is_mirrored)
    free = ~_lie_on_others(placed)
    drawn = _drawn(placed, free, side, [shown[row] for row in rows.tolist()]) if free.any() else ""
    return Figures(drawn, are_all=len(rows) == len(length_mm) and bool(free.all()))


class _Placed(NamedTuple):
    """Figures, and where they stand. Shape (k,)."""

    text: list[str]
    is_inside: BoolArray
    at_mm: FloatArray
    """The middle of the line, in the picture. Shape (k, 2)."""
    turn_deg: FloatArray
    scale: FloatArray
    """Of letters whose figures are six high."""


def _placed(lines: Lines, *, is_mirrored: bool) -> _Placed:
    length_mm = lines.length_mm
    flip = np.array([-1.0 if is_mirrored else 1.0, -1.0])
    begin, end = lines.begin_mm * flip, lines.end_mm * flip
    way = end - begin
    return _Placed(
        text=[f"{length:.3f}" for length in length_mm.tolist()],
        is_inside=lines.is_inside,
        at_mm=(begin + end) / 2,
        turn_deg=np.round(np.rad2deg(np.arctan2(way[:, 1], way[:, 0])), 2) % 180 - 90,
        scale=np.minimum(_IN_THE_GAP * length_mm, _HIGHEST_MM) / _HIGH,
    )


def _lie_on_others(placed: _Placed) -> BoolArray:
    """Which would lie on one before them that is drawn. Shape (k,)."""
    width = np.array([width_of(text, _HIGH) for text in placed.text])
    along = np.column_stack(
        [np.full(len(width), _ASIDE), _ASIDE + width, _ASIDE + width, np.full(len(width), _ASIDE)]
    )
    across = np.tile(np.array([-1.0, -1.0, 1.0, 1.0]) * _HIGH / 2, (len(width), 1))
    turn = np.deg2rad(placed.turn_deg)[:, None]
    turned = np.stack(
        [along * np.cos(turn) - across * np.sin(turn), along * np.sin(turn) + across * np.cos(turn)], axis=-1
    )
    boxes: GeometryArray = np.asarray(
        shapely.polygons(turned * placed.scale[:, None, None] + placed.at_mm[:, None]), object
    )
    later, first = shapely.STRtree(boxes).query(boxes, predicate="intersects")
    order = np.lexsort((first, later))
    are = [False] * len(boxes)
    for one, before in zip(later[order].tolist(), first[order].tolist(), strict=True):
        are[one] |= before < one and not are[before]
    return np.array(are, bool)


def _drawn(placed: _Placed, free: BoolArray, side: str, shown: Sequence[str]) -> str:
    rows = np.flatnonzero(free)
    is_inside, texts = placed.is_inside[rows].tolist(), [placed.text[row] for row in rows.tolist()]
    names = [f"{side}-{'in-' if inside else ''}{text}" for inside, text in zip(is_inside, texts, strict=True)]
    letters = "".join(_figure(name, text) for name, text in dict(zip(names, texts, strict=True)).items())
    elements = map(
        '<use{}{} href="#{}" transform="translate({:z.3f} {:z.3f})rotate({:g})scale({:.4f})"/>'.format,
        np.where(is_inside, ' class="inside"', "").tolist(),
        [shown[row] for row in rows.tolist()],
        names,
        *placed.at_mm[rows].T.tolist(),
        placed.turn_deg[rows].tolist(),
        placed.scale[rows].tolist(),
    )
    return f'<g class="figures"><defs>{letters}</defs>{"".join(elements)}</g>'


def _figure(name: str, text: str) -> str:
    """On film with a rim that keeps it legible where it lies on the edge of a mark."""
    rims = [""] if "-in-" in name else [' class="figure-rim"', ""]
    paths = "".join(f'<path{rim} d="{path_of(text)}"/>' for rim in rims)
    return f'<g id="{name}" transform="translate({_ASIDE} {_HIGH // 2})">{paths}</g>'
