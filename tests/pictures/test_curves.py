"""Chains of chords in pieces: arcs where there were arcs, lines where there were lines, nothing far off."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.drawing import FloatArray
from pastecheck.pictures.curves import Piece, from_longest_side, pieces_of

LOOSE = 0.002


def polygon(corners: int, radius: float = 1.0, turn: float = 0.0) -> FloatArray:
    at = np.linspace(0, 2 * np.pi, corners + 1) + turn
    return radius * np.column_stack([np.cos(at), np.sin(at)])


def test_chords_of_a_circle_are_a_few_arcs_of_its_radius() -> None:
    # 100 chords are 0.0005 off; arcs turn by up to 1.7 rad, so a turn takes four
    pieces = list(pieces_of(polygon(100), LOOSE))
    assert len(pieces) == 4
    assert all(piece.radius == pytest.approx(1.0, abs=1e-6) for piece in pieces)
    assert pieces[-1].end == 100


def test_a_circle_walked_clockwise_has_arcs_that_turn_so() -> None:
    assert all(piece.radius < 0 for piece in pieces_of(polygon(100)[::-1], LOOSE))


def test_an_octagon_is_no_circle() -> None:
    """Its corners lie on one, but not the middles of its sides."""
    assert list(pieces_of(polygon(8), LOOSE)) == [Piece(end, 0.0) for end in range(1, 9)]


def test_vertices_along_a_side_are_passed_over() -> None:
    ring = np.array([(0, 0), (1, 0), (2, 0), (3, 0.001), (4, 0), (4, 1), (0, 1), (0, 0)], float)
    assert [piece.end for piece in pieces_of(ring, LOOSE)] == [4, 5, 6, 7]


def test_a_line_that_comes_back_on_itself_is_not_cut_short() -> None:
    ring = np.array([(0, 0), (2, 0), (1, 0), (3, 0), (3, 1), (0, 0)], float)
    ends = [piece.end for piece in pieces_of(ring, LOOSE)]
    assert ends[:2] == [1, 2]


def test_a_rounded_rectangle_has_four_arcs_and_four_sides() -> None:
    rounded = shapely.buffer(shapely.box(0, 0, 4, 2), 0.5, quad_segs=32)
    pieces = list(pieces_of(from_longest_side(shapely.get_coordinates(rounded)), LOOSE))
    assert sorted(round(abs(piece.radius), 3) for piece in pieces) == [0, 0, 0, 0, 0.5, 0.5, 0.5, 0.5]


def test_a_ring_begins_behind_its_longest_side() -> None:
    ring = np.array([(0, 0), (1, 0), (1, 5), (0, 5.5), (0, 0)], float)
    assert from_longest_side(ring).tolist() == [[0, 0], [1, 0], [1, 5], [0, 5.5], [0, 0]]
    assert from_longest_side(np.roll(ring[:-1], 1, axis=0)[[0, 1, 2, 3, 0]])[0].tolist() == [0, 0]


@given(
    st.lists(st.tuples(st.floats(0, 3), st.floats(0, 3), st.floats(0.1, 1)), min_size=1, max_size=5),
    st.integers(4, 40),
)
def test_no_vertex_is_farther_off_than_asked(discs: list[tuple[float, float, float]], facets: int) -> None:
    """Of merged discs, with chords of many lengths: each piece passes all its vertices within the bound."""
    merged = shapely.union_all(
        [shapely.buffer(shapely.Point(x, y), r, quad_segs=facets) for x, y, r in discs]
    )
    for outline in shapely.get_parts([merged]):
        ring = from_longest_side(shapely.get_coordinates(shapely.get_exterior_ring(outline)))
        at = 0
        for piece in pieces_of(ring, LOOSE):
            chain = ring[at : piece.end + 1]
            off = _off_an_arc(chain, piece.radius) if piece.radius else _off_a_line(chain)
            assert off <= LOOSE * 1.001
            at = piece.end
        assert at == len(ring) - 1


def _off_a_line(chain: FloatArray) -> float:
    line = shapely.LineString(chain[[0, -1]])
    return float(shapely.distance(line, shapely.points(chain)).max())


def _off_an_arc(chain: FloatArray, radius: float) -> float:
    """From the centre that lies so far from both ends, on the side that it turns to."""
    way = chain[-1] - chain[0]
    half = float(np.hypot(*way)) / 2
    aside = np.array([-way[1], way[0]]) / (2 * half) * np.sqrt(max(radius**2 - half**2, 0.0))
    centre = chain[0] + way / 2 + (aside if radius > 0 else -aside)
    return float(np.abs(np.hypot(*(chain - centre).T) - abs(radius)).max())
