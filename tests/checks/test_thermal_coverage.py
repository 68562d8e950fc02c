"""Coverage of lands that carry heat, and the panes that are proposed."""

import pytest

from tests.checks.boards import Layers, Place, flashes, measured, reads, wishes

HALL = flashes("R,30X30", (0, 0))


def leads(*sides: int) -> list[Place]:
    """Three leads at 0.5 mm below (-1) or above (1) a land of 3.1 mm."""
    return [(x, side * 2.3) for side in sides for x in (-0.5, 0.0, 0.5)]


def part(land: str, opening: str, around: list[Place]) -> Layers:
    """A land with one opening in the middle, and leads."""
    paste = flashes(opening, (0, 0)) + "\n" + flashes("R,0.25X0.8", *around, number=11)
    copper = flashes(land, (0, 0)) + "\n" + flashes("R,0.3X0.8", *around, number=11)
    return Layers(
        paste if around else flashes(opening, (0, 0)), copper if around else flashes(land, (0, 0)), HALL
    )


def test_one_opening_between_leads_is_measured() -> None:
    assert reads("thermal-coverage", part("R,3.1X3.1", "R,3.1X3.1", leads(-1, 1))) == [1.0]


def test_a_tab_with_leads_on_one_side_is_not() -> None:
    layers = part("R,3.1X3.1", "R,3.1X3.1", leads(-1))
    assert reads("thermal-coverage", layers) == []
    assert reads("land-coverage", layers)[-1] == 1.0


def test_panes_make_a_land_a_thermal_one() -> None:
    panes = flashes("R,1X1", (-0.7, -0.7), (0.7, -0.7), (0.7, 0.7), (-0.7, 0.7))
    assert reads("thermal-coverage", Layers(panes, flashes("R,3X3", (0, 0)), HALL)) == [round(4 / 9, 10)]


@pytest.mark.parametrize("size", ["R,1.4X2.6", "R,1.6X1.8"])
def test_smaller_lands_are_land_coverages_though_they_have_panes(size: str) -> None:
    # 1.4 is narrower than 1.5 mm, 1.6 x 1.8 smaller than 3 mm2
    layers = Layers(flashes("R,0.5X0.5", (-0.35, 0), (0.35, 0)), flashes(size, (0, 0)), HALL)
    assert reads("thermal-coverage", layers) == []
    assert len(reads("land-coverage", layers)) == 1


def test_turned_parts_are_told_too() -> None:
    turned = "%LR45*%\n"
    half = 0.5**0.5
    around = [(half * (x - y), half * (x + y)) for x, y in leads(-1, 1)]
    layers = part("R,3.1X3.1", "R,3.1X3.1", around)
    assert reads("thermal-coverage", Layers(*(turned + text for text in layers[:3]))) == [1.0]


@pytest.mark.parametrize(
    ("thickness_mm", "pane", "covered"),
    # Process notes, section 3: a land of 3.1 mm as 2 x 2 panes with webs of 0.40: 1.29 / 1.25 / 1.15 mm in
    # film of 75 / 100 / 125 um, 69.3 / 65.0 / 55.1 %; to 5 um 1.295 (69.8 %), 1.245 (64.5 %), 1.145 (54.6 %)
    [(0.075, "1.295", 70), (0.100, "1.245", 65), (0.125, "1.145", 55)],
)
def test_panes_are_proposed_by_the_foil(thickness_mm: float, pane: str, covered: int) -> None:
    m = measured(part("R,3.1X3.1", "R,3.1X3.1", leads(-1, 1)), thickness_mm)
    assert wishes("thermal-coverage", m, 0.8) == [
        f"print 2 x 2 panes of {pane} x {pane} mm with webs of at least 0.400 mm: {covered} % of the land"
    ]


def test_panes_of_a_large_land_are_no_larger_than_3_mm() -> None:
    m = measured(part("R,12X3.1", "R,12X3.1", leads(-1, 1)), 0.075)
    # 12 x root 0.7 is 10.0399: four panes of 2.5099
    (text,) = wishes("thermal-coverage", m, 0.8)
    assert text.startswith("print 2 x 4 panes of 1.295 x 2.505 mm")


def test_a_land_too_small_for_webs_gets_one_opening() -> None:
    # 1.5 x root 0.7 is 1.2549, 2.2 x root 0.7 is 1.8406: neither leaves 0.4 for a web
    panes = flashes("R,0.7X1", (0, -0.55), (0, 0.55))
    m = measured(Layers(panes, flashes("R,1.5X2.2", (0, 0)), HALL), 0.075)
    (text,) = wishes("thermal-coverage", m, 0.8)
    assert text.startswith("print one opening of 1.250 x 1.840 mm: 70 % of the land")
