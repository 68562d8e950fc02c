"""Whatever is drawn: no new error, no opening dropped, merged or grown, and nothing to do the second time."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from pastecheck import gerber, rulesets
from pastecheck.drawing import BoolArray
from pastecheck.errors import InputError
from pastecheck.limits import STANDARD
from pastecheck.measurements import Measurements
from pastecheck.openings import cut_from
from pastecheck.rulesets import RuleSet
from pastecheck.trim import trimmed
from pastecheck.trim.errors_of import found_in, with_new_errors
from pastecheck.trim.likeness import outlines
from pastecheck.trim.marks import marks_of
from pastecheck.trim.proof import Proof, proved
from pastecheck.trim.writing import Header, written
from tests.judge.layouts import random_layer
from tests.trim.test_writing import hold_areas, some_corpus_layers

SETS = ("polyester-75-knife", "polyester-100-knife", "polyimide-125-laser", "stainless-125-laser")
_STEP_MM = 1e-4
"""Flattened curves, twice, and the rounding of files in inches."""


def faults(m: Measurements, rule_set: RuleSet) -> list[str]:
    """Laws that do not hold for a layer that is trimmed, written, read back, and trimmed again."""
    done = trimmed(m, rule_set)
    marks = list(marks_of(rule_set.trim).values())
    content = written(done.openings, Header("Paste,Top", ("a layer",), marks=marks))
    proof = proved(content, "out.gbr", done.openings, m.openings, STANDARD)
    now = Measurements(proof.openings, rule_set.foil)
    after = found_in(now, rule_set, proof.origin)
    area_mm2 = np.bincount(proof.origin, weights=now.area_mm2, minlength=len(m.openings))
    again = trimmed(now, rule_set, marks)
    may_grow = rule_set.trim.errors is not None and rule_set.trim.errors.grow
    laws = {
        "a new error": with_new_errors(done.before, after) is None,
        "more errors": after.is_error.sum() <= done.before.is_error.sum(),
        "an opening dropped": (np.bincount(proof.origin, minlength=len(m.openings)) > 0).all(),
        "an opening grown": may_grow or (area_mm2 <= m.area_mm2 + 3 * _STEP_MM * m.perimeter_mm).all(),
        "past its drawn outline": may_grow or rule_set.trim.circles or not are_past(m, proof).any(),
        "not done at once": not again.why.any(),
    }
    return [law for law, holds in laws.items() if not holds]


def are_past(m: Measurements, proof: Proof) -> BoolArray:
    """Which openings are open where that drawn was not, by more than flattened curves may be off."""
    ours = outlines(proof.openings, np.arange(len(proof.openings)))
    theirs = outlines(m.openings, proof.origin)
    past_mm2 = shapely.area(shapely.difference(ours, theirs))
    return np.asarray(past_mm2 > 3 * _STEP_MM * m.perimeter_mm[proof.origin])


EVERYTHING = """title: everything
extends: {name}
trim:
  circles: {{narrower-than: 0.6 mm, source: s}}
  corners: {{radius: 0.06 mm, source: s}}
  chips: {{area-share: 0.9, source: s}}
  large: {{coverage: 0.8, pane: 1 mm, wider-than: 1 mm, longer-than: 1 mm, source: s}}
  selected:
    long: {{longer-than: 1 mm, inset: 0.01 mm, source: s}}
    others: {{failed: powder-fit, area-share: 0.95, source: s}}
"""
HALF = max(settings().max_examples // 2, 1)
"""An example takes a quarter of a second."""


@settings(max_examples=HALF)
@given(seed=st.integers(0, 10**6), name=st.sampled_from(SETS), everything=st.booleans(), grows=st.booleans())
def test_laws_hold_for_layouts_at_random(
    tmp_path_factory: pytest.TempPathFactory, seed: int, name: str, *, everything: bool, grows: bool
) -> None:
    rule_set = rulesets.load(name)
    if everything:
        path = tmp_path_factory.getbasetemp() / "everything.yaml"
        path.write_text(EVERYTHING.format(name=name), encoding="utf-8")
        rule_set = rulesets.load(str(path))
    rule_set = replace(rule_set, trim=rule_set.trim.asked(()))
    rule_set = rule_set.with_growth() if grows else rule_set
    drawn = random_layer(seed, rule_set.foil.thickness_mm).openings
    layer = cut_from(gerber.read(written(drawn, Header("", ())), "in.gbr"), everything=True)
    assert faults(Measurements(layer, rule_set.foil), rule_set) == []


@pytest.mark.slow
@pytest.mark.parametrize("name", SETS)
def test_laws_hold_for_boards_of_the_corpus(shared: Path, name: str) -> None:
    found = {}
    rule_set = rulesets.load(name)
    for path in some_corpus_layers(shared, 3 * SETS.index(name)):
        try:
            openings = cut_from(gerber.read(path.read_bytes(), path.name))
        except InputError:
            continue
        if told := faults(Measurements(openings, rule_set.foil), rule_set):
            found[str(path)] = told
    assert not found


@pytest.mark.slow
@pytest.mark.parametrize("name", ["polyester-75-knife", "stainless-100-laser"])
def test_two_independent_readers_see_the_area_of_trimmed_boards_of_the_corpus(
    shared: Path, name: str
) -> None:
    rule_set = rulesets.load(name)
    for path in some_corpus_layers(shared, len(name)):
        try:
            openings = cut_from(gerber.read(path.read_bytes(), path.name))
        except InputError:
            continue
        hold_areas(trimmed(Measurements(openings, rule_set.foil), rule_set).openings)
