"""A changed layer of which only what changes can have moved is measured again reads as if all of it were."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck import rulesets
from pastecheck.geometry.nearby import near_some
from pastecheck.geometry.rows import Rows
from pastecheck.judge import judge
from pastecheck.measurements import Measurements
from pastecheck.measurements.changed import Changed
from pastecheck.measurements.remade import remade
from pastecheck.ragged import offsets
from pastecheck.report import Finding
from tests.checks.test_outlooks import changed_at_random
from tests.judge.layouts import layout
from tests.judge.slots import Slot, measured

RULE_SETS = [rulesets.load(name) for name in rulesets.shipped()]

seeds = st.integers(0, 2**32 - 1)
REACHES_MM = (0.1, 0.225, 0.4, 0.7)


def side_by_side(seed: int, count: int) -> list[Slot]:
    """Some layouts beside each other, so near that they could touch."""
    slots = []
    for nth in range(count):
        label = f"-{nth}" if nth % 2 else ""
        slots += [
            slot._replace(x_mm=slot.x_mm + 7.0 * nth, label=slot.label and slot.label + label)
            for slot in layout(seed + nth)
        ]
    return slots


def some_changed(seed: int) -> Changed:
    """A few openings changed, or most of them."""
    chance = np.random.default_rng(seed)
    changed = changed_at_random(measured(side_by_side(seed, 3)), seed)
    still = chance.random(len(changed.inset_mm)) < chance.choice([0.0, 0.5, 0.95])
    alike = chance.random(len(changed.inset_mm)) < 0.5
    # about the middle, as rows change
    changed.inset_mm[alike] = changed.inset_mm[alike].mean(axis=2, keepdims=True)
    changed.inset_mm[still] = 0.0
    return Changed(changed.m, changed.inset_mm, changed.thickness_mm)


def both(seed: int) -> tuple[Measurements, Measurements]:
    """As it is measured again, and as if it were drawn so."""
    again = remade(some_changed(seed))
    return again, Measurements(again.openings, again.foil)


def members(rows: Rows) -> set[tuple[int, ...]]:
    return {tuple(each.tolist()) for each in np.split(rows.member, offsets(rows.row_count)[1:-1])}


def members_of(rows: Rows, row: int) -> tuple[int, ...]:
    begin = offsets(rows.row_count)[row]
    return tuple(rows.member[begin : begin + rows.row_count[row]].tolist()) if row >= 0 else ()


@given(seeds)
def test_rows_are_those_of_the_layer_as_if_it_were_drawn_so(seed: int) -> None:
    again, whole = (m.rows for m in both(seed))
    assert members(again) == members(whole)
    for name in ("order", "pitch_mm", "extent_mm", "beside_mm", "beside_extent_mm"):
        assert getattr(again, name) == pytest.approx(getattr(whole, name), abs=1e-9, nan_ok=True), name
    for name in ("row", "other_row"):
        one, other = (
            [members_of(rows, row) for row in getattr(rows, name).tolist()] for rows in (again, whole)
        )
        assert one == other
    assert np.array_equal(again.are_panes(), whole.are_panes())
    assert np.array_equal(again.are_in_grids, whole.are_in_grids)


@given(seeds, st.sampled_from(REACHES_MM))
def test_webs_are_those_of_the_layer_as_if_it_were_drawn_so(seed: int, reach_mm: float) -> None:
    again, whole = (m.webs_within(reach_mm) for m in both(seed))
    assert again.first.tolist() == whole.first.tolist()
    assert again.second.tolist() == whole.second.tolist()
    assert again.gap_mm.tolist() == whole.gap_mm.tolist()
    assert again.error_mm.tolist() == whole.error_mm.tolist()


@given(seeds)
def test_parts_are_those_of_the_layer_as_if_it_were_drawn_so(seed: int) -> None:
    again, whole = (m.parts_of_two_lands for m in both(seed))
    for name, column in again._asdict().items():
        assert column == pytest.approx(getattr(whole, name), abs=1e-9), name


@given(seeds)
def test_boxes_are_those_of_the_layer_as_if_it_were_drawn_so(seed: int) -> None:
    again, whole = both(seed)
    assert again.bounds_nm.tolist() == whole.bounds_nm.tolist()


@pytest.mark.slow
@given(seeds, st.sampled_from(RULE_SETS))
def test_all_that_is_found_is_found_as_if_it_were_drawn_so(seed: int, rules: rulesets.RuleSet) -> None:
    again, whole = (
        [rounded(finding) for outcome in judge(m, rules) for finding in outcome.findings] for m in both(seed)
    )
    assert again == whole


def rounded(finding: Finding) -> Finding:
    """Its numbers but for float rounding, and no words, which a number between two figures may change."""
    x_mm, y_mm, value = (round(number, 6) + 0.0 for number in (finding.x_mm, finding.y_mm, finding.value))
    return finding._replace(x_mm=x_mm, y_mm=y_mm, value=value, text="", remedy="")


@given(seeds, st.integers(0, 3_000_000))
def test_no_box_within_reach_is_missed_and_none_is_told_that_lies_far_off(seed: int, reach_nm: int) -> None:
    chance = np.random.default_rng(seed)
    low = chance.integers(-20_000_000, 20_000_000, (200, 2))
    box = np.concatenate([low, low + chance.integers(0, 3_000_000, (200, 2))], axis=1)
    some = chance.random(200) < 0.05
    between = np.maximum(box[:, None, :2] - box[None, :, 2:], box[None, :, :2] - box[:, None, 2:]).max(axis=2)
    nearest = between[:, some].min(axis=1, initial=10**12)
    near = near_some(box, box[some], reach_nm)
    cell_nm = max(reach_nm, 43_000_000 / np.sqrt(2 * 200))
    assert near[nearest <= reach_nm].all()
    assert not near[nearest > reach_nm + 2 * cell_nm].any()


def test_what_is_not_changed_is_the_layer_itself() -> None:
    m = measured([Slot(0.0, 0.0, 0.3, 1.5)])
    assert remade(Changed.as_drawn(m)) is m
