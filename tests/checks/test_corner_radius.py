"""The sharpest corner of an opening."""

import math

import numpy as np
import pytest

from tests.checks.readings import (
    BOW_TIE,
    ELL,
    HALF_DISC,
    RING,
    ROUNDED,
    TRIANGLE,
    ellipse,
    flash,
    read,
)


@pytest.mark.parametrize(
    ("drawn", "expected_mm"),
    [
        pytest.param(flash("R,0.25X1.5"), 0.0, id="rectangle"),
        pytest.param(ROUNDED, 0.075, id="rounded rectangle"),
        pytest.param(flash("C,0.4"), 0.2, id="circle"),
        pytest.param(flash("O,0.25X0.8"), 0.125, id="obround"),
        pytest.param(flash("P,0.5X8"), 0.0, id="octagon"),
        pytest.param(flash("P,0.5X12"), 0.0, id="twelve corners of 30 degrees"),
        pytest.param(TRIANGLE, 0.0, id="triangle"),
        pytest.param(ELL, 0.0, id="L"),
        pytest.param(BOW_TIE, 0.0, id="bow tie"),
        pytest.param(HALF_DISC, 0.0, id="half disc"),
        pytest.param(RING, 0.8, id="ring: the film in the hole has no convex corner"),
    ],
)
def test_a_corner_is_as_worked_out_by_hand(drawn: str, expected_mm: float) -> None:
    found = read("corner-radius", drawn)
    assert abs(found.value - expected_mm) <= found.readings.error[0]


def test_the_end_of_an_ellipse_reads_its_tightest_sixty_degrees() -> None:
    # x = cos t, y = sin t / 2 leads 30 degrees away from the tip's heading where tan t = tan 30 / 2
    end = math.atan(math.tan(math.radians(30)) / 2)
    t = np.linspace(-end, end, 10001)
    length = float(np.hypot(np.sin(t), np.cos(t) / 2).mean()) * 2 * end
    assert read("corner-radius", ellipse(2, 1)).value == pytest.approx(length / math.radians(60), rel=0.01)


def test_corners_are_to_be_rounded_where_the_opening_is_wide_enough() -> None:
    slot = flash("R,0.25X1.5")
    assert read("corner-radius", slot).advice(0.05) == "round its corners to a radius of 0.050 mm"
    assert read("corner-radius", slot).advice(0.13) == ""
