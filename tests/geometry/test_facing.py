"""Necks, spans and tongues: cases worked out by hand, laws, and that sizes do not run away."""

import math

import numpy as np
import pytest
import shapely
import shapely.affinity
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely.geometry import Polygon, box

from pastecheck.geometry.discs import Discs
from pastecheck.geometry.facing import InnerDiscs, inner_discs, largest_discs, necks
from pastecheck.geometry.facing_rules import are_ends_of_tapers, faces
from pastecheck.geometry.outlines import FLATNESS_MM, convex_core
from pastecheck.geometry.tongues import tongues
from tests.geometry.outlines import any_polygons
from tests.geometry.shapes import column, rectangle

ROUNDING_MM = 2.1e-6
"""Of equal discs, to the nanometre, one is taken: so diameters differ by 2 nm at most."""
FLAT_MM = 2e-4 + ROUNDING_MM
"""Bound for outlines whose arcs are flattened within 0.1 um on either side."""
TENTH_DEGREE = math.radians(0.1)


def inner(shape: shapely.Geometry, radius_mm: float = 0.0, tolerance_mm: float = 0.0) -> InnerDiscs:
    return inner_discs(column([shape]), np.array([radius_mm]), np.array([tolerance_mm]))


def neck_mm(shape: shapely.Geometry, radius_mm: float = 0.0) -> float:
    return float(inner(shape, radius_mm).narrowest.diameter_mm[0])


def span_mm(shape: shapely.Geometry, radius_mm: float = 0.0) -> float:
    return float(inner(shape, radius_mm).largest.diameter_mm[0])


def tongue_mm(shape: shapely.Polygon, reach_mm: float = 0.6) -> float:
    return float(tongues(column([shape]), np.zeros(1), reach_mm).narrowest.diameter_mm[0])


def slenderness(shape: shapely.Polygon) -> float:
    return float(tongues(column([shape]), np.zeros(1)).slenderness[0])


def all_of(*parts: shapely.Geometry) -> shapely.Polygon:
    joined = shapely.union_all(parts)
    assert isinstance(joined, Polygon)
    return joined


def less(whole: shapely.Geometry, *parts: shapely.Geometry) -> shapely.Polygon:
    rest = shapely.difference(whole, shapely.union_all(parts))
    assert isinstance(rest, Polygon)
    return rest


def arc(radius_mm: float, begin_deg: float, end_deg: float) -> NDArray[np.float64]:
    """Vertices of an arc about the origin, flattened at equal area, within 0.1 um of it. Shape (k, 2)."""
    sweep = math.radians(end_deg - begin_deg)
    steps = math.ceil(abs(sweep) / math.sqrt(6 * FLATNESS_MM / radius_mm))
    angle = math.radians(begin_deg) + np.arange(steps + 1) * (sweep / steps)
    grown = radius_mm * math.sqrt((sweep / steps) / math.sin(sweep / steps))
    return grown * np.column_stack([np.cos(angle), np.sin(angle)])


def circle(radius_mm: float, x_mm: float = 0.0, y_mm: float = 0.0) -> shapely.Polygon:
    return Polygon(arc(radius_mm, 0, 360)[:-1] + np.array([x_mm, y_mm]))


def turned(shape: shapely.Geometry, degrees: float) -> shapely.Geometry:
    return shapely.affinity.rotate(shape, degrees, origin=(0.3, -0.2))


def wedge(degrees: float, length_mm: float) -> shapely.Polygon:
    """A triangle with its tip in the origin."""
    half = length_mm * math.tan(math.radians(degrees / 2))
    return Polygon([(0, 0), (length_mm, -half), (length_mm, half)])


RING = less(circle(0.8), circle(0.5))
C_RING = less(RING, box(0, -0.1, 1, 0.1))
U = less(box(0, 0, 1, 1), box(0.35, 0.35, 0.65, 1.1))
L = all_of(box(0, 0, 1, 0.3), box(0, 0, 0.3, 1))
COMB = all_of(box(0, 0, 1.9, 0.3), *(box(0.5 * k, 0, 0.5 * k + 0.4, 1) for k in range(4)))
BOW_TIE = Polygon([(-0.5, -0.25), (0, -0.1), (0.5, -0.25), (0.5, 0.25), (0, 0.1), (-0.5, 0.25)])
HOME_PLATE = Polygon([(0, 0), (0.5, 0), (0.5, 0.5), (0.25, 0.75), (0, 0.5)])
TAN_23 = math.tan(math.radians(23))
HALF_DISC = Polygon(arc(1.0, 0, 180))
ELLIPSE = shapely.affinity.scale(circle(1.0), 1, 0.5)
NOTCH = less(box(0, 0, 1, 1), box(0.4, 0.7, 0.6, 1.1))
V_NOTCH = less(box(0, 0, 1, 1), Polygon([(0.5, 0.5), (0.5 + 0.6 * TAN_23, 1.1), (0.5 - 0.6 * TAN_23, 1.1)]))
TAPER_RAD = math.atan(0.02)


@pytest.mark.parametrize("degrees", [0, 90, 33.3, 211])
@pytest.mark.parametrize(
    ("shape", "expected_mm", "bound_mm"),
    [
        pytest.param(
            all_of(box(0, 0, 1, 1), box(1, 0.35, 2, 0.65), box(2, 0, 3, 1)), 0.3, 0.0, id="dumbbell"
        ),
        # Circles r 0.5, centres 0.8 apart: they cross 2 root(0.5² - 0.4²) = 0.6 apart.
        pytest.param(all_of(circle(0.5), circle(0.5, 0.8)), 0.6, FLAT_MM, id="two circles"),
        # Squares 1 x 1 shifted by (0.9, 0.9): the reflex corners (1, 0.9) and (0.9, 1) are 0.1 root 2 apart.
        pytest.param(
            all_of(box(0, 0, 1, 1), box(0.9, 0.9, 1.9, 1.9)), 0.1 * math.sqrt(2), 0.0, id="shifted squares"
        ),
        pytest.param(all_of(rectangle(1, 0.3), rectangle(0.3, 1)), 0.3, 0.0, id="plus"),
        pytest.param(L, 0.3, 0.0, id="L"),
        pytest.param(all_of(box(-0.5, 0, 0.5, 0.2), box(-0.1, 0, 0.1, 1)), 0.2, 0.0, id="T"),
        pytest.param(U, 0.35, 0.0, id="U"),
        pytest.param(COMB, 0.3, 0.0, id="comb"),  # its back is narrower than its teeth of 0.4
        pytest.param(BOW_TIE, 0.2, 0.0, id="bow tie"),
        # The disc touches the end x = 0 and both sides y = 0.12 + 0.02 x: (0.12 + 0.02 r) cos t = r.
        pytest.param(
            Polygon([(0, -0.12), (1.5, -0.15), (1.5, 0.15), (0, 0.12)]),
            2 * 0.12 * math.cos(TAPER_RAD) / (1 - 0.02 * math.cos(TAPER_RAD)),
            0.0,
            id="trapezoid",
        ),
        pytest.param(RING, 0.3, FLAT_MM, id="ring"),
        pytest.param(C_RING, 0.3, FLAT_MM, id="C ring"),
        pytest.param(Polygon([(0, 0), (1, 0), (0.5, 0.75**0.5)]), 1 / math.sqrt(3), 0.0, id="triangle"),
        # The tip takes 45 degree sides: below it walls 0.5 apart, in which a disc of 0.5 has room.
        pytest.param(HOME_PLATE, 0.5, 0.0, id="home plate"),
        # A degree from opposite is opposite: curved walls read up to 0.04 % less (see the module).
        pytest.param(HALF_DISC, 1.0, FLAT_MM + 4e-4, id="half disc"),
        pytest.param(ELLIPSE, 1.0, FLAT_MM + 4e-4, id="ellipse"),
        pytest.param(wedge(10, 1), 0.0, 0.0, id="tip of 10 degrees"),
        pytest.param(less(box(0, 0, 1, 1), box(0.2, 0.2, 0.8, 0.9)), 0.1, 0.0, id="frame"),
        pytest.param(NOTCH, 0.4, 0.0, id="notch"),  # the limbs; 0.7 are left below it
        # A V of 46 degrees down to the middle: from its tip it is 0.5 to the bottom.
        pytest.param(V_NOTCH, 0.5, 0.0, id="V notch"),
        # A keyhole: a bar of 0.2 on a disc.
        pytest.param(all_of(circle(0.4), box(-0.1, -1.2, 0.1, 0)), 0.2, FLAT_MM, id="keyhole"),
        # Parallel walls end in a tip of 30 degrees: they are still 0.2 apart.
        pytest.param(
            all_of(box(-1, -1, 0, 1), Polygon([(0, -0.1), (1, -0.1), (1.3732, 0), (1, 0.1), (0, 0.1)])),
            0.2,
            0.0,
            id="pencil",
        ),
    ],
)
def test_a_neck_is_as_worked_out_by_hand(
    shape: shapely.Polygon, expected_mm: float, bound_mm: float, degrees: float
) -> None:
    read_mm = neck_mm(turned(shape, degrees))
    assert read_mm == pytest.approx(expected_mm, abs=bound_mm + ROUNDING_MM)


@pytest.mark.parametrize(
    ("core", "radius_mm", "neck", "span"),
    [
        pytest.param(shapely.Point(1, 2), 0.2, 0.4, 0.4, id="circle"),
        pytest.param(convex_core(np.array([[0.0, 0], [0.3, 0.4]])), 0.125, 0.25, 0.25, id="obround"),
        pytest.param(rectangle(0.15, 0.65), 0.075, 0.3, 0.3, id="rounded rectangle"),
        # All within 0.1 of a triangle of side 1: its incircle 1 / root 3, and 0.1 all round.
        pytest.param(
            Polygon([(0, 0), (1, 0), (0.5, 0.75**0.5)]),
            0.1,
            1 / math.sqrt(3) + 0.2,
            1 / math.sqrt(3) + 0.2,
            id="rounded triangle",
        ),
        # The round tip of a wedge of 10 degrees is the narrow end of a taper: a disc of its radius.
        # Its span: the incircle of the core, r = sin 5 (1 - r), and 0.05 all round.
        pytest.param(
            wedge(10, 1),
            0.05,
            0.1,
            2 * math.sin(math.radians(5)) / (1 + math.sin(math.radians(5))) + 0.1,
            id="rounded wedge",
        ),
    ],
)
def test_a_radius_makes_discs_larger_all_round(
    core: shapely.Geometry, radius_mm: float, neck: float, span: float
) -> None:
    assert neck_mm(core, radius_mm) == pytest.approx(neck, abs=1e-9)
    assert span_mm(core, radius_mm) == pytest.approx(span, abs=1e-9)


@pytest.mark.parametrize(
    ("shape", "expected_mm", "bound_mm"),
    [
        pytest.param(rectangle(3, 4), 3.0, 0.0, id="rectangle"),
        pytest.param(rectangle(1, 10), 1.0, 0.0, id="bar"),
        pytest.param(circle(2.5), 5.0, FLAT_MM, id="circle"),
        # L 6 x 6, arms 2: about (r, r), through (2, 2), so r = (2 - r) root 2.
        pytest.param(
            all_of(box(0, 0, 6, 2), box(0, 0, 2, 6)),
            4 * math.sqrt(2) / (1 + math.sqrt(2)),
            0.0,
            id="L",
        ),
        pytest.param(BOW_TIE, None, 0.0, id="bow tie"),
        pytest.param(all_of(rectangle(1, 0.3), rectangle(0.3, 1)), 0.3 * math.sqrt(2), 0.0, id="plus"),
        pytest.param(RING, 0.3, FLAT_MM, id="ring"),
    ],
)
def test_a_span_is_as_worked_out_by_hand(
    shape: shapely.Polygon, expected_mm: float | None, bound_mm: float
) -> None:
    found = span_mm(shape)
    if expected_mm is None:
        expected_mm = 2 * float(shapely.length(shapely.maximum_inscribed_circle(shape, 1e-7)))
    assert found == pytest.approx(expected_mm, abs=bound_mm + ROUNDING_MM)


@pytest.mark.parametrize("degrees", [0, 33.3])
@pytest.mark.parametrize(
    ("shape", "expected_mm", "expected_slenderness"),
    [
        pytest.param(U, 0.3, 0.65 / 0.3, id="U"),
        pytest.param(COMB, 0.1, 7.0, id="comb"),
        pytest.param(NOTCH, 0.2, 1.5, id="notch"),
        # Two notches in one outline: each by itself.
        pytest.param(
            less(box(0, 0, 1, 1), box(0.4, 0.7, 0.6, 1.1), box(0.4, -1, 0.6, 0.3)), 0.2, 1.5, id="H"
        ),
        # The lip is 0.1 thick and 0.2 from the other: 0.5. The pocket behind, 0.6 x 0.7, is longer: the
        # opening lies across all around it, and half of that is 0.1 of lip, 0.2, 0.7 and half of 0.6.
        pytest.param(
            less(box(0, 0, 1, 1), box(0.4, 0.5, 0.6, 1.1), box(0.2, 0.2, 0.8, 0.9)), 0.2, 1.3 / 0.6, id="lips"
        ),
        # A short notch of 0.2, and a longer one of 0.25, which is the slenderer.
        pytest.param(
            less(box(0, 0, 2, 1), box(0.4, 0.7, 0.6, 1.1), box(1.2, 0.2, 1.45, 1.1)),
            0.2,
            0.8 / 0.25,
            id="two notches",
        ),
        # The same in one comb: gaps of 0.1 x 0.2, 0.15 x 0.7 and 0.3 x 0.7.
        pytest.param(
            less(box(0, 0, 3, 1), box(0.5, 0.8, 0.6, 2), box(1, 0.3, 1.15, 2), box(2, 0.3, 2.3, 2)),
            0.1,
            0.7 / 0.15,
            id="uneven comb",
        ),
        # A slot with a step: 0.09 wide and 0.1 deep at its bottom, 0.2 wide and 0.6 deep above. Its walls go
        # on over the step, a break of 0.055, to the bottom: 0.6 + 0.055 + 0.1.
        pytest.param(
            less(box(0, 0, 1, 1), box(0.4, 0.4, 0.6, 2), box(0.455, 0.3, 0.545, 1)),
            0.09,
            0.755 / 0.2,
            id="step",
        ),
    ],
)
def test_a_tongue_is_as_worked_out_by_hand(
    shape: shapely.Polygon, expected_mm: float, expected_slenderness: float, degrees: float
) -> None:
    shape_turned = turned(shape, degrees)
    assert isinstance(shape_turned, Polygon)
    assert tongue_mm(shape_turned) == pytest.approx(expected_mm, abs=ROUNDING_MM)
    assert slenderness(shape_turned) == pytest.approx(expected_slenderness, abs=1e-4)


def test_the_mouth_of_a_c_ring_is_a_tongue() -> None:
    # Walls at y = +-0.1 from root(0.5² - 0.1²) = 0.48990 to root(0.8² - 0.1²) = 0.79373: 0.30383 / 0.2 long.
    assert tongue_mm(C_RING) == pytest.approx(0.2, abs=ROUNDING_MM)
    # The inner circle faces the mouth for a few facets more, as far as 1.2 widths reach.
    assert slenderness(C_RING) == pytest.approx(0.30383 / 0.2, abs=0.03)


@pytest.mark.parametrize(
    "shape",
    [
        pytest.param(box(0, 0, 1, 1), id="square"),
        pytest.param(L, id="L"),
        pytest.param(RING, id="ring"),
        pytest.param(V_NOTCH, id="V notch of 46 degrees"),
        pytest.param(less(box(0, 0, 1, 1), box(0.4, 0.4, 0.6, 0.7)), id="hole"),
        pytest.param(less(box(0, 0, 2, 1), box(0.6, 0.5, 1.4, 1)), id="notch wider than the reach"),
    ],
)
def test_nothing_that_is_no_tongue_is_one(shape: shapely.Polygon) -> None:
    assert math.isnan(tongue_mm(shape))
    assert math.isnan(slenderness(shape))


def test_the_reach_is_the_largest_width_of_a_tongue() -> None:
    wide = less(box(0, 0, 2, 1), box(0.6, 0.3, 1.4, 1.1))
    assert tongue_mm(wide, 0.81) == pytest.approx(0.8, abs=ROUNDING_MM)


@pytest.mark.parametrize("degrees", [0.5, 1.5, 10.0, 19.9])
def test_a_taper_of_up_to_twenty_degrees_is_read_at_its_narrow_end(degrees: float) -> None:
    # The disc touches the end and both walls: r = (0.1 + r tan t) cos t.
    t = math.radians(degrees / 2)
    assert neck_mm(finger(degrees)) == pytest.approx(0.2 * math.cos(t) / (1 - math.sin(t)), abs=ROUNDING_MM)


@pytest.mark.parametrize("degrees", [20.1, 45.0])
def test_a_blunter_taper_is_a_corner_and_no_neck(degrees: float) -> None:
    assert neck_mm(finger(degrees)) == pytest.approx(3.0, abs=ROUNDING_MM)


def finger(degrees: float) -> shapely.Polygon:
    """Walls 1 long that taper to an end of 0.2, on a square of 3."""
    wide = 0.1 + math.tan(math.radians(degrees / 2))
    half = [(0.0, 0.1), (1.0, wide), (1.0, 1.5), (4.0, 1.5)]
    return Polygon([*((x, -y) for x, y in half), *reversed(half)])


def pencil(taper_deg: float, tip_deg: float) -> shapely.Polygon:
    """Walls 1 long that taper to 0.2, and from there to a tip."""
    wide = 0.1 + math.tan(math.radians(taper_deg / 2))
    tip = 1 + 0.1 / math.tan(math.radians(tip_deg / 2))
    return Polygon([(0, -wide), (1, -0.1), (tip, 0), (1, 0.1), (0, wide)])


@pytest.mark.parametrize("degrees", [0.0, 123.4])
@pytest.mark.parametrize("on_a_square", [False, True], ids=["convex", "on a square"])
def test_a_taper_that_bends_to_a_blunter_tip_is_read_where_it_bends(
    degrees: float, *, on_a_square: bool
) -> None:
    # walls 5 degrees from the axis and a tip 15 from it, bending where they are 0.1 away from it
    shape = pencil(10, 30)
    if on_a_square:
        shape = all_of(shape, box(-1.0, -0.5, 0.0, 0.5))
    # u before the bend its distances to wall and tip, (0.1 + u tan t) cos t, are equal for t = 5 and t = 15:
    # 0.1 (cos 5 - cos 15) = u (sin 15 - sin 5), so u = 0.1 tan 10 and r = 0.1 cos 5 / cos 10
    wanted = 0.2 * math.cos(math.radians(5)) / math.cos(math.radians(10))
    assert neck_mm(turned(shape, degrees)) == pytest.approx(wanted, abs=ROUNDING_MM)


def test_a_tongue_that_bends_to_a_blunter_tip_is_read_where_it_bends() -> None:
    notch = shapely.affinity.translate(shapely.affinity.rotate(pencil(10, 30), 270, origin=(0, 0)), 1, 2)
    wanted = 0.2 * math.cos(math.radians(5)) / math.cos(math.radians(10))
    assert tongue_mm(less(box(0, 0, 2, 2), notch)) == pytest.approx(wanted, abs=ROUNDING_MM)


def lens(thickness_mm: float) -> shapely.Polygon:
    """Two arcs of radius 1, so thick in the middle."""
    half_deg = math.degrees(math.acos(1 - thickness_mm / 2))
    upper = arc(1.0, 90 - half_deg, 90 + half_deg) - np.array([0.0, 1 - thickness_mm / 2])
    return Polygon(np.concatenate([upper, -upper[1:-1]]))


@pytest.mark.parametrize("on_a_bar", [False, True], ids=["convex", "on a bar"])
def test_walls_that_bend_together_are_read_where_they_taper_by_twenty_degrees(*, on_a_bar: bool) -> None:
    # arcs about (0, -+0.9): where both are 10 degrees from the axis the disc has 1 - 0.9 / cos 10
    shape = lens(0.2)
    if on_a_bar:
        shape = all_of(shape, box(-0.15, -1, 0.15, 1))
    wanted = 2 - 1.8 / math.cos(math.radians(10))
    discs = inner(shape, tolerance_mm=1e-4).narrowest
    assert discs.diameter_mm[0] == pytest.approx(wanted, abs=float(discs.error_mm[0]))
    assert discs.error_mm[0] < 0.01


def test_an_end_counts_only_if_it_is_narrower_than_nine_tenths_of_the_rest() -> None:
    # 1 - 0.85 / cos 10 of 0.15: 0.137, more than 0.9
    assert neck_mm(lens(0.3)) == pytest.approx(0.3, abs=FLAT_MM + 4e-4)


def test_a_taper_that_opens_wider_has_no_end_there() -> None:
    # a trumpet: walls of 10 degrees, then of 40; narrow is only its flat end
    near, far = 0.1 + math.tan(math.radians(5)), 0.1 + math.tan(math.radians(5)) + math.tan(math.radians(20))
    trumpet = Polygon([(0, -0.1), (1, -near), (2, -far), (2, far), (1, near), (0, 0.1)])
    t = math.radians(5)
    assert neck_mm(trumpet) == pytest.approx(0.2 * math.cos(t) / (1 - math.sin(t)), abs=ROUNDING_MM)


def test_a_tip_needs_sides_of_fifty_micrometres() -> None:
    def with_spike(side_mm: float) -> shapely.Polygon:
        """A square of 1 with a spike of 15 degrees on its right side."""
        reach, half = (side_mm * of(math.radians(7.5)) for of in (math.cos, math.sin))
        return Polygon([(-1, -0.5), (0, -0.5), (0, -half), (reach, 0), (0, half), (0, 0.5), (-1, 0.5)])

    assert neck_mm(with_spike(0.051)) == 0
    assert neck_mm(with_spike(0.049)) == pytest.approx(1.0, abs=ROUNDING_MM)


def test_touches_within_a_facet_of_each_other_make_no_end_of_a_taper() -> None:
    degrees = np.array([[175.0, 10, 165], [175, 19, 156], [175, 21, 154], [179.5, 1, 178.5], [158, 60, 98]])
    assert faces(np.radians(degrees)).tolist() == [False, False, True, True, False]


def test_an_arc_of_many_facets_is_one_contact() -> None:
    def directions(begin: float, end: float, count: int) -> NDArray[np.float64]:
        angle = np.radians(np.linspace(begin, end, count))
        return np.column_stack([np.cos(angle), np.sin(angle)])

    arcs = [directions(0, 165, 30), directions(0, 155, 30), directions(0, 170, 3000)]
    two = np.concatenate([directions(0, 10, 5), directions(165, 175, 5)])  # facets of two walls, nothing else
    place = np.repeat(np.arange(4), [len(one) for one in (*arcs, two)])
    assert are_ends_of_tapers(place, np.concatenate([*arcs, two]), 5).tolist() == [
        True,
        False,
        True,
        False,
        False,
    ]


def test_a_waist_of_a_tenth_of_a_micrometre_is_seen() -> None:
    shape = all_of(box(0, 0, 1, 1), box(1 - 7e-5, 1 - 7e-5, 2, 2))
    assert neck_mm(shape) == pytest.approx(7e-5 * math.sqrt(2), abs=ROUNDING_MM)


def test_a_disc_is_told_by_where_it_touches() -> None:
    discs = necks(column([BOW_TIE]), np.zeros(1), np.zeros(1))
    ends = np.sort(np.stack([discs.begin_mm[0], discs.end_mm[0]])[:, 1])
    assert ends == pytest.approx([-0.1, 0.1])
    assert discs.begin_mm[0, 0] == pytest.approx(0.0)


def test_the_error_grows_with_the_tolerance() -> None:
    def error_mm(shape: shapely.Geometry) -> float:
        return float(necks(column([shape]), np.zeros(1), np.array([1e-4])).error_mm[0])

    assert error_mm(rectangle(1, 2)) == pytest.approx(2e-4)
    # 2 x (0.1 um of flattening + 0.1 um of an empty disc); and the inner corner is off by root 2 of that
    assert error_mm(L) == pytest.approx(4e-4 + (math.sqrt(2) - 1) * 1e-4)


def test_shapes_of_all_kinds_are_read_side_by_side() -> None:
    shapes = column([L, shapely.Point(0, 0), rectangle(0.2, 1), RING, wedge(10, 1)])
    discs = necks(shapes, np.array([0, 0.1, 0, 0, 0]), np.zeros(5))
    assert discs.diameter_mm == pytest.approx([0.3, 0.2, 0.2, 0.3, 0.0], abs=FLAT_MM)


def test_no_shapes_have_no_discs() -> None:
    assert len(largest_discs(column([]), np.zeros(0), np.zeros(0)).diameter_mm) == 0
    assert len(tongues(column([]), np.zeros(0)).slenderness) == 0


@given(any_polygons)
def test_no_disc_is_larger_than_the_largest_and_both_are_empty(shape: shapely.Polygon) -> None:
    found = inner(shape)
    narrowest, largest = found.narrowest.diameter_mm[0], found.largest.diameter_mm[0]
    assert narrowest <= largest + ROUNDING_MM
    circle_mm = 2 * float(shapely.length(shapely.maximum_inscribed_circle(shape, 1e-5)))
    assert circle_mm - ROUNDING_MM <= largest <= circle_mm + 2.1e-5


@given(
    any_polygons,
    st.sampled_from(["turned", "mirrored", "scaled", "started elsewhere", "cut into more sides"]),
    st.integers(1, 359),
)
def test_readings_stay_when_an_outline_is_told_otherwise(
    shape: shapely.Polygon, how: str, amount: int
) -> None:
    other, factor = told_otherwise(shape, how, amount)
    before, after = inner(shape), inner(other)
    for one, two in zip(before, after, strict=True):
        assert two.diameter_mm[0] == pytest.approx(factor * one.diameter_mm[0], abs=2 * factor * ROUNDING_MM)
    # a tongue at the very limit of the reach may fall out of it
    assert _diameter(tongues(column([other]), np.zeros(1), 0.6 * factor).narrowest) == pytest.approx(
        factor * _diameter(tongues(column([shape]), np.zeros(1), 0.6).narrowest),
        abs=2 * factor * ROUNDING_MM,
        nan_ok=True,
    )


def _diameter(discs: Discs) -> float:
    return float(discs.diameter_mm[0])


def told_otherwise(shape: shapely.Polygon, how: str, amount: int) -> tuple[shapely.Polygon, float]:
    """The same outline drawn in another way, and by how much it is larger."""
    if how == "scaled":
        factor = 1 + amount / 100
        return shapely.affinity.scale(shape, factor, factor, origin=(0, 0)), factor
    if how == "turned":
        return shapely.affinity.rotate(shape, amount, origin=(0, 0)), 1.0
    if how == "mirrored":
        return shapely.affinity.scale(shape, -1, 1, origin=(0, 0)), 1.0
    rings = [np.asarray(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors)]
    if how == "started elsewhere":
        rings = [np.roll(ring, amount, axis=0) for ring in rings]
    else:
        share = amount / 360
        rings = [
            np.stack([ring, ring, ring + share * (np.roll(ring, -1, axis=0) - ring)], axis=1).reshape(-1, 2)
            for ring in rings
        ]
    return Polygon(rings[0], rings[1:]), 1.0


@pytest.mark.slow
@pytest.mark.parametrize("count", [1000, 5000])
def test_outlines_of_many_vertices_end(count: int) -> None:
    angle = np.arange(count) * (2 * math.pi / count)
    # 40 hollows of 0.3 on a disc of 3: opposite hollows, 5.4 apart, face each other
    wavy = np.column_stack([np.cos(angle), np.sin(angle)]) * (3 + 0.3 * np.sin(40 * angle))[:, None]
    assert neck_mm(Polygon(wavy)) == pytest.approx(5.4, abs=2e-3)
    assert neck_mm(Polygon(np.column_stack([np.cos(angle), np.sin(angle)]))) == pytest.approx(2.0, abs=1e-4)


def test_a_rounded_outline_reads_as_its_core_and_radius() -> None:
    # A rectangle of 0.4 x 0.9 with a round end of 0.2: an obround of which one end is cut square.
    flattened = Polygon(np.concatenate([arc(0.2, -90, 90), [[-0.7, 0.2], [-0.7, -0.2]]]))
    assert neck_mm(flattened) == pytest.approx(0.4, abs=FLAT_MM)
    # The hull of two circles of 0.1 and 0.15, 0.6 apart, tapers by 2 asin(0.05 / 0.6) = 9.6 degrees.
    drop = shapely.convex_hull(shapely.union(circle(0.1), circle(0.15, 0.6)))
    assert neck_mm(drop) == pytest.approx(0.2, abs=FLAT_MM)
    assert span_mm(drop) == pytest.approx(0.3, abs=FLAT_MM)
    # 0.05 and 0.2, 0.5 apart taper by 2 asin(0.3) = 34.9 degrees: the small end is a rounded corner
    pear = shapely.convex_hull(shapely.union(circle(0.05), circle(0.2, 0.5)))
    assert neck_mm(pear) == pytest.approx(0.4, abs=FLAT_MM)
