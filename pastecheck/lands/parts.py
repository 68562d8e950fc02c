"""The parts of copper in each kind of window: their outlines, and the pad that each of them is."""

from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, Drawing, IntArray, Kind
from pastecheck.geometry.dissolve import Look, merged
from pastecheck.geometry.mending import GRID_MM
from pastecheck.geometry.uniting import Work
from pastecheck.lands.pieces import Belonging, Pieces, Polygons, belonging, composed_of, pieces_of
from pastecheck.lands.windows import Meets, Windows
from pastecheck.looks import Looks
from pastecheck.openings import Openings

OF_WINDOW: Final = -1
"""The origin of an outline is that of its window, not of a member of it."""

_MOST_OF_IT: Final = 0.5
"""A pad makes at least so much of its land; the rest is of tracks that leave it."""


class Outlines(NamedTuple):
    """An outline for each part, and where its origin lies. Shape (p,) each."""

    shape: IntArray
    """A row of the looks of the copper; behind them of the mask's shapes; then of what is made here."""
    origin: IntArray
    """A place among the members of the window, or `OF_WINDOW`."""

    def put(self, rows: IntArray | BoolArray, shape: IntArray, origin: IntArray | int) -> None:
        """Others in place of some of them."""
        self.shape[rows] = shape
        self.origin[rows] = origin


class Parts(NamedTuple):
    """Parts of each kind of window, one kind behind the other. Shape (p,) each."""

    kind: IntArray
    land: Outlines
    pad: Outlines
    """What was drawn for the pad, as far as it shows: without the tracks that leave it."""
    made: list[Look]
    """Outlines that are none of a look or of a mask opening."""
    part: IntArray
    """For each member that lies in a part: the part. Shape (q,), ascending."""
    member: IntArray
    """And its place among the members of its window. Shape (q,)."""


class Sources(NamedTuple):
    """What lands are made of."""

    mask: Openings
    drawing: Drawing
    """The copper."""
    looks: Looks
    """Its distinct looks."""
    look: IntArray
    """And that of each object. Shape (n,)."""

    @property
    def first_made(self) -> int:
        """Row of the first outline that is made here."""
        return len(self.looks.outline) + len(self.mask.shapes)


def parts_of(windows: Windows, sources: Sources, work: Work) -> Parts:
    """
    The parts of copper in each kind of window, and the pad of each.

    Args:
        windows: What the openings of the mask hold.
        sources: Mask and copper.
        work: Counts what is merged.

    Raises:
        TooMuchError: If that is too much.
    """
    example = windows.kinds.first
    first, count = windows.offset[example], np.diff(windows.offset)[example]
    thing, meets = windows.member[first], windows.meets[first]
    look = sources.look[thing]
    alone = (count == 1) & ((meets == Meets.COVERS) | ((meets == Meets.WITHIN) & sources.looks.whole[look]))
    shape = np.where(
        meets == Meets.COVERS, len(sources.looks.outline) + sources.mask.shape[windows.mask[example]], look
    )
    simple = np.flatnonzero(alone)
    whole = Outlines(shape[alone], np.where(meets == Meets.COVERS, OF_WINDOW, 0)[alone])
    others = _of_pieces(np.flatnonzero(~alone), windows, sources, work)
    part = np.concatenate([np.arange(len(simple)), len(simple) + others.part])
    return Parts(
        np.concatenate([simple, others.kind]),
        Outlines(*(np.concatenate(pair) for pair in zip(whole, others.land, strict=True))),
        Outlines(*(np.concatenate(pair) for pair in zip(whole, others.pad, strict=True))),
        others.made,
        part,
        np.concatenate([np.zeros(len(simple), np.int64), others.member]),
    )


class _Found(NamedTuple):
    """Polygons that the pieces of windows make, and which piece lies in which of them."""

    pieces: Pieces
    polygons: Polygons
    belong: Belonging
    is_look: BoolArray
    """Whether a piece shows all of what was drawn, and that is one polygon. Shape of the pieces."""

    def largest(self, of: BoolArray) -> IntArray:
        """For each polygon the row of `belong` with most of its area among some of them; -1 for none."""
        rows = np.flatnonzero(of)
        order = rows[np.lexsort((-self.belong.area_mm2[rows], self.belong.polygon[rows]))]
        polygon = self.belong.polygon[order]
        first = np.flatnonzero(np.diff(polygon, prepend=-1))
        found = np.full(len(self.polygons.kind), -1, np.int64)
        found[polygon[first]] = order[first]
        return found


def _of_pieces(kinds: IntArray, windows: Windows, sources: Sources, work: Work) -> Parts:
    """Parts of the kinds of window whose copper has to be merged or clipped."""
    pieces = pieces_of(kinds, windows, sources.mask, sources.drawing, sources.looks, sources.look)
    polygons = composed_of(pieces, work)
    belong = belonging(polygons, pieces)
    is_look = (pieces.meets == Meets.WITHIN) & sources.looks.whole[sources.look[pieces.thing]]
    found = _Found(pieces, polygons, belong, is_look)
    flat_mm = np.zeros(int(kinds.max(initial=-1)) + 1)
    np.maximum.at(flat_mm, pieces.kind, pieces.flat_mm)
    flats = flat_mm[polygons.kind].tolist()
    made = [merged(outline, [], flat) for outline, flat in zip(polygons.outline, flats, strict=True)]
    row = np.arange(len(polygons.kind))
    land = Outlines(sources.first_made + row, np.full(len(row), OF_WINDOW))
    _put_looks(land, found, sources)
    pad = Outlines(land.shape.copy(), land.origin.copy())
    _put_pads(pad, found, sources, made)
    return Parts(polygons.kind, land, pad, made, belong.polygon, pieces.member[belong.piece])


def _put_looks(land: Outlines, found: _Found, sources: Sources) -> None:
    """The look of what was drawn in place of a polygon that is nothing but that: it is exact."""
    pieces, belong = found.pieces, found.belong
    at = found.largest(found.is_look[belong.piece])
    row = np.flatnonzero(at >= 0)
    piece = belong.piece[at[row]]
    area_mm2 = shapely.area(found.polygons.outline[row])
    least = np.minimum(belong.area_mm2[at[row]], area_mm2)
    most = np.maximum(shapely.area(pieces.outline[piece]), area_mm2)
    # corners of what was merged are rounded to whole nanometres
    same = most - least <= GRID_MM * shapely.length(found.polygons.outline[row])
    land.put(row[same], sources.look[pieces.thing[piece[same]]], pieces.member[piece[same]])


def _put_pads(pad: Outlines, found: _Found, sources: Sources, made: list[Look]) -> None:
    """The largest flash or small region in place of a polygon that is mostly that."""
    pieces, belong = found.pieces, found.belong
    kind = sources.drawing.kind[pieces.thing]
    is_pad = (kind == Kind.FLASH) | ((kind == Kind.REGION) & found.is_look)
    is_pad &= shapely.get_type_id(pieces.outline) == shapely.GeometryType.POLYGON
    at = found.largest(is_pad[belong.piece])
    row = np.flatnonzero((at >= 0) & (pad.origin == OF_WINDOW))
    row = row[belong.area_mm2[at[row]] >= _MOST_OF_IT * shapely.area(found.polygons.outline[row])]
    piece = belong.piece[at[row]]
    drawn = found.is_look[piece]
    pad.put(row[drawn], sources.look[pieces.thing[piece[drawn]]], pieces.member[piece[drawn]])
    cut = piece[~drawn]
    pad.put(row[~drawn], sources.first_made + len(made) + np.arange(len(cut)), OF_WINDOW)
    flats = pieces.flat_mm[cut].tolist()
    made += [merged(outline, [], flat) for outline, flat in zip(pieces.outline[cut], flats, strict=True)]
