"""Panes of openings with round corners cover what is asked for of these, and not of the box about them."""

import numpy as np
import pytest

from tests.trim.conftest import Trim
from tests.trim.test_entries import groups, trimmed
from tests.trim.test_shares import rounded

FINE = (
    "  large: {coverage: 0.6, web: 0.2 mm, pane: 3 mm, step: 1 um, wider-than: 1 mm, longer-than: 1 mm, "
    "source: s}\n"
)


@pytest.mark.parametrize(
    ("statements", "drawn_mm2"),
    [
        (["%ADD10R,3X5*%", "D10*", "X0Y0D03*"], 15.0),
        (["%ADD10O,3X5*%", "D10*", "X0Y0D03*"], 15 - (4 - np.pi) * 1.5**2),  # two panes of 2.17 x 1.81
        (rounded(3, 5, 1), 15 - (4 - np.pi)),
    ],
    ids=["rectangle", "obround", "rounded"],
)
def test_panes_cover_what_is_asked_for_of_the_opening(
    trim: Trim, statements: list[str], drawn_mm2: float
) -> None:
    (group,) = groups(trimmed(trim, statements, FINE))
    assert (group["why"], group["held"], group["openings"]["after"]) == ("large", None, 2)
    volume = group["volume_mm3"]
    assert volume["before"] == pytest.approx(drawn_mm2 * 0.075)
    # sides of about 2 are rounded down to whole um, each by 0.0005 of it at most
    assert volume["after"] / volume["before"] == pytest.approx(0.6, rel=1.1e-3)
