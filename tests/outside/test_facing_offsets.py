"""
Necks and tongues agree with offsets by another library on 20 random openings each, or on 500.

The openings are read from Gerber; the library (pyclipper) is given their corners in whole nanometres. Walls
are moved inward by 1.2 % more each time, so that what is narrow is seen at most so much late. Which walls lie
across from each other is seen to 4 degrees, so that there is a least and a most that a neck can be. Where
walls bend together (kind E) it is seen where they taper by 20 degrees, and a neck there counts only if it is
narrower than 0.9 of all others. Discs of less than 8 um are seen as such, and not how small they are.

On 500 with HYPOTHESIS_PROFILE=long.
"""

import math
from functools import cache

import numpy as np
import pytest
import shapely

from pastecheck.geometry.tongues import REACH_MM
from tests.geometry.outlines import outline_of
from tests.outside.facing_layouts import layouts, layouts_of_tongues, measured, notched
from tests.outside.offsetting import STEP, Seen, narrowest_mm

pytestmark = pytest.mark.slow

SLACK_MM = 0.001
SMALL_MM = 0.009
ENDS_COUNT = 0.9
BEYOND_MM = 1.0
"""So far from the opening ends what lies outside of it."""

LAYOUTS = layouts(few=20)
LAYOUTS_OF_TONGUES = layouts_of_tongues(few=20)


def assert_agrees(read_mm: float, seen: Seen) -> None:
    """Hold a reading against what the offsets show; it is NaN where nothing is to be seen."""
    if math.isnan(read_mm):
        assert seen.at_most_mm > ENDS_COUNT * REACH_MM
    elif max(read_mm, seen.at_least_mm) > SMALL_MM:
        assert seen.at_least_mm <= STEP * read_mm + SLACK_MM
        assert seen.at_most_mm >= ENDS_COUNT * read_mm - SLACK_MM


@cache
def seen_inside(seed: int) -> Seen:
    return narrowest_mm(outline_of(seed), 3.0)


@cache
def seen_outside(seed: int) -> Seen:
    filled = shapely.Polygon(notched(seed).exterior)
    around = shapely.box(*filled.bounds).buffer(BEYOND_MM, join_style="mitre")
    return narrowest_mm(shapely.Polygon(around.exterior, [filled.exterior]), REACH_MM)


def neck_mm(seed: int) -> float:
    return float(measured(outline_of(seed)).insides.necks.width_mm[0])


def tongue_mm(seed: int) -> float:
    return float(measured(notched(seed)).insides.tongues_within(REACH_MM).across.width_mm[0])


@pytest.mark.parametrize("seed", LAYOUTS)
def test_a_neck_is_as_narrow_as_offsets_show(seed: int) -> None:
    assert_agrees(neck_mm(seed), seen_inside(seed))


@pytest.mark.parametrize("seed", LAYOUTS_OF_TONGUES)
def test_a_tongue_is_as_narrow_as_offsets_show(seed: int) -> None:
    assert_agrees(tongue_mm(seed), seen_outside(seed))


def test_what_offsets_show_is_hardly_ever_in_doubt() -> None:
    seen = [seen_inside(seed) for seed in LAYOUTS[:20]] + [
        seen_outside(seed) for seed in LAYOUTS_OF_TONGUES[:20]
    ]
    sure = [one.at_most_mm <= STEP * one.at_least_mm or math.isinf(one.at_least_mm) for one in seen]
    assert np.mean(sure) >= 0.9


def test_the_openings_are_as_varied_as_they_claim() -> None:
    spans_mm = [measured(outline_of(seed)).insides.spans.width_mm[0] for seed in LAYOUTS]
    have_necks = [neck_mm(seed) < 0.9 * span for seed, span in zip(LAYOUTS, spans_mm, strict=True)]
    have_tongues = [not math.isnan(tongue_mm(seed)) for seed in LAYOUTS_OF_TONGUES]
    assert 0.3 < np.mean(have_necks) < 0.9
    assert 0.3 < np.mean(have_tongues) < 0.9


@pytest.mark.parametrize(
    ("corners", "expected_mm"),
    [
        # a bow tie with a waist of 0.2, an L with arms of 0.3, a square
        pytest.param(
            [(-0.5, -0.25), (0, -0.1), (0.5, -0.25), (0.5, 0.25), (0, 0.1), (-0.5, 0.25)], 0.2, id="bow tie"
        ),
        pytest.param([(0, 0), (1, 0), (1, 0.3), (0.3, 0.3), (0.3, 1), (0, 1)], 0.3, id="L"),
        pytest.param([(0, 0), (1, 0), (1, 1), (0, 1)], 1.0, id="square"),
    ],
)
def test_offsets_show_what_is_worked_out_by_hand(
    corners: list[tuple[float, float]], expected_mm: float
) -> None:
    seen = narrowest_mm(shapely.Polygon(corners), 3.0)
    assert expected_mm <= seen.at_least_mm <= seen.at_most_mm <= STEP * expected_mm
