"""Drawing -> Openings: the table of holes to be cut."""

from dataclasses import replace

import numpy as np
import shapely

from pastecheck.clusters import clusters_of
from pastecheck.drawing import BoolArray, Drawing, IntArray
from pastecheck.errors import NoOpeningsError
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.limits import STANDARD, Limits
from pastecheck.looks import looks_of
from pastecheck.openings import telling
from pastecheck.openings.holes import Drawn, holes_of
from pastecheck.openings.line_work import line_work_of
from pastecheck.openings.table import GeometryArray, LeftOut, Openings, Shapes, boxes_mm, boxes_nm
from pastecheck.openings.telling import DIAGNOSTICS, SLIVER_MM, SLIVER_MM2
from pastecheck.source import Span
from pastecheck.units import NM_PER_MM

__all__ = [
    "DIAGNOSTICS",
    "SLIVER_MM",
    "SLIVER_MM2",
    "GeometryArray",
    "LeftOut",
    "Openings",
    "Shapes",
    "boxes_mm",
    "boxes_nm",
    "cut_from",
]

_NM_PER_UM = 1000
_CRUMB_VERTICES = 20_000
"""What has more is no crumb; and to shrink 200,000 takes a minute and 5 GiB."""


def cut_from(drawing: Drawing, limits: Limits = STANDARD, *, everything: bool = False) -> Openings:
    """
    The openings that a drawing leaves: what overlaps or abuts is one, what does not stays apart.

    Things that touch in a single point stay two openings. Nothing is left out without a diagnostic.

    Args:
        drawing: What the layer file drew.
        limits: How much is taken at most.
        everything: Whether slivers, thin outlines and lettering are openings too.

    Raises:
        NoOpeningsError: If nothing is left to cut.
        GerberUnsupportedError: If a limit is passed.
    """
    try:
        looks, look = looks_of(drawing, limits)
        clusters = clusters_of(drawing, looks, look, limits)
        holes, drawn = holes_of(drawing, looks, look, clusters, limits)
    except TooMuchError as found:
        raise found.in_file(drawing.path) from None
    no_opening = {} if everything else _no_openings(holes, drawn)
    kept = ~np.logical_or.reduce([np.zeros(len(holes), bool), *no_opening.values()])
    said = (
        *telling.said_of_crossings(drawing, looks, look),
        *telling.said_of_nothing(drawing, looks, look),
        *telling.said_of_left_out(holes, no_opening, drawing.path),
        *telling.said_of_repeats(drawing, clusters.again),
        *telling.said_of_pieces(holes, drawn, kept, drawing),
        *telling.said_of_shared(holes, kept, drawing),
        *telling.said_of_steps(drawing),
    )
    if not kept.any():
        hint = "; ".join(diagnostic.text for diagnostic in said) or "check that it is the right layer"
        raise NoOpeningsError("the layer holds nothing to cut", Span(drawing.path), hint)
    order = np.flatnonzero(kept)
    order = order[_by_place(holes, order)]
    return replace(
        holes.some(order),
        diagnostics=said,
        left_out=tuple(
            LeftOut(code, int(np.count_nonzero(rows)), float(holes.shapes.area_mm2[holes.shape[rows]].sum()))
            for code, rows in no_opening.items()
            if rows.any()
        ),
    )


def _no_openings(holes: Openings, drawn: Drawn) -> dict[str, BoolArray]:
    """Which of the things that were drawn are no openings, by the code that tells it. Shape (n,) each."""
    sliver = _is_sliver(holes.shapes, drawn.flashed)[holes.shape]
    lettering, outline = line_work_of(holes, drawn)
    return {
        telling.SLIVER: sliver,
        telling.THIN_OUTLINE: outline & ~sliver,
        telling.LETTERING: lettering & ~sliver,
    }


def _is_sliver(shapes: Shapes, flashed: BoolArray) -> BoolArray:
    """
    Whether a shape is too small or too narrow everywhere to be an opening. Shape (s,).

    A flash is no crumb of merging: somebody drew it at that size, so the smallest one is judged. But what is
    narrower than any pen stands for "no paste here" with those who cannot leave a land without an aperture.
    """
    small = (shapes.area_mm2 < SLIVER_MM2) & ~flashed
    # what is narrower than a width everywhere has at most half its perimeter times that width
    vertices = shapely.get_num_coordinates(shapes.outline)
    could_be = ~small & (shapes.area_mm2 < SLIVER_MM * shapes.perimeter_mm) & (vertices <= _CRUMB_VERTICES)
    thin = np.flatnonzero(could_be)
    sliver = small.copy()
    sliver[thin] = shapely.is_empty(shapely.buffer(shapes.outline[thin], -SLIVER_MM / 2))
    return sliver


def _by_place(holes: Openings, rows: IntArray) -> IntArray:
    """Order of openings by the row, then the column of their centroids, in whole micrometres."""
    shape = holes.shape[rows]
    centroid_nm = np.rint(holes.shapes.centroid_mm[shape] * NM_PER_MM).astype(np.int64)
    x_um = (holes.x_nm[rows] + centroid_nm[:, 0] + _NM_PER_UM // 2) // _NM_PER_UM
    y_um = (holes.y_nm[rows] + centroid_nm[:, 1] + _NM_PER_UM // 2) // _NM_PER_UM
    return np.lexsort((holes.line[rows], holes.shapes.area_mm2[shape], x_um, y_um))
