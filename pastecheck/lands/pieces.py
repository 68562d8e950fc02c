"""What shows of each thing of copper in a window, and what all of them make together."""

from collections.abc import Iterable
from typing import Any, Final, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray

from pastecheck.drawing import BoolArray, Drawing, FloatArray, IntArray
from pastecheck.geometry.across import placed_about
from pastecheck.geometry.dissolve import composed, joined, polygons_of
from pastecheck.geometry.mending import GRID_MM
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.geometry.uniting import Work, united
from pastecheck.lands.windows import Meets, Windows
from pastecheck.looks import Looks
from pastecheck.openings import Openings
from pastecheck.ragged import rows_of_runs
from pastecheck.units import NM_PER_MM

GeometryArray = NDArray[np.object_]

_MANY_PIECES: Final = 64
"""More are united two by two, and told before they get too complicated."""
_PAIRS_TRIED: Final = 2_000
"""Of polygons and pieces of one kind of window; more are looked up in a tree."""


class Pieces(NamedTuple):
    """
    What shows of the members of some kinds of window, about the window's origin; sorted by kind.

    Shape (k,) each. Those that only touch the window are left out.
    """

    kind: IntArray
    member: IntArray
    """Place among the members of the window."""
    thing: IntArray
    """The object in the window that stands for its kind."""
    meets: IntArray
    dark: BoolArray
    outline: GeometryArray
    flat_mm: FloatArray
    """How far the outline can be from what was drawn."""

    def rows(self, kept: BoolArray | IntArray) -> "Pieces":
        """Some of the pieces."""
        columns: Iterable[Any] = self
        return Pieces(*(column[kept] for column in columns))


def pieces_of(
    kinds: IntArray, windows: Windows, mask: Openings, drawing: Drawing, looks: Looks, look: IntArray
) -> Pieces:
    """
    What shows of each member in windows of some kinds.

    Args:
        kinds: Rows of the kinds, ascending.
        windows: What the openings of the mask hold.
        mask: The openings.
        drawing: The copper.
        looks: Its distinct looks.
        look: Row of looks for each of its objects.
    """
    example = windows.kinds.first[kinds]
    count = windows.offset[example + 1] - windows.offset[example]
    at = rows_of_runs(windows.offset[example], count)
    window = np.repeat(windows.mask[example], count)
    thing, meets = windows.member[at], windows.meets[at]
    opening = mask.shapes.outline[mask.shape[window]]
    way_mm = (
        np.column_stack([drawing.x_nm[thing] - mask.x_nm[window], drawing.y_nm[thing] - mask.y_nm[window]])
        / NM_PER_MM
    )
    outline = placed_about(looks.outline, look[thing], way_mm, shapely.bounds(opening).reshape(-1, 4))
    covers, partly = meets == Meets.COVERS, np.flatnonzero(meets == Meets.PARTLY)
    outline[covers] = opening[covers]
    outline[partly] = _areas(shapely.intersection(outline[partly], opening[partly], grid_size=GRID_MM))
    flat_mm = np.where(
        meets == Meets.WITHIN,
        _flatness(looks.tolerance_mm, looks.radius_mm)[look[thing]],
        np.maximum(
            _flatness(looks.tolerance_mm, looks.radius_mm)[look[thing]],
            mask.shapes.flatness_mm[mask.shape[window]],
        ),
    )
    kind = np.repeat(kinds, count)
    member = at - np.repeat(windows.offset[example], count)
    pieces = Pieces(kind, member, thing, meets, drawing.dark[thing], outline, flat_mm)
    return pieces.rows(~shapely.is_empty(outline))


def _areas(geometry: GeometryArray) -> GeometryArray:
    """Geometries less their lines and points. Shape (k,)."""
    result = geometry.copy()
    result[shapely.get_dimensions(result) < 2] = shapely.Polygon()
    mixed = shapely.get_type_id(result) == shapely.GeometryType.GEOMETRYCOLLECTION
    for row in np.flatnonzero(mixed).tolist():
        result[row] = shapely.multipolygons(polygons_of(result[row]))
    return result


def _flatness(tolerance_mm: FloatArray, radius_mm: FloatArray) -> FloatArray:
    """How far flattened outlines can be from what was drawn. Shape (s,)."""
    return np.where(radius_mm > 0, np.maximum(tolerance_mm, FLATNESS_MM), tolerance_mm)


class Polygons(NamedTuple):
    """Separate polygons that pieces make, sorted by kind. Shape (p,) each."""

    kind: IntArray
    outline: GeometryArray


def composed_of(pieces: Pieces, work: Work) -> Polygons:
    """
    What the pieces of each kind make together, as separate polygons; what is clear cuts what came before.

    Raises:
        TooMuchError: If that is too much.
    """
    kinds, begin = np.unique(pieces.kind, return_index=True)
    count = np.diff(np.append(begin, len(pieces.kind)))
    if not len(kinds):
        return Polygons(kinds, pieces.outline)
    mixed = ~np.logical_and.reduceat(pieces.dark, begin)
    image = np.empty(len(kinds), dtype=object)
    image[count == 1] = pieces.outline[begin[count == 1]]
    few = np.flatnonzero(~mixed & (count > 1) & (count <= _MANY_PIECES))
    rows = rows_of_runs(begin[few], count[few])
    owner = np.repeat(np.arange(len(few)), count[few])
    work.add(pieces.outline[rows])
    together = np.asarray(shapely.geometrycollections(pieces.outline[rows], indices=owner), dtype=object)
    image[few] = shapely.union_all(together.reshape(-1, 1), axis=1, grid_size=GRID_MM)
    for row in np.flatnonzero(mixed | (count > _MANY_PIECES)).tolist():
        some = slice(begin[row], begin[row] + count[row])
        if mixed[row]:
            image[row] = composed(pieces.outline[some], pieces.dark[some], work)
        else:
            image[row] = united(pieces.outline[some], work)
    return _separate(kinds, _areas(image), mixed)


def _separate(kinds: IntArray, image: GeometryArray, mixed: BoolArray) -> Polygons:
    """Polygons of each kind; those of pieces that abut in the file are one."""
    several = shapely.get_num_geometries(image) > 1
    for at in np.flatnonzero(several & ~mixed).tolist():
        image[at] = shapely.multipolygons(joined(polygons_of(image[at])))
    polygon, row = shapely.get_parts(image, return_index=True)
    there = shapely.area(polygon) > 0
    polygons = np.asarray(shapely.orient_polygons(polygon[there]), dtype=object)
    return Polygons(kinds[row[there]], polygons)


class Belonging(NamedTuple):
    """Which piece lies in which polygon; sorted by polygon. Shape (q,) each."""

    polygon: IntArray
    piece: IntArray
    area_mm2: FloatArray
    """Of the piece in the polygon."""


def belonging(polygons: Polygons, pieces: Pieces) -> Belonging:
    """Dark pieces of each polygon: those that share an area with it."""
    dark = np.flatnonzero(pieces.dark)
    polygon, piece = _may_belong(polygons, pieces.rows(dark))
    piece = dark[piece]
    count = np.bincount(polygons.kind, minlength=int(polygons.kind.max(initial=0)) + 1)
    cut = np.bincount(pieces.kind[~pieces.dark], minlength=len(count))
    area_mm2 = shapely.area(pieces.outline[piece])
    unsure = np.flatnonzero((count > 1)[pieces.kind[piece]] | (cut > 0)[pieces.kind[piece]])
    common = shapely.intersection(polygons.outline[polygon[unsure]], pieces.outline[piece[unsure]])
    area_mm2[unsure] = shapely.area(common)
    lies_in = area_mm2 > GRID_MM * shapely.length(pieces.outline[piece])
    return Belonging(polygon[lies_in], piece[lies_in], area_mm2[lies_in])


def _may_belong(polygons: Polygons, pieces: Pieces) -> tuple[IntArray, IntArray]:
    """Polygons, and pieces of the same kind whose boxes meet theirs; sorted."""
    begin = np.searchsorted(pieces.kind, polygons.kind)
    count = np.searchsorted(pieces.kind, polygons.kind, side="right") - begin
    total = np.bincount(polygons.kind, weights=count, minlength=int(polygons.kind.max(initial=0)) + 1)
    few = np.flatnonzero(total[polygons.kind] <= _PAIRS_TRIED)
    polygon, piece = np.repeat(few, count[few]), rows_of_runs(begin[few], count[few])
    box = shapely.bounds(polygons.outline).reshape(-1, 4)[polygon]
    other = shapely.bounds(pieces.outline).reshape(-1, 4)[piece]
    meet = (box[:, :2] <= other[:, 2:]).all(axis=1) & (other[:, :2] <= box[:, 2:]).all(axis=1)
    found = [np.stack([polygon[meet], piece[meet]])]
    for kind in np.flatnonzero(total > _PAIRS_TRIED).tolist():
        low, high = np.searchsorted(pieces.kind, [kind, kind + 1])
        of_kind = np.flatnonzero(polygons.kind == kind)
        row, near = shapely.STRtree(pieces.outline[low:high]).query(polygons.outline[of_kind])
        found.append(np.stack([of_kind[row], low + near]))
    polygon, piece = np.concatenate(found, axis=1)
    order = np.lexsort((piece, polygon))
    return polygon[order], piece[order]
