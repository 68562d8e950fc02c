"""Shares of an area that are asked for are met exactly: in closed form, or solved."""

import pytest

from tests.trim.conftest import Trim
from tests.trim.test_entries import ELL, groups, past_the_drawn_mm2, trimmed

WEDGE = ["G36*", "X0Y0D02*", "G01*", "X1000000Y0D01*", "X1000000Y700000D01*", "X700000Y1000000D01*",
         "X0Y1000000D01*", "X0Y0D01*", "G37*"]  # fmt: skip
"""1 x 1 with a corner cut off: 0.955 mm2."""


def rounded(width: float, length: float, radius: float) -> list[str]:
    """A flash of a rectangle with round corners."""
    long, high, across = length - 2 * radius, width - 2 * radius, 2 * radius
    discs = [f"1,1,{across},{x}{long / 2},{y}{high / 2},0*" for x in ("", "-") for y in ("", "-")]
    bars = [f"21,1,{length},{high},0,0,0*", f"21,1,{long},{width},0,0,0*"]
    return ["%AMA*", *bars, *discs, "%", "%ADD10A*%", "D10*", "X0Y0D03*"]


@pytest.mark.parametrize("share", [0.9, 0.5])
@pytest.mark.parametrize(
    "statements",
    [
        ["%ADD10R,0.83X1.37*%", "D10*", "X0Y0D03*"],
        ["%ADD10O,0.83X1.37*%", "D10*", "X0Y0D03*"],
        ["%ADD10C,0.83*%", "D10*", "X0Y0D03*"],
        rounded(0.8, 1.4, 0.1),
        rounded(0.8, 1.4, 0.39),
        WEDGE,
        ELL,
        ["%LR31*%", *rounded(0.8, 1.4, 0.2)],
    ],
    ids=["rectangle", "obround", "circle", "rounded", "nearly round", "wedge", "ell", "turned"],
)
def test_a_share_of_the_area_is_met(trim: Trim, statements: list[str], share: float) -> None:
    said = trimmed(trim, statements, f"  selected: {{all: {{area-share: {share}, source: s}}}}\n")
    (group,) = groups(said)
    volume = group["volume_mm3"]
    # 1e-6 of the area; places in the file are rounded to 1 nm, which is as much of walls of 5 mm
    assert volume["after"] / volume["before"] == pytest.approx(share, abs=6e-6)
    assert past_the_drawn_mm2() == pytest.approx(0, abs=1e-4)  # flattened curves


@pytest.mark.parametrize("aperture", ["R,0.8X1.1", "O,0.8X1.1", "O,1.1X0.8", "C,1"])
def test_chips_keep_exactly_the_share_that_is_asked_for_where_no_step_is(trim: Trim, aperture: str) -> None:
    layer = [f"%ADD10{aperture}*%", "D10*", "X0Y0D03*", "X1800000Y0D03*"]
    (group,) = groups(trimmed(trim, layer, "  chips: {area-share: 0.9, longer-than: 0.7 mm, source: s}\n"))
    assert group["openings"] == {"before": 2, "after": 2}
    volume = group["volume_mm3"]
    # curves that are cut are flattened to 0.1 um, and their arcs found again: 1e-4 of the area at most
    assert volume["after"] / volume["before"] == pytest.approx(0.9, abs=1e-4)


def test_chips_that_are_wedges_keep_the_share(trim: Trim) -> None:
    # 0.1 off one side, what is stretched past the drawn corner is cut off as well: more than a tenth
    moved = [line.replace("X0Y", "X1800000Y").replace("X1000000Y", "X2800000Y") for line in WEDGE]
    moved = [line.replace("X700000Y", "X2500000Y") for line in moved]
    layer = ["%TO.C,C1*%", *WEDGE, *moved]
    (group, *others) = groups(trimmed(trim, layer, "  chips: {area-share: 0.9, source: s}\n"))
    assert {one["why"] for one in (group, *others)} == {"chips"}
    for one in (group, *others):
        volume = one["volume_mm3"]
        assert volume["after"] / volume["before"] == pytest.approx(0.9, abs=2e-6)


def test_a_circle_in_panes_covers_exactly_what_is_asked_for(trim: Trim) -> None:
    # flattened curves apart: 2e-5 of the area
    circle = ["%ADD10C,5*%", "D10*", "X0Y0D03*"]
    large = "  large: {coverage: 0.6, web: 0.4 mm, wider-than: 2.999 mm, longer-than: 3.999 mm, source: s}\n"
    (group,) = groups(trimmed(trim, circle, large))
    assert group["volume_mm3"]["after"] / group["volume_mm3"]["before"] == pytest.approx(0.6, abs=5e-5)
