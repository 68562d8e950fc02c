"""
Arcs found again in outlines whose curves were flattened: chords of about one length that turn alike.

`geometry.outlines` leaves the ends of an arc where they are and steps evenly between them. So the arc over
n chords that turn by t each has the sweep n t; it is taken only where all vertices lie as near to it as
flattening may have moved them. Whatever is not found stays a chain of chords, which is as exact.
"""

from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.outlines import FLATNESS_MM

_LEAST_TURN_RAD: Final = 1e-3
_MOST_TURN_RAD: Final = 0.8
_ALIKE: Final = 1.3
"""Neighbouring chords of one arc differ by a smaller factor, in length and in turn."""
_FEWEST: Final = 3
_LEAST_SEEN_RAD: Final = 1.0
"""Arcs that turn less do not tell their centre: they go by how far each of their chords turns."""
_MOST_SWEEP_RAD: Final = 3.0
"""Arcs that turn farther are cut in two, or their ends would not tell the radius."""


class Ring(NamedTuple):
    """One closed contour about the origin of its shape; row k is a corner and the edge that leaves it."""

    corner_mm: FloatArray
    """Shape (v, 2)."""
    centre_mm: FloatArray
    """Of the edge, where it is an arc; NaN where it is straight. Shape (v, 2)."""
    turn: IntArray
    """1 counter-clockwise, -1 clockwise; 0 where it is straight."""


class Steps(NamedTuple):
    """Edges of one arc, from one to another, that one not counted."""

    begin: int
    end: int
    step_rad: float
    """By which most of them turn."""
    sweep_rad: float
    """By which all of them turn."""


def straight(corner_mm: FloatArray) -> Ring:
    """A contour without arcs."""
    return Ring(corner_mm, np.full_like(corner_mm, np.nan), np.zeros(len(corner_mm), np.int64))


def with_arcs(corner_mm: FloatArray) -> Ring:
    """A contour of flattened curves with its arcs; each lies within the flatness of all its vertices."""
    edge_mm = np.roll(corner_mm, -1, axis=0) - corner_mm
    length_mm = np.hypot(*edge_mm.T)
    turn_rad = _turns(edge_mm)
    joins = _are_of_one_arc(length_mm, turn_rad)
    if joins.all() or len(corner_mm) <= _FEWEST:
        first = 0
    else:
        first = int(np.flatnonzero(~joins)[0])
        corner_mm = np.roll(corner_mm, -first, axis=0)
        turn_rad, joins = np.roll(turn_rad, -first), np.roll(joins, -first)
    ring = straight(corner_mm)
    kept = np.ones(len(corner_mm), bool)
    begin = np.flatnonzero(~joins) if not joins.all() else np.zeros(1, np.int64)
    end = np.append(begin[1:], len(corner_mm))
    for a, b in zip(begin.tolist(), end.tolist(), strict=True):
        _put_run(ring, kept, turn_rad, a, b)
    return Ring(ring.corner_mm[kept], ring.centre_mm[kept], ring.turn[kept])


def _turns(edge_mm: FloatArray) -> FloatArray:
    """By how much the outline turns at the beginning of each edge."""
    before = np.roll(edge_mm, 1, axis=0)
    cross = before[:, 0] * edge_mm[:, 1] - before[:, 1] * edge_mm[:, 0]
    turn_rad: FloatArray = np.arctan2(cross, (before * edge_mm).sum(axis=1))
    return turn_rad


def _are_of_one_arc(length_mm: FloatArray, turn_rad: FloatArray) -> BoolArray:
    """Whether each edge goes on with the arc of the edge before it."""
    before_mm, after_rad = np.roll(length_mm, 1), np.roll(turn_rad, -1)
    bend = np.abs(turn_rad)
    alike = np.maximum(length_mm, before_mm) < _ALIKE * np.minimum(length_mm, before_mm)
    bends = (bend > _LEAST_TURN_RAD) & (bend < _MOST_TURN_RAD)
    beside_rad = np.stack([np.roll(turn_rad, 1), after_rad])
    near = (np.abs(beside_rad - turn_rad) < (_ALIKE - 1) * bend).any(axis=0)
    return np.asarray(alike & bends & near)


def _pieces(turn_rad: FloatArray, begin: int, end: int) -> list[tuple[int, int]]:
    """Edges from one to another, cut where they would turn too far."""
    count = end - begin
    if count < _FEWEST:
        return []
    sweep_rad = abs(float(np.median(turn_rad[begin + 1 : end]))) * count
    parts = min(int(np.ceil(sweep_rad / _MOST_SWEEP_RAD)), count // _FEWEST)
    at = np.linspace(begin, end, max(parts, 1) + 1).astype(np.int64).tolist()
    return list(pairwise(at))


def _put_run(ring: Ring, kept: BoolArray, turn_rad: FloatArray, begin: int, end: int) -> None:
    """
    Write arcs in place of the edges from one to another.

    Where a run is cut, it is cut on its circle: its vertices lie a little outside, so that areas are true.
    """
    pieces = _pieces(turn_rad, begin, end)
    if not pieces:
        return
    step_rad = float(np.median(turn_rad[begin + 1 : end]))
    if abs(step_rad) * (end - begin) < _LEAST_SEEN_RAD:
        _put_arc(ring, kept, Steps(begin, end, step_rad, step_rad * (end - begin)))
        return
    place_mm = ring.corner_mm[np.arange(begin, end + 1) % len(ring.corner_mm)]
    centre_mm, radius_mm = _circle(place_mm, step_rad)
    seen_mm = place_mm - centre_mm
    reach_mm = np.hypot(*seen_mm.T)
    if np.abs(reach_mm - radius_mm).max() > FLATNESS_MM:
        return
    on_circle_mm = centre_mm + seen_mm * (radius_mm / reach_mm)[:, None]
    is_whole = end - begin == len(ring.corner_mm)
    for cut, _ in pieces[0 if is_whole else 1 :]:
        ring.corner_mm[cut] = on_circle_mm[cut - begin]
    angle_rad = np.arctan2(seen_mm[:, 1], seen_mm[:, 0])
    for one, other in pieces:
        change_rad = np.sign(step_rad) * (angle_rad[other - begin] - angle_rad[one - begin])
        sweep_rad = float(np.sign(step_rad) * np.mod(change_rad, 2 * np.pi))
        _put_arc(ring, kept, Steps(one, other, step_rad, sweep_rad))


def _circle(place_mm: FloatArray, step_rad: float) -> tuple[FloatArray, float]:
    """
    Centre and radius of the circle that a run of vertices was made of; all but its ends were moved outward.

    The sector over a chord has its true area: r2 t = (r + out)2 sin t, as `geometry.outlines` has it.
    """
    between_mm = place_mm[1:-1]
    middle_mm = between_mm.mean(axis=0)
    seen_mm = between_mm - middle_mm  # x2 + y2 = 2 a x + 2 b y + c, by least squares
    terms = np.column_stack([2 * seen_mm, np.ones(len(seen_mm))])
    (a, b, c), *_ = np.linalg.lstsq(terms, np.square(seen_mm).sum(axis=1), rcond=None)
    reach_mm = np.sqrt(c + a * a + b * b)
    return middle_mm + np.array([a, b]), float(reach_mm * np.sqrt(np.sin(abs(step_rad)) / abs(step_rad)))


def _put_arc(ring: Ring, kept: BoolArray, steps: Steps) -> None:
    """Write one arc in place of some edges, if their vertices lie on it."""
    begin, end, step_rad, sweep_rad = steps
    corner_mm = ring.corner_mm
    place_mm = corner_mm[np.arange(begin, end + 1) % len(corner_mm)]
    half_rad = sweep_rad / 2
    chord_mm = place_mm[-1] - place_mm[0]
    across_mm = np.array([-chord_mm[1], chord_mm[0]])
    centre_mm = (place_mm[0] + place_mm[-1]) / 2 + across_mm / (2 * np.tan(half_rad))
    radius_mm = np.hypot(*chord_mm) / (2 * abs(np.sin(half_rad)))
    off_mm = np.abs(np.hypot(*(place_mm - centre_mm).T) - radius_mm)
    bulge_mm = radius_mm * (1 - np.cos(step_rad / 2))  # of the arc over one chord: polygons are no circles
    if max(off_mm.max(), bulge_mm) > FLATNESS_MM:
        return
    ring.centre_mm[begin] = centre_mm
    ring.turn[begin] = 1 if step_rad > 0 else -1
    kept[begin + 1 : end] = False
