"""Corner radii and sides: by hand, and by the laws of moving, turning, mirroring and rounding."""

import math
from collections.abc import Sequence

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.bends import bends_of
from pastecheck.geometry.convex_sides import convex_sides, sides_of_shapes
from pastecheck.geometry.corners import corner_radii, shortest_sides
from pastecheck.geometry.outlines import rounded
from tests.geometry.shapes import column, hull, rectangle

FLATTENED = 1e-4
Point = tuple[float, float]


def polygon(*points: Point) -> shapely.Polygon:
    return shapely.Polygon(points)


def grown(core: shapely.Geometry, radius_mm: float) -> shapely.Polygon:
    outline = rounded(column([core]), np.array([radius_mm]))[0]
    assert isinstance(outline, shapely.Polygon)
    return outline


def circle(radius_mm: float) -> shapely.Polygon:
    return grown(hull([(0, 0)]), radius_mm)


def regular(corners: int, radius_mm: float) -> shapely.Polygon:
    angle = (np.arange(corners) + 0.5) * (2 * math.pi / corners)
    return shapely.Polygon(radius_mm * np.column_stack([np.cos(angle), np.sin(angle)]))


def corner_radius(core: shapely.Geometry, radius_mm: float = 0.0) -> float:
    return float(corner_radii(column([core]), np.array([radius_mm]))[0])


def side_length(outline: shapely.Geometry) -> float:
    return float(shortest_sides(column([outline])).length_mm[0])


def chamfered(by: float) -> shapely.Polygon:
    """A square of 1 mm with one corner cut off."""
    return polygon((0, 0), (1, 0), (1, 1 - by), (1 - by, 1), (0, 1))


SLOT = rectangle(0.25, 1.5)
ROUNDED = grown(rectangle(0.15, 0.65), 0.075)
OBROUND = grown(hull([(0, 0), (550, 0)]), 0.125)
OCTAGON = regular(8, 0.27)
STEP = polygon((0, 0), (1, 0), (1, 0.6), (0.5, 0.6), (0.5, 0.5), (0, 0.5))
RING = shapely.difference(circle(0.8), circle(0.5))

# ----------------------------------------------------------------------------------------- corner radius


@pytest.mark.parametrize(
    ("core", "radius_mm", "expected"),
    [
        pytest.param(SLOT, 0.0, 0.0, id="rectangle"),
        pytest.param(rectangle(0.15, 0.65), 0.075, 0.075, id="rounded rectangle"),
        pytest.param(hull([(0, 0)]), 0.2, 0.2, id="circle"),
        pytest.param(hull([(0, 0), (550, 0)]), 0.125, 0.125, id="obround"),
        pytest.param(OCTAGON, 0.0, 0.0, id="octagon"),
        pytest.param(OCTAGON, 0.05, 0.05, id="rounded octagon"),
    ],
)
def test_the_radius_of_standard_shapes_is_exact(
    core: shapely.Geometry, radius_mm: float, expected: float
) -> None:
    assert corner_radius(core, radius_mm) == expected


@pytest.mark.parametrize("radius_mm", [0.003, 0.01, 0.03, 0.075, 0.2, 1.0, 5.0])
def test_the_radius_of_flattened_corners_is_read_from_their_facets(radius_mm: float) -> None:
    assert abs(corner_radius(grown(rectangle(3, 2), radius_mm)) - radius_mm) <= FLATTENED


@pytest.mark.parametrize("radius_mm", [0.05, 0.2, 2.0])
def test_a_flattened_circle_reads_its_radius(radius_mm: float) -> None:
    assert abs(corner_radius(circle(radius_mm)) - radius_mm) <= FLATTENED


def test_one_sharp_corner_among_rounded_ones_is_found() -> None:
    square = shapely.union(grown(rectangle(0.8, 0.8), 0.1), shapely.box(0, 0, 0.5, 0.5))
    assert corner_radius(square) == 0.0


def test_the_smaller_of_two_radii_is_read() -> None:
    halves = shapely.union(
        shapely.intersection(grown(rectangle(0.8, 0.8), 0.1), shapely.box(-1, -1, 0, 1)),
        shapely.intersection(grown(rectangle(0.5, 0.5), 0.25), shapely.box(0, -1, 1, 1)),
    )
    assert abs(corner_radius(halves) - 0.1) <= FLATTENED


def test_inner_corners_are_not_read() -> None:
    # an L with its five outer corners rounded and the inner one sharp
    corners = polygon((0.1, 0.1), (1.9, 0.1), (1.9, 0.4), (0.4, 0.4), (0.4, 1.9), (0.1, 1.9))
    # each facet of 64 to a quarter turn lies 0.1 (1 - cos 0.7 degrees) = 0.008 um within the arc
    assert abs(corner_radius(shapely.buffer(corners, 0.1, quad_segs=64)) - 0.1) <= FLATTENED


def test_the_wall_of_a_hole_bends_inward() -> None:
    # the hole of a ring has no convex corner; the radius is that of the outer wall
    assert abs(corner_radius(RING) - 0.8) <= FLATTENED


def test_a_sharp_corner_of_the_film_in_a_hole_is_no_convex_corner() -> None:
    hole = shapely.difference(circle(0.8), rectangle(0.3, 0.3))
    assert abs(corner_radius(hole) - 0.8) <= FLATTENED


@pytest.mark.parametrize(("corners", "expected"), [(8, 0.0), (12, 0.0), (13, None), (24, None)])
def test_facets_that_turn_less_than_30_degrees_are_a_curve(corners: int, expected: float | None) -> None:
    shape = regular(corners, 1.0)
    # length over turn of all facets: perimeter / 2 pi
    wanted = shape.length / (2 * math.pi) if expected is None else expected
    assert math.isclose(corner_radius(shape), wanted, abs_tol=1e-9)


def test_a_chamfer_of_gentle_turns_reads_length_over_turn() -> None:
    # a corner in four facets of 22.5 degrees, half turns at its ends, as drawn by hand on a radius of 0.2
    angle = np.radians(np.arange(5) * 22.5)
    arc = 0.5 + 0.2 * np.column_stack([np.cos(angle), np.sin(angle)])
    shape = shapely.Polygon([(-1, -1), (0.7, -1), *arc.tolist(), (-1, 0.7)])
    # the other three are sharp
    assert corner_radius(shape) == 0.0
    # 4 chords of 2 x 0.2 sin 11.25 degrees = 0.07804, over pi / 2
    bends = bends_of(column([shape]))
    curve = bends.curve_rad > 0
    assert math.isclose(bends.curve_rad.sum(), math.pi / 2)
    assert math.isclose(bends.length_mm[curve].sum(), 4 * 0.4 * math.sin(math.radians(11.25)))


def test_an_ellipse_reads_its_tightest_sixty_degrees() -> None:
    # x = cos t, y = sin t / 2; the heading is 30 degrees off that of the tip where tan t = tan 30 / 2
    t = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
    ellipse = shapely.Polygon(np.column_stack([np.cos(t), np.sin(t) / 2]))
    end = math.atan(math.tan(math.radians(30)) / 2)
    u = np.linspace(-end, end, 20001)
    length = np.hypot(np.sin(u), np.cos(u) / 2).mean() * 2 * end
    assert abs(corner_radius(ellipse) - length / math.radians(60)) <= 0.01 * length


# ------------------------------------------------------------------------------------------- side length


@pytest.mark.parametrize(
    ("outline", "expected"),
    [
        pytest.param(SLOT, 0.25, id="rectangle"),
        pytest.param(ROUNDED, 0.30, id="rounded rectangle"),
        pytest.param(STEP, 0.10, id="step"),
        pytest.param(chamfered(0.05), 1.0, id="small chamfer"),
        pytest.param(chamfered(0.1), 1.0, id="chamfer"),
        pytest.param(circle(0.175), 0.175, id="circle"),
        pytest.param(OCTAGON, math.nan, id="octagon"),
        pytest.param(OBROUND, math.nan, id="obround"),
        pytest.param(RING, 0.5, id="ring"),
        pytest.param(polygon((0, 0), (1, 0), (0.5, 0.75**0.5)), 1.0, id="triangle"),
    ],
)
def test_sides_of_named_shapes(outline: shapely.Geometry, expected: float) -> None:
    assert np.allclose(side_length(outline), expected, rtol=0, atol=1e-9, equal_nan=True)


def test_a_blunt_tip_leaves_its_sides_to_be_read() -> None:
    # a strip 0.2 wide with a tip of 120 degrees turns 60 degrees three times: sides of 0.1 / sin 60 degrees
    tip = 0.1 / math.tan(math.radians(60))
    strip = polygon((0, 0), (1, 0), (1 + tip, 0.1), (1, 0.2), (0, 0.2))
    assert math.isclose(side_length(strip), 0.1 / math.sin(math.radians(60)))


@pytest.mark.parametrize(("side", "expected"), [(0.051, 0.051), (0.049, 0.5)])
def test_sides_below_50_um_are_ignored(side: float, expected: float) -> None:
    # the step is `side` high; next shortest is 0.5
    outline = polygon((0, 0), (1, 0), (1, 0.5 + side), (0.5, 0.5 + side), (0.5, 0.5), (0, 0.5))
    assert math.isclose(side_length(outline), expected)


@pytest.mark.parametrize(("radius_mm", "expected"), [(0.0760, 1.0), (0.0766, math.nan)])
def test_a_corner_turns_sixty_degrees_within_80_um(radius_mm: float, expected: float) -> None:
    # 60 degrees of radius r are 1.0472 r: 0.0796 and 0.0802
    outline = grown(rectangle(1 - 2 * radius_mm, 2 - 2 * radius_mm), radius_mm)
    assert np.allclose(side_length(outline), expected, rtol=0, atol=1e-9, equal_nan=True)


def test_a_side_may_turn_a_little() -> None:
    # 1 mm in two parts that turn 2 atan 0.1 = 11.4 degrees: 2 x sqrt(0.5² + 0.05²)
    roof = polygon((0, 0), (1, 0), (1, 2), (0.5, 2.05), (0, 2))
    assert math.isclose(side_length(roof), 1.0)
    flat = polygon((0, 0), (2, 0), (2, 1.2), (1.5, 1.25), (1, 1.2), (1, 3), (0, 3))
    assert math.isclose(side_length(flat), 1.0)
    both = polygon((0, 0), (1.2, 0), (1, 2), (0.5, 2.05), (0, 2))
    assert math.isclose(side_length(both), 2 * math.hypot(0.5, 0.05))


def test_corners_of_holes_count() -> None:
    assert math.isclose(side_length(shapely.difference(rectangle(2, 2), rectangle(0.12, 0.4))), 0.12)


def test_a_small_rounded_end_is_no_side_either() -> None:
    # an obround of 0.1 turns 180 degrees within 0.157: two sides that never meet
    assert math.isnan(side_length(grown(hull([(0, 0), (500, 0)]), 0.05)))


def test_a_rounded_square_is_no_circle_though_nearly_as_round() -> None:
    assert math.isnan(side_length(grown(rectangle(0.4, 0.4), 0.3)))


# -------------------------------------------------------------------------------------------------- laws

cells = st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3)), min_size=1, max_size=10, unique=True)


def rectilinear(places: Sequence[tuple[int, int]], side_mm: float) -> shapely.Polygon:
    """The largest part of squares on a lattice; parts that touch in a corner only are apart."""
    squares = [shapely.box(x * side_mm, y * side_mm, (x + 1) * side_mm, (y + 1) * side_mm) for x, y in places]
    parts = shapely.get_parts(shapely.union_all(column(squares)))
    largest = max(parts, key=lambda part: float(part.area))
    assert isinstance(largest, shapely.Polygon)
    return largest


def shortest_edge(outline: shapely.Polygon) -> float:
    edges: list[float] = []
    for ring in (outline.exterior, *outline.interiors):
        points = shapely.get_coordinates(shapely.simplify(ring, 1e-9))
        edges.extend(np.hypot(*np.diff(points, axis=0).T).tolist())
    return min(edges)


@given(cells, st.sampled_from([0.06, 0.2, 0.5]))
def test_the_shortest_side_of_right_angled_outlines_is_their_shortest_edge(
    places: list[tuple[int, int]], side_mm: float
) -> None:
    outline = rectilinear(places, side_mm)
    # a start of a ring within an edge would halve it: edges are multiples of the lattice
    assert math.isclose(side_length(outline), max(side_mm, shortest_edge(outline)), abs_tol=1e-9)


@given(cells, st.sampled_from([0.01, 0.03, 0.07]))
def test_rounding_convex_corners_changes_no_side(places: list[tuple[int, int]], radius_mm: float) -> None:
    outline = rectilinear(places, 0.5)
    smooth = shapely.buffer(shapely.buffer(outline, -radius_mm, join_style="mitre"), radius_mm, quad_segs=16)
    assert math.isclose(side_length(smooth), side_length(outline), abs_tol=1e-9)
    # chords of 5.6 degrees: length over turn is short by 1/2500
    assert abs(corner_radius(smooth) - radius_mm) <= 1e-3 * radius_mm


@given(cells, st.sampled_from([0.0, 0.07]), st.floats(0, 360), st.booleans())
def test_turning_moving_and_mirroring_change_no_reading(
    places: list[tuple[int, int]],
    radius_mm: float,
    degrees: float,
    mirror: bool,  # noqa: FBT001 -- drawn
) -> None:
    outline = rectilinear(places, 0.5)
    if radius_mm:
        outline = shapely.buffer(shapely.buffer(outline, -radius_mm, join_style="mitre"), radius_mm)
    moved = shapely.affinity.translate(shapely.affinity.rotate(outline, degrees), 3.0, -7.0)
    if mirror:
        moved = shapely.affinity.scale(moved, -1, 1)
    assert np.allclose(side_length(moved), side_length(outline), rtol=0, atol=1e-9, equal_nan=True)
    assert np.allclose(corner_radius(moved), corner_radius(outline), rtol=0, atol=1e-9, equal_nan=True)


@given(st.integers(0, 400))
def test_where_a_ring_begins_is_no_matter(start: int) -> None:
    points = shapely.get_coordinates(ROUNDED)[:-1]
    begun = shapely.Polygon(np.roll(points, start, axis=0))
    assert math.isclose(side_length(begun), 0.30, abs_tol=1e-9)
    assert math.isclose(corner_radius(begun), corner_radius(ROUNDED), abs_tol=1e-9)


@pytest.mark.parametrize(
    ("outline", "place"),
    [
        # of both sides of 0.25 the lower; the step's riser from (0.5, 0.5) to (0.5, 0.6); rounded corners too
        pytest.param(SLOT, (0.0, -0.75), id="rectangle"),
        pytest.param(STEP, (0.5, 0.55), id="step"),
        pytest.param(ROUNDED, (0.0, -0.4), id="rounded rectangle"),
        pytest.param(circle(0.175), (0.0, 0.0), id="circle"),
        pytest.param(shapely.affinity.translate(RING, 3.0, -2.0), (3.0, -2.0), id="ring"),
        pytest.param(OBROUND, (math.nan, math.nan), id="obround"),
    ],
)
def test_a_side_is_found_where_it_lies(outline: shapely.Geometry, place: Point) -> None:
    found = shortest_sides(column([outline])).place_mm[0]
    assert np.allclose(found, place, rtol=0, atol=1e-9, equal_nan=True)


def test_many_outlines_read_as_each_by_itself() -> None:
    outlines = [SLOT, ROUNDED, OBROUND, OCTAGON, STEP, RING, circle(0.175), chamfered(0.05)]
    every = (
        shortest_sides(column(outlines)).length_mm,
        corner_radii(column(outlines), np.zeros(len(outlines))),
    )
    alone = [side_length(one) for one in outlines], [corner_radius(one) for one in outlines]
    for found, expected in zip(every, alone, strict=True):
        assert np.allclose(found, expected, rtol=0, atol=1e-12, equal_nan=True)


def test_no_outlines_have_no_corners() -> None:
    assert len(shortest_sides(column([])).length_mm) == len(corner_radii(column([]), np.zeros(0))) == 0


@pytest.mark.parametrize("turn", [0.3, 1.0, 2.4])
def test_two_flattened_arcs_of_one_circle_united_read_as_one(turn: float) -> None:
    # an obround drawn twice, its facets beginning elsewhere: those of the ends cross again and again
    ends = [shapely.affinity.rotate(circle(0.2), degrees, origin=(0, 0)) for degrees in (0.0, turn)]
    middle = rectangle(0.4, 0.4)
    obround = shapely.union_all(
        column([shapely.affinity.translate(end, x) for end in ends for x in (-0.2, 0.2)] + [middle])
    )
    # facets of unequal length: how much turns at each end of 60 degrees is known to half a facet of 3 degrees
    assert abs(corner_radius(obround) - 0.2) <= 0.05 * 0.2
    assert math.isnan(side_length(obround))


def test_a_jog_below_the_flatness_is_no_corner() -> None:
    # a rounded slot whose one side stands 0.1 um out from the arc
    core = grown(rectangle(0.15, 0.65), 0.075)
    jog = shapely.union(core, shapely.box(0, -0.325, 0.1501, 0.325))
    assert abs(corner_radius(jog) - 0.075) <= FLATTENED
    assert math.isclose(side_length(jog), 0.30, abs_tol=3 * FLATTENED)


def test_facets_about_their_arc_read_its_radius_too() -> None:
    # tangents at every 22.5 degrees to an arc of 0.1: facets of 2 x 0.1 tan 11.25 degrees, full turns at ends
    angle = np.radians(11.25 + np.arange(4) * 22.5)
    corner = 0.1 / math.cos(math.radians(11.25)) * np.column_stack([np.cos(angle), np.sin(angle)])
    quarters = [corner + 0.3]
    for _ in range(3):
        quarters.append(np.column_stack([-quarters[-1][:, 1], quarters[-1][:, 0]]))
    # length over turn of a facet: 0.2 tan 11.25 degrees / (pi / 8), 1.3 % above the radius
    facet = 0.2 * math.tan(math.radians(11.25)) / (math.pi / 8)
    assert math.isclose(corner_radius(shapely.Polygon(np.concatenate(quarters))), facet, rel_tol=1e-9)


# ----------------------------------------------------------------------------------- sides in closed form


@st.composite
def shapes(draw: st.DrawFn) -> tuple[shapely.Geometry, float]:
    """Points, lines, triangles and quadrangles, with radii about those at which a corner is just one."""
    points = draw(st.lists(st.tuples(st.integers(-500, 500), st.integers(-500, 500)), min_size=1, max_size=4))
    radius_um = draw(st.one_of(st.just(0), st.integers(1, 120), st.integers(200, 800)))
    core = hull(points)
    return core, radius_um / 1000 if shapely.area(core) else max(radius_um, 1) / 1000


@given(shapes())
def test_sides_in_closed_form_are_those_of_the_outline(shape: tuple[shapely.Geometry, float]) -> None:
    core, radius_mm = shape
    outline = grown(core, radius_mm)
    found = sides_of_shapes(column([core]), np.array([radius_mm]), column([outline]))
    wanted = shortest_sides(column([outline]))
    assert np.allclose(found.length_mm, wanted.length_mm, rtol=0, atol=2e-6, equal_nan=True)
    off = np.hypot(*(found.place_mm - wanted.place_mm).T)
    # of sides as long as each other another one may be told
    assert np.isnan(off).all() or (off < 1e-5).all() or shapely.area(core) > 0


@pytest.mark.parametrize(
    ("core", "radius_mm"),
    [
        pytest.param(hull([(0, 0)]), 0.2, id="circle"),
        pytest.param(hull([(0, 0), (550, 0)]), 0.125, id="obround"),
        pytest.param(SLOT, 0.0, id="slot"),
        pytest.param(rectangle(0.15, 0.65), 0.075, id="rounded rectangle"),
        pytest.param(rectangle(0.4, 0.9), 0.15, id="well rounded rectangle"),
    ],
)
def test_standard_shapes_need_no_outline(core: shapely.Geometry, radius_mm: float) -> None:
    known, found = convex_sides(column([core]), np.array([radius_mm]))
    wanted = shortest_sides(column([grown(core, radius_mm)]))
    assert known.all()
    assert np.allclose(found.length_mm, wanted.length_mm, rtol=0, atol=1e-9, equal_nan=True)
    assert np.allclose(found.place_mm, wanted.place_mm, rtol=0, atol=1e-6, equal_nan=True)
