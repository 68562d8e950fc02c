"""Where the cutter begins: in the middle of an edge, away from webs."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.geometry.bounded import TooMuchError
from pastecheck.limits import STANDARD
from pastecheck.measurements import Measurements
from tests.cuts.laid import SLOTS, file_of, laid, layer, text_of
from tests.cuts.reading import Cut
from tests.drawn import FOIL, cut_text
from tests.strategies import CIRCLE, OBROUND, RECTANGLE, Thing, layers
from tests.strategies import layer as written


def way_of_start(found: Cut) -> tuple[float, float]:
    """From the middle of an opening to its start, y pointing up."""
    middle = found.polygon.centroid
    x, y = found.start - np.array([middle.x, middle.y])
    return round(float(x), 6), round(-float(y), 6)


def test_leads_between_leads_begin_at_an_end_and_the_last_of_a_row_on_its_outer_side() -> None:
    found = sorted(laid(layer(*SLOTS)).openings, key=lambda one: one.polygon.centroid.x)
    ways = [way_of_start(one) for one in found]
    assert ways[0] == (-0.125, 0.0)
    assert ways[-1] == (0.125, 0.0)
    assert {(x, abs(y)) for x, y in ways[1:-1]} == {(0.0, 0.75)}


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_the_two_openings_of_a_chip_begin_on_their_outer_sides(side: str) -> None:
    m = layer("%ADD10R,0.5X0.65*%", "D10*", "X0Y0D03*", "X900000Y0D03*")
    left, right = sorted(laid(m, side).openings, key=lambda one: one.polygon.centroid.x)
    assert (way_of_start(left), way_of_start(right)) == ((-0.25, 0.0), (0.25, 0.0))


def test_a_disc_begins_on_the_side_away_from_its_neighbour() -> None:
    m = layer("%ADD10C,0.4*%", "D10*", "X0Y0D03*", "X0Y700000D03*")
    upper, lower = sorted(laid(m).openings, key=lambda one: one.polygon.centroid.y)
    assert (way_of_start(upper), way_of_start(lower)) == ((0.0, 0.2), (0.0, -0.2))


def test_halves_of_a_disc_begin_on_their_round_sides_where_the_straight_ones_face_each_other() -> None:
    halves = [
        (
            f"X{x}Y-1000000D02*",
            "G75*",
            f"G0{way}*",
            f"X{x}Y1000000I0J1000000D01*",
            "G01*",
            f"X{x}Y-1000000D01*",
        )
        for x, way in ((0, 2), (400_000, 3))
    ]
    m = layer(*(line for half in halves for line in ("G36*", *half, "G37*")))
    left, right = sorted(laid(m).openings, key=lambda one: one.polygon.centroid.x)
    assert right.start[0] - left.start[0] == pytest.approx(2.4, abs=1e-4)


def test_a_start_is_no_corner_not_even_a_rounded_one() -> None:
    # a rounded rectangle of 0.6 x 0.8 mm with corners of 0.1 mm, and a neighbour at one of its corners
    discs = "".join(f"1,1,0.2,{x},{y}*" for x in (-0.2, 0.2) for y in (-0.3, 0.3))
    parts = f"21,1,0.4,0.8,0,0,0*21,1,0.6,0.6,0,0,0*{discs}"
    m = layer(
        f"%AMRR*{parts}%", "%ADD10RR*%", "D10*", "X0Y0D03*", "%ADD11R,0.2X0.2*%", "D11*", "X500000Y600000D03*"
    )
    found = max(laid(m).openings, key=lambda one: one.polygon.area)
    assert way_of_start(found) in {(-0.3, 0.0), (0.0, -0.4)}


@given(layers((CIRCLE, RECTANGLE, OBROUND)))
def test_no_opening_begins_where_it_faces_the_nearest_web_if_it_has_a_side_that_does_not(
    things: list[Thing],
) -> None:
    m = Measurements(cut_text(written(things)), FOIL)
    found = laid(m).openings
    polygons = [one.polygon for one in found]
    for row, one in enumerate(found):
        others = shapely.union_all([*polygons[:row], *polygons[row + 1 :]])
        gap_mm = shapely.distance(polygons[row], others) if len(polygons) > 1 else np.inf
        if 0 < gap_mm < 1:
            start = shapely.Point(one.start)
            corners = shapely.points(shapely.get_coordinates(polygons[row].minimum_rotated_rectangle))
            assert shapely.distance(start, others) > gap_mm - 1e-6
            assert shapely.distance(corners, start).min() > 0.04


@given(st.integers(0, 359), st.integers(300, 1500))
def test_of_two_rectangles_each_begins_on_a_side_that_faces_away(angle: int, apart_um: int) -> None:
    x, y = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    # squares of 0.2 mm whose centres lie so far apart that they keep clear
    far_um = 300 + apart_um / 2
    m = layer(
        "%ADD10R,0.2X0.2*%", "D10*", "X0Y0D03*", f"X{round(x * far_um * 1000)}Y{round(y * far_um * 1000)}D03*"
    )
    found = laid(m).openings
    one, other = found
    web = shapely.shortest_line(one.polygon, other.polygon)
    if web.length < 1:
        begin, end = shapely.get_coordinates(web)
        for opening, way in ((one, end - begin), (other, begin - end)):
            middle = shapely.get_coordinates(opening.polygon.centroid)[0]
            assert (opening.start - middle) @ way <= 1e-9


def test_where_too_many_openings_lie_close_together_webs_are_looked_at_half_as_far() -> None:
    # squares of 0.2 mm: 1,804 neighbours of webs lie within 0.5 mm, far more within 1 mm; 2,000 are looked at
    places = [f"X{500_000 * x}Y{500_000 * y}D03*" for x in range(9) for y in range(9)]
    m = layer("%ADD10R,0.2X0.2*%", "D10*", *places)
    few = Measurements(m.openings, FOIL, replace(STANDARD, neighbours=500))
    with pytest.raises(TooMuchError):
        few.webs_within(1.0)
    assert text_of(file_of(few)) == text_of(file_of(m))
