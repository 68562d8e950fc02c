"""Sides of polygons, and chords that curves were flattened to."""

import numpy as np
import pytest
import shapely

from pastecheck.geometry.bends import longest_facets_mm
from pastecheck.geometry.outlines import rounded


def test_sides_of_a_polygon_are_no_chords_of_a_curve() -> None:
    # 40 sides of a circle of radius 2: each 4 sin(pi / 40) = 0.314 long, and 0.314 x 0.157 / 8 = 6 um off it
    angle = np.arange(40) / 40 * 2 * np.pi
    polygon = shapely.polygons(2 * np.column_stack([np.cos(angle), np.sin(angle)]))
    assert longest_facets_mm(np.array([polygon])).tolist() == [0]


@pytest.mark.parametrize("radius_mm", [0.05, 0.5, 5.0])
def test_chords_of_a_flattened_disc_are(radius_mm: float) -> None:
    (disc,) = rounded(np.array([shapely.Point(0, 0)]), np.array([radius_mm]))
    chord_mm = disc.length / (len(disc.exterior.coords) - 1)
    assert longest_facets_mm(np.array([disc])) == pytest.approx([chord_mm])


def test_of_a_slot_the_long_sides_are_none_and_the_chords_of_its_ends_are() -> None:
    (slot,) = rounded(np.array([shapely.LineString([(0, 0), (3, 0)])]), np.array([0.2]))
    # each end turns by 180 degrees in as many chords; 0.4 sin(half a step) long, or 0.1 um more
    chords = (len(slot.exterior.coords) - 1 - 2) // 2
    assert longest_facets_mm(np.array([slot])) == pytest.approx([0.4 * np.sin(np.pi / chords / 2)], abs=1e-4)
