"""
Remedies made: the changes of size that they ask for are drawn, and the layer is judged again.

No new error, no more errors; what was to end has ended, or warns where the remedy says so; and nothing else
is found that was not found before.
"""

import csv
import os
from functools import partial
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck import gerber, rulesets
from pastecheck.checks import catalogue
from pastecheck.errors import InputError, NoOpeningsError
from pastecheck.judge import failures_of, judged
from pastecheck.judge.readings import judged_rules
from pastecheck.layers import layers_of
from pastecheck.measurements import Measurements
from pastecheck.openings import cut_from
from pastecheck.remedies import remedies
from pastecheck.report import Level
from pastecheck.units import UM_PER_MM
from tests.drawn import board, cut_text
from tests.judge.layouts import layout, pads, random_layer
from tests.judge.remade import mended, remedied
from tests.judge.slots import Slot, measured
from tests.strategies import Thing, layer, layers
from tests.test_hot_path import lines_executed

RULE_SETS = [rulesets.load(name) for name in rulesets.shipped()]
BOARDS = sorted((Path(__file__).resolve().parents[2] / "fixtures" / "boards").rglob("*paste*.gbr"))
SHARED = os.environ.get("PASTECHECK_SHARED", "")

seeds = st.integers(0, 2**32 - 1)
rule_sets = st.sampled_from(RULE_SETS)


@given(seeds, rule_sets)
def test_changes_that_are_made_mend_what_they_say_and_break_nothing(
    seed: int, rules: rulesets.RuleSet
) -> None:
    m = random_layer(seed, rules.foil.thickness_mm)
    m.foil = rules.foil
    assert not mended(m, rules).complaints()


@pytest.mark.slow
@given(seeds, rule_sets)
def test_they_do_so_where_the_lands_of_the_board_are_known(seed: int, rules: rulesets.RuleSet) -> None:
    slots = layout(seed)
    openings = measured(slots).openings
    m = Measurements(openings, rules.foil, board=board(openings, *pads(slots, seed)))
    assert not mended(m, rules).complaints()


@pytest.mark.slow
@given(layers(), rule_sets)
def test_they_do_so_with_outlines_of_any_kind(things: list[Thing], rules: rulesets.RuleSet) -> None:
    try:
        openings = cut_text(layer(things))
    except NoOpeningsError:
        return
    assert not mended(Measurements(openings, rules.foil), rules).complaints()


@pytest.mark.slow
@pytest.mark.parametrize("path", BOARDS, ids=lambda path: f"{path.parent.name}-{path.stem}")
@pytest.mark.parametrize("rules", RULE_SETS, ids=lambda rules: rules.name)
def test_they_do_so_on_the_demo_boards(path: Path, rules: rulesets.RuleSet) -> None:
    (layer,) = layers_of([str(path)])
    openings = cut_from(gerber.read(layer.content, layer.path))
    found = mended(Measurements(openings, rules.foil, sheet=rules.sheet), rules)
    assert not found.complaints()


@given(seeds, rule_sets)
def test_another_foil_that_is_proposed_ends_what_it_is_proposed_for_and_brings_no_error(
    seed: int, rules: rulesets.RuleSet
) -> None:
    m = random_layer(seed, rules.foil.thickness_mm)
    m.foil = rules.foil
    before = judged(m, rules)
    foils = remedied(m, rules).foils
    for thickness_um in np.unique(foils.at_most_um[foils.at_most_um > 0])[:2].tolist():
        for_these = np.flatnonzero((foils.at_most_um == thickness_um) & (foils.needs_advice == 0))
        thinner = rules.with_thickness(thickness_um / UM_PER_MM)
        after = judged(Measurements(m.openings, thinner.foil), thinner)
        was, left = (
            {
                (outcome.check, finding.opening): finding.level
                for outcome in found.outcomes
                for finding in outcome.findings
                if finding.other is None and finding.opening
            }
            for found in (before, after)
        )
        warns = foils.thinner_warns[for_these]
        still = {opening - 1: level for (_, opening), level in left.items() if opening - 1 in for_these}
        assert Level.ERROR not in still.values()
        assert not still.keys() & set(for_these[warns == 0].tolist())
        errors = {key for key, level in left.items() if level is Level.ERROR}
        assert errors <= {key for key, level in was.items() if level is Level.ERROR}


@pytest.mark.slow
@pytest.mark.skipif(not SHARED, reason="PASTECHECK_SHARED is not set")
def test_they_do_so_on_real_boards() -> None:
    rules = rulesets.load("polyester-75-knife")
    tried, corpus = 0, Path(SHARED, "corpus")
    with (corpus / "REFERENCE.csv").open(encoding="utf-8") as table:
        paths = sorted({corpus / row["slug"] / row["file"] for row in csv.DictReader(table)})
    for path in paths:
        try:
            openings = cut_from(gerber.read(path.read_bytes(), path.name))
        except InputError:
            continue
        if 0 < len(openings) < 400:
            tried += 1
            assert not mended(Measurements(openings, rules.foil), rules).complaints(), path
    assert tried


def parts(count: int) -> list[Slot]:
    """Parts that fail in a dozen ways."""
    slots: list[Slot] = []
    for nth in range(count):
        y_mm = 8.0 * nth
        for k in range(6):
            slots.append(Slot(0.5 * k, y_mm, (0.15, 0.30, 0.25, 0.33, 0.20)[nth % 5], 1.5, f"U{nth}"))
            slots.append(Slot(6 + 0.4 * k, y_mm, (0.25, 0.20, 0.15)[nth % 3], 1.25, f"V{nth}"))
        slots += [Slot(20.0, y_mm, 4.0, 5.0), Slot(25.0, y_mm, 0.35)]
        slots += [Slot(30.0, y_mm, 0.5, 0.6), Slot(30.65, y_mm, 0.5, 0.6), Slot(31.35, y_mm, 0.4, 0.6)]
    return slots


def test_ten_times_the_findings_take_no_more_lines_to_be_put_right() -> None:
    rules = rulesets.load("polyester-75-knife")

    def lines(count: int) -> int:
        m, judged_ones = judged_rules(measured(parts(count)), rules.rules, catalogue())
        failures = [one.failure for one in judged_ones]
        assert sum(len(one.rows) for one in failures) > 20 * count
        return lines_executed(lambda: remedies(m, rules, failures, partial(failures_of, judged_ones)))

    lines(15)  # what is loaded on first use is no part of it
    assert lines(150) - lines(15) < 200


def test_the_change_of_a_row_is_one_column_for_all_its_sides() -> None:
    # 0.30 at 0.5 becomes 0.285, 0.57 of the pitch: each long side is drawn in by 0.0075, the ends stay
    m = measured([Slot(0.5 * k, 0.0, 0.30, 1.5, "U1") for k in range(4)])
    inset_mm = remedied(m, rulesets.load("polyester-75-knife")).changed.inset_mm
    assert inset_mm == pytest.approx(np.tile([[0.0, 0.0], [0.0075, 0.0075]], (4, 1, 1)))
