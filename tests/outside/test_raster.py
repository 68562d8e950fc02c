"""
Web width and opening width agree with a raster on 500 random layouts, to within its pixel of 4 um.

The raster shares nothing with the project but the numbers that a layout is made from: what lies inside is
asked of the closed form of each shape, point by point; distances come from scipy's Euclidean distance
transform, widths from projections of the points in every direction.

Each pixel is sampled at 4 x 4 points, 1 um apart. Samples inside a shape never come nearer than the shape,
and fall short of it by at most 1.71 um each: a disc with a radius of 0.71 um always holds a sample, and in a
corner of 90 degrees its far side is (1 + root 2) x 0.71 um from the tip. So two of them stay within a pixel.
"""

from functools import cache
from typing import NamedTuple

import numpy as np
import pytest
from scipy.ndimage import distance_transform_edt
from scipy.spatial import ConvexHull

from pastecheck import gerber
from pastecheck.drawing import BoolArray, FloatArray
from pastecheck.measurements import Foil, Measurements
from pastecheck.openings import cut_from
from tests.outside.shapes import Shape, random_shape

PIXEL_MM = 0.004
SAMPLE_MM = 0.001
OURS_MM = 2e-4
"""Our own error bound for two flattened outlines."""

LAYOUTS = 500
QUICK = 40
"""Layouts that are looked at with every change; the others are slow."""
FOIL = Foil("any", "any", 0.1)
TURNS_RAD = np.radians(np.arange(0, 90, 0.05))
"""A rectangle of 0.6 mm turned by half a step is off by 0.3 um at most."""

each_layout = pytest.mark.parametrize(
    "seed", [*range(QUICK), *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(QUICK, LAYOUTS))]
)


class Seen(NamedTuple):
    """What the raster shows of one shape."""

    centre_mm: FloatArray
    area_mm2: float
    width_mm: FloatArray
    """Of each turned rectangle about it that is smallest to within a sample; so is the length."""
    length_mm: FloatArray


class Layout(NamedTuple):
    """Two shapes apart from each other, and what the raster shows of them."""

    shapes: tuple[Shape, Shape]
    web_mm: float
    seen: tuple[Seen, Seen]


@cache
def layout(seed: int) -> Layout:
    """Two shapes whose samples neither meet nor lie next to each other."""
    random = np.random.default_rng([2026, seed])
    while True:
        one = random_shape(random, 10.0, 5.0)
        way, angle = random.uniform(0.05, 0.5), random.uniform(0, 2 * np.pi)
        other = random_shape(random, 10.0 + way * np.cos(angle), 5.0 + way * np.sin(angle))
        x_mm, y_mm = samples_about(one, other)
        inside = one.contains(x_mm, y_mm), other.contains(x_mm, y_mm)
        web_mm = shortest_mm(*inside)
        if web_mm > 2 * PIXEL_MM:
            seen = [seen_of(np.column_stack([x_mm[each], y_mm[each]])) for each in inside]
            return Layout((one, other), web_mm, (seen[0], seen[1]))


def samples_about(one: Shape, other: Shape) -> tuple[FloatArray, FloatArray]:
    low = np.min([(s.x_mm - s.reach_mm, s.y_mm - s.reach_mm) for s in (one, other)], axis=0)
    high = np.max([(s.x_mm + s.reach_mm, s.y_mm + s.reach_mm) for s in (one, other)], axis=0)
    x = np.arange(low[0] - SAMPLE_MM, high[0] + 2 * SAMPLE_MM, SAMPLE_MM)
    y = np.arange(low[1] - SAMPLE_MM, high[1] + 2 * SAMPLE_MM, SAMPLE_MM)
    x_mm, y_mm = np.meshgrid(x, y)
    return x_mm, y_mm


def shortest_mm(one: BoolArray, other: BoolArray) -> float:
    """Shortest distance between samples of two shapes."""
    if (one & other).any():
        return 0.0
    return float(distance_transform_edt(~one, sampling=SAMPLE_MM)[other].min())


def seen_of(points: FloatArray) -> Seen:
    """
    Centre, area, and sides of the turned rectangles about points that are smallest to within a sample.

    There may be several: a circle has one in every direction, a square L has two of equal area.
    """
    hull = points[ConvexHull(points).vertices]
    along = np.ptp(np.outer(hull[:, 0], np.cos(TURNS_RAD)) + np.outer(hull[:, 1], np.sin(TURNS_RAD)), axis=0)
    across = np.ptp(np.outer(hull[:, 1], np.cos(TURNS_RAD)) - np.outer(hull[:, 0], np.sin(TURNS_RAD)), axis=0)
    area = along * across
    least = area <= area.min() + SAMPLE_MM * (along + across)
    along, across = along[least], across[least]
    area_mm2 = len(points) * SAMPLE_MM**2
    return Seen(points.mean(axis=0), area_mm2, np.minimum(along, across), np.maximum(along, across))


@cache
def measured(seed: int) -> Measurements:
    one, other = layout(seed).shapes
    text = f"%FSLAX46Y46*%\n%MOMM*%\n{one.gerber(10)}{other.gerber(11)}M02*\n"
    return Measurements(cut_from(gerber.read(text.encode(), "layout.gbr")), FOIL)


@each_layout
def test_a_web_is_as_wide_as_on_the_raster(seed: int) -> None:
    webs = measured(seed).webs_within(2.0)
    assert (webs.first.tolist(), webs.second.tolist()) == ([0], [1])
    assert -OURS_MM <= layout(seed).web_mm - webs.gap_mm[0] <= PIXEL_MM


@each_layout
def test_an_opening_is_as_wide_and_long_as_on_the_raster(seed: int) -> None:
    m = measured(seed)
    for seen in layout(seed).seen:
        row = int(np.argmin(np.hypot(*(m.centroid_mm - seen.centre_mm).T)))
        # A sample more or less along the outline: half a sample x perimeter, three percent for 0.1 x 0.1 mm.
        assert m.area_mm2[row] == pytest.approx(seen.area_mm2, rel=0.03)
        off = np.maximum(np.abs(seen.width_mm - m.width_mm[row]), np.abs(seen.length_mm - m.length_mm[row]))
        assert off.min() <= PIXEL_MM


def test_the_layouts_are_as_varied_as_they_claim() -> None:
    made = [layout(seed) for seed in range(QUICK)]
    shapes = [shape for one in made for shape in one.shapes]
    assert {shape.kind for shape in shapes} == set(range(6))
    assert 0.15 < np.mean([shape.turn_deg == 0 for shape in shapes]) < 0.35
    assert min(one.web_mm for one in made) < 0.02
    assert max(one.web_mm for one in made) > 0.2
