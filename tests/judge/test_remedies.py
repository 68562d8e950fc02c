"""Remedies for film of 75 um: width 0.170 / 0.215, web 0.170 / 0.225, aspect 1.3 / 1.5, area 0.60 / 0.66."""

import re
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.checks.powder_fit import Params
from pastecheck.judge import judge
from pastecheck.measurements import Foil, Measurements
from pastecheck.report import Finding, Level
from pastecheck.rulesets import RuleSet
from tests.judge.slots import KNIFE_75, Slot, measured, rule, rule_set

FINE_ROWS = rule_set(
    *KNIFE_75.rules,
    rule("pitch-fraction", error_above=0.74, warn_above=0.57),
    rule("web-slenderness", error_above=13.0, warn_above=8.5),
)
BY_HAND = "use laser-cut film or steel foil, or paste this part by hand"


def row(width_mm: float, pitch_mm: float, count: int = 4, length_mm: float = 1.5) -> list[Slot]:
    return [Slot(k * pitch_mm, 0.0, width_mm, length_mm, "U1") for k in range(count)]


def findings(slots: Sequence[Slot], rules: RuleSet = KNIFE_75, thickness_mm: float = 0.075) -> list[Finding]:
    outcomes = judge(measured(slots, thickness_mm), rules)
    return [finding for outcome in outcomes for finding in outcome.findings]


def remedies(slots: Sequence[Slot], rules: RuleSet = KNIFE_75, thickness_mm: float = 0.075) -> set[str]:
    return {finding.remedy for finding in findings(slots, rules, thickness_mm)}


# --------------------------------------------------------------------------------------- openings too small


def test_a_narrow_slot_with_room_is_widened_until_nothing_is_found() -> None:
    # 0.15 at 0.5: at 0.215 the web is 0.35 - 0.065 = 0.285, still above 0.225
    assert remedies(row(0.15, 0.5)) == {"widen to 0.215 x 1.500 mm"}


def test_a_narrow_slot_with_little_room_is_widened_until_it_only_warns() -> None:
    # 0.15 at 0.4, web 0.25: at 0.215 the web would be 0.185 and warn; at 0.170 it is 0.230
    assert remedies(row(0.15, 0.4)) == {"widen to 0.170 x 1.500 mm (that still warns)"}


def test_a_narrow_slot_without_room_is_not_widened() -> None:
    # 0.15 at 0.335, web 0.185: at 0.170 the web would be 0.165, an error; 0.335 - 0.170 is left for openings
    assert remedies(row(0.15, 0.335)) == {
        f"0.170 mm wide would do, but web width allows no more than 0.165 mm: {BY_HAND}"
    }


def test_a_neighbour_just_beyond_the_reach_of_the_rule_set_counts_as_well() -> None:
    # 0.15 at 0.42: the web of 0.270 is beyond all limits, but at 0.215 it would be 0.205 and warn
    assert remedies(row(0.15, 0.42)) == {"widen to 0.170 x 1.500 mm (that still warns)"}


def test_a_warning_without_room_is_no_reason_to_break_another_limit() -> None:
    # 0.20 at 0.43, web 0.230: at 0.215 the web would be 0.215 and warn
    wanted = "cut a trial piece first: no change of this opening ends this without another finding"
    assert remedies(row(0.20, 0.43)) == {wanted}


def test_one_opening_that_fails_several_checks_has_one_remedy_the_largest_change() -> None:
    # 0.10 x 0.30 in 75 um: area ratio 0.03 / (0.8 x 0.075) = 0.5, aspect ratio 1.33, width 0.10.
    # Area ratio wants 2 x 0.66 x 0.075 x 0.3 / (0.3 - 0.099) = 0.1478, aspect ratio 0.1125, width 0.215
    slot = [Slot(0.0, 0.0, 0.10, 0.30)]
    assert {finding.check for finding in findings(slot)} == {"area-ratio", "aspect-ratio", "opening-width"}
    assert remedies(slot) == {"widen to 0.215 x 0.300 mm"}


def test_an_area_ratio_is_mended_by_width_or_by_thinner_film() -> None:
    # 0.18 x 0.40 in 100 um: 0.072 / (1.16 x 0.1) = 0.6207. It wants 2 x 0.066 x 0.4 / (0.4 - 0.132) = 0.1970,
    # so 0.200, or film of 0.072 / (0.66 x 1.16) = 0.0940, so 94 um
    rules = rule_set(rule("area-ratio", error_below=0.60, warn_below=0.66), foil=Foil("film", "PET", 0.1))
    wanted = "widen to 0.200 x 0.400 mm, or use film no thicker than 94 um"
    assert remedies([Slot(0.0, 0.0, 0.18, 0.40)], rules, 0.1) == {wanted}


def test_where_several_shapes_fail_thinner_film_comes_first() -> None:
    # 0.20 x 0.30 in 100 um: 0.06 / (1.0 x 0.1) = 0.6: film of 0.06 / 0.66 = 0.0909; width
    # 2 x 0.066 x 0.3 / (0.3 - 0.132) = 0.2357
    rules = rule_set(rule("area-ratio", error_below=0.50, warn_below=0.66), foil=Foil("film", "PET", 0.1))
    slots = [Slot(0.0, 0.0, 0.18, 0.40), Slot(9.0, 0.0, 0.20, 0.30)]
    assert remedies(slots, rules, 0.1) == {
        "use film no thicker than 94 um, or widen to 0.200 x 0.400 mm",
        "use film no thicker than 90 um, or widen to 0.240 x 0.300 mm",
    }


def test_a_circle_is_enlarged_across() -> None:
    # 0.18 across in 75 um: ratio 0.6; it wants 4 x 0.66 x 0.075 = 0.198, but its width 0.215
    assert remedies([Slot(0.0, 0.0, 0.18)]) == {"enlarge to 0.215 mm across"}


def test_a_square_grows_on_all_sides() -> None:
    assert remedies([Slot(0.0, 0.0, 0.18, 0.18)]) == {"widen to 0.215 x 0.215 mm"}


def test_an_opening_that_is_wide_already_is_not_widened() -> None:
    # an L of 1 x 1 mm with arms of 0.1: 0.19 / (4 x 0.075) = 0.633; film of 0.19 / (0.66 x 4) = 0.07197
    m = measured([Slot(0.0, 0.0, 1.0, 1.0)])
    corners = [(0, 0), (1, 0), (1, 0.1), (0.1, 0.1), (0.1, 1), (0, 1)]
    outline = np.array([shapely.Polygon(corners)], np.object_)
    shapes = replace(m.openings.shapes, outline=outline, core=outline, area_mm2=np.array([0.19]))
    outcomes = judge(Measurements(replace(m.openings, shapes=shapes), m.foil), KNIFE_75)
    assert {finding.remedy for finding in outcomes[0].findings} == {"use film no thicker than 71 um"}


def test_a_sheet_of_metal_is_called_foil() -> None:
    # 0.2 x 2 in 150 um: 0.4 / (4.4 x 0.15) = 0.606, at most 0.4 / (0.66 x 4.4) = 0.1377 thick;
    # width 2 x 0.66 x 0.15 x 2 / (2 - 0.198) = 0.2198
    rules = rule_set(rule("area-ratio", warn_below=0.66), foil=Foil("stainless steel foil", "steel", 0.15))
    m = measured([Slot(0.0, 0.0, 0.2, 2.0)], 0.15)
    m.foil = rules.foil
    (finding,) = judge(m, rules)[0].findings
    assert finding.remedy == "widen to 0.220 x 2.000 mm, or use foil no thicker than 137 um"


def test_foil_thinner_than_50_um_is_not_proposed() -> None:
    # 0.10 x 0.30: at most 0.03 / (0.8 x 0.95) = 0.0395 thick; width 2 x 0.95 x 0.075 x 0.3 / (0.3 - 0.1425)
    # = 0.2714, but 0.29 - 0.17 is left
    rules = rule_set(rule("area-ratio", error_below=0.95), rule("web-width", error_below=0.17))
    crowd = row(0.10, 0.29, length_mm=0.30)
    assert remedies(crowd, rules) == {
        f"0.275 mm wide would do, but web width allows no more than 0.120 mm: {BY_HAND}"
    }


@pytest.mark.parametrize(
    ("cutter", "foil", "wanted"),
    [
        ("drag knife", "polyester film", "laser-cut film or steel foil"),
        ("laser", "polyimide film", "laser-cut steel foil"),
        ("laser", "stainless steel foil", "electroformed foil"),
    ],
)
def test_if_nothing_helps_it_says_what_would_cut_finer(cutter: str, foil: str, wanted: str) -> None:
    # 0.15 at 0.3: to be cut it should be 0.170, for a web of 0.170 it should be 0.130
    rules = rule_set(*KNIFE_75.rules, cutter=cutter, foil=Foil(foil, "", 0.075))
    both = "it should be 0.170 mm wide or more, and 0.130 mm or less beside its neighbours"
    assert remedies(row(0.15, 0.3), rules) == {f"{both}: use {wanted}, or paste this part by hand"}


# --------------------------------------------------------------------------------------------- webs too thin


def test_a_row_is_narrowed_by_what_its_webs_lack() -> None:
    # 0.30 at 0.5: 0.5 - 0.225 = 0.275
    assert remedies(row(0.30, 0.5)) == {"make them 0.275 x 1.500 mm"}


def test_a_row_that_cannot_be_narrowed_so_far_is_narrowed_until_it_only_warns() -> None:
    # 0.25 at 0.4: for 0.225 it would be 0.175, which warns by its width; for 0.170 it is 0.230
    wanted = "make them 0.230 x 1.500 mm (that still warns)"
    assert remedies(row(0.25, 0.4)) == {wanted}


def test_a_wide_land_at_the_end_of_a_row_is_not_made_as_narrow_as_the_row() -> None:
    # webs of 0.20 lack 0.025: the wide ones become 0.575, the others 0.275, and so the unlike ones get apart
    slots = [Slot(x, 0.0, across, 1.15) for x, across in ((0, 0.6), (0.8, 0.6), (1.45, 0.3), (1.95, 0.3))]
    assert remedies(slots) == {
        "make them 0.575 x 1.150 mm",
        "make the larger opening 0.575 x 1.150 mm, and make the smaller opening 0.275 x 1.150 mm",
        "make them 0.275 x 1.150 mm",
    }


def test_pairs_of_unlike_openings_read_the_same_whichever_comes_first() -> None:
    slots = [Slot(x, 0.0, across, 1.15) for x, across in ((0, 0.6), (0.8, 0.6), (1.45, 0.3), (1.95, 0.3))]
    assert remedies(slots) == remedies(slots[::-1])


def test_a_lone_pair_gives_way_on_one_side_each() -> None:
    # web 0.20, 0.025 missing, 0.0125 each, in steps of 5 um 0.015
    assert remedies(row(0.30, 0.5, 2)) == {"take 0.015 mm off each of the two sides that face each other"}


def test_slots_end_to_end_are_shortened_and_not_narrowed() -> None:
    # 0.22 wide slots one behind the other with 0.20 between; narrower than 0.215 they would warn
    slots = [Slot(0.0, k * 1.7, 0.22, 1.5, "J1") for k in range(3)]
    assert remedies(slots) == {"make them 0.220 x 1.475 mm"}


def test_circles_get_smaller_all_round() -> None:
    # 0.40 at 0.6: web 0.20, so 0.6 - 0.225 = 0.375
    assert remedies([Slot(k * 0.6, 0.0, 0.40) for k in range(3)]) == {"make them 0.375 mm across"}


def test_corner_to_corner_a_side_must_move_by_more_than_the_web_lacks() -> None:
    # corners (0.12, 0.12) apart: 0.1697. sqrt(0.225^2 - 0.12^2) = 0.1903, so 0.0703 in all, 0.0352 each
    slots = [Slot(0.0, 0.0, 1.0, 1.0), Slot(1.12, 1.12, 1.0, 1.0)]
    assert remedies(slots) == {"take 0.040 mm off each of the two sides that face each other"}


def test_the_larger_of_two_unlike_openings_gives_way() -> None:
    # web 0.775 - 0.5 - 0.125 = 0.15, 0.075 missing
    slots = [Slot(0.0, 0.0, 1.0, 1.0), Slot(0.775, 0.0, 0.25, 0.8)]
    assert remedies(slots) == {"take 0.075 mm off the larger opening, on the side that faces the other"}


def test_unlike_openings_of_about_one_size_give_way_by_half() -> None:
    # web 1.1 - 0.5 - 0.4 = 0.2, 0.025 missing, 0.0125 each, in steps of 5 um 0.015
    slots = [Slot(0.0, 0.0, 1.0, 1.0), Slot(1.1, 0.0, 0.8, 1.0)]
    assert remedies(slots) == {"take 0.015 mm off each of the two sides that face each other"}


def test_turned_slots_give_way_as_much_as_others() -> None:
    # slots turned by 45 degrees, side by side at 0.5. Their places are whole nanometres, so webs are some
    # tenths of a nanometre off: 0.275 would not quite do
    step = 0.5 / 2**0.5
    slots = [Slot(k * step, k * step, 0.30, 1.5, "U1", turned_deg=45.0) for k in range(4)]
    assert remedies(slots) == {"make them 0.270 x 1.500 mm"}


def test_webs_rounded_by_inches_share_one_remedy() -> None:
    # 0.30 at 0.5 in steps of 0.1 mil: the webs are 0.19784 or 0.20038; for the thinner one 0.27284 is needed
    places = [round(k * 0.5 / 25.4, 4) * 25.4 for k in range(5)]
    slots = [Slot(place, 0.0, 0.30, 1.5, "U1") for place in places]
    assert len({round(finding.value, 6) for finding in findings(slots)}) > 1
    assert remedies(slots) == {"make them 0.270 x 1.500 mm"}


def test_openings_of_a_row_and_their_webs_carry_one_remedy_the_largest_change() -> None:
    # 0.33 x 2.2 at 0.5: for 0.57 of the pitch 0.285, for a web of 0.225 0.275, for 2.2 / 8.5 = 0.2588 of film
    # 0.2411, in steps 0.240
    wanted = {(one.check, one.remedy) for one in findings(row(0.33, 0.5, 5, 2.2), FINE_ROWS)}
    checks = ("pitch-fraction", "web-slenderness", "web-width")
    assert wanted == {(check, "make them 0.240 x 2.200 mm") for check in checks}


def test_the_corner_of_two_rows_changes_as_the_rows_do() -> None:
    # leads along two sides of a part, 0.30 at 0.5
    side = [Slot(3.4, 1.2 + 0.5 * k, 1.5, 0.30, "U1") for k in range(6)]
    assert remedies(row(0.30, 0.5, 6) + side) == {"make them 0.275 x 1.500 mm"}


def test_panes_get_smaller_both_ways() -> None:
    # 0.95 at 1.1, webs of 0.15: 1.1 - 0.225
    panes = [Slot(1.1 * x, 1.1 * y, 0.95, 0.95, "U1") for x in (0, 1) for y in (0, 1)]
    assert remedies(panes) == {"make them 0.875 x 0.875 mm"}


def test_a_side_that_ends_as_the_shorter_one_is_named() -> None:
    # 0.44 x 0.535 end to end at 0.6: 0.6 - 0.17 leaves 0.430 of the longer side
    rules = rule_set(rule("web-width", error_below=0.17))
    slots = [Slot(0.0, 0.6 * k, 0.44, 0.535) for k in range(3)]
    assert remedies(slots, rules) == {"shorten their longer side to 0.430 mm"}


def test_in_a_row_all_grow_or_none() -> None:
    # 0.15 at 0.5 grows to 0.215; beside the last one stands a land 0.2 away, and 0.2 - 0.0325 is below 0.170:
    # to 0.170 it grows by 0.01
    slots = [*row(0.15, 0.5), Slot(1.5 + 0.075 + 0.2 + 0.5, 0.0, 1.0, 1.5)]
    narrow = [one for one in findings(slots) if one.check == "opening-width"]
    assert {one.remedy for one in narrow} == {"widen to 0.170 x 1.500 mm (that still warns)"}


def test_advice_is_given_where_no_size_will_do() -> None:
    # 0.20 at 0.4: five balls of 38 um are 0.19; of 45 um (type 3) 0.225, and the web would be 0.175
    coarse = replace(rule("powder-fit", warn_below=1.0), params=Params(powder_type=3))
    rules = rule_set(coarse, rule("web-width", error_below=0.17, warn_below=0.18))
    assert remedies(row(0.20, 0.4), rules) == {"use powder of type 4, with balls of at most 38 um"}


def test_advice_that_would_do_as_well_is_told_beside_a_change() -> None:
    # a circle of 0.35 has a radius of 0.175: 0.39 across, or a square of 0.35 x 0.886 = 0.310
    rules = rule_set(rule("side-length", warn_below=0.195))
    square = "cut it as a square of 0.310 mm, which prints as much"
    assert remedies([Slot(0.0, 0.0, 0.35)], rules) == {f"enlarge to 0.390 mm across, or {square}"}


def test_a_circle_is_not_to_be_cut_as_a_square_that_breaks_another_limit() -> None:
    # a circle of 0.235 has a radius of 0.1175; the sides of its square are 0.208: enough here, but not across
    rules = rule_set(*KNIFE_75.rules, rule("side-length", warn_below=0.15))
    assert remedies([Slot(0.0, 0.0, 0.235)], rules) == {"enlarge to 0.300 mm across"}


def test_squares_that_would_come_too_close_with_their_corners_are_not_advised() -> None:
    # circles of 0.35, 0.42 apart in x and y: 0.594 - 0.35 = 0.244 between them, but only 0.11 root 2 between
    # squares of 0.310; beside each other, 0.6 apart, 0.25 becomes 0.29
    rules = rule_set(*KNIFE_75.rules, rule("side-length", warn_below=0.195))
    askew, beside = (
        [Slot(0.0, 0.0, 0.35), Slot(x_mm, y_mm, 0.35)] for x_mm, y_mm in ((0.42, 0.42), (0.6, 0.0))
    )
    assert not any("square" in remedy for remedy in remedies(askew, rules))
    assert remedies(beside, rules) == {"cut it as a square of 0.310 mm, which prints as much"}


def test_a_row_that_needs_less_paste_than_the_film_releases_is_told_with_figures() -> None:
    # 0.25 x 1.25 at 0.4 in 125 um by knife: a web of 0.215 leaves 0.185, the knife cuts 0.215
    rules = rule_set(
        rule("opening-width", error_below=0.215, warn_below=0.275),
        rule("web-width", error_below=0.215, warn_below=0.275),
        foil=Foil("polyester film", "PET", 0.125),
    )
    why = "0.185 mm wide would do, but opening width allows no less than 0.215 mm"
    assert remedies(row(0.25, 0.4, 5, 1.25), rules, 0.125) == {f"{why}: {BY_HAND}"}


def test_the_film_is_told_in_which_a_row_could_be_narrow_enough() -> None:
    # 0.175 over 1.5 is 116.7 um; 1.5 x 0.150 is 0.225
    rules = rule_set(rule("aspect-ratio", error_below=1.5), rule("web-width", error_below=0.225))
    why = "0.175 mm wide would do, but aspect ratio allows no less than 0.225 mm"
    film = "unless the film is no thicker than 116 um"
    assert remedies(row(0.25, 0.4, 5, 1.25), rules, 0.15) == {f"{why} {film}: {BY_HAND}"}


def test_thicker_film_is_proposed_where_paste_is_short() -> None:
    # 0.3 x 0.5 prints 0.01125 mm3 in 75 um. For 0.012: 0.32 wide, or 0.012 / 0.15 = 80 um
    rules = rule_set(rule("deposit-volume", warn_below=0.012))
    wanted = "widen to 0.320 x 0.500 mm, or use film no thinner than 80 um"
    assert remedies([Slot(0.0, 0.0, 0.30, 0.50)], rules) == {wanted}


def test_no_film_is_proposed_in_which_others_fail() -> None:
    # as before, but an opening of 0.2 x 0.2 has an area ratio of 0.05 / T: 0.667 in 75 um, 0.625 in 80 um
    rules = rule_set(rule("deposit-volume", warn_below=0.012), rule("area-ratio", error_below=0.66))
    slots = [Slot(0.0, 0.0, 0.30, 0.50), Slot(5.0, 0.0, 0.2, 0.2)]
    volumes = {one.remedy for one in findings(slots, rules) if one.opening == 1}
    assert volumes == {"widen to 0.320 x 0.500 mm"}


def test_film_that_ends_less_than_a_change_of_size_is_not_proposed() -> None:
    # 0.10 x 1.6 in 125 um: aspect ratio 0.8; in 76 um 1.315 is no error. At 0.190 wide nothing is found
    rules = rule_set(rule("aspect-ratio", error_below=1.3, warn_below=1.5), foil=Foil("film", "", 0.125))
    assert remedies([Slot(0.0, 0.0, 0.10, 1.6)], rules, 0.125) == {
        "widen to 0.190 x 1.600 mm, or use film no thicker than 66 um"
    }


# ------------------------------------------------------------------------------------------------------ laws


def mended(slots: Sequence[Slot], remedy: str) -> list[Slot]:
    """A row of like slots after a remedy that gives all of them a new size, or takes off facing sides."""
    off = re.match(r"take ([\d.]+) mm off each", remedy)
    if off:
        less_mm = float(off[1])
        left, right = slots
        return [
            left._replace(x_mm=left.x_mm - less_mm / 2, across_mm=left.across_mm - less_mm),
            right._replace(x_mm=right.x_mm + less_mm / 2, across_mm=right.across_mm - less_mm),
        ]
    size = re.match(r"(?:widen to|make them) ([\d.]+) x ([\d.]+) mm", remedy)
    assert size, remedy
    return [slot._replace(across_mm=float(size[1]), along_mm=float(size[2])) for slot in slots]


@given(
    width_um=st.integers(60, 500),
    length_um=st.integers(500, 2000),
    gap_um=st.integers(20, 400),
    count=st.integers(1, 5),
)
def test_a_remedy_ends_what_it_is_for_and_breaks_nothing_else(
    width_um: int, length_um: int, gap_um: int, count: int
) -> None:
    slots = row(width_um / 1000, (width_um + gap_um) / 1000, count, length_um / 1000)
    before = findings(slots)
    errors = {finding.check for finding in before if finding.level is Level.ERROR}
    for remedy in {finding.remedy for finding in before}:
        if not remedy.startswith(("widen", "make", "take")):
            continue
        checks = {finding.check for finding in before if finding.remedy == remedy}
        after = findings(mended(slots, remedy))
        assert not {one.check for one in after if one.level is Level.ERROR} - (errors - checks)
        if "still warns" not in remedy:
            assert not {one.check for one in after} - ({one.check for one in before} - checks)
