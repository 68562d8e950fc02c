"""Pens swept along arcs, against discs set close to one another along them."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pastecheck import gerber
from pastecheck.geometry.outlines import FLATNESS_MM
from pastecheck.looks import Looks, looks_of
from tests.drawn import mm_layer

PEN_MM = 0.3
OFF_MM = 4 * FLATNESS_MM
"""Ours within 2 FLATNESS_MM, the other within half of one, and places rounded to nanometres."""


def _nm(place_mm: tuple[float, float]) -> tuple[int, int]:
    return round(place_mm[0] * 1e6), round(place_mm[1] * 1e6)


def _looks(*arcs: tuple[float, float, float, float]) -> Looks:
    """Arcs of a radius about (0, 0), that begin at an angle and sweep over another, and end farther out."""
    lines = [f"%ADD10C,{PEN_MM}*%", "D10*", "G75*"]
    for radius_mm, begin_rad, sweep_rad, farther_mm in arcs:
        x, y = _nm(_on_circle(radius_mm, begin_rad))
        end_x, end_y = _nm(_on_circle(radius_mm + farther_mm, begin_rad + sweep_rad))
        lines += [f"X{x}Y{y}D02*", "G03*" if sweep_rad > 0 else "G02*", f"X{end_x}Y{end_y}I{-x}J{-y}D01*"]
    looks, look = looks_of(gerber.read(mm_layer(*lines).encode(), "arcs.gbr"))
    return looks if len(look) == len(arcs) else pytest.fail("an arc was lost")


def _on_circle(radius_mm: float, angle_rad: float) -> tuple[float, float]:
    return radius_mm * math.cos(angle_rad), radius_mm * math.sin(angle_rad)


def _swept(radius_mm: float, begin_rad: float, sweep_rad: float, farther_mm: float = 0.0) -> shapely.Geometry:
    """What discs along the arc leave, about its beginning."""
    share = np.linspace(0, 1, 3000)
    angle, reach_mm = begin_rad + share * sweep_rad, radius_mm + share * farther_mm
    middle = np.column_stack([reach_mm * np.cos(angle), reach_mm * np.sin(angle)])
    return shapely.buffer(shapely.LineString(middle - middle[0]), PEN_MM / 2, quad_segs=60)


def _assert_same(outline: shapely.Geometry, expected: shapely.Geometry) -> None:
    assert shapely.is_valid(outline)
    assert shapely.covers(shapely.buffer(outline, OFF_MM), expected)
    assert shapely.covers(shapely.buffer(expected, OFF_MM), outline)


@given(st.floats(0.02, 3), st.floats(0, 6.2), st.floats(0.05, 6.2), st.sampled_from([-1, 1]))
def test_an_arc_leaves_what_discs_along_it_leave(
    radius_mm: float, begin_rad: float, sweep_rad: float, way: int
) -> None:
    looks = _looks((radius_mm, begin_rad, way * sweep_rad, 0))
    _assert_same(looks.outline[0], _swept(radius_mm, begin_rad, way * sweep_rad))


@pytest.mark.parametrize(
    ("radius_mm", "sweep_rad", "farther_mm"),
    [
        pytest.param(1.0, 2.0, 0.0, id="a bow"),
        pytest.param(1.0, 6.1, 0.0, id="whose ends overlap"),
        pytest.param(0.1, 2.0, 0.0, id="whose pen reaches over the centre"),
        pytest.param(0.1, 6.1, 0.0, id="and whose ends overlap too"),
        pytest.param(0.15, 3.0, 0.0, id="whose pen ends at the centre"),
        pytest.param(1.0, 2.0, 0.003, id="of an inch file, its ends a step apart"),
        pytest.param(1.0, 0.5, 0.05, id="of a spiral"),
        pytest.param(0.5, 3.0, 0.04, id="of a longer one"),
    ],
)
@pytest.mark.parametrize("way", [-1, 1])
def test_arcs_of_every_kind_leave_what_discs_along_them_leave(
    radius_mm: float, sweep_rad: float, farther_mm: float, way: int
) -> None:
    looks = _looks((radius_mm, 0.7, way * sweep_rad, farther_mm))
    _assert_same(looks.outline[0], _swept(radius_mm, 0.7, way * sweep_rad, farther_mm))


@pytest.mark.parametrize(("radius_mm", "rings"), [(1.0, 2), (0.1, 1)])
def test_a_circle_leaves_a_ring_or_a_disc(radius_mm: float, rings: int) -> None:
    looks = _looks((radius_mm, 0.7, 2 * math.pi, 0))
    outer_mm, inner_mm = radius_mm + PEN_MM / 2, max(radius_mm - PEN_MM / 2, 0)
    area_mm2 = math.pi * (outer_mm**2 - inner_mm**2)
    assert len(shapely.get_rings(looks.outline[0])) == rings
    assert math.isclose(shapely.area(looks.outline[0]), area_mm2, rel_tol=1e-5)


def test_many_arcs_leave_what_each_of_them_leaves() -> None:
    arcs = [(1.0, 0.1, 2.0, 0.0), (0.1, 0.2, -2.0, 0.0), (1.0, 0.3, 6.1, 0.0), (1.0, 0.4, 0.5, 0.05)]
    together = {outline.wkb for outline in _looks(*arcs).outline}
    assert together == {_looks(arc).outline[0].wkb for arc in arcs}
