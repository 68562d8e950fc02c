"""The section `cutting`: the user's own settings, read and merged, never judged."""

from pathlib import Path

import pytest

from pastecheck import rulesets
from pastecheck.rulesets import Cutting, Pass
from tests.rulesets.catalogue import CATALOGUE

BASE = """\
title: a sheet
foil: {name: polyester film, material: polyester, thickness: 75 um}
cutting: {speed: 20 mm/s, passes: 2, blade: 60 degrees}
rules:
  web-width: {error-below: 0.17 mm, source: a habit}
"""


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("base.yaml").write_text(BASE, encoding="utf-8")


def _cutting(said: str) -> Cutting:
    Path("mine.yaml").write_text(f"title: mine\nextends: base.yaml\ncutting: {said}\n", encoding="utf-8")
    found = rulesets.load("mine.yaml", CATALOGUE).cutting
    assert found is not None
    return found


def test_fields_are_taken_over_one_by_one() -> None:
    assert _cutting("{speed: 1 cm/s, lift: 200 ms}") == Cutting(
        passes=(Pass(10.0), Pass(10.0)), lift_s=0.2, blade="60 degrees"
    )


def test_passes_have_force_power_and_speed_of_their_own_or_the_speed_of_all() -> None:
    found = _cutting("{passes: [{force: 40  gf}, {force: 0.9 N, speed: 10 mm/s}, {power: 8 %}]}")
    assert found.passes == (Pass(20.0, "40 gf"), Pass(10.0, "0.9 N"), Pass(20.0, "", "8 %"))
    assert found.speeds_mm_s == (20.0, 10.0, 20.0)


def test_what_is_only_written_down_stays_as_it_was_written() -> None:
    found = _cutting('{blade-depth: 4 mil, carrier: "green, worn", notes: [one, two]}')
    assert (found.blade_depth, found.carrier, found.notes) == ("4 mil", "green, worn", ("one", "two"))
    assert _cutting("{notes: only one}").notes == ("only one",)


def test_without_a_speed_there_is_none() -> None:
    Path("base.yaml").write_text(BASE.replace("speed: 20 mm/s, ", ""), encoding="utf-8")
    found = _cutting("{blade-depth: 0.1 mm}")
    assert found.passes == (Pass(), Pass())
    assert found.speeds_mm_s == ()


def test_nothing_of_it_changes_what_is_judged() -> None:
    Path("plain.yaml").write_text(BASE.replace("cutting:", "# "), encoding="utf-8")
    with_it, without = (rulesets.load(name, CATALOGUE) for name in ("base.yaml", "plain.yaml"))
    assert without.cutting is None
    assert [rule.limits for rule in with_it.rules] == [rule.limits for rule in without.rules]


def test_the_places_of_fields_are_kept() -> None:
    _cutting("{lift: 0.2 s}")
    places = {name: str(span) for name, span in rulesets.load("mine.yaml", CATALOGUE).places.items()}
    assert places["title"] == "mine.yaml:1:8"
    assert places["foil.thickness"] == "base.yaml:2:62"
    assert places["cutting.speed"] == "base.yaml:3:18"
    assert places["cutting.lift"] == "mine.yaml:3:17"


def test_the_fixture_of_a_person_tightens_two_limits_and_writes_down_the_machine(fixtures: Path) -> None:
    mine = rulesets.load(str(fixtures / "rulesets" / "kitchen-plotter.yaml"))
    shipped = rulesets.load("polyester-75-knife")
    theirs = {rule.check: rule for rule in shipped.rules}
    changed = [rule for rule in mine.rules if rule.limits != theirs[rule.check].limits]
    assert [rule.check for rule in changed] == ["opening-width", "web-width"]
    for rule in changed:
        assert all(rule.limits[side] > limit for side, limit in theirs[rule.check].limits.items())
    assert mine.cutting is not None
    assert mine.cutting.passes == (Pass(30.0, "40 gf"), Pass(10.0, "90 gf"))
    assert mine.sheet is not None
    assert mine.sheet.usable_mm == (186.0, 273.0)  # 210 x 297 less 12 at each edge
