"""
Necks, spans and tongues agree with a raster of 2 um on 25 random openings each, or on 500.

What lies inside is asked of the ring's vertices, point by point (scikit-image); distances are scipy's
Euclidean distance transform. A waist is seen by what it does: when all that is nearer to the wall than r is
taken away, what is left falls in two, or the way round a hole opens. So the smallest such r is half the
narrowest waist: a neck is at least as narrow as that, or the waist was missed. The other way round, the disc
of a neck has to lie where the raster says: as far from the wall as its radius, on or beside the raster's
medial axis.

The nearest point of the raster that lies beyond a wall is at most the diagonal of a pixel behind it: 2.83 um.

The openings are read from Gerber. On 500 with HYPOTHESIS_PROFILE=long.
"""

from typing import NamedTuple

import numpy as np
import pytest
import shapely
from scipy.ndimage import distance_transform_edt, label, map_coordinates
from skimage.draw import polygon as pixels_in
from skimage.morphology import medial_axis

from pastecheck.drawing import BoolArray, FloatArray
from pastecheck.geometry.discs import Discs
from pastecheck.geometry.facing import InnerDiscs, inner_discs
from pastecheck.geometry.tongues import tongues
from tests.geometry.outlines import outline_of
from tests.geometry.shapes import column
from tests.outside.facing_layouts import IS_LONG, measured, notched

pytestmark = pytest.mark.slow

PIXEL_MM = 0.002
DEPTH_MM = 1.5 * PIXEL_MM
STEP_MM = 2 * PIXEL_MM
"""Waists are looked for at radii so far apart."""
SEEN_MM = 2 * (DEPTH_MM + STEP_MM)
MARGIN_MM = 0.35
"""So much outside an outline is on its raster: half the reach of tongues, and more."""
REACH_MM = 0.6
SAME_MM = 4e-6
NO_PART = 4
"""What is left in a corner of pixels is no part, if it goes with so many pixels more."""

OUTLINES = 500 if IS_LONG else 25
each_outline = pytest.mark.parametrize("seed", range(OUTLINES))


class Raster(NamedTuple):
    """Pixels of an outline."""

    origin_mm: FloatArray
    inside: BoolArray
    outside: BoolArray
    """Outside the outer ring: holes are not."""

    def at(self, image: FloatArray, point_mm: FloatArray) -> float:
        """The value at a place, between pixels."""
        return float(map_coordinates(image, ((point_mm - self.origin_mm) / PIXEL_MM)[:, None], order=1)[0])


def raster(shape: shapely.Polygon) -> Raster:
    low = np.array(shape.bounds[:2]) - MARGIN_MM
    size = tuple(np.ceil((np.array(shape.bounds[2:]) + MARGIN_MM - low) / PIXEL_MM).astype(int) + 1)

    def filled(ring: shapely.LinearRing) -> BoolArray:
        image = np.zeros(size, bool)
        rows, columns = ((np.asarray(ring.coords) - low) / PIXEL_MM).T
        image[pixels_in(rows, columns, size)] = True
        return image

    outer = filled(shape.exterior)
    inside = outer.copy()
    for ring in shape.interiors:
        inside &= ~filled(ring)
    return Raster(low, inside, ~outer)


def discs_of(seed: int) -> InnerDiscs:
    """Inside of an opening; the openings table has them to 1 nm."""
    discs = inner_discs(column([outline_of(seed)]), np.zeros(1), np.zeros(1))
    insides = measured(outline_of(seed)).insides
    for read, of_outline in ((insides.necks, discs.narrowest), (insides.spans, discs.largest)):
        assert read.width_mm == pytest.approx(of_outline.diameter_mm, abs=SAME_MM)
    return discs


def tongue_of(seed: int) -> Discs:
    narrowest = tongues(column([notched(seed)]), np.zeros(1), REACH_MM).narrowest
    read_mm = measured(notched(seed)).insides.tongues_within(REACH_MM).across.width_mm
    assert read_mm == pytest.approx(narrowest.diameter_mm, abs=SAME_MM, nan_ok=True)
    return narrowest


def narrowest_waist_mm(region: BoolArray, most_mm: float, *, ways_round: bool) -> float:
    """Diameter at which what is left of a region first falls in parts or opens a way round; else infinite."""
    depth = distance_transform_edt(region, sampling=PIXEL_MM)
    # corners sharper than a pixel hang together by their pixels' corners: they are no waists
    before = parts_of(depth, 2 * PIXEL_MM)
    for radius in np.arange(2 * PIXEL_MM + STEP_MM, most_mm / 2, STEP_MM):
        after = parts_of(depth, float(radius))
        if after[0] > before[0] or (ways_round and after[1] < before[1]):
            return 2 * float(radius)
        before = after
    return np.inf


def parts_of(depth: FloatArray, radius_mm: float) -> tuple[int, int]:
    """Parts of what is deeper than a radius, and parts of the rest; what soon goes is no part."""
    left = depth > radius_mm
    parts, count = label(left, np.ones((3, 3)))
    if count > 1:
        deepest = np.zeros(count + 1)
        np.maximum.at(deepest, parts[left], depth[left])
        count = int(np.count_nonzero(deepest > radius_mm + NO_PART * PIXEL_MM))
    return count, int(label(np.pad(~left, 1, constant_values=True))[1])


@each_outline
def test_no_waist_is_missed_and_the_largest_disc_is_as_large(seed: int) -> None:
    discs, inside = discs_of(seed), raster(outline_of(seed)).inside
    most_mm = float(discs.largest.diameter_mm[0])
    waist_mm = narrowest_waist_mm(inside, most_mm, ways_round=True)
    assert discs.narrowest.diameter_mm[0] <= waist_mm + SEEN_MM
    depth = distance_transform_edt(inside, sampling=PIXEL_MM)
    assert most_mm == pytest.approx(2 * depth.max(), abs=2 * DEPTH_MM)


@each_outline
def test_no_tongue_is_missed(seed: int) -> None:
    # what lies outside one outline goes round it all and opens no way
    waist_mm = narrowest_waist_mm(raster(notched(seed)).outside, REACH_MM, ways_round=False)
    if np.isfinite(waist_mm):
        assert tongue_of(seed).diameter_mm[0] <= waist_mm + SEEN_MM


@each_outline
def test_the_disc_of_a_neck_lies_between_two_walls(seed: int) -> None:
    assert_lies_between(discs_of(seed).narrowest, raster(outline_of(seed)), outside=False)


@each_outline
def test_the_disc_of_a_tongue_lies_between_two_walls(seed: int) -> None:
    assert_lies_between(tongue_of(seed), raster(notched(seed)), outside=True)


def assert_lies_between(disc: Discs, seen: Raster, *, outside: bool) -> None:
    radius_mm = disc.diameter_mm[0] / 2
    ends = np.stack([disc.begin_mm[0], disc.end_mm[0]])
    across = np.hypot(*(ends[1] - ends[0]))
    if np.isnan(radius_mm) or across < (2 - 1e-6) * radius_mm or radius_mm < 4 * PIXEL_MM:
        return  # of an end of a taper, or the largest disc, the touches do not tell the centre
    region, middle = seen.outside if outside else seen.inside, ends.mean(axis=0)
    depth = distance_transform_edt(region, sampling=PIXEL_MM)
    assert seen.at(depth, middle) == pytest.approx(radius_mm, abs=DEPTH_MM)
    off = distance_transform_edt(~medial_axis(region), sampling=PIXEL_MM)
    assert seen.at(off, middle) <= 2 * PIXEL_MM


def test_the_openings_are_as_varied_as_they_claim() -> None:
    discs = [discs_of(seed) for seed in range(100)]
    have_necks = [one.narrowest.diameter_mm[0] < 0.9 * one.largest.diameter_mm[0] for one in discs]
    have_tongues = [bool(np.isfinite(tongue_of(seed).diameter_mm[0])) for seed in range(100)]
    assert 0.3 < np.mean(have_necks) < 0.9
    assert 0.3 < np.mean(have_tongues) < 0.9
