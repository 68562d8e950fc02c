"""Laws that hold whatever a layer draws, through Gerber text; each is tried on layers made by hypothesis."""

from dataclasses import replace
from itertools import combinations
from typing import NamedTuple

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import translate

from pastecheck import rulesets
from pastecheck.drawing import FloatArray
from pastecheck.errors import NoOpeningsError
from pastecheck.judge import judge
from pastecheck.measurements import Measurements
from pastecheck.rulesets import RuleSet
from pastecheck.units import NM_PER_MM
from tests.drawn import cut_text, measured
from tests.strategies import (
    CIRCLE,
    INCH,
    NM_PER_MIL,
    OBROUND,
    RECTANGLE,
    Style,
    Thing,
    drawn,
    layer,
    layers,
    text_of,
    things,
)

REACH_MM = 0.6
FLAT_MM = 3e-4
"""Lengths of flattened outlines drawn in two ways: each within 0.1 um of the curve, and a little rounding."""
EXACT_MM = 1e-9
GRID_MM = 1e-5
"""Merged outlines whose vertices are rounded to whole nanometres, each from floats that differ a little."""
TANGENT_MM = 0.03
"""
Perimeters of merged outlines with curves. Where curves are tangent, their flattened outlines meet a little
before or after the point: at a depth of 0.1 um two circles of 0.5 mm meet up to 10 um away from it.
"""

_SHIFTS = st.integers(-50_000, 50_000)


class Measured(NamedTuple):
    """What a layer measures: openings in rows, sorted by their numbers; webs by their width."""

    openings: FloatArray
    webs_mm: FloatArray


def numbers(m: Measurements) -> Measured:
    table = np.column_stack([m.area_mm2, m.perimeter_mm, m.width_mm, m.length_mm])
    order = np.lexsort(np.rint(table / 1e-3).T)
    return Measured(table[order], np.sort(m.webs_within(REACH_MM).gap_mm))


def assert_alike(one: Measurements, other: Measurements, within_mm: float) -> None:
    """Both have the same openings and webs; of webs near the reach one may see what the other does not."""
    mine, theirs = numbers(one), numbers(other)
    assert mine.openings.shape == theirs.openings.shape
    off = np.abs(sorted_columns(mine) - sorted_columns(theirs)).max(axis=0)
    assert (off <= (within_mm, TANGENT_MM if within_mm == FLAT_MM else within_mm, within_mm, within_mm)).all()
    near = [webs[webs < REACH_MM - within_mm] for webs in (mine.webs_mm, theirs.webs_mm)]
    assert near[0] == pytest.approx(near[1], abs=within_mm)


def sorted_columns(of: Measured) -> FloatArray:
    """Each column sorted by itself, so that rounding cannot swap rows."""
    return np.sort(of.openings, axis=0)


# ------------------------------------------------------------------------------------- moved, turned, units


@given(layers(), _SHIFTS, _SHIFTS)
def test_moving_a_layer_by_whole_micrometres_changes_no_reading(
    drawn_things: list[Thing], dx_um: int, dy_um: int
) -> None:
    here = measured(layer(drawn_things))
    there = measured(layer(drawn_things, Style(dx_nm=1000 * dx_um, dy_nm=1000 * dy_um)))
    for column in ("area_mm2", "perimeter_mm", "width_mm", "length_mm", "area_ratio"):
        assert getattr(there, column).tolist() == getattr(here, column).tolist()
    for mine, theirs in zip(here.webs_within(REACH_MM), there.webs_within(REACH_MM), strict=True):
        assert theirs.tolist() == mine.tolist()


@given(layers())
def test_turning_a_layer_by_90_degrees_changes_no_reading(drawn_things: list[Thing]) -> None:
    turned = [thing.turned() for thing in drawn_things]
    assert_alike(measured(layer(drawn_things)), measured(layer(turned)), FLAT_MM)


@given(layers())
def test_turning_apertures_is_turning_what_they_flash(drawn_things: list[Thing]) -> None:
    # Places and paths are turned by hand, apertures by LR90.
    by_hand = [thing.turned() for thing in drawn_things]
    by_file = [replace(turned, size=thing.size) for turned, thing in zip(by_hand, drawn_things, strict=True)]
    assert_alike(measured(layer(by_hand)), measured(layer(by_file, Style(turn_apertures=True))), EXACT_MM)


@given(layers())
def test_inches_and_millimetres_give_the_same_readings(drawn_things: list[Thing]) -> None:
    in_mm, in_inches = measured(layer(drawn_things)), measured(layer(drawn_things, INCH))
    assert (in_mm.openings.in_inches, in_inches.openings.in_inches) == (False, True)
    assert_alike(in_mm, in_inches, GRID_MM)


# --------------------------------------------------------------------------------------- drawn another way


@given(st.data(), layers())
def test_the_order_in_which_dark_things_are_drawn_does_not_matter(
    data: st.DataObject, drawn_things: list[Thing]
) -> None:
    shuffled = data.draw(st.permutations(drawn_things))
    assert_alike(measured(layer(drawn_things)), measured(layer(shuffled)), FLAT_MM)


@given(layers())
def test_drawing_everything_twice_changes_no_reading(drawn_things: list[Thing]) -> None:
    # The second time with the same apertures: with others of the same size they are told apart by number.
    once = drawn(drawn_things)
    again = [line for line in once if not line.startswith("%AD")]
    assert_alike(measured(text_of(once)), measured(text_of([*once, *again])), EXACT_MM)


@given(layers((CIRCLE, RECTANGLE, OBROUND)))
def test_regions_give_the_readings_of_the_flashes_they_outline(drawn_things: list[Thing]) -> None:
    regions = Style(flashes_as_regions=True)
    assert_alike(measured(layer(drawn_things)), measured(layer(drawn_things, regions)), FLAT_MM)


@given(layers(), st.integers(1, 4), st.integers(1, 3), st.integers(10, 90), st.integers(10, 90))
def test_step_and_repeat_gives_the_readings_of_copies_written_out(
    drawn_things: list[Thing], columns: int, rows: int, dx: int, dy: int
) -> None:
    mm = NM_PER_MIL / 1e6
    repeat = f"%SRX{columns}Y{rows}I{dx * mm:.4f}J{dy * mm:.4f}*%"
    apertures = [line for line in drawn(drawn_things) if line.startswith("%AD")]
    body = [line for line in drawn(drawn_things) if not line.startswith("%AD")]
    copies = [
        line
        for i in range(columns)
        for j in range(rows)
        for line in drawn([thing.moved(i * dx, j * dy) for thing in drawn_things])
        if not line.startswith("%AD")
    ]
    repeated = measured(text_of([*apertures, repeat, *body, "%SR*%"]))
    assert_alike(repeated, measured(text_of([*apertures, *copies])), EXACT_MM)


@given(layers())
def test_what_is_drawn_dark_and_then_clear_leaves_nothing(drawn_things: list[Thing]) -> None:
    once = drawn(drawn_things)
    with pytest.raises(NoOpeningsError):
        cut_text(text_of([*once, "%LPC*%", *(line for line in once if not line.startswith("%AD"))]))


@given(layers(), things())
def test_what_is_cleared_before_anything_is_drawn_changes_nothing(
    drawn_things: list[Thing], cleared: Thing
) -> None:
    first = ["%LPC*%", *drawn([cleared], first_code=900), "%LPD*%"]
    both = measured(text_of([*first, *drawn(drawn_things)]))
    assert_alike(measured(layer(drawn_things)), both, FLAT_MM)


# -------------------------------------------------------------------------------------------------- judging


def rule_set(limits: dict[str, float]) -> RuleSet:
    """polyester-75-knife with other error limits and no warnings."""
    shipped = rulesets.load("polyester-75-knife")
    rules = [
        replace(rule, error_below=limits[rule.check], warn_below=None)
        for rule in shipped.rules
        if rule.check in limits
    ]
    return replace(shipped, rules=tuple(rules))


@given(layers(), st.floats(0.05, 0.6), st.floats(0.0, 0.3))
def test_a_looser_limit_never_finds_more(drawn_things: list[Thing], strict: float, looser_by: float) -> None:
    # Ratios and lengths are given the same numbers: what they are compared with does not matter here.
    m = measured(layer(drawn_things))
    checks = ("web-width", "opening-width", "area-ratio", "aspect-ratio")
    loose = max(strict - looser_by, 0.001)
    few = judge(m, rule_set({check: loose * (1 if "width" in check else 5) for check in checks}))
    many = judge(m, rule_set({check: strict * (1 if "width" in check else 5) for check in checks}))
    for fewer, more in zip(few, many, strict=True):
        assert {one.fingerprint for one in fewer.findings} <= {one.fingerprint for one in more.findings}
        assert len(fewer.findings) <= len(more.findings)


# ----------------------------------------------------------------------------------------------------- webs


@given(layers())
def test_webs_are_those_found_by_looking_at_every_pair(drawn_things: list[Thing]) -> None:
    m = measured(layer(drawn_things))
    webs = m.webs_within(REACH_MM)
    found = {(i, j): gap for i, j, gap in zip(*(column.tolist() for column in webs[:3]), strict=True)}
    placed = placed_outlines(m)
    every = {(i, j): placed[i].distance(placed[j]) for i, j in combinations(range(len(placed)), 2)}
    for pair, gap_mm in found.items():
        assert every[pair] == pytest.approx(gap_mm, abs=FLAT_MM)
        assert gap_mm <= REACH_MM
    for pair, gap_mm in every.items():
        if pair not in found and gap_mm < REACH_MM - FLAT_MM:
            assert lies_between(placed, *pair), pair


def placed_outlines(m: Measurements) -> list[shapely.Polygon]:
    shape = m.openings.shape.tolist()
    x_mm, y_mm = (m.openings.x_nm / NM_PER_MM).tolist(), (m.openings.y_nm / NM_PER_MM).tolist()
    outlines = [m.openings.shapes.outline[row] for row in shape]
    return [translate(outline, x, y) for outline, x, y in zip(outlines, x_mm, y_mm, strict=True)]


def lies_between(placed: list[shapely.Polygon], i: int, j: int) -> bool:
    """Whether a third opening lies on a shortest line of a pair, so that the pair has no web of its own."""
    line = shapely.shortest_line(placed[i], placed[j])
    others = [placed[k] for k in range(len(placed)) if k not in {i, j}]
    gap = line.length
    return any(
        other.distance(placed[i]) + other.distance(placed[j]) <= gap + FLAT_MM
        and other.distance(line) <= FLAT_MM
        for other in others
    )


# ---------------------------------------------------------------------------------- one row, in both units


def row_of_slots(unit: str, decimals: int) -> str:
    """Twelve slots of 0.30 x 1.50 mm at 0.50 mm: webs of 0.20 mm; inches rounded to so many decimals."""
    per_unit = 25.4 if unit == "%MOIN*%" else 1.0
    size = f"{0.3 / per_unit:.{decimals}f}X{1.5 / per_unit:.{decimals}f}"
    flashes = [f"X{round(0.5 * k / per_unit * 10**decimals)}Y0D03*" for k in range(1, 13)]
    return "\n".join(
        [f"%FSLAX4{decimals}Y4{decimals}*%", unit, f"%ADD10R,{size}*%", "D10*", *flashes, "M02*"]
    )


ROWS = {
    "mm": row_of_slots("%MOMM*%", 6),
    "inch, six decimals": row_of_slots("%MOIN*%", 6),
    "inch, five decimals": row_of_slots("%MOIN*%", 5),
}


@pytest.mark.parametrize("written", [*ROWS.values(), row_of_slots("%MOIN*%", 4)])
def test_a_row_of_webs_at_a_round_limit_of_ones_own_passes_whole_in_either_unit(written: str) -> None:
    (outcome,) = judge(measured(written), rule_set({"web-width": 0.2}))
    assert outcome.findings == ()
    assert outcome.measured == 12


@pytest.mark.parametrize("written", ROWS)
def test_a_row_of_webs_clearly_below_a_limit_fails_whole_in_either_unit(written: str) -> None:
    (outcome,) = judge(measured(ROWS[written]), rule_set({"web-width": 0.202}))
    assert len(outcome.findings) == 11


@pytest.mark.parametrize("decimals", [4, 5, 6])
def test_a_row_does_not_split_at_the_limits_that_ship_however_coarse_its_inches(decimals: int) -> None:
    # A ten-thousandth of an inch is 2.54 um: webs of 0.198 and 0.201 mm, between 0.170 and 0.225.
    outcomes = judge(measured(row_of_slots("%MOIN*%", decimals)), rulesets.load("polyester-75-knife"))
    (webs,) = [outcome for outcome in outcomes if outcome.check == "web-width"]
    assert [finding.level for finding in webs.findings] == ["warning"] * 11
