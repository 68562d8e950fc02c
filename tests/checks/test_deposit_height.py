"""How high the paste stands on its land."""

import numpy as np
import pytest

from pastecheck.checks import catalogue
from tests.checks.boards import Layers, flashes, measured, readings

PAD = flashes("R,0.3X1.5", (0, 0))
HALL = flashes("R,30X30", (0, 0))


@pytest.mark.parametrize(
    ("width", "thickness_mm", "height_mm"),
    # process notes, section 1: 0.25 on 0.30 in 75 um, and as wide as the land in 50 um
    [("0.25", 0.075, 0.0625), ("0.3", 0.05, 0.05), ("0.36", 0.1, 0.12)],
)
def test_it_is_the_coverage_times_the_thickness(width: str, thickness_mm: float, height_mm: float) -> None:
    m = measured(Layers(flashes(f"R,{width}X1.5", (0, 0)), PAD, HALL), thickness_mm)
    assert readings("deposit-height", m).values.tolist() == [pytest.approx(height_mm, abs=1e-12)]


def test_a_low_one_wishes_for_a_thicker_foil_and_a_high_one_for_a_thinner() -> None:
    m = measured(Layers(flashes("R,0.15X1.5", (0, 0)), PAD, HALL), 0.075)
    found = readings("deposit-height", m)  # half of 75 um
    low = catalogue()["deposit-height"].wish(m, found, 0.05)
    high = catalogue()["deposit-height"].wish(m, found, 0.03)
    assert low.thinnest_mm is not None
    assert high.thickness_mm is not None
    assert low.thinnest_mm.tolist() == [pytest.approx(0.1)]
    assert high.thickness_mm.tolist() == [pytest.approx(0.06)]
    assert low.thickness_mm is not None
    assert np.isnan(low.thickness_mm).all()
