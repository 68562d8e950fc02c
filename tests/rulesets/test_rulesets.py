"""What is read from rule sets: the ones that ship, and those that extend them."""

import hashlib
import math
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from pastecheck import rulesets
from pastecheck.check import Unit
from pastecheck.checks import catalogue, powder_fit
from pastecheck.errors import RuleSetError
from pastecheck.measurements import Foil
from pastecheck.rulesets import Rule, RuleSet
from pastecheck.source import Span
from pastecheck.units import MM_PER_INCH
from tests.rulesets.catalogue import CATALOGUE, RowParams

SHIPPED = rulesets.shipped()
BASES = ("base/process", "base/paste", "base/soldering")

BASE = """\
title: a sheet
cutter: drag knife
foil: {name: polyester film, material: polyester, thickness: 75 um}
rules:
  area-ratio: {error-below: 0.60, warn-below: 0.66, source: a book}
  web-width: {error-below: 0.17 mm, warn-below: 9 mil, source: a habit}
  pitch-fraction: {warn-above: 0.57, source: a page, gaps-below: 0.235 mm, share: 0.7}
"""


@pytest.fixture
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "base.yaml").write_text(BASE, encoding="utf-8")
    return tmp_path


def _loaded(text: str) -> RuleSet:
    Path("mine.yaml").write_text(text, encoding="utf-8")
    return rulesets.load("mine.yaml", CATALOGUE)


def _rule(rule_set: RuleSet, check: str) -> Rule:
    return next(rule for rule in rule_set.rules if rule.check == check)


def _is_round(length_mm: float) -> bool:
    """Within 1 um of where designers draw: whole multiples of 0.05 mm or of 1 mil."""
    steps_mm = (0.05, MM_PER_INCH / 1000)
    return any(abs(length_mm - round(length_mm / step) * step) <= 0.001 for step in steps_mm)


# ------------------------------------------------------------------------------------------ sets that ship


def test_sets_are_in_the_order_of_material_and_thickness() -> None:
    assert [name for name in SHIPPED if name.startswith("polyester")] == [
        "polyester-50-knife",
        "polyester-75-knife",
        "polyester-100-knife",
        "polyester-125-knife",
    ]


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_set_is_named_after_its_material_thickness_and_cutter(name: str) -> None:
    rule_set = rulesets.load(name)
    material, thickness_um, cutter = name.split("-")
    assert rule_set.name == name
    assert rule_set.foil.name.startswith(material)
    assert math.isclose(rule_set.foil.thickness_mm, int(thickness_um) / 1000)
    assert rule_set.cutter.endswith(cutter)
    assert thickness_um in rule_set.title


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_set_begins_with_a_comment_and_extends_what_all_have_in_common(name: str) -> None:
    text = (rulesets.folder() / f"{name}.yaml").read_text(encoding="utf-8")
    assert text.startswith("# ")
    assert rulesets.load(name).extended[:3] == tuple(f"rules/{base}.yaml" for base in BASES)


def test_every_base_is_extended_by_some_set() -> None:
    used = {file for name in SHIPPED for file in rulesets.load(name).extended}
    assert used == {f"rules/{base}.yaml" for base in rulesets.bases()}


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_set_warns_before_it_fails_and_names_a_source(name: str) -> None:
    for rule in rulesets.load(name).rules:
        assert bool(rule.source) == bool(rule.limits), rule.check
        if rule.error_below is not None and rule.warn_below is not None:
            assert 0 <= rule.error_below < rule.warn_below
        if rule.error_above is not None and rule.warn_above is not None:
            assert 0 < rule.warn_above < rule.error_above


@pytest.mark.parametrize("name", SHIPPED)
def test_no_length_that_ships_is_a_value_at_which_people_draw(name: str) -> None:
    for rule in rulesets.load(name).rules:
        if catalogue()[rule.check].unit is Unit.MM:
            # nothing is drawn 0 wide: it is the limit of what is left of a sheet or a gap
            assert not [limit for limit in rule.limits.values() if limit and _is_round(limit)], rule.check


def test_the_test_for_round_values_knows_them() -> None:
    # 8 mil is 0.2032 mm; 0.2509 mm is 0.9 um off 0.25 mm; 0.215 mm is 11.8 um off 8 mil.
    assert _is_round(0.2)
    assert _is_round(0.2032)
    assert _is_round(0.2509)
    assert not _is_round(0.215)


def _text_of(file: str) -> str:
    """A file that ships, as reports name it."""
    return (rulesets.folder() / file.removeprefix("rules/")).read_text(encoding="utf-8")


@pytest.mark.parametrize("name", SHIPPED)
def test_places_of_a_shipped_set_lead_to_the_text_they_speak_of(name: str) -> None:
    rule_set = rulesets.load(name)
    assert rule_set.file == f"rules/{name}.yaml"
    for rule in rule_set.rules:
        line = _text_of(rule.span.path).splitlines()[rule.span.line - 1]
        assert line[rule.span.column - 1 :].startswith(f"{rule.check}:")
        for key, span in rule.places.items():
            assert span.path in {rule_set.file, *rule_set.extended}
            line = _text_of(span.path).splitlines()[span.line - 1]
            assert line[: span.column - 1].strip() == f"{key}:"


@pytest.mark.parametrize("name", SHIPPED)
def test_an_independent_reading_of_a_shipped_set_gives_the_same(name: str) -> None:
    rule_set = rulesets.load(name)
    files = [yaml.safe_load(_text_of(file)) for file in (*rule_set.extended, rule_set.file)]
    said: dict[str, dict[str, object]] = {}
    for check, part in (rule for data in files for rule in (data.get("rules") or {}).items()):
        # limits stand and fall with their source; what only sets a parameter leaves them as they are
        renews = any(key.startswith(("error-", "warn-")) for key in part or {})
        said[check] = {**({} if renews else said.get(check, {})), **(part or {})}
    assert [rule.check for rule in rule_set.rules] == list(said)
    for rule in rule_set.rules:
        given = said[rule.check]
        assert rule.source == given.get("source", "")
        limits = {
            key.replace("-", "_"): float(str(value).split()[0])
            for key, value in given.items()
            if key.startswith(("error-", "warn-"))
        }
        assert rule.limits == limits


# ------------------------------------------------------------------------------------------ what is read


@pytest.mark.usefixtures("here")
def test_a_rule_holds_what_its_file_says() -> None:
    rule_set = rulesets.load("base.yaml", CATALOGUE)
    assert rule_set.title == "a sheet"
    assert rule_set.cutter == "drag knife"
    assert rule_set.foil == Foil("polyester film", "polyester", 0.075)
    assert [rule.check for rule in rule_set.rules] == ["area-ratio", "web-width", "pitch-fraction"]
    assert _rule(rule_set, "area-ratio").limits == {"error_below": 0.60, "warn_below": 0.66}
    assert _rule(rule_set, "web-width").limits == {"error_below": 0.17, "warn_below": 0.2286}  # 9 x 0.0254
    assert _rule(rule_set, "pitch-fraction").limits == {"warn_above": 0.57}
    assert _rule(rule_set, "pitch-fraction").params == RowParams(gaps_below_mm=0.235, share=0.7)


@pytest.mark.usefixtures("here")
def test_settings_of_every_type_are_read() -> None:
    settings = "gaps-below: 5 mil, window: 2 mm2, share: 1, powder-type: 3, thermal: true, habit: as drawn"
    rule_set = _loaded(BASE.replace("gaps-below: 0.235 mm, share: 0.7", settings))
    expected = RowParams(0.127, 2.0, 1.0, 3, thermal=True, habit="as drawn")
    assert _rule(rule_set, "pitch-fraction").params == expected


@pytest.mark.usefixtures("here")
def test_a_rule_without_limits_measures_only() -> None:
    rule = _rule(_loaded(BASE + "  film-island:\n"), "film-island")
    assert rule.limits == {}
    assert rule.source == ""


@pytest.mark.usefixtures("here")
def test_text_over_several_lines_becomes_one() -> None:
    rule_set = _loaded(BASE.replace("title: a sheet", "title: |\n  a sheet\n    of  mine\n"))
    assert rule_set.title == "a sheet of mine"


@pytest.mark.usefixtures("here")
def test_a_file_with_a_byte_order_mark_and_windows_line_ends_is_read_the_same() -> None:
    windows = ("\ufeff" + BASE.replace("\n", "\r\n")).encode()
    Path("windows.yaml").write_bytes(windows)
    plain, other = rulesets.load("base.yaml", CATALOGUE), rulesets.load("windows.yaml", CATALOGUE)
    assert [rule.limits for rule in other.rules] == [rule.limits for rule in plain.rules]
    assert [rule.span.line for rule in other.rules] == [rule.span.line for rule in plain.rules]


@pytest.mark.usefixtures("here")
def test_a_path_is_shown_as_given_and_names_the_set() -> None:
    Path("sets").mkdir()
    Path("sets/mine.yml").write_text(BASE, encoding="utf-8")
    rule_set = rulesets.load("sets/mine.yml", CATALOGUE)
    assert (rule_set.name, rule_set.file) == ("mine", "sets/mine.yml")
    assert rule_set.sha256 == hashlib.sha256(BASE.encode()).hexdigest()


@given(st.permutations(["title", "cutter", "foil", "rules"]))
def test_the_order_of_keys_does_not_matter(
    tmp_path_factory: pytest.TempPathFactory, order: list[str]
) -> None:
    head, rules = BASE.split("rules:\n")
    parts = {line.split(":")[0]: f"{line}\n" for line in head.splitlines()} | {"rules": f"rules:\n{rules}"}
    folder = tmp_path_factory.getbasetemp()
    (folder / "ordered.yaml").write_text("".join(parts[name] for name in order), encoding="utf-8")
    (folder / "base.yaml").write_text(BASE, encoding="utf-8")
    one = rulesets.load(str(folder / "ordered.yaml"), CATALOGUE)
    other = rulesets.load(str(folder / "base.yaml"), CATALOGUE)
    assert (one.title, one.cutter, one.foil) == (other.title, other.cutter, other.foil)
    assert [(rule.limits, rule.params) for rule in one.rules] == [
        (rule.limits, rule.params) for rule in other.rules
    ]


@pytest.mark.parametrize("name", SHIPPED)
def test_loading_twice_gives_the_same(name: str) -> None:
    assert rulesets.load(name) == rulesets.load(name)


# ------------------------------------------------------------------------------------------ extends


@pytest.mark.usefixtures("here")
def test_what_is_not_said_is_taken_over() -> None:
    base = rulesets.load("base.yaml", CATALOGUE)
    rule_set = _loaded("title: mine\nextends: base.yaml\n")
    assert rule_set.title == "mine"
    assert (rule_set.foil, rule_set.cutter, rule_set.rules) == (base.foil, base.cutter, base.rules)


@pytest.mark.usefixtures("here")
def test_the_foil_is_taken_over_field_by_field() -> None:
    rule_set = _loaded("title: mine\nextends: base.yaml\nfoil:\n  thickness: 3 mil\n")
    assert rule_set.foil == Foil("polyester film", "polyester", 0.0762)
    assert rule_set.notices == ()  # 1.6 % thicker than the sheet that the limits were set for


@pytest.mark.usefixtures("here")
def test_limits_are_replaced_together_with_their_source() -> None:
    said = "rules: {web-width: {error-below: 0.16 mm, source: my trial cut}}"
    rule_set = _loaded(f"title: mine\nextends: base.yaml\n{said}\n")
    rule = _rule(rule_set, "web-width")
    assert rule.limits == {"error_below": 0.16}
    assert rule.source == "my trial cut"
    assert rule.places == {"error-below": Span("mine.yaml", 3, 34), "source": Span("mine.yaml", 3, 51)}
    assert [rule.check for rule in rule_set.rules] == ["area-ratio", "web-width", "pitch-fraction"]


@pytest.mark.usefixtures("here")
def test_settings_are_replaced_one_by_one_and_leave_the_limits_alone() -> None:
    rule_set = _loaded("title: mine\nextends: base.yaml\nrules: {pitch-fraction: {share: 0.9}}\n")
    rule = _rule(rule_set, "pitch-fraction")
    assert rule.params == RowParams(gaps_below_mm=0.235, share=0.9)
    assert (rule.limits, rule.source) == ({"warn_above": 0.57}, "a page")
    files = {name: span.path for name, span in rule.places.items()}
    assert files == {
        "warn-above": "base.yaml",
        "source": "base.yaml",
        "gaps-below": "base.yaml",
        "share": "mine.yaml",
    }


@pytest.mark.usefixtures("here")
def test_rules_of_its_own_come_after_those_taken_over() -> None:
    said = "rules: {film-island: {warn-above: 0.01 mm2, source: mine}, area-ratio: {}}"
    rule_set = _loaded(f"title: mine\nextends: base.yaml\n{said}\n")
    assert [rule.check for rule in rule_set.rules] == [
        "area-ratio",
        "web-width",
        "pitch-fraction",
        "film-island",
    ]


@pytest.mark.usefixtures("here")
def test_of_several_extended_sets_the_later_one_has_the_last_word() -> None:
    Path("finer.yaml").write_text("title: f\nrules: {web-width: {error-below: 0.1 mm, source: f}}\n", "utf-8")
    for names, limit_mm in (("base.yaml, finer.yaml", 0.1), ("finer.yaml, base.yaml", 0.17)):
        rule_set = _loaded(f"title: mine\nextends: [{names}]\n")
        assert _rule(rule_set, "web-width").limits["error_below"] == limit_mm
        assert rule_set.extended == tuple(names.split(", "))


@pytest.mark.usefixtures("here")
def test_a_set_that_extends_can_be_extended() -> None:
    Path("middle.yaml").write_text("title: m\nextends: base.yaml\nfoil: {thickness: 80 um}\n", "utf-8")
    rule_set = _loaded("title: mine\nextends: middle.yaml\n")
    assert rule_set.foil == Foil("polyester film", "polyester", 0.08)
    assert rule_set.extended == ("base.yaml", "middle.yaml")


@pytest.mark.usefixtures("here")
def test_what_two_extended_sets_have_in_common_is_read_once() -> None:
    for name in ("one", "two"):
        Path(f"{name}.yaml").write_text("title: t\nextends: base.yaml\n", "utf-8")
    assert _loaded("title: mine\nextends: [one.yaml, two.yaml]\n").extended == (
        "base.yaml",
        "one.yaml",
        "two.yaml",
    )


# ------------------------------------------------------------------------------------------ sheet and cutting


@pytest.mark.usefixtures("here")
def test_the_sheet_and_how_it_is_cut_are_read() -> None:
    said = "sheet: {width: 210 mm, height: 297 mm, unusable: 10 mm}\ncutting: {speed: 20 mm/s, passes: 2}"
    rule_set = _loaded(f"title: mine\nextends: base.yaml\n{said}\n")
    assert rule_set.sheet is not None
    assert rule_set.sheet.usable_mm == (190.0, 277.0)  # less 10 mm at each edge
    assert rule_set.cutting == rulesets.Cutting(passes=(rulesets.Pass(20.0), rulesets.Pass(20.0)), lift_s=0.3)


@pytest.mark.usefixtures("here")
def test_a_setting_can_be_a_table() -> None:
    said = "rules: {pitch-fraction: {efficiency: {0.5: 0.6, 0.66: 0.8}}}"
    rule = _rule(_loaded(f"title: mine\nextends: base.yaml\n{said}\n"), "pitch-fraction")
    assert rule.params == RowParams(gaps_below_mm=0.235, share=0.7, efficiency=((0.5, 0.6), (0.66, 0.8)))


@pytest.mark.usefixtures("here")
def test_a_set_need_not_know_sheet_or_cutting() -> None:
    rule_set = _loaded("title: mine\nextends: base.yaml\n")
    assert (rule_set.sheet, rule_set.cutting) == (None, None)


@pytest.mark.usefixtures("here")
def test_the_digest_covers_the_extended_file() -> None:
    text = "title: mine\nextends: base.yaml\n"
    before = _loaded(text)
    assert before.sha256 == hashlib.sha256((text + BASE).encode()).hexdigest()
    Path("base.yaml").write_text(BASE.replace("0.60", "0.50"), encoding="utf-8")
    assert _loaded(text).sha256 != before.sha256


def test_the_fixture_extends_a_set_that_ships(fixtures: Path) -> None:
    rule_set = rulesets.load(str(fixtures / "rulesets" / "new-blade.yaml"))
    assert rule_set.foil == rulesets.load("polyester-75-knife").foil
    assert _rule(rule_set, "web-width").limits == {"error_below": 0.16, "warn_below": 0.21}
    assert _rule(rule_set, "area-ratio") == _rule(rulesets.load("polyester-75-knife"), "area-ratio")


# ------------------------------------------------------------------------------------------ thickness


def test_another_thickness_changes_the_foil_and_nothing_else() -> None:
    rule_set = rulesets.load("polyester-75-knife")
    thicker = rule_set.with_thickness(0.08)  # 6.7 % more
    assert thicker == replace(rule_set, foil=replace(rule_set.foil, thickness_mm=0.08))
    assert thicker.notices == ()


def test_a_sheet_far_from_that_of_the_limits_is_told() -> None:
    told = ("the limits were set for a foil of 75 um, not 50 um: those of widths and webs may not suit",)
    rule_set = rulesets.load("polyester-75-knife")
    assert rule_set.with_thickness(0.05).notices == told
    assert rule_set.with_thickness(0.05).with_thickness(0.075).notices == ()


def test_another_powder_has_its_own_largest_balls(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    own = "rules: {powder-fit: {powder-type: 4, largest-ball: 0.04 mm}}\n"  # as a label says it of this paste
    path.write_text(f"title: mine\nextends: polyester-75-knife\n{own}", encoding="utf-8")
    finer = rulesets.load(str(path)).with_powder("5")
    assert finer.judges_powder
    (params,) = [rule.params for rule in finer.rules if rule.check == "powder-fit"]
    assert params == powder_fit.Params(powder_type=5, largest_ball_mm=0.0)
    assert finer.notices == ("judged for powder of type 5, not of type 4 with balls of 40 um",)


def test_another_powder_than_that_of_the_set_is_told() -> None:
    rule_set = rulesets.load("polyester-75-knife")
    assert rule_set.with_powder("4").notices == ()
    told = ("judged for powder of type 5, not of type 4",)
    assert rule_set.with_powder("6").with_powder("5").notices == told
    assert rule_set.with_powder("5").with_powder("4").notices == ()


@pytest.mark.usefixtures("here")
def test_an_extended_set_remembers_the_sheet_its_lengths_were_set_for() -> None:
    thicker = "title: mine\nextends: base.yaml\nfoil: {thickness: 125 um}\n"
    told = ("the limits were set for a foil of 75 um, not 125 um: those of widths and webs may not suit",)
    assert _loaded(thicker).notices == told
    own = "rules: {web-width: {error-below: 0.22 mm, warn-below: 0.275 mm, source: mine}}\n"
    assert _loaded(thicker + own).notices == ()


@pytest.mark.parametrize("thickness_mm", [0.0, -0.1, 0.001, 100.0, math.nan, math.inf])
def test_what_is_no_foil_is_refused(thickness_mm: float) -> None:
    with pytest.raises(ValueError, match=r"expected a thickness from 0\.005 mm to 5 mm, got "):
        rulesets.load("polyester-75-knife").with_thickness(thickness_mm)


def test_a_thickness_in_text_is_read_with_its_unit() -> None:
    assert rulesets.read_thickness("50 um") == 0.05
    assert rulesets.read_thickness("3 mil") == 0.0762
    with pytest.raises(ValueError, match=r"expected a length with its unit, such as '0\.2 mm', got '0\.1'"):
        rulesets.read_thickness("0.1")
    with pytest.raises(ValueError, match=r"from 0\.005 mm to 5 mm, got '0\.1 um'"):
        rulesets.read_thickness("0.1 um")


def test_no_rule_can_hold_a_setting_that_cannot_be_written() -> None:
    from dataclasses import make_dataclass

    from pastecheck.rulesets.values import settings

    odd = replace(CATALOGUE["area-ratio"], params=make_dataclass("Odd", [("pair", tuple[float, float])]))
    with pytest.raises(TypeError, match="no rule can hold a setting of type"):
        settings(odd)


# ------------------------------------------------------------------------------------- looser than before


def test_a_limit_of_a_share_above_one_is_told_as_one_that_nothing_is_past(here: Path) -> None:
    rules = "pitch-fraction: {error-above: 74, warn-above: 0.57, source: a}"
    foil = "foil: {name: film, material: polyester, thickness: 75 um}"
    (here / "mine.yaml").write_text(f"title: mine\n{foil}\nrules:\n  {rules}\n", encoding="utf-8")
    told = "shares are never past these limits, 74 % is 0.74: pitch-fraction (error-above 74.00)"
    assert rulesets.load("mine.yaml").notices == (told,)


LOOSER = "looser than the limits that were replaced: "


@pytest.mark.parametrize(
    ("rules", "told"),
    [
        # the base: webs fail below 0.17 mm and warn below 9 mil, 0.2286 mm; pitch fractions warn above 0.57
        ("web-width: {warn-below: 0.3 mm, source: a}", ["web-width (no error-below, was 0.170 mm)"]),
        (
            "web-width: {error-below: 0.16 mm, warn-below: 8 mil, source: a}",
            ["web-width (error-below 0.160 mm, was 0.170 mm; warn-below 0.203 mm, was 0.229 mm)"],
        ),
        ("pitch-fraction: {warn-above: 57, source: a}", ["pitch-fraction (warn-above 57.00, was 0.57)"]),
        ("web-width: {error-below: 0.18 mm, warn-below: 9 mil, source: a}", []),
        ("pitch-fraction: {warn-above: 0.5, error-above: 0.7, source: a}", []),
        ("pitch-fraction: {share: 0.6}", []),
        ("area-ratio: {error-below: 0.60, warn-below: 0.66, source: another book}", []),
    ],
)
def test_limits_of_ones_own_that_are_looser_are_told(here: Path, rules: str, told: list[str]) -> None:
    rule_set = _loaded(f"title: mine\nextends: base.yaml\nrules:\n  {rules}\n")
    assert rule_set.looser == tuple(told)
    assert rule_set.notices == tuple(LOOSER + one for one in told)


def test_a_limit_that_is_looser_than_any_before_is_told_though_the_last_was_looser_still(here: Path) -> None:
    loose = "title: a\nextends: base.yaml\nrules:\n  area-ratio: {error-below: 0.4, source: a}\n"
    (here / "loose.yaml").write_text(loose, encoding="utf-8")
    own = "area-ratio: {error-below: 0.5, warn-below: 0.7, source: b}"
    assert _loaded(f"title: b\nextends: loose.yaml\nrules:\n  {own}\n").looser == (
        "area-ratio (error-below 0.50, was 0.60)",
    )


def test_limits_of_ones_own_that_a_shipped_set_named_after_them_replaces_are_told(here: Path) -> None:
    tight = "title: a\nrules:\n  web-width: {error-below: 0.2 mm, warn-below: 0.208 mm, source: a}\n"
    (here / "tight.yaml").write_text(tight, encoding="utf-8")
    Path("mine.yaml").write_text("title: b\nextends: [tight.yaml, polyester-75-knife]\n", encoding="utf-8")
    assert rulesets.load("mine.yaml").looser == ("web-width (error-below 0.167 mm, was 0.200 mm)",)


@pytest.mark.parametrize("name", SHIPPED)
def test_what_sets_that_ship_have_apart_is_not_told_as_looser(name: str) -> None:
    assert rulesets.load(name).notices == ()


@pytest.mark.usefixtures("here")
def test_a_file_of_ones_own_with_the_name_of_a_shipped_set_is_told_apart() -> None:
    Path("polyester-75-knife.yaml").write_text(BASE.replace("0.17 mm", "0.1 mm"), encoding="utf-8")
    rule_set = rulesets.load("polyester-75-knife.yaml", CATALOGUE)
    told = "'polyester-75-knife.yaml' is a file of your own, not the polyester-75-knife that ships"
    assert rule_set.notices == (told,)


@pytest.mark.usefixtures("here")
@pytest.mark.parametrize("path", ["polyester-75-knife.yaml", "rules/polyester-75-knife.yaml"])
def test_whoever_names_the_file_of_a_shipped_set_is_told_its_name(path: str) -> None:
    with pytest.raises(RuleSetError, match=f"there is no file '{path}'") as told:
        rulesets.load(path)
    assert told.value.hint == "the one that ships is named 'polyester-75-knife'"


@pytest.mark.parametrize("base", rulesets.bases())
def test_a_part_of_rule_sets_says_what_it_is_for(base: str) -> None:
    with pytest.raises(RuleSetError, match="is a part of rule sets, and says nothing of a foil") as told:
        rulesets.load(base)
    assert "extend it in a rule set of your own" in told.value.hint
