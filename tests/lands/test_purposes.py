"""Which lands take no paste: what the copper says of them, and holes in it; and which are joined by it."""

import pytest

from pastecheck.lands import Lands
from tests.lands.drawn import PAD, PEN, SEA, line, made

HALL = ("%ADD10R,30X30*%", "D10*", "X0Y0D03*")
"""A window over everything."""


def pad(purpose: str, number: int = 10, size: str = "R,1X0.6", place: str = "X0Y0") -> tuple[str, ...]:
    attribute = f"%TA.AperFunction,{purpose}*%"
    return attribute, f"%ADD{number}{size}*%", "%TD*%", f"D{number}*", f"{place}D03*"


def told(lands: Lands) -> list[tuple[bool, bool]]:
    """Of each land: whether it is drilled, and whether it takes no paste."""
    return list(zip(lands.is_drilled.tolist(), lands.takes_no_paste.tolist(), strict=True))


@pytest.mark.parametrize(
    ("purpose", "is_drilled", "takes_no_paste"),
    [
        ("SMDPad,CuDef", False, False),
        ("BGAPad,CuDef", False, False),
        ("HeatsinkPad", False, False),
        ("ComponentPad", True, True),
        ("ViaPad", True, True),
        ("WasherPad", True, True),
        ("TestPad", False, True),
        ("FiducialPad,Local", False, True),
        ("ConnectorPad", False, True),
        ("CastellatedPad", False, True),
        ("Conductor", False, False),
    ],
)
def test_a_flash_tells_what_its_land_is(purpose: str, *, is_drilled: bool, takes_no_paste: bool) -> None:
    assert told(made(pad(purpose))) == [(is_drilled, takes_no_paste)]


def test_a_via_on_a_pad_does_not_make_it_one() -> None:
    copper = (*pad("SMDPad,CuDef"), *pad("ViaPad", 11, "C,0.4"))
    assert told(made(copper)) == [(False, False)]


def test_the_larger_pad_of_a_lead_in_a_hole_makes_the_land_that_lead_s() -> None:
    # a lead for paste, joined within one window to the tab of the shield beside it, as of a socket
    lead, tab = pad("SMDPad,CuDef"), pad("ComponentPad", 11, "R,1X2.1", "X900000Y0")
    assert told(made((*lead, *tab), HALL)) == [(True, False)]


def test_small_leads_in_holes_do_not_make_a_thermal_land_one_of_them() -> None:
    copper = (*pad("SMDPad,CuDef", 10, "R,3X3"), *pad("ComponentPad", 11, "C,0.5"))
    assert told(made(copper, HALL)) == [(False, False)]


def test_a_via_in_an_area_of_copper_is_one_where_the_window_shows_nothing_but_the_area() -> None:
    copper = (*pad("ViaPad", 11, "C,0.4"), *SEA)
    assert told(made(copper)) == [(True, True)]


def test_each_of_several_lands_in_a_window_has_its_own() -> None:
    copper = (*pad("SMDPad,CuDef"), *pad("ViaPad", 11, "C,0.4", "X3000000Y0"))
    assert told(made(copper, HALL)) == [(False, False), (True, True)]


def test_a_pad_with_a_hole_is_drilled() -> None:
    assert told(made(("%ADD10C,1X0.5*%", "D10*", "X0Y0D03*"), HALL)) == [(True, True)]


def test_small_holes_in_a_large_land_do_not_make_it_drilled() -> None:
    # four vias of 0.3 in 3 x 3: a thirtieth of it
    vias = [f"X{x}Y{y}D03*" for x in (-700_000, 700_000) for y in (-700_000, 700_000)]
    copper = ("%ADD10R,3X3*%", "%ADD11C,0.3*%", "D10*", "X0Y0D03*", "%LPC*%", "D11*", *vias)
    assert told(made(copper, HALL)) == [(False, False)]


def test_a_ring_about_another_land_is_not_drilled() -> None:
    copper = ("%ADD10C,3X2*%", "%ADD11C,1*%", "D10*", "X0Y0D03*", "D11*", "X0Y0D03*")
    assert told(made(copper, HALL)) == [(False, False), (False, False)]


def joined(*copper: str) -> bool:
    """Whether two lands of a layer are joined."""
    lands = made(copper, ("%ADD10R,1.2X0.8*%", "D10*", "X0Y0D03*", "X5000000D03*"))
    first, second = lands.joined.tolist()
    return bool(first == second)


TWO = (*PAD, "X5000000D03*")


def test_lands_at_the_ends_of_one_track_are_joined() -> None:
    assert joined(*TWO, *PEN, *line((0, 0), (5, 0)))


def test_lands_with_nothing_in_common_are_not() -> None:
    assert not joined(*TWO, *PEN, *line((0, 0), (2, 0)))


def test_lands_in_one_area_are_joined() -> None:
    assert joined(*SEA)


def test_lands_in_an_area_that_may_be_cut_are_not() -> None:
    assert not joined(*SEA, "%LPC*%", *PEN, *line((2, -9), (2, 9)))


def test_the_windows_of_one_pad_are_joined() -> None:
    lands = made(PAD, ("%ADD10R,0.2X2*%", "D10*", "X-300000Y0D03*", "X300000D03*"))
    assert len(set(lands.joined.tolist())) == 1
