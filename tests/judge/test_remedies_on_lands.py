"""Remedies where lands are known, by hand: one change for what fails together."""

import re

from pastecheck.check import region
from pastecheck.judge import judge
from pastecheck.measurements import Foil, Measurements
from pastecheck.report import Finding
from pastecheck.rulesets import RuleSet
from tests.checks.boards import Place, flashes
from tests.drawn import board, cut
from tests.judge.slots import rule, rule_set

COVERAGE = rule("land-coverage", error_below=0.35, warn_below=0.60, warn_above=1.15)
OVERHANG = rule("land-overhang", error_above=0.26, warn_above=0.115)
HALL = flashes("R,90X90", (0, 0))


def findings(paste: str, land: str, rules: RuleSet) -> list[Finding]:
    openings = cut(paste)
    m = Measurements(openings, Foil("polyester film", "PET", 0.075), board=board(openings, land, HALL))
    return [finding for outcome in judge(m, rules) for finding in outcome.findings]


def remedies(paste: str, land: str, *rules: RuleSet) -> set[str]:
    return {finding.remedy for finding in findings(paste, land, *rules)}


def home_plate(at: Place) -> str:
    """0.5 wide and 0.5 long, and a tip of 0.1: no rectangle."""
    x, y = at
    return region((x, y), (x + 0.5, y), (x + 0.5, y + 0.5), (x + 0.25, y + 0.6), (x, y + 0.5))


def test_outlines_that_are_stretched_are_changed_where_other_lands_have_openings() -> None:
    # 0.275 mm2 on a land of 0.7 x 0.8 is 0.49; a chip elsewhere has both its openings
    chip = [(20.0, 0.0), (21.0, 0.0)]
    paste = home_plate((0, 0)) + "\n" + flashes("R,0.5X0.6", *chip)
    land = flashes("R,0.7X0.8", (0.25, 0.3)) + "\n" + flashes("R,0.5X0.6", *chip, number=11)
    rules = rule_set(COVERAGE, rule("missing-opening", error_above=0.6))
    (remedy,) = remedies(paste, land, rules)
    # 0.6 x 0.56 mm2 over 0.275 is 1.222
    assert remedy == "widen to 0.615 x 0.615 mm"


def test_both_openings_of_a_part_are_widened_where_one_alone_would_lose_the_balance() -> None:
    # 0.5 x 0.6 is all of a land of its size, and 0.536 of one of 0.7 x 0.8: 0.6 of that is 0.56 x 0.6 mm2.
    # Changed alone it would leave a balance of 0.5 / 0.56 = 0.893
    ends = [(0.0, 0.0), (1.2, 0.0)]
    land = flashes("R,0.7X0.8", ends[0]) + "\n" + flashes("R,0.5X0.6", ends[1], number=11)
    rules = rule_set(COVERAGE, rule("pair-balance", warn_below=0.9))
    assert remedies(flashes("R,0.5X0.6", *ends), land, rules) == {
        "widen both openings of the part to 0.560 x 0.600 mm"
    }


def test_what_is_shrunk_to_its_land_is_not_told_another_size_as_well() -> None:
    # 1.2 x 1.4 on 0.9 x 1.1: 1.697 of it, and 0.15 root 2 beyond its corners
    rules = rule_set(COVERAGE, OVERHANG)
    assert remedies(flashes("R,1.2X1.4", (0, 0)), flashes("R,0.9X1.1", (0, 0)), rules) == {
        "shrink it to its land, 0.900 x 1.100 mm"
    }


def test_a_row_that_is_too_long_for_its_lands_is_told_both_its_width_and_its_lands() -> None:
    places = [(0.5 * k, 0.0) for k in range(4)]
    rules = rule_set(OVERHANG, rule("web-width", error_below=0.167, warn_below=0.225))
    found = remedies(flashes("R,0.3X1.8", *places), flashes("R,0.3X1.5", *places), rules)
    assert found == {"make them 0.275 x 1.800 mm; shrink it to its land, 0.300 x 1.500 mm"}


def test_what_lies_on_no_land_is_told_nothing_but_that() -> None:
    rules = rule_set(rule("off-land", error_above=0.95), rule("opening-width", error_below=0.17))
    paste, land = flashes("R,0.1X1", (5, 5)), flashes("R,0.6X0.6", (0, 0))
    (remedy,) = remedies(paste, land, rules)
    assert remedy.startswith("leave it out if it is no part's; else check that copper and mask are ")


def test_panes_for_a_thermal_land_are_told_once() -> None:
    # one opening as large as its land, between the leads of the part, far too wide as well
    leads = flashes("R,0.3X0.8", *[(x, y) for x in (-0.25, 0.25) for y in (-2.6, 2.6)], number=11)
    both = flashes("R,4X4", (0, 0)) + "\n" + leads
    spans = rule("opening-span", warn_above=3.06)
    (remedy,) = remedies(both, both, rule_set(spans, rule("thermal-coverage", warn_above=0.85)))
    assert re.fullmatch(r"print 2 x 2 panes of 1\.670 x 1\.670 mm with webs of .*: 70 % of the land", remedy)


def test_a_change_that_is_for_something_else_does_not_stand_in_for_advice() -> None:
    # 4 x 4 lies 0.1 beside two slots that cannot give way: it gives way to them, and is divided as well
    slots = flashes("R,0.17X0.6", (-2.185, 0), (2.185, 0), number=11)
    webs = rule("web-width", error_below=0.167, warn_below=0.225)
    rules = rule_set(webs, rule("opening-span", warn_above=3.06), rule("opening-width", error_below=0.17))
    found = findings(flashes("R,4X4", (0, 0)) + "\n" + slots, flashes("R,4X4", (0, 0)), rules)
    (panes,) = [one.remedy for one in found if one.check == "opening-span"]
    assert panes.startswith("cut it as 2 x 2 panes of ")
    (gives_way,) = {one.remedy for one in found if one.check == "web-width"}
    assert gives_way == "shorten the longer side of the larger opening to 3.750 mm"


def test_the_two_of_a_part_give_way_each_to_its_own_neighbour() -> None:
    # two chips beside each other, 0.12 apart: half of 0.225 - 0.12 off the sides that face, in steps 0.055
    first = [f"%TO.C,C1*%\n{flashes('R,0.5X0.55', (0, 0), (0.96, 0))}\n%TD*%"]
    second = [f"%TO.C,C2*%\n{flashes('R,0.5X0.55', (0, 0.67), (0.96, 0.67), number=11)}\n%TD*%"]
    rules = rule_set(rule("web-width", error_below=0.167, warn_below=0.225))
    paste = "\n".join([*first, *second])
    assert remedies(paste, paste, rules) == {"take 0.055 mm off each of the two sides that face each other"}
