"""The rule sets that ship as a family: how limits go along a material, and what they keep off."""

import os
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np
import pytest

from pastecheck import gerber, rulesets
from pastecheck.check import Unit
from pastecheck.checks import catalogue
from pastecheck.errors import PastecheckError
from pastecheck.limits import STANDARD
from pastecheck.measurements import Measurements
from pastecheck.openings import cut_from
from pastecheck.rulesets import RuleSet

SETS: Final = {name: rulesets.load(name) for name in rulesets.shipped()}

# The sets of each material, from thin to thick.
MATERIALS: Final = {
    "polyester": ["polyester-50-knife", "polyester-75-knife", "polyester-100-knife", "polyester-125-knife"],
    "polyimide": ["polyimide-75-laser", "polyimide-100-laser", "polyimide-125-laser"],
    "stainless": ["stainless-100-laser", "stainless-125-laser", "stainless-150-laser"],
}


class Along(NamedTuple):
    """How the limits of a check go as the foil gets thicker, and why."""

    check: str
    sides: tuple[str, ...]
    goes: str
    why: str


RISES, FALLS, STAYS = "rises or stays", "falls or stays", "stays"
_BELOW: Final = ("error_below", "warn_below")
_ABOVE: Final = ("error_above", "warn_above")
ALONG_A_MATERIAL: Final = [
    Along("opening-width", _BELOW, RISES, "a thicker sheet takes more force or heat, and cuts less finely"),
    Along("neck-width", _BELOW, RISES, "as opening-width"),
    Along("side-length", _BELOW, RISES, "the blade turns harder in a thicker sheet"),
    Along("web-width", _BELOW, RISES, "more force drags a web further, more heat burns more of it"),
    Along("film-tongue", _BELOW, RISES, "as web-width"),
    Along("web-slenderness", _ABOVE, RISES, "a thicker web is stiffer: the fourth root of the thickness"),
    Along("open-fraction", _ABOVE, RISES, "a thicker sheet stretches less when it is peeled off its carrier"),
    Along("land-coverage", ("warn_below",), FALLS, "a thicker foil prints more on the same share of a land"),
    Along(
        "land-coverage", ("warn_above",), FALLS, "a thicker foil prints more: what overlaps bridges sooner"
    ),
    Along("thermal-coverage", ("warn_below",), FALLS, "as land-coverage"),
    Along("thermal-coverage", ("warn_above",), FALLS, "more paste lifts a part off its leads sooner"),
    Along("area-ratio", _BELOW, STAYS, "the thickness is in the ratio already"),
    Along("aspect-ratio", _BELOW, STAYS, "the thickness is in the ratio already"),
    Along("tongue-slenderness", _ABOVE, STAYS, "tongues lift in weeding, whatever the sheet: no source"),
    Along("deposit-height", ("warn_below", "warn_above"), STAYS, "a joint needs what it needs"),
]
FROM_COARSE_TO_FINE: Final = [
    ("polyester-75-knife", "polyimide-75-laser"),
    ("polyester-100-knife", "polyimide-100-laser"),
    ("polyester-125-knife", "polyimide-125-laser"),
    ("polyimide-100-laser", "stainless-100-laser"),
    ("polyimide-125-laser", "stainless-125-laser"),
    ("stainless-100-laser", "coated-100-laser"),
    ("coated-100-laser", "nickel-100-electroformed"),
]
"""Of one thickness each: a blade drags, a beam does not; film gives way and burns, metal does not."""


def _limits(rule_set: RuleSet, check: str) -> dict[str, float]:
    return next((rule.limits for rule in rule_set.rules if rule.check == check), {})


def test_twelve_rule_sets_ship() -> None:
    alone = {"coated-100-laser", "nickel-100-electroformed"}
    assert set(SETS) == {name for names in MATERIALS.values() for name in names} | alone
    for names in MATERIALS.values():
        thickness_mm = [SETS[name].foil.thickness_mm for name in names]
        assert thickness_mm == sorted(thickness_mm)


@pytest.mark.parametrize("names", MATERIALS.values(), ids=MATERIALS)
@pytest.mark.parametrize("along", ALONG_A_MATERIAL, ids=lambda along: f"{along.check} {along.sides[0]}")
def test_along_a_material_limits_go_one_way(names: list[str], along: Along) -> None:
    assert along.why
    for thin, thick in pairwise(names):
        for side in along.sides:
            first, second = (_limits(SETS[name], along.check).get(side) for name in (thin, thick))
            assert (first is None) == (second is None)
            if first is not None and second is not None:
                assert first <= second or along.goes is not RISES
                assert first >= second or along.goes is not FALLS
                assert first == second or along.goes is not STAYS


@pytest.mark.parametrize(("coarse", "fine"), FROM_COARSE_TO_FINE)
@pytest.mark.parametrize("check", ["opening-width", "neck-width", "web-width", "film-tongue", "area-ratio"])
def test_what_cuts_or_parts_more_finely_is_allowed_no_less(coarse: str, fine: str, check: str) -> None:
    assert SETS[coarse].foil.thickness_mm == SETS[fine].foil.thickness_mm
    loose, strict = _limits(SETS[fine], check), _limits(SETS[coarse], check)
    assert loose.keys() == strict.keys()
    assert all(loose[side] <= strict[side] for side in strict)


@pytest.mark.parametrize("name", SETS)
def test_openings_and_their_necks_have_one_limit_and_so_have_webs_and_tongues(name: str) -> None:
    for one, other in (("opening-width", "neck-width"), ("web-width", "film-tongue")):
        assert _limits(SETS[name], one) == _limits(SETS[name], other)


# 75 um of polyester is the anchor: 13.3 and 8.55, habits of the bench. What a web gives way, in its own
# widths, is q s^4 / (32 E T), so a limit of s goes with (E T)^(1/4). E is 4.5 GPa of polyester, 200 GPa of
# steel, both from memory. 8.55 x (50/75)^(1/4) = 8.55 x 0.9036 = 7.73; 100 um 8.55 x 1.0746 = 9.19; 125 um
# 8.55 x 1.1362 = 9.71; 13.3: 12.02, 14.29, 15.11. Steel x (200/4.5)^(1/4) = 2.5820: 100 um 23.7, 125 um 25.1,
# 150 um (x 1.1892) 26.3.
@pytest.mark.parametrize(
    ("name", "error", "warning"),
    [
        ("polyester-50-knife", 12.02, 7.73),
        ("polyester-75-knife", 13.3, 8.55),
        ("polyester-100-knife", 14.29, 9.19),
        ("polyester-125-knife", 15.11, 9.71),
        ("polyimide-75-laser", 13.3, 8.55),
        ("polyimide-100-laser", 14.29, 9.19),
        ("polyimide-125-laser", 15.11, 9.71),
        ("stainless-100-laser", None, 23.7),
        ("stainless-125-laser", None, 25.1),
        ("stainless-150-laser", None, 26.3),
        ("nickel-100-electroformed", None, 23.7),
    ],
)
def test_limits_of_slender_webs_are_scaled_from_those_of_75_um(
    name: str, error: float | None, warning: float
) -> None:
    limits = _limits(SETS[name], "web-slenderness")
    assert limits["warn_above"] == pytest.approx(warning, rel=0.01)
    assert limits.get("error_above") == (None if error is None else pytest.approx(error, rel=0.01))


# ------------------------------------------------------------------------------------------ round figures

APART_MM: Final = 0.002
_EXACTLY: Final = 1e-9
PITCHES_MM: Final = (0.3, 0.35, 0.4, 0.45, 0.5, 0.635, 0.65, 0.8, 0.95, 1.0, 1.27)
FRACTIONS: Final = (0.40, 0.70)
"""Of the pitch, that openings of rows take; what is wider than that are panes, and no row."""


def _round_mm(widest_mm: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Widths that people draw: whole hundredths of a millimetre, and whole mils."""
    return np.concatenate([np.arange(0.01, widest_mm, 0.01), np.arange(0.0254, widest_mm, 0.0254)])


def _usual_webs_mm() -> Iterator[float]:
    """What openings of round widths leave of the usual pitches."""
    for pitch_mm in PITCHES_MM:
        width_mm = _round_mm(pitch_mm)
        low_mm, high_mm = (fraction * pitch_mm for fraction in FRACTIONS)
        yield from pitch_mm - width_mm[(width_mm >= low_mm - _EXACTLY) & (width_mm <= high_mm + _EXACTLY)]


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize("check", ["web-width", "film-tongue"])
def test_no_web_that_round_figures_leave_lies_near_a_limit(name: str, check: str) -> None:
    usual_mm = np.array(list(_usual_webs_mm()))
    for limit_mm in _limits(SETS[name], check).values():
        assert np.abs(usual_mm - limit_mm).min() >= APART_MM - _EXACTLY


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize("check", ["opening-width", "neck-width", "side-length"])
def test_no_round_width_lies_near_a_limit(name: str, check: str) -> None:
    quarters_mm = np.arange(0.025, 1.0, 0.025)  # 0.275 and its like are drawn too
    drawn_mm = np.concatenate([_round_mm(1.0), quarters_mm])
    for limit_mm in _limits(SETS[name], check).values():
        assert np.abs(drawn_mm - limit_mm).min() >= APART_MM - _EXACTLY


@pytest.mark.parametrize("name", SETS)
def test_no_other_length_stands_on_a_round_value(name: str) -> None:
    for rule in SETS[name].rules:
        if catalogue()[rule.check].unit is Unit.MM and rule.check != "deposit-height":
            for limit_mm in filter(None, rule.limits.values()):
                assert min(abs(limit_mm - round(limit_mm / step) * step) for step in (0.05, 0.0254)) > 0.001


# ------------------------------------------------------------------------------------------ real boards

BOARDS: Final = 4
WEBS: Final = 30
"""A web that so many boards have, so often in all, is a common one (of some sixty boards and 17,700 webs)."""
STEP_MM: Final = 0.0005


@pytest.fixture(scope="module")
def common_webs_mm() -> list[float]:
    """Webs that are common on the boards of the corpus, to half a micrometre."""
    shared = os.environ.get("PASTECHECK_SHARED")
    if not shared:
        pytest.skip("set PASTECHECK_SHARED to a folder with boards")
    found: dict[int, list[str]] = {}
    for board, gap_mm in _webs(Path(shared) / "corpus"):
        for step, count in zip(*np.unique(np.round(gap_mm / STEP_MM), return_counts=True), strict=True):
            found.setdefault(int(step), []).extend([board] * int(count))
    common = [step for step, boards in found.items() if len(boards) >= WEBS and len(set(boards)) >= BOARDS]
    assert len(common) > 20
    return [step * STEP_MM for step in sorted(common)]


def _webs(corpus: Path) -> Iterator[tuple[str, np.ndarray[tuple[int], np.dtype[np.float64]]]]:
    """The board, and the webs up to 0.3 mm, of each layer that can be read."""
    import csv

    with (corpus / "REFERENCE.csv").open(encoding="utf-8") as file:
        layers = sorted({(row["slug"], row["file"]) for row in csv.DictReader(file)})
    for slug, name in layers:
        try:
            drawing = gerber.read((corpus / slug / name).read_bytes(), name, STANDARD)
            openings = cut_from(drawing, STANDARD)
        except PastecheckError:
            continue
        m = Measurements(openings, SETS["polyester-75-knife"].foil, STANDARD)
        yield slug, m.webs_within(0.3).gap_mm


@pytest.mark.slow
@pytest.mark.parametrize("name", SETS)
def test_no_web_that_is_common_on_real_boards_lies_near_a_limit(
    name: str, common_webs_mm: list[float]
) -> None:
    for limit_mm in _limits(SETS[name], "web-width").values():
        near = [web_mm for web_mm in common_webs_mm if abs(web_mm - limit_mm) < APART_MM - _EXACTLY]
        assert not near
