"""Outlines as closed lines of straight edges and arcs, all of them walked counter-clockwise."""

from typing import Final, NamedTuple

import numpy as np
import shapely

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.arcs import with_arcs
from pastecheck.geometry.outlines import arcs_between, neighbours, sides_grown
from pastecheck.openings import GeometryArray
from pastecheck.ragged import offsets, rows_of_runs, within_runs

_QUARTERS: Final = np.radians([-45.0, 45.0, 135.0, 225.0])
"""A disc is walked in four arcs, so that one begins beside each of its four sides."""
_FINEST_MM: Final = 1e-6


class Rings(NamedTuple):
    """
    Closed lines of distinct shapes, each about its origin, one behind the other.

    A row is a corner and the edge that leaves it for the next corner of its ring.
    """

    corner_mm: FloatArray
    """Shape (v, 2)."""
    centre_mm: FloatArray
    """Of edges that are arcs; NaN where straight. Shape (v, 2)."""
    turn: IntArray
    """Of the edge: 1 counter-clockwise, -1 clockwise, 0 straight. Shape (v,)."""
    ring: IntArray
    """Ring r has the rows ring[r] to ring[r + 1]. Shape (r + 1,)."""
    shape: IntArray
    """Shape s has the rings shape[s] to shape[s + 1], its outer one first. Shape (s + 1,)."""

    @property
    def sweep_rad(self) -> FloatArray:
        """Angle of each arc; 0 where straight. Shape (v,)."""
        after = self.corner_mm[neighbours(self.ring, 1)]
        straight = self.turn == 0
        centre_mm = np.where(straight[:, None], 0.0, self.centre_mm)
        sweep_rad = arcs_between(self.corner_mm, after, centre_mm, self.turn.astype(np.int8)).sweep_rad
        found: FloatArray = np.where(straight, 0.0, np.abs(sweep_rad))
        return found

    @property
    def length_mm(self) -> FloatArray:
        """Of each edge. Shape (v,)."""
        chord_mm = np.hypot(*(self.corner_mm[neighbours(self.ring, 1)] - self.corner_mm).T)
        radius_mm = np.hypot(*(self.corner_mm - self.centre_mm).T)
        length: FloatArray = np.where(self.turn == 0, chord_mm, self.sweep_rad * np.nan_to_num(radius_mm))
        return length

    def at(self, edge: IntArray, share: FloatArray) -> FloatArray:
        """Places on edges, at shares of their lengths. Shape (k, 2), in mm."""
        begin, end = self.corner_mm[edge], self.corner_mm[neighbours(self.ring, 1)[edge]]
        place = begin + share[:, None] * (end - begin)
        arc = np.flatnonzero(self.turn[edge] != 0)
        from_centre = begin[arc] - self.centre_mm[edge[arc]]
        angle = np.arctan2(from_centre[:, 1], from_centre[:, 0])
        angle += (share * self.turn[edge] * self.sweep_rad[edge])[arc]
        reach_mm = np.hypot(*from_centre.T)[:, None]
        place[arc] = self.centre_mm[edge[arc]] + reach_mm * np.column_stack([np.cos(angle), np.sin(angle)])
        found: FloatArray = np.where((share == 1)[:, None], end, place)
        return found

    def turned_over(self, matrix: IntArray) -> tuple["Rings", IntArray]:
        """
        The rings mirrored or turned, still walked counter-clockwise, and the new row of each edge.

        Args:
            matrix: Its entries are whole, so that nothing is rounded: a mirror, a quarter turn, or both.
                Shape (2, 2).
        """
        corner_mm, centre_mm = self.corner_mm @ matrix.T, self.centre_mm @ matrix.T
        same = np.arange(len(self.turn))
        if np.linalg.det(matrix) > 0:
            return self._replace(corner_mm=corner_mm, centre_mm=centre_mm), same
        # walked the other way: what left a corner arrives there, and arcs keep their turn, mirrored twice
        count = np.diff(self.ring)
        backward = np.repeat(self.ring[:-1] + count - 1, count) - within_runs(count)
        edge = neighbours(self.ring, -1)[backward]
        moved_to = np.empty_like(same)
        moved_to[edge] = same
        return (
            self._replace(corner_mm=corner_mm[backward], centre_mm=centre_mm[edge], turn=self.turn[edge]),
            moved_to,
        )


def rings_of(
    outline: GeometryArray, core: GeometryArray, radius_mm: FloatArray, tolerance_mm: FloatArray
) -> Rings:
    """
    Closed lines of shapes, with the arcs that they have.

    Rounded shapes are walked about their cores, so their arcs are exact. In other outlines arcs are found
    again in the chords of flattened curves, where all vertices lie within the flatness of them.

    Args:
        outline: Columns as of `openings.Shapes`. Shape (s,).
        core: As well.
        radius_mm: As well.
        tolerance_mm: As well.
    """
    is_rounded = radius_mm > 0
    disc = np.flatnonzero(is_rounded & (shapely.get_dimensions(core) == 0))
    grown = np.flatnonzero(is_rounded & (shapely.get_dimensions(core) > 0))
    plain = np.flatnonzero(~is_rounded)
    parts = [
        _discs(core[disc], radius_mm[disc]),
        _grown(core[grown], radius_mm[grown]),
        _plain(outline[plain], tolerance_mm[plain] > 0),
    ]
    of_ring = np.concatenate([rows[part.of] for rows, part in zip((disc, grown, plain), parts, strict=True)])
    return _in_order(parts, of_ring, len(outline))


class _Some(NamedTuple):
    """Rings of some shapes."""

    corner_mm: FloatArray
    centre_mm: FloatArray
    turn: IntArray
    edges: IntArray
    """How many each ring has."""
    of: IntArray
    """Shape of each ring, a row among those asked for."""


def _in_order(parts: list[_Some], of_ring: IntArray, shapes: int) -> Rings:
    """All rings in the order of their shapes, without edges of no length."""
    corner_mm = np.concatenate([part.corner_mm for part in parts])
    centre_mm = np.concatenate([part.centre_mm for part in parts])
    turn = np.concatenate([part.turn for part in parts])
    count = np.concatenate([part.edges for part in parts])
    order = np.argsort(of_ring, kind="stable")
    row = rows_of_runs(offsets(count)[order], count[order])
    ring = offsets(count[order])
    after = corner_mm[row][neighbours(ring, 1)]
    kept = np.hypot(*(after - corner_mm[row]).T) > _FINEST_MM
    owner = np.repeat(np.arange(len(order)), count[order])
    return Rings(
        corner_mm[row][kept],
        centre_mm[row][kept],
        turn[row][kept],
        offsets(np.bincount(owner[kept], minlength=len(order))),
        offsets(np.bincount(of_ring, minlength=shapes)),
    )


def _discs(core: GeometryArray, radius_mm: FloatArray) -> _Some:
    way = np.column_stack([np.cos(_QUARTERS), np.sin(_QUARTERS)])
    centre_mm = np.repeat(shapely.get_coordinates(core), len(_QUARTERS), axis=0)
    corner_mm = (radius_mm[:, None, None] * way).reshape(-1, 2) + centre_mm
    count = np.full(len(core), len(_QUARTERS))
    return _Some(corner_mm, centre_mm, np.ones(len(corner_mm), np.int64), count, np.arange(len(core)))


def _grown(core: GeometryArray, radius_mm: FloatArray) -> _Some:
    """An arc about each corner of a core, and a straight edge to the next."""
    found = sides_grown(core, radius_mm)
    corner_mm = np.stack([found.arriving, found.leaving], axis=1).reshape(-1, 2)
    centre_mm = np.full_like(corner_mm, np.nan)
    centre_mm[::2] = found.corner
    turn = np.tile(np.array([1, 0]), len(found.corner))
    return _Some(corner_mm, centre_mm, turn, 2 * np.diff(found.offset), np.arange(len(core)))


def _plain(outline: GeometryArray, has_curves: BoolArray) -> _Some:
    """Corners of polygons; of those with curves also their arcs."""
    ring, of = shapely.get_rings(outline, return_index=True)
    every = np.asarray(shapely.orient_polygons(shapely.polygons(ring)), dtype=object)
    corner_mm, owner = shapely.get_coordinates(every, return_index=True)
    kept = np.diff(owner, append=-1) == 0  # a ring comes back to its first corner
    corner_mm, owner = corner_mm[kept], owner[kept]
    plain = _Some(
        corner_mm,
        np.full_like(corner_mm, np.nan),
        np.zeros(len(corner_mm), np.int64),
        np.bincount(owner, minlength=len(every)),
        of,
    )
    return _with_arcs(plain, has_curves) if has_curves.any() else plain


def _with_arcs(plain: _Some, has_curves: BoolArray) -> _Some:
    """The same rings, arcs found again; one by one, for each distinct shape once."""
    at = offsets(plain.edges)
    found = [
        with_arcs(plain.corner_mm[begin:end]) if curved else None
        for begin, end, curved in zip(
            at[:-1].tolist(), at[1:].tolist(), has_curves[plain.of].tolist(), strict=True
        )
    ]
    rows = zip(found, at[:-1].tolist(), at[1:].tolist(), strict=True)
    each = [
        (plain.corner_mm[begin:end], plain.centre_mm[begin:end], plain.turn[begin:end])
        if one is None
        else one
        for one, begin, end in rows
    ]
    corner_mm, centre_mm, turn = (np.concatenate(column) for column in zip(*each, strict=True))
    return _Some(corner_mm, centre_mm, turn, np.array([len(one[2]) for one in each]), plain.of)
