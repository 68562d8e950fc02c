"""
Web width and web slenderness agree with other means on 500 random layouts, to what those can resolve.

Widths: by pyclipper, which grows one shape until it meets the other, to 0.1 um of arcs. Slenderness twice:
by points along both outlines, 2 um apart, every one tried against every one; and by points along one outline
and scipy's Euclidean distance transform of the other on a raster of 1 um, which also tells the nearest place.
Both share nothing with the product but the numbers that a layout is made from, and the definition: pieces
within 1.2 widths of the other outline, outward normal within 60 degrees of the way there.

What is found by points near a limit of distance or angle is undecided, by as much as points and pixels are
apart. So they say how long a web is at least and at most, and the product has to lie between.
"""

from functools import cache

import numpy as np
import pyclipper
import pytest
from scipy.ndimage import distance_transform_edt

from pastecheck.drawing import BoolArray, FloatArray
from tests.outside.outline_samples import Samples, samples_of
from tests.outside.shapes import ELL, YOU, Shape
from tests.outside.test_raster import LAYOUTS, QUICK, SAMPLE_MM, each_layout, layout, measured, samples_about

NM = 1_000_000
ARC_NM = 50.0
CLIPPED_MM = 3e-4
"""Chords of both outlines, whole nanometres, and the step of the search."""

STEP_MM = 0.002
NEAR_GAPS = 1.2
FACING = np.radians(60)
ENDS = 8
"""Of so many ends of stretches each may be off by a step."""


@cache
def outlines(seed: int) -> tuple[Samples, Samples]:
    one, other = layout(seed).shapes
    return samples_of(one, STEP_MM), samples_of(other, STEP_MM)


def polygon_nm(shape: Shape) -> list[tuple[int, int]]:
    """The outline in chords of at most 2 um."""
    return [(round(x * NM), round(y * NM)) for x, y in samples_with_corners(shape).tolist()]


def samples_with_corners(shape: Shape) -> FloatArray:
    """Points along the outline, those where pieces meet among them."""
    samples = samples_of(shape, STEP_MM)
    along = np.column_stack([-samples.outward[:, 1], samples.outward[:, 0]])
    ends = [samples.at_mm + sign * along * samples.length_mm[:, None] / 2 for sign in (-1, 1)]
    return np.stack(ends, axis=1).reshape(-1, 2)


def grown_meets(one: list[tuple[int, int]], other: list[tuple[int, int]], by_nm: float) -> bool:
    offset = pyclipper.PyclipperOffset(arc_tolerance=ARC_NM)
    offset.AddPath(one, pyclipper.JT_ROUND, pyclipper.ET_CLOSEDPOLYGON)
    clip = pyclipper.Pyclipper()
    clip.AddPaths(offset.Execute(by_nm), pyclipper.PT_SUBJECT, True)
    clip.AddPath(other, pyclipper.PT_CLIP, True)
    return bool(clip.Execute(pyclipper.CT_INTERSECTION, pyclipper.PFT_NONZERO, pyclipper.PFT_NONZERO))


@each_layout
def test_a_web_is_as_wide_as_one_shape_has_to_grow_to_meet_the_other(seed: int) -> None:
    one, other = (polygon_nm(shape) for shape in layout(seed).shapes)
    low, high = 0.0, 1.0 * NM
    while high - low > 50:
        middle = (low + high) / 2
        low, high = (low, middle) if grown_meets(one, other, middle) else (middle, high)
    (gap_mm,) = measured(seed).webs_within(2.0).gap_mm
    assert abs(gap_mm - high / NM) <= CLIPPED_MM


def bounds_of(samples: Samples, faces: tuple[BoolArray, BoolArray]) -> tuple[float, float]:
    """How much of an outline faces at least, and at most."""
    least, most = (float(samples.length_mm[each].sum()) for each in faces)
    return least, most


def facing_by_points(samples: Samples, across: Samples, near_mm: float) -> tuple[BoolArray, BoolArray]:
    """Which points surely face the other outline, and which may: any point of it that is locally nearest."""
    way = across.at_mm[None] - samples.at_mm[:, None]
    away = np.hypot(way[..., 0], way[..., 1])
    nearest = (away <= np.roll(away, 1, axis=1)) & (away <= np.roll(away, -1, axis=1))
    nearest &= away <= near_mm + STEP_MM
    row, column = np.nonzero(nearest)
    away = away[row, column]
    off = np.arccos(np.clip((way[row, column] * samples.outward[row]).sum(axis=1) / away, -1, 1))
    # the nearest point lies up to half a step beside the one found: nearer by its square over 2 away
    slack_mm, slack_rad = STEP_MM**2 / (8 * away) + 1e-6, np.arctan2(STEP_MM, away)
    surely = (away <= near_mm - slack_mm) & (off <= FACING - slack_rad)
    maybe = (away <= near_mm + slack_mm) & (off <= FACING + slack_rad)
    faces = np.zeros((2, len(samples.at_mm)), bool)
    faces[0, row[surely]] = faces[1, row[maybe]] = True
    return faces[0], faces[1]


@each_layout
def test_a_web_is_as_slender_as_points_along_both_outlines_say(seed: int) -> None:
    webs = measured(seed).slender_webs(2.0)
    one, other = outlines(seed)
    gap_mm = float(webs.gap_mm[0])
    both = [
        bounds_of(samples, facing_by_points(samples, across, NEAR_GAPS * gap_mm))
        for samples, across in ((one, other), (other, one))
    ]
    least, most = (min(bounds) for bounds in zip(*both, strict=True))
    assert least - ENDS * STEP_MM <= webs.length_mm[0] <= most + ENDS * STEP_MM
    assert webs.slenderness[0] == pytest.approx(webs.length_mm[0] / gap_mm)


def facing_by_raster(
    samples: Samples, shape: Shape, seed: int, near_mm: float
) -> tuple[BoolArray, BoolArray]:
    """The same with the nearest place of the other shape only, told by a distance transform."""
    x_mm, y_mm = samples_about(*layout(seed).shapes)
    inside = shape.contains(x_mm, y_mm)
    away, index = distance_transform_edt(~inside, sampling=SAMPLE_MM, return_indices=True)
    column = np.rint((samples.at_mm[:, 0] - x_mm[0, 0]) / SAMPLE_MM).astype(int)
    row = np.rint((samples.at_mm[:, 1] - y_mm[0, 0]) / SAMPLE_MM).astype(int)
    there = index[0][row, column], index[1][row, column]
    way = np.column_stack([x_mm[there], y_mm[there]]) - samples.at_mm
    distance = np.hypot(*way.T)
    assert np.abs(distance - away[row, column]).max() <= SAMPLE_MM
    off = np.arccos(np.clip((way * samples.outward).sum(axis=1) / distance, -1, 1))
    # a shape holds a sample within 1.71 um of each of its points; and that lies aside by up to two samples
    slack_mm, slack_rad = 1.71 * SAMPLE_MM, np.arctan2(2 * SAMPLE_MM, distance)
    surely = (distance <= near_mm) & (off <= FACING - slack_rad)
    maybe = (distance <= near_mm + slack_mm) & (off <= FACING + slack_rad)
    return surely, maybe


@each_layout
def test_a_web_is_as_slender_as_a_raster_says(seed: int) -> None:
    webs = measured(seed).slender_webs(2.0)
    shapes, samples = layout(seed).shapes, outlines(seed)
    near_mm = NEAR_GAPS * float(webs.gap_mm[0])
    both = [bounds_of(samples[k], facing_by_raster(samples[k], shapes[1 - k], seed, near_mm)) for k in (0, 1)]
    least, most = (min(bounds) for bounds in zip(*both, strict=True))
    assert least - ENDS * STEP_MM <= webs.length_mm[0]
    # beside a hollow the product also counts places that are nearest only locally
    if not {shape.kind for shape in shapes} & {ELL, YOU}:
        assert webs.length_mm[0] <= most + ENDS * STEP_MM


def test_the_bounds_are_close_enough_to_tell_something() -> None:
    wide = []
    for seed in range(QUICK):
        one, other = outlines(seed)
        gap_mm = float(measured(seed).webs_within(2.0).gap_mm[0])
        least, most = bounds_of(one, facing_by_points(one, other, NEAR_GAPS * gap_mm))
        wide.append((most - least) / max(gap_mm, 1e-9))
    assert np.median(wide) < 0.1
    assert QUICK < LAYOUTS
