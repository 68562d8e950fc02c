"""Merging, cutting and knowing standard shapes again; closed forms by Steiner; connected rows."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import assume, given
from hypothesis import strategies as st

from pastecheck.geometry.dissolve import (
    Look,
    Part,
    composed,
    connected,
    dissolved,
    is_convex,
    known_again,
    merged,
    polygons_of,
    steiner,
)
from pastecheck.geometry.mending import mended
from pastecheck.geometry.outlines import FLATNESS_MM, Solid
from tests.geometry.shapes import Drawn, column, grown, hull, rectangle

WIDTH_MM, HEIGHT_MM, RADIUS_MM = 0.8, 0.5, 0.1

sizes = st.integers(100, 3000).map(lambda um: um / 1000)
shares = st.integers(10, 90).map(lambda percent: percent / 100)
turns = st.integers(0, 89)


def _disc(x_mm: float, y_mm: float, radius_mm: float) -> Drawn:
    return Drawn(shapely.Point(x_mm, y_mm), radius_mm)


def _bar(x1_mm: float, y1_mm: float, x2_mm: float, y2_mm: float, radius_mm: float) -> Drawn:
    return Drawn(shapely.LineString([(x1_mm, y1_mm), (x2_mm, y2_mm)]), radius_mm)


def _outline(solid: Drawn) -> shapely.Geometry:
    return grown(*solid) if solid.radius_mm else solid.core


def _macro(
    width_mm: float = WIDTH_MM, height_mm: float = HEIGHT_MM, radius_mm: float = RADIUS_MM
) -> list[Drawn]:
    """A rounded rectangle as macros draw it: two rectangles and four discs."""
    x_mm, y_mm = width_mm / 2 - radius_mm, height_mm / 2 - radius_mm
    discs = [_disc(x, y, radius_mm) for x in (-x_mm, x_mm) for y in (-y_mm, y_mm)]
    rectangles = [rectangle(width_mm, 2 * y_mm), rectangle(2 * x_mm, height_mm)]
    return [*(Drawn(box, 0.0) for box in rectangles), *discs]


def _turned(solids: list[Drawn], degrees: float) -> list[Drawn]:
    return [Drawn(shapely.affinity.rotate(core, degrees, origin=(0, 0)), radius) for core, radius in solids]


def _known(solids: list[Drawn], outline: shapely.Geometry | None = None) -> Solid | None:
    """What the outline (else that of the solids together) is known as."""
    union = composed(column([_outline(solid) for solid in solids]), np.ones(len(solids), bool))
    (seen,) = polygons_of(union if outline is None else outline)
    return known_again(seen, [core for core, _ in solids], np.array([radius for _, radius in solids]))


@given(sizes, sizes, shares, turns)
def test_a_rounded_rectangle_of_rectangles_and_discs_is_known_again(
    width_mm: float, height_mm: float, share: float, degrees: float
) -> None:
    radius_mm = share * min(width_mm, height_mm) / 2
    known = _known(_turned(_macro(width_mm, height_mm, radius_mm), degrees))
    assert known is not None
    assert known.radius_mm == radius_mm
    inner_mm2 = (width_mm - 2 * radius_mm) * (height_mm - 2 * radius_mm)
    assert math.isclose(shapely.area(known.core), inner_mm2, abs_tol=1e-9)


def test_a_rounded_rectangle_painted_around_and_filled_with_strokes_is_known_again() -> None:
    x_mm, y_mm = WIDTH_MM / 2 - RADIUS_MM, HEIGHT_MM / 2 - RADIUS_MM
    around = [(-x_mm, -y_mm), (x_mm, -y_mm), (x_mm, y_mm), (-x_mm, y_mm), (-x_mm, -y_mm)]
    strokes = [_bar(*begin, *end, RADIUS_MM) for begin, end in pairwise(around)]
    known = _known([*strokes, _bar(-x_mm, 0, x_mm, 0, RADIUS_MM)])
    assert known is not None
    assert shapely.equals(known.core, rectangle(2 * x_mm, 2 * y_mm))


def test_strokes_side_by_side_whose_ends_are_scalloped_are_no_rounded_rectangle() -> None:
    assert _known([_bar(-0.3, y_mm, 0.3, y_mm, 0.1) for y_mm in (-0.15, 0.0, 0.15)]) is None


def test_strokes_in_line_are_known_as_one_obround() -> None:
    known = _known([_bar(0, 0, 0.5, 0, 0.1), _bar(0.5, 0, 0.9, 0, 0.1), _disc(0.2, 0, 0.1)])
    assert known is not None
    assert shapely.equals(known.core, shapely.LineString([(0, 0), (0.9, 0)]))


def test_a_disc_with_smaller_ones_inside_is_known_as_itself() -> None:
    known = _known([_disc(0, 0, 0.2), _disc(0.05, 0, 0.1)])
    assert known is not None
    assert shapely.equals(known.core, shapely.Point(0, 0))
    assert known.radius_mm == 0.2


@given(st.floats(0.001, 0.05), st.floats(0.001, 0.2), st.floats(-0.1, 0.1))
def test_a_notch_of_a_micrometre_or_more_is_seen(depth_mm: float, wide_mm: float, at_mm: float) -> None:
    macro = _macro()
    whole = shapely.union_all([_outline(solid) for solid in macro])
    notch = shapely.box(at_mm, HEIGHT_MM / 2 - depth_mm, at_mm + wide_mm, 1)
    assert _known(macro, shapely.difference(whole, notch)) is None


@given(st.floats(0.001, 0.05), st.floats(0.001, 0.2), st.floats(-0.1, 0.1))
def test_a_bump_of_a_micrometre_or_more_is_seen(height_mm: float, wide_mm: float, at_mm: float) -> None:
    bump = shapely.box(at_mm, 0, at_mm + wide_mm, HEIGHT_MM / 2 + height_mm)
    assert _known([*_macro(), Drawn(bump, 0.0)]) is None


@given(sizes, st.floats(0.002, 0.1))
def test_a_corner_cut_straight_is_seen_however_long_the_outline(length_mm: float, radius_mm: float) -> None:
    # the cut leaves the arc by r (1 - cos 45 degrees) = 0.29 r, so by 0.6 um or more
    macro = _macro(length_mm + 0.3, 0.3, radius_mm)
    whole = shapely.union_all([_outline(solid) for solid in macro])
    x_mm, y_mm = length_mm / 2 + 0.15, 0.15
    corner = shapely.Polygon([(x_mm - radius_mm, y_mm), (x_mm, y_mm), (x_mm, y_mm - radius_mm)])
    assert _known(macro, shapely.difference(whole, corner)) is None


@given(st.integers(0, 3), st.integers(1, 30), st.integers(0, 359))
def test_a_disc_that_is_off_its_corner_by_two_micrometres_is_seen(which: int, off: int, degrees: int) -> None:
    macro = _macro()
    core, radius_mm = macro[2 + which]
    outward = np.sign(shapely.get_coordinates(core)[0])
    way = 0.002 * off * np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])
    assume(float(way @ outward) > 0.001)  # inward, the rectangles cover part of it
    macro[2 + which] = Drawn(shapely.affinity.translate(core, *way), radius_mm)
    assert _known(macro) is None


def test_an_outline_with_a_hole_is_no_standard_shape() -> None:
    disc = _disc(0, 0, 0.5)
    assert _known([disc], shapely.difference(_outline(disc), rectangle(0.2, 0.2))) is None


def test_a_thin_c_along_the_edge_of_a_disc_is_not_the_disc() -> None:
    disc, inner = _disc(0, 0, 0.5), _disc(0, 0, 0.4999)
    ring = shapely.difference(_outline(disc), _outline(inner))
    assert _known([disc], shapely.difference(ring, shapely.box(0.4, -1e-6, 0.6, 1e-6))) is None


def test_what_has_no_radius_stays_a_polygon() -> None:
    assert _known([Drawn(rectangle(1, 2), 0.0)]) is None


@pytest.mark.parametrize(
    ("solid", "area_mm2", "perimeter_mm"),
    [
        pytest.param(_disc(0, 0, 0.2), math.pi * 0.04, math.pi * 0.4, id="circle"),
        # 0.6 x 0.4 between the ends, and a circle of 0.4
        pytest.param(
            Drawn(hull([(0, 0), (600, 0)]), 0.2), 0.24 + math.pi * 0.04, 1.2 + math.pi * 0.4, id="obround"
        ),
        # 0.8 x 0.5 less four corners of 0.1: 0.4 - (4 - pi) 0.01; sides 2 x (0.6 + 0.3) and a circle of 0.2
        pytest.param(
            Drawn(rectangle(0.6, 0.3), 0.1),
            0.4 - (4 - math.pi) * 0.01,
            1.8 + math.pi * 0.2,
            id="rounded rectangle",
        ),
        pytest.param(Drawn(rectangle(0.6, 0.3), 0.0), 0.18, 1.8, id="rectangle"),
        # a frame of 3 x 3 around 1 x 1: both rings are walls
        pytest.param(Drawn(rectangle(3, 3).difference(rectangle(1, 1)), 0.0), 8.0, 16.0, id="frame"),
    ],
)
def test_areas_and_perimeters_come_in_closed_form(solid: Drawn, area_mm2: float, perimeter_mm: float) -> None:
    area, perimeter = steiner(column([solid.core]), np.array([solid.radius_mm]))
    assert math.isclose(area[0], area_mm2, rel_tol=1e-12)
    assert math.isclose(perimeter[0], perimeter_mm, rel_tol=1e-12)


@pytest.mark.parametrize(
    ("corners", "radius_mm", "convex"),
    [(2, 0.1, True), (3, 0.1, False), (3, 0.0, True)],
    ids=["straight", "bent", "bent without a radius"],
)
def test_only_a_bent_line_with_a_radius_has_no_closed_form(
    corners: int, radius_mm: float, *, convex: bool
) -> None:
    core = shapely.LineString([(0, 0), (1, 0), (1, 1)][:corners])
    assert is_convex(Look(shapely.Polygon(), core, radius_mm, 0.0)) == convex


def _composed(*steps: tuple[bool, shapely.Geometry]) -> shapely.Geometry:
    return composed(column([outline for _, outline in steps]), np.array([adds for adds, _ in steps]))


def test_outlines_are_added_and_cut_in_order() -> None:
    # 16, less 4 in the middle, and 1 back in the middle of that
    steps = (True, rectangle(4, 4)), (False, rectangle(2, 2)), (True, rectangle(1, 1))
    orders = steps, (steps[1], steps[2], steps[0]), (steps[0], steps[2], steps[1])
    assert [shapely.area(_composed(*order)) for order in orders] == [13, 16, 12]


def test_the_same_dark_and_clear_leave_nothing() -> None:
    disc = _outline(_disc(0.123, 0.456, 0.3))
    assert shapely.is_empty(_composed((True, disc), (False, disc)))


def test_cutting_from_nothing_leaves_nothing() -> None:
    assert shapely.is_empty(_composed((False, rectangle(1, 1))))


def _square(x_mm: float, y_mm: float) -> Look:
    """Of 1 mm, its lower left corner at a place."""
    box = shapely.box(x_mm, y_mm, x_mm + 1, y_mm + 1)
    return Look(box, box, 0.0, 0.0)


def _parts(*drawn: tuple[bool, Look]) -> list[Part]:
    parts = dissolved([look for _, look in drawn], np.array([adds for adds, _ in drawn]))
    return sorted(parts, key=lambda part: shapely.bounds(part.look.outline).tolist())


def _members(*drawn: tuple[bool, Look]) -> list[list[int]]:
    return [part.members.tolist() for part in _parts(*drawn)]


def test_squares_that_abut_are_one_part() -> None:
    parts = _parts((True, _square(0, 0)), (True, _square(1, 0)))
    assert [shapely.area(part.look.outline) for part in parts] == [2.0]
    assert parts[0].members.tolist() == [0, 1]


def test_squares_that_share_a_corner_are_two_parts_and_each_holds_only_itself() -> None:
    assert _members((True, _square(0, 0)), (True, _square(1, 1))) == [[0], [1]]


def test_what_was_cut_away_whole_is_in_no_part() -> None:
    assert _members((True, _square(0, 0)), (True, _square(1, 0)), (False, _square(1, 0))) == [[0]]


def test_a_square_cut_in_two_is_in_both_parts() -> None:
    slit = shapely.box(0.4, -1, 0.6, 2)
    assert _members((True, _square(0, 0)), (False, Look(slit, slit, 0.0, 0.0))) == [[0], [0]]


def test_a_merged_outline_without_curves_is_exact_to_the_nanometre() -> None:
    outline = shapely.box(0, 0, 2, 1)
    look = merged(outline, [_square(0, 0), _square(1, 0)], 1e-6)
    assert look == Look(outline, outline, 0.0, 1e-6)  # but for the rounding of its vertices to nanometres


def test_a_merged_outline_with_curves_says_how_far_off_it_can_be() -> None:
    disc = _disc(0.5, 0, 0.3)
    looks = [_square(0, 0), Look(_outline(disc), disc.core, disc.radius_mm, 0.0)]
    (part,) = _parts(*((True, look) for look in looks))
    assert (part.look.core, part.look.tolerance_mm) == (None, FLATNESS_MM)


def test_a_bow_tie_keeps_both_its_wings() -> None:
    tie = shapely.Polygon([(0, 0), (2, 2), (2, 0), (0, 2)])  # two triangles of 2 x 1 / 2
    assert mended(column([tie]))[0].area == 2.0


def test_a_cut_in_leaves_the_hole_that_it_leads_to() -> None:
    # 4 x 4 less 2 x 2, drawn as one contour that goes in and out along the same line
    corners = [(0, 0), (4, 0), (4, 4), (0, 4), (0, 2), (1, 2), (1, 3), (3, 3), (3, 1), (1, 1), (1, 2), (0, 2)]
    (outline,) = mended(column([shapely.Polygon(corners)]))
    assert outline.area == 12.0
    assert len(outline.interiors) == 1


def test_valid_outlines_are_not_touched() -> None:
    outlines = column([rectangle(1, 1), rectangle(2, 1)])
    assert mended(outlines) is outlines


def test_polygons_are_found_in_whatever_a_union_gives() -> None:
    line, box = shapely.LineString([(0, 0), (9, 9)]), rectangle(1, 1)
    mixed = shapely.GeometryCollection([line, shapely.MultiPolygon([box, shapely.box(2, 2, 3, 4)])])
    assert sorted(polygon.area for polygon in polygons_of(mixed)) == [1.0, 2.0]
    assert len(polygons_of(shapely.Polygon())) == 0


@given(
    st.integers(1, 12).flatmap(
        lambda n: st.tuples(st.just(n), st.lists(st.tuples(*[st.integers(0, n - 1)] * 2), max_size=20))
    )
)
def test_connected_rows_share_the_lowest_of_them(case: tuple[int, list[tuple[int, int]]]) -> None:
    count, links = case
    lowest = list(range(count))
    for _ in range(count):  # plainly: hand the lower number over every link until nothing changes
        for i, j in links:
            lowest[i] = lowest[j] = min(lowest[i], lowest[j])
    first, second = (np.array([link[side] for link in links], np.int64) for side in (0, 1))
    assert connected(count, first, second).tolist() == lowest


def test_a_long_chain_is_connected() -> None:
    order = np.random.default_rng(7).permutation(5000)
    assert not connected(5000, order[:-1], order[1:]).any()
