"""
Arcs found again in outlines whose curves were flattened.

All vertices of an arc lie on one circle, however far apart: so those beside one another bend alike, where the
bend of a vertex is that of the circle through it and its two neighbours. Where several do, a circle is fitted
to them by least squares, and taken as far as vertices and chords lie within the flatness of it.

That fit only tells which chords are of one arc, as all vertices but the ends had been moved outward (see
`geometry.outlines`). Arcs go through their ends, and turn as far as is seen from the centre of the vertices
between; those that turn too little to tell it have the area of their chords. Whatever is not found stays a
chain of chords, which is as exact.
"""

from itertools import pairwise
from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import BoolArray, FloatArray, IntArray
from pastecheck.geometry.outlines import FLATNESS_MM, steps_of

_LEAST_TURN_RAD: Final = 1e-3
_MOST_TURN_RAD: Final = 0.8
_ALIKE: Final = 1.6
"""
Bends of one arc differ by a smaller factor, also where it is written in parts: where two parts of n chords
meet, a vertex that was not moved stands among such as were. Its bend is 1 - n / 6 (n - 1), that of the next
one 1 + n / 12 (n - 1) of what the arc has: for n = 3 they differ by 1.5, for many by 1.3.
"""
_FEWEST: Final = 3
"""Chords of an arc."""
_MOST_SWEEP_RAD: Final = 3.2
"""Arcs that turn farther than half round are cut in two: their ends are near each other."""
_LEAST_SEEN_RAD: Final = 1.0
"""Arcs that turn less do not tell their centre."""
_STEPS: Final = 4
"""Of Newton's method."""


class Ring(NamedTuple):
    """One closed contour about the origin of its shape; row k is a corner and the edge that leaves it."""

    corner_mm: FloatArray
    """Shape (v, 2)."""
    centre_mm: FloatArray
    """Of the edge, where it is an arc; NaN where it is straight. Shape (v, 2)."""
    turn: IntArray
    """1 counter-clockwise, -1 clockwise; 0 where it is straight."""


class _Vertices(NamedTuple):
    """Vertices of a ring, from one on at which no arc goes on, and the first one again. Shape (v + 1,)."""

    at_mm: FloatArray
    turn_rad: FloatArray
    """At each vertex."""
    is_gentle: BoolArray


class _Circle(NamedTuple):
    centre_mm: FloatArray
    radius_mm: float

    def takes(self, place_mm: FloatArray) -> BoolArray:
        """Whether places lie on it. Shape (k,)."""
        off_mm = np.abs(np.hypot(*(place_mm - self.centre_mm).T) - self.radius_mm)
        return np.asarray(off_mm <= FLATNESS_MM)

    def bulges(self, chord_mm: FloatArray) -> BoolArray:
        """Whether it lies away from chords of it: sides of polygons are no arcs. Shape (k,)."""
        return np.asarray(chord_mm**2 > 8 * self.radius_mm * FLATNESS_MM)


def straight(corner_mm: FloatArray) -> Ring:
    """A contour without arcs."""
    return Ring(corner_mm, np.full_like(corner_mm, np.nan), np.zeros(len(corner_mm), np.int64))


def with_arcs(corner_mm: FloatArray) -> Ring:
    """
    A contour of flattened curves with its arcs; each lies within the flatness of all its vertices and chords.

    Args:
        corner_mm: Vertices, the first not repeated. Shape (v, 2).
    """
    if len(corner_mm) < _FEWEST:
        return straight(corner_mm)
    vertices, runs = _runs(corner_mm)
    ring, kept = straight(vertices.at_mm[:-1].copy()), np.ones(len(corner_mm), bool)
    free = 0
    for first, last in runs:
        for begin, end, circle in _arcs_among(vertices, first, last):
            if (begin, end) == (0, len(corner_mm)):
                return _whole(circle, vertices)
            if begin >= free:
                begin, end = _reaching(vertices, begin, end, circle, free)  # noqa: PLW2901 -- the same arc
                _put(ring, kept, vertices, begin, end, circle)
                free = end
    return Ring(ring.corner_mm[kept], ring.centre_mm[kept], ring.turn[kept])


def _runs(corner_mm: FloatArray) -> tuple[_Vertices, list[tuple[int, int]]]:
    """Vertices that bend alike, the first and the last of each run."""
    arriving = corner_mm - np.roll(corner_mm, 1, axis=0)
    leaving = np.roll(arriving, -1, axis=0)
    turn_rad = np.arctan2(
        arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0], (arriving * leaving).sum(axis=1)
    )
    across_mm = np.hypot(*(arriving + leaving).T)
    gentle = (np.abs(turn_rad) > _LEAST_TURN_RAD) & (np.abs(turn_rad) < _MOST_TURN_RAD) & (across_mm > 0)
    bend = 2 * np.sin(turn_rad) / np.where(gentle, across_mm, 1.0)
    other, sign = np.roll(bend, 1), np.sign(bend)
    alike = (
        (sign * other > 0) & (np.abs(bend) < _ALIKE * np.abs(other)) & (np.abs(other) < _ALIKE * np.abs(bend))
    )
    joins = gentle & np.roll(gentle, 1) & alike
    # no arc goes over a sharp corner, nor, but one that is all there is, along the longest edge
    sharp = np.abs(turn_rad)
    first = sharp.argmax() if sharp.max() >= _MOST_TURN_RAD else np.hypot(*leaving.T).argmax()
    rows = np.roll(np.arange(len(corner_mm)), -int(first))
    begins = ~joins[rows]
    begins[0] = True
    begin = np.flatnonzero(begins)
    end = np.append(begin[1:], len(rows)) - 1
    some = end > begin
    rows = np.append(rows, rows[0])
    vertices = _Vertices(corner_mm[rows], turn_rad[rows], gentle[rows])
    return vertices, list(zip(begin[some].tolist(), end[some].tolist(), strict=True))


def _arcs_among(vertices: _Vertices, first: int, last: int) -> list[tuple[int, int, _Circle]]:
    """
    Arcs through the vertices from one to another: where they are from, to, and their circles.

    Where no circle takes them all, there is more than one arc, and each half is tried.
    """
    if last - first < _FEWEST - 2:
        return []
    begin, end = max(first - 1, 0), min(last + 1, len(vertices.at_mm) - 1)
    for one, other in ((begin, end), (first, last)):
        if other - one >= _FEWEST - 1 and (circle := _fitted(vertices, one, other)):
            return [(one, other, circle)]
    middle = (first + last) // 2
    return [*_arcs_among(vertices, first, middle), *_arcs_among(vertices, middle + 1, last)]


def _fitted(vertices: _Vertices, begin: int, end: int) -> _Circle | None:
    """The circle of least squares, of x² + y² (Kasa); None unless it takes all the vertices and chords."""
    place_mm = vertices.at_mm[begin : end + 1]
    about = place_mm.mean(axis=0)
    local = place_mm - about
    matrix = np.column_stack([2 * local, np.ones(len(local))])
    (x, y, rest), _, rank, _ = np.linalg.lstsq(matrix, (local**2).sum(axis=1))
    if rank < 3:
        return None
    circle = _Circle(about + np.array([x, y]), float(np.sqrt(rest + x * x + y * y)))
    chord_mm = np.hypot(*np.diff(place_mm, axis=0).T)
    return circle if circle.takes(place_mm).all() and not circle.bulges(chord_mm).any() else None


def _reaching(vertices: _Vertices, begin: int, end: int, circle: _Circle, free: int) -> tuple[int, int]:
    """The same arc as far as vertices beyond its ends lie on its circle, too."""
    sign = np.sign(vertices.turn_rad[begin + 1])

    def goes_on(corner: int, chord: int) -> bool:
        """Over a corner along a chord; one by one, as a contour may have very many arcs."""
        turns_on = vertices.is_gentle[corner] and np.sign(vertices.turn_rad[corner]) == sign
        ends_mm = vertices.at_mm[chord : chord + 2]
        bulges = circle.bulges(np.hypot(*np.diff(ends_mm, axis=0).T))
        return bool(turns_on and circle.takes(ends_mm).all() and not bulges.any())

    while begin > free and goes_on(begin, begin - 1):
        begin -= 1
    while end + 1 < len(vertices.at_mm) and goes_on(end, end):
        end += 1
    return begin, end


def _whole(circle: _Circle, vertices: _Vertices) -> Ring:
    """A full circle in quarters, from one diagonal to the next."""
    sign = int(np.sign(vertices.turn_rad[0]))
    angle = sign * np.radians([-45.0, 45.0, 135.0, 225.0])
    radius_mm = np.sqrt(abs(_enclosed_mm2(vertices.at_mm)) / np.pi)
    centre_mm = np.tile(circle.centre_mm, (len(angle), 1))
    way = radius_mm * np.column_stack([np.cos(angle), np.sin(angle)])
    return Ring(circle.centre_mm + way, centre_mm, np.full(len(angle), sign))


def _put(ring: Ring, kept: BoolArray, vertices: _Vertices, begin: int, end: int, nearly: _Circle) -> None:
    """Write an arc in place of its chords, in parts where it turns far."""
    place_mm = vertices.at_mm[begin : end + 1]
    nearly_rad = float(np.ptp(_angles(place_mm, nearly)))
    circle = _fitted(vertices, begin + 1, end - 1) if nearly_rad > _LEAST_SEEN_RAD else None
    place_mm, cuts, turn_rad = _in_parts(place_mm, circle) if circle else _in_one(place_mm, nearly)
    ring.corner_mm[begin:end] = place_mm[:-1]
    for (one, other), turn in zip(pairwise(cuts), turn_rad, strict=True):
        chain_mm = place_mm[one : other + 1]
        true = _through_ends(chain_mm, turn)
        (steps,) = steps_of(np.array([true.radius_mm]), np.array([turn]))
        # an arc of fewer chords would not be found again when it was written and read
        if steps >= _FEWEST and true.takes(chain_mm).all():
            ring.centre_mm[begin + one] = true.centre_mm
            ring.turn[begin + one] = 1 if turn > 0 else -1
            kept[begin + one + 1 : begin + other] = False


def _in_parts(place_mm: FloatArray, circle: _Circle) -> tuple[FloatArray, list[int], list[float]]:
    """Vertices, those where an arc is cut put on its circle; where that is; by how much each part turns."""
    angle = _angles(place_mm, circle)
    count = int(np.ceil(np.ptp(angle) / _MOST_SWEEP_RAD))
    cuts = np.rint(np.linspace(0, len(angle) - 1, count + 1)).astype(np.int64)
    way = place_mm[cuts[1:-1]] - circle.centre_mm
    radius_mm = _true_radius_mm(circle, np.hypot(*np.diff(place_mm[1:-1], axis=0).T))
    on_circle_mm = place_mm.copy()
    on_circle_mm[cuts[1:-1]] = circle.centre_mm + way * (radius_mm / np.hypot(*way.T))[:, None]
    return on_circle_mm, cuts.tolist(), np.diff(angle[cuts]).tolist()


def _in_one(place_mm: FloatArray, nearly: _Circle) -> tuple[FloatArray, list[int], list[float]]:
    """As `_in_parts`, of an arc that turns little."""
    angle = _angles(place_mm, nearly)
    return place_mm, [0, len(place_mm) - 1], [_turn_rad(place_mm, float(angle[-1] - angle[0]))]


def _true_radius_mm(circle: _Circle, chord_mm: FloatArray) -> float:
    """Of the curve: its vertices had been moved outward, to r sqrt(t / sin t) where chords turn by t."""
    step_rad = 2 * np.arcsin(np.minimum(np.median(chord_mm) / (2 * circle.radius_mm), 1.0))
    return float(circle.radius_mm * np.sqrt(np.sin(step_rad) / step_rad))


def _angles(place_mm: FloatArray, circle: _Circle) -> FloatArray:
    """Under which places are seen from the centre of a circle, without jumps. Shape (k,)."""
    way = place_mm - circle.centre_mm
    angle: FloatArray = np.unwrap(np.arctan2(way[:, 1], way[:, 0]))
    return angle


def _enclosed_mm2(place_mm: FloatArray) -> float:
    """What a chain and the line from its last vertex to its first enclose; positive counter-clockwise."""
    x, y = (place_mm - place_mm[0]).T
    return float((x[:-1] * y[1:] - x[1:] * y[:-1]).sum() / 2)


def _turn_rad(place_mm: FloatArray, nearly_rad: float) -> float:
    """
    By how much the arc turns that goes through both ends of a chain and has its area.

    Of an arc that turns by t, segment over squared chord is (t - sin t) / (4 (1 - cos t)): it grows with t
    from 0 to a full turn. Newton's steps from near by; three are enough for 1e-12.
    """
    share = _enclosed_mm2(place_mm) / float(np.square(place_mm[-1] - place_mm[0]).sum())
    turn = nearly_rad
    for _ in range(_STEPS):
        rest, sine = 1 - np.cos(turn), np.sin(turn)
        off = (turn - sine) / (4 * rest) - share
        turn -= off * 4 * rest**2 / (rest**2 - (turn - sine) * sine)
    return float(turn)


def _through_ends(place_mm: FloatArray, sweep_rad: float) -> _Circle:
    """The circle of an arc from the first place to the last that turns by so much."""
    chord_mm = place_mm[-1] - place_mm[0]
    across_mm = np.array([-chord_mm[1], chord_mm[0]])
    centre_mm = (place_mm[0] + place_mm[-1]) / 2 + across_mm / (2 * np.tan(sweep_rad / 2))
    return _Circle(centre_mm, float(np.hypot(*chord_mm) / (2 * abs(np.sin(sweep_rad / 2)))))
