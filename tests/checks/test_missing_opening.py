"""Bare lands whose like neighbours have an opening."""

import pytest

from tests.checks.boards import Layers, Place, flashes, measured, readings, reads, row, stroke

HALL = flashes("R,60X60", (0, 0))
TEN = row(10, 0.5)


def rows(bare: list[int], count: int = 10) -> Layers:
    """A row of lands, some of them bare."""
    places = row(count, 0.5)
    kept = [place for k, place in enumerate(places) if k not in bare]
    return Layers(flashes("R,0.25X1.5", *kept), flashes("R,0.3X1.5", *places), HALL)


@pytest.mark.parametrize(
    ("bare", "shares"),
    # notes: a row of ten lands with nine openings reads 1; two bare ones see eight of nine each
    [
        ([4], [1.0]),
        ([0], [1.0]),
        ([2, 7], [round(8 / 9, 10)] * 2),
        (list(range(1, 10)), [round(1 / 9, 10)] * 9),
    ],
)
def test_the_share_of_the_others_is_read(bare: list[int], shares: list[float]) -> None:
    assert reads("missing-opening", rows(bare)) == shares


def test_a_row_that_is_all_bare_reads_nothing() -> None:
    lands = flashes("R,0.3X1.5", *TEN) + "\n" + flashes("R,1X1", (0, 9), number=11)
    assert reads("missing-opening", Layers(flashes("R,1X1", (0, 9)), lands, HALL)) == [0.0] * 10


def test_the_place_is_the_land() -> None:
    found = readings("missing-opening", measured(rows([4])))
    assert found.place_mm is not None
    assert found.place_mm.tolist() == [[pytest.approx(2.0), pytest.approx(0)]]
    assert found.opening.tolist() == [-1]
    assert found.examined == 10


def test_tracks_that_leave_lands_in_different_ways_do_not_break_a_row() -> None:
    layers = rows([4])
    tracks = [stroke("C,0.15", (x, 0), (x, 5 if k % 2 else -5), number=20) for k, (x, _) in enumerate(TEN)]
    windows = flashes("R,0.4X1.6", *TEN)
    copper = "\n".join([layers.land, *tracks])
    assert reads("missing-opening", layers._replace(land=copper, mask=windows)) == [1.0]


def test_a_missing_ball_of_a_grid_is_found() -> None:
    places = [place for y in range(5) for place in row(5, 0.8, y_mm=0.8 * y)]
    kept = [place for place in places if place != (1.6, 1.6)]
    layers = Layers(flashes("C,0.4", *kept), flashes("C,0.4", *places), HALL)
    assert reads("missing-opening", layers) == [1.0]


def chip(*with_opening: Place) -> Layers:
    lands = flashes("R,0.5X0.6", (0, 0), (1, 0), (9, 0))
    return Layers(flashes("R,0.5X0.6", (9, 0), *with_opening), lands, HALL)


def test_of_the_two_lands_of_a_chip_one_may_be_missing() -> None:
    assert reads("missing-opening", chip((0, 0))) == [1.0]
    assert reads("missing-opening", chip()) == [0.0, 0.0]
    assert reads("missing-opening", chip((0, 0), (1, 0))) == []


def test_a_part_whose_name_says_that_it_has_two_lands_may_be_larger() -> None:
    # lands of an 1206, 3 mm apart
    land = "%ADD10R,1.2X1.6*%\nD10*\n%TO.P,R1,1*%\nX0Y0D03*\n%TO.P,R1,2*%\nX3000000D03*\n%TD*%"
    assert reads("missing-opening", Layers(flashes("R,1X1.4", (0, 0)), land, HALL)) == [1.0]


def test_a_round_via_beside_a_pad_is_no_part_of_it() -> None:
    lands = flashes("R,0.6X0.6", (0, 0)) + "\n" + flashes("C,0.6", (1, 0), number=11)
    assert reads("missing-opening", Layers(flashes("R,0.6X0.6", (0, 0)), lands, HALL)) == []


@pytest.mark.parametrize(
    "purpose", ["TestPad", "FiducialPad,Local", "ViaPad", "ComponentPad", "ConnectorPad"]
)
def test_what_the_copper_calls_no_place_for_paste_is_left_out(purpose: str) -> None:
    named = f"%TA.AperFunction,{purpose}*%\n" + flashes("R,0.3X1.5", (2, 0), number=11) + "\n%TD*%"
    others = [place for place in TEN if place != (2.0, 0.0)]
    layers = Layers(flashes("R,0.25X1.5", *others), flashes("R,0.3X1.5", *others) + "\n" + named, HALL)
    assert reads("missing-opening", layers) == []


def test_an_opening_that_only_touches_a_land_does_not_cover_it() -> None:
    # the third opening is so wide that it touches the bare fourth land
    layers = rows([3], 6)
    wide = layers.paste + "\n" + flashes("R,0.45X1.5", (1.075, 0), number=12)
    assert reads("missing-opening", layers._replace(paste=wide)) == [1.0]
