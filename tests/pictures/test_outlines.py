"""Openings are drawn where they are, within the bound that is stated: read back by another library."""

from random import Random

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.errors import NoOpeningsError
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.geometry.pairs import placed
from pastecheck.openings import Openings
from pastecheck.pictures import Picture, picture_of
from pastecheck.pictures.outlines import LOOSE_MM
from pastecheck.units import NM_PER_MM
from tests.drawn import areas_mm2, cut, cut_text
from tests.pictures.read_back import filled, named, read
from tests.strategies import INCH, MM, Style, Thing, layer, layers

SHAPES = {
    "a circle": "%ADD10C,0.4*%\nD10*\nX1234567Y-2345678D03*",
    "a circle whose radius is no whole step": "%ADD10C,0.12345*%\nD10*\nX0Y0D03*",
    "a rectangle": "%ADD10R,0.25X1.5*%\nD10*\nX1000000Y2000000D03*",
    "an obround": "%ADD10O,0.4X1.1*%\nD10*\nX0Y0D03*",
    "an obround askew": "%LR33*%\n%ADD10O,0.4X1.1*%\nD10*\nX0Y0D03*",
    "a stroke askew": "%ADD10C,0.3*%\nD10*\nX0Y0D02*\nG01*\nX1234500Y777700D01*",
    "a triangle": "%ADD10P,1.1X3X17*%\nD10*\nX0Y0D03*",
    "a ring": "%ADD10C,1.6X1.0*%\nD10*\nX0Y0D03*",
    "a square with a square hole": "%ADD10R,2X2X0.7X0.7*%\nD10*\nX0Y0D03*",
    "a rounded rectangle": (
        "%AMROUNDED*1,1,0.15,-0.25,-0.5*1,1,0.15,0.25,-0.5*1,1,0.15,-0.25,0.5*1,1,0.15,0.25,0.5*"
        "21,1,0.65,1,0,0,0*21,1,0.5,1.15,0,0,0*%\n%ADD10ROUNDED*%\nD10*\nX0Y0D03*"
    ),
    "a region with an arc": ("G75*\nG36*\nX0Y0D02*\nG01*\nX2000000Y0D01*\nG03*\nX0Y0I-1000000J0D01*\nG37*"),
    "a bent stroke": "%ADD10C,0.3*%\nD10*\nX0Y0D02*\nG01*\nX1000000D01*\nY1000000D01*\nX0Y500000D01*",
    "two circles that overlap": "%ADD10C,0.8*%\nD10*\nX0Y0D03*\nX500000Y100000D03*",
    "an opening in the hole of another": "%ADD10C,3X2*%\n%ADD11C,1*%\nD10*\nX0Y0D03*\nD11*\nX0Y0D03*",
}


def true_outlines(openings: Openings) -> shapely.Geometry:
    """What is cut, curves flattened to 0.1 um."""
    x_mm, y_mm = openings.x_nm / NM_PER_MM, openings.y_nm / NM_PER_MM
    return shapely.union_all(placed(openings.shapes.outline[openings.shape], x_mm, y_mm))


def assert_drawn_as_cut(openings: Openings) -> None:
    """Neither reaches beyond the other by more than the bound."""
    shown, true = filled(named(read(picture_of(openings)), "outlines")), true_outlines(openings)
    reach_mm = LOOSE_MM + FLATNESS_MM
    assert shapely.difference(shown, shapely.buffer(true, reach_mm)).area < 1e-9
    assert shapely.difference(true, shapely.buffer(shown, reach_mm)).area < 1e-9


def assert_alike(one: Picture, other: Picture, way_mm: tuple[float, float] = (0, 0)) -> None:
    """Both show as much, and the other lies farther by a way. Where merged outlines begin is of no matter."""
    (here,), (there,) = (named(read(picture), "outlines") for picture in (one, other))
    assert abs(here.area_mm2 - there.area_mm2) <= LOOSE_MM
    assert np.allclose(np.subtract(there.path.bbox(), here.path.bbox()), way_mm * 2, atol=2 * LOOSE_MM)
    assert np.allclose(np.subtract(other.bounds_mm, one.bounds_mm), way_mm * 2, atol=LOOSE_MM)


@pytest.mark.parametrize("drawn", SHAPES.values(), ids=SHAPES)
def test_what_is_drawn_is_what_is_cut(drawn: str) -> None:
    assert_drawn_as_cut(cut(drawn))


@pytest.mark.parametrize("drawn", SHAPES.values(), ids=SHAPES)
def test_the_area_drawn_is_the_area_measured(drawn: str) -> None:
    openings = cut(drawn)
    outlines = named(read(picture_of(openings)), "outlines")
    perimeter_mm = openings.shapes.perimeter_mm[openings.shape].sum()
    drawn_mm2 = sum(path.area_mm2 for path in outlines)
    assert abs(drawn_mm2 - areas_mm2(openings).sum()) <= perimeter_mm * LOOSE_MM


def test_a_circle_is_drawn_as_two_arcs() -> None:
    body = picture_of(cut(SHAPES["a circle"])).body
    # radius 0.2 mm = 2000 steps; x begins at 1.234567 mm - 0.2 mm = 10346 steps, y at -23457
    assert 'd="M10346 -23457a2000 2000 0 0 1 4000 0a2000 2000 0 0 1-4000 0z"' in body


def test_curves_of_a_merged_outline_are_arcs_again() -> None:
    # two circles of 0.8 mm: of each more than half a turn, so in three arcs at most, where 0.1 um of
    # flatness takes 100 chords a turn
    body = picture_of(cut(SHAPES["two circles that overlap"])).body
    assert body.count("a4000") <= 8
    assert len(body) < 600


def test_openings_of_one_kind_are_drawn_in_their_places() -> None:
    body = picture_of(cut("%ADD10R,0.2X0.4*%\nD10*\nX0Y0D03*\nX500000D03*\nX1000000D03*")).body
    # corners at -0.1, -0.2: then 0.5 mm = 5000 steps on from where the pen is
    rectangle = "v4000h2000v-4000z"
    assert body.count("m5000 0") == 2
    assert rectangle in body or "h2000v4000h-2000z" in body


def test_many_openings_are_few_elements() -> None:
    # 120 x 120 at a pitch of 0.5 mm: 14,400, in tiles of about 250
    many = cut("%ADD10R,0.2X0.2*%\nD10*\n%SRX120Y120I0.5J0.5*%\nX0Y0D03*\n%SR*%")
    body = picture_of(many).body
    assert 50 <= body.count("<path") <= 90
    assert len(body) <= 14_400 * 35


def test_both_rules_of_filling_show_the_same() -> None:
    # a ring of 1.6 and 1.0 mm: pi (0.64 - 0.25); were both rings drawn one way they would add up
    (ring,) = named(read(picture_of(cut(SHAPES["a ring"]))), "outlines")
    assert abs(ring.area_mm2 - np.pi * 0.39) < 0.005


@given(layers())
def test_any_layer_is_drawn_as_it_is_cut(things: list[Thing]) -> None:
    assert_drawn_as_cut(cut_text(layer(things)))


@given(layers())
def test_a_moved_layer_is_drawn_moved(things: list[Thing]) -> None:
    try:
        here = picture_of(cut_text(layer(things)))
    except NoOpeningsError:
        return
    there = picture_of(cut_text(layer(things, Style(dx_nm=1_000_000, dy_nm=-2_000_000))))
    assert_alike(here, there, (1, 2))  # in pictures y is downward: 2 mm lower are 2 mm more


@given(layers())
def test_a_layer_in_inches_is_drawn_as_the_same_in_millimetres(things: list[Thing]) -> None:
    try:
        one, other = (picture_of(cut_text(layer(things, style))) for style in (MM, INCH))
    except NoOpeningsError:
        return
    assert_alike(one, other)


@given(layers(), st.randoms(use_true_random=False))
def test_the_order_in_the_file_does_not_matter(things: list[Thing], random: Random) -> None:
    shuffled = random.sample(things, len(things))
    try:
        one, other = (picture_of(cut_text(layer(some))) for some in (things, shuffled))
    except NoOpeningsError:
        return
    assert_alike(one, other)
