"""One common shift of all openings is told once, and all else as if the layers lay right."""

import math

import pytest

from pastecheck import rulesets
from pastecheck.judge import judge
from pastecheck.report import RuleOutcome
from tests.checks.boards import Layers, Place, flashes, measured, reads, stroke, wishes

HALL = flashes("R,90X90", (0, 0))
PLACES = [(2.0 * x, 2.0 * y) for x in range(5) for y in range(4)]


def moved(places: list[Place], dx: float, dy: float) -> list[Place]:
    return [(x + dx, y + dy) for x, y in places]


def layers(*places: Place) -> Layers:
    """Openings of 0.5 on twenty lands of 0.6."""
    return Layers(flashes("R,0.5X0.5", *places), flashes("R,0.6X0.6", *PLACES), HALL)


def test_a_shift_of_all_is_read() -> None:
    assert reads("registration", layers(*moved(PLACES, 0.03, -0.04))) == [0.05]


def test_layers_that_lie_right_read_nothing() -> None:
    assert reads("registration", layers(*PLACES)) == [0.0]


def test_a_fifth_of_the_openings_may_lie_elsewhere() -> None:
    places = moved(PLACES[:16], 0.1, 0) + moved(PLACES[16:], 0, 0.2)
    assert reads("registration", layers(*places)) == [0.1]
    fewer = moved(PLACES[:15], 0.1, 0) + moved(PLACES[15:], 0, 0.2)
    assert math.isnan(reads("registration", layers(*fewer))[0])


def test_two_openings_tell_no_common_shift() -> None:
    assert math.isnan(reads("registration", layers(*moved(PLACES[:2], 0.1, 0)))[0])


def test_a_shift_onto_lands_of_others_is_read() -> None:
    # lands at 0, 1, 3, 6, 10 ...: by 1, 2, 3 ... some openings always lie on a land that is another's
    places = [(x * (x + 1) / 2, 2.0 * y) for x in range(8) for y in range(4)]
    lands = flashes("R,0.6X0.6", *places)
    for by in (1.0, 2.0, 3.0):
        paste = flashes("R,0.5X0.5", *moved(places, by, 0))
        assert reads("registration", Layers(paste, lands, HALL)) == [by]


def test_a_shift_between_the_lands_is_read() -> None:
    assert reads("registration", layers(*moved(PLACES, 1.0, 0.6))) == [round(math.hypot(1.0, 0.6), 10)]


def test_a_far_shift_needs_a_land_for_most_of_the_openings() -> None:
    # fifteen of twenty are off by (1.0, 0.6), the others each another way
    strays = [(x + 0.7 + 0.05 * k, y + 1.0) for k, (x, y) in enumerate(PLACES[15:])]
    assert math.isnan(reads("registration", layers(*moved(PLACES[:15], 1.0, 0.6), *strays))[0])


def test_few_openings_tell_no_far_shift() -> None:
    assert math.isnan(reads("registration", layers(*moved(PLACES[:9], 1.0, 0.6)))[0])


def test_tracks_that_leave_the_pads_do_not_move_their_middles() -> None:
    tracks = [stroke("C,0.3", (x, y), (x + 1, y), number=20) for x, y in PLACES]
    shifted = layers(*moved(PLACES, 0.1, 0))
    windows = flashes("R,0.9X0.9", *PLACES)
    tracked = shifted._replace(land="\n".join([shifted.land, *tracks]), mask=windows)
    assert reads("registration", tracked) == [0.1]


def test_panes_are_left_out() -> None:
    # four panes on each land: none has a land of its own
    panes = [(x + dx, y + dy) for x, y in PLACES for dx in (-0.15, 0.15) for dy in (-0.15, 0.15)]
    found = Layers(flashes("R,0.2X0.2", *panes), flashes("R,0.6X0.6", *PLACES), HALL)
    assert math.isnan(reads("registration", found)[0])


def test_the_way_is_told() -> None:
    (text,) = wishes("registration", measured(layers(*moved(PLACES, 0.2, -0.1))), 0.1)
    assert text.startswith(
        "the openings lie (0.200, -0.100) mm off their lands: export paste, copper and mask"
    )


# -------------------------------------------------------------------------------------------------- judged


def judged(places: list[Place]) -> dict[str, RuleOutcome]:
    """What the rule set for 75 um finds, by check."""
    outcomes = judge(measured(layers(*places), 0.075), rulesets.load("polyester-75-knife"))
    return {one.check: one for one in outcomes if one.findings}


def test_a_shift_is_found_once_and_overhangs_that_it_explains_are_not() -> None:
    # 0.3 to the right: openings of 0.5 reach 0.25 beyond lands of 0.6, an error by itself
    found = judged(moved(PLACES, 0.35, 0))
    assert list(found) == ["registration"]
    (finding,) = found["registration"].findings
    assert (finding.level, round(finding.value, 6), finding.opening) == ("error", 0.35, None)


def test_what_the_shift_does_not_explain_is_found_as_well() -> None:
    # one more opening is off by another 0.35
    places = [*moved(PLACES[1:], 0.35, 0), (PLACES[0][0] + 0.7, PLACES[0][1])]
    found = judged(places)
    assert [round(one.value, 6) for one in found["land-overhang"].findings] == [pytest.approx(0.3)]


def test_a_shift_that_passes_explains_nothing() -> None:
    # 0.05 is no finding: openings are 0.1 smaller than lands, so it leaves no overhang; 0.05 more does
    larger = Layers(flashes("R,0.8X0.8", *moved(PLACES, 0.05, 0)), flashes("R,0.6X0.6", *PLACES), HALL)
    outcomes = judge(measured(larger, 0.075), rulesets.load("polyester-75-knife"))
    overhang = next(one for one in outcomes if one.check == "land-overhang")
    # the corner: (0.15, 0.1)
    assert overhang.worst == pytest.approx(math.hypot(0.15, 0.1))
    assert not next(one for one in outcomes if one.check == "registration").findings
