"""The section `outlines`, and the scale of a cutter: read and merged, never judged."""

from dataclasses import replace
from pathlib import Path

import pytest

from pastecheck import rulesets
from pastecheck.handbook.rule_sets import page_of
from pastecheck.jobsheet import job, totals
from pastecheck.rulesets import OutlineSettings, RuleSet
from pastecheck.rulesets.outlines import USUAL
from tests.drawn import measured, mm_layer


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def mine(said: str, base: str = "polyester-75-knife") -> RuleSet:
    Path("mine.yaml").write_text(f"title: mine\nextends: {base}\n{said}\n", encoding="utf-8")
    return rulesets.load("mine.yaml")


def test_fields_are_taken_over_one_by_one() -> None:
    found = mine("outlines: {hop: 5 mm, margin: 20 mm, coupon: false, marks: false, frame: false}").outlines
    # the overcut is of base/film-knife
    assert found == OutlineSettings(0.05, 5.0, 20.0, coupon=False, marks=False, frame=False)
    assert mine("outlines: {overcut: 0 mm}").outlines == replace(USUAL, overcut_mm=0.0)


def test_a_knife_goes_on_beyond_its_start_and_a_laser_does_not() -> None:
    overcuts = {name: rulesets.load(name).outlines.overcut_mm for name in rulesets.shipped()}
    assert {name for name, overcut_mm in overcuts.items() if overcut_mm} == {
        name for name in overcuts if name.endswith("-knife")
    }
    assert set(overcuts.values()) == {0.0, 0.05}


def test_the_scale_of_a_cutter_is_part_of_how_it_is_set_and_stands_on_the_job_sheet() -> None:
    rule_set = mine("cutting: {scale-x: 1.002, scale-y: 0.9985}")
    assert rule_set.cutting is not None
    assert (rule_set.cutting.scale_x, rule_set.cutting.scale_y) == (1.002, 0.9985)
    m = measured(mm_layer("%ADD10R,1X1*%", "D10*", "X0Y0D03*"))
    settings = job(m, rule_set, totals(m, rule_set, None), "top").settings
    assert ("scale", "1.002 in x, 0.9985 in y") in [(one.name, one.text) for one in settings]


def test_a_rule_set_shows_them_with_their_places() -> None:
    mine("outlines: {hop: 5 mm, coupon: false}\ncutting: {scale-x: 1.002}")
    parts = {part.name: {one.name: one for one in part.entries} for part in page_of("mine.yaml").parts}
    shown = {name: (one.text, str(one.place or "")) for name, one in parts["outlines"].items()}
    assert shown["hop"] == ("5 mm", "mine.yaml:3:17")
    assert shown["coupon"] == ("false", "mine.yaml:3:31")
    assert shown["overcut"][0] == "0.05 mm"
    assert shown["margin"] == ("15 mm", "")
    assert parts["cutting"]["scale-x"].text == "1.002"
