"""The board's area from its profile: closed lines, whatever they are drawn with, or filled outlines."""

from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import Drawing, FloatArray, IntArray, Kind
from pastecheck.errors import InputError
from pastecheck.geometry.across import boxes_across
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.geometry.boxes import TooManyPairsError, close_boxes
from pastecheck.geometry.dissolve import column_of, connected
from pastecheck.geometry.mending import GRID_MM
from pastecheck.geometry.outlines import stroke_cores
from pastecheck.geometry.pairs import placed
from pastecheck.limits import STANDARD, Limits
from pastecheck.looks import looks_of
from pastecheck.source import Diagnostic, DiagnosticLevel, Documented, Span
from pastecheck.units import NM_PER_MM, shown

GeometryArray = NDArray[np.object_]

GAP_MM: Final = 0.05
"""Ends of lines that lie so close are meant to meet: corners of old files are off by their rounding."""

OPEN_OUTLINE: Final = "open-outline"
LOOSE_LINES: Final = "loose-lines"

ERRORS: Final[dict[str, Documented]] = {
    OPEN_OUTLINE: Documented(
        "nothing that the outline draws is closed, so nobody knows what is board and what is not",
        "close it where the error says, or name another file: --outline FILE",
    ),
}

DIAGNOSTICS: Final[dict[str, Documented]] = {
    LOOSE_LINES: Documented(
        "lines of the outline end nowhere and enclose nothing; they were passed over",
        "nothing, if they are dimensions or marks; else close the outline there",
    ),
}


@dataclass(frozen=True, eq=False, slots=True)
class Profile:
    """What the outline encloses, in mm."""

    boards: GeometryArray
    """Outer outlines, filled: polygons, some perhaps within cut-outs of others."""
    cutouts: GeometryArray
    """What is cut out of them. In the frame of a panel, boards look the same: openings tell which it is."""
    diagnostics: tuple[Diagnostic, ...] = ()


def profile_of(drawing: Drawing, limits: Limits = STANDARD) -> Profile:
    """
    The area of a board.

    The middle of a line counts, however wide the pen; so does the edge of what is filled. What lies inside
    an outline and does not touch it is cut out of it, and so on.

    Args:
        drawing: The outline layer.
        limits: How much is taken at most.

    Raises:
        InputError: If nothing is closed.
        GerberUnsupportedError: If a limit is passed.
    """
    try:
        lines = _each_once(_lines_of(drawing, limits))
        _refuse_tangle(lines, limits)
        loops, loose_mm = _loops(np.concatenate([lines, _bridges(lines, limits)]))
        _refuse_tangle(loops, limits)
    except TooMuchError as found:
        raise found.in_file(drawing.path) from None
    if not len(loops):
        raise _open(drawing, lines)
    depth = _depth(loops)
    said: tuple[Diagnostic, ...] = ()
    if loose_mm > GAP_MM:
        text = f"{shown(loose_mm, 'mm')} of lines in the outline enclose nothing and were passed over"
        said = (Diagnostic(LOOSE_LINES, DiagnosticLevel.NOTE, text, Span(drawing.path)),)
    return Profile(loops[depth % 2 == 0], loops[depth % 2 == 1], said)


def _lines_of(drawing: Drawing, limits: Limits) -> GeometryArray:
    """Middles of strokes, and edges of what is filled, where they were drawn."""
    looks, look = looks_of(drawing, limits)
    filled = np.flatnonzero((drawing.kind == Kind.REGION) & drawing.dark)
    outline = placed(looks.outline[look[filled]], *_places_mm(drawing, filled))
    polygons = np.asarray(shapely.get_parts(outline), dtype=object)
    return np.concatenate([_strokes_of(drawing), np.asarray(shapely.get_rings(polygons), dtype=object)])


def _strokes_of(drawing: Drawing) -> GeometryArray:
    """Middles of strokes. Shape (k,)."""
    rows = np.flatnonzero((drawing.kind == Kind.STROKE) & drawing.dark)
    strokes, what = drawing.strokes, drawing.what[rows]
    end_mm, centre_mm = strokes.end_nm[what] / NM_PER_MM, strokes.centre_nm[what] / NM_PER_MM
    chains = stroke_cores(end_mm, centre_mm, strokes.turn[what])
    moves = np.diff(chains.offset) > 1
    owner = np.repeat(np.arange(len(rows)), np.diff(chains.offset))
    lines = np.asarray(
        shapely.linestrings(chains.vertex[moves[owner]], indices=owner[moves[owner]]), dtype=object
    )
    lines = placed(lines, *_places_mm(drawing, rows[moves]))
    return lines[shapely.length(lines) > 0]


def _places_mm(drawing: Drawing, rows: IntArray) -> tuple[FloatArray, FloatArray]:
    return drawing.x_nm[rows] / NM_PER_MM, drawing.y_nm[rows] / NM_PER_MM


def _each_once(lines: GeometryArray) -> GeometryArray:
    """Lines less those that repeat others, if only the other way round."""
    text = np.asarray(shapely.to_wkb(shapely.normalize(lines)), dtype=object)
    _, first = np.unique(text, return_index=True)
    return lines[np.sort(first)]


def _refuse_tangle(lines: GeometryArray, limits: Limits) -> None:
    """
    Refuse lines, or loops, that lie across or within one another too often.

    Raises:
        TooMuchError: If they do.
    """
    try:
        close_boxes(_boxes_nm(lines), most=limits.overlaps)
    except TooManyPairsError as found:
        raise _too_many(found.bound, limits) from None


def _boxes_nm(lines: GeometryArray) -> IntArray:
    whole: IntArray = np.rint(shapely.bounds(lines).reshape(-1, 4) / GRID_MM).astype(np.int64)
    return whole


def _too_many(bound: int, limits: Limits) -> TooMuchError:
    what = f"up to {bound} pairs of lines of the outline lie across each other"
    return TooMuchError(f"{what}; at most {limits.overlaps} are read", "overlaps", bound)


def _bridges(lines: GeometryArray, limits: Limits) -> GeometryArray:
    """
    Lines from ends that meet no other end to all other lines that lie so close that they are meant to meet.

    Raises:
        TooMuchError: If too many do.
    """
    ends = np.concatenate([shapely.get_coordinates(shapely.get_point(lines, at)) for at in (0, -1)])
    place, inverse, count = np.unique(
        np.round(ends / GRID_MM), axis=0, return_inverse=True, return_counts=True
    )
    loose = np.flatnonzero(count[inverse] == 1)
    owner = loose % len(lines)
    points = np.asarray(shapely.points(ends[loose]), dtype=object)
    around = np.tile(place[inverse[loose]], 2) + round(GAP_MM / GRID_MM) * np.array([-1, -1, 1, 1])
    try:
        end, line = boxes_across(around.astype(np.int64), _boxes_nm(lines), limits.overlaps)
    except TooManyPairsError as found:
        raise _too_many(found.bound, limits) from None
    near = (owner[end] != line) & shapely.dwithin(points[end], lines[line], GAP_MM)
    bridges = np.asarray(shapely.shortest_line(points[end[near]], lines[line[near]]), dtype=object)
    return bridges[shapely.length(bridges) > 0]


def _loops(lines: GeometryArray) -> tuple[GeometryArray, float]:
    """What connected lines enclose, filled; and the length of lines that enclose nothing."""
    if not len(lines):
        return lines, 0.0
    noded = np.asarray(shapely.get_parts(shapely.union_all(lines, grid_size=GRID_MM)), dtype=object)
    faces, _, loose, _ = shapely.polygonize_full(noded)
    ends = np.concatenate([shapely.get_coordinates(shapely.get_point(noded, at)) for at in (0, -1)])
    _, node = np.unique(ends, axis=0, return_inverse=True)
    count = len(noded)
    root = connected(int(node.max()) + 1, node[:count], node[count:])
    # a face lies with the lines of its outer edge
    face = np.asarray(shapely.get_parts(faces), dtype=object)
    edge = shapely.get_coordinates(shapely.get_point(shapely.get_exterior_ring(face), 0))
    at = shapely.STRtree(noded).nearest(np.asarray(shapely.points(edge), dtype=object)) if len(face) else []
    group = root[node[:count]][at]
    order = np.argsort(group, kind="stable")
    groups = np.split(order, np.flatnonzero(np.diff(group[order])) + 1) if len(face) else []
    loops = [shapely.union_all(face[rows]) for rows in groups]
    outer = [shapely.Polygon(part.exterior) for loop in loops for part in shapely.get_parts(loop)]
    return column_of(outer), float(shapely.length(loose))


def _depth(loops: GeometryArray) -> IntArray:
    """Within how many others each loop lies. Shape (k,)."""
    within, _ = shapely.STRtree(loops).query(loops, predicate="within")
    return np.bincount(within, minlength=len(loops)) - 1


def _open(drawing: Drawing, lines: GeometryArray) -> InputError:
    if not len(lines):
        hint = "name the layer that draws the edge of the board"
        return InputError("the outline draws no line and no area", Span(drawing.path), hint, OPEN_OUTLINE)
    ends = shapely.get_coordinates(shapely.get_point(lines, 0))
    text = f"no line of the outline closes: one begins at ({ends[0, 0]:.3f}, {ends[0, 1]:.3f}) mm"
    return InputError(text, Span(drawing.path), "close it, or name another file", OPEN_OUTLINE)
