"""The command `rules`: what it prints and writes."""

import json
from pathlib import Path

import jsonschema
import pytest
import yaml

from pastecheck import rulesets
from pastecheck.checks import catalogue
from tests.cli.conftest import Run


def test_every_set_is_listed_with_material_thickness_and_cutter(run: Run) -> None:
    said = run("rules")
    assert said.status == 0
    lines = said.out.splitlines()
    assert [line.split()[0] for line in lines] == list(rulesets.shipped())
    for line, name in zip(lines, rulesets.shipped(), strict=True):
        rule_set = rulesets.load(name)
        assert rule_set.foil.material in line
        assert f" {round(1000 * rule_set.foil.thickness_mm)} um  " in line
        assert line.endswith(f"  {rule_set.cutter}")
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize("name", rulesets.shipped())
def test_a_set_is_shown_with_every_source_and_the_place_of_every_limit(run: Run, name: str) -> None:
    said = run("rules", name)
    assert said.status == 0
    rule_set = rulesets.load(name)
    judged = sum(bool(rule.limits) for rule in rule_set.rules)
    assert said.out.count("source: ") == judged + len(rule_set.trim.entries)
    for rule in rule_set.rules:
        assert f"\n\n{rule.check}\n" in said.out
        for limit in rule.limits:
            assert str(rule.places[limit.replace("_", "-")]) in said.out
    for entry, places in rule_set.trim.places.items():
        assert f"\n\ntrim: {entry}\n" in said.out
        assert all(str(place) in said.out for place in places.values())


@pytest.mark.parametrize("width", [80, 120])
def test_no_line_of_a_page_is_wider_than_the_terminal(
    run: Run, monkeypatch: pytest.MonkeyPatch, width: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    for arguments in (["polyester-50-knife"], ["--compare", "polyester-50-knife", "stainless-150-laser"]):
        assert max(map(len, run("rules", *arguments).out.splitlines())) <= width


def test_the_places_that_are_shown_hold_what_is_shown(run: Run, fixtures: Path) -> None:
    run("rules", str(fixtures / "rulesets" / "kitchen-plotter.yaml"), "--json", "set.json")
    made = json.loads(Path("set.json").read_text(encoding="utf-8"))
    entries = [(part["name"], entry) for part in made["parts"] for entry in part["entries"]]
    assert {part for part, _ in entries} >= {"foil", "sheet", "cutting", "web-width", "powder-fit"}
    for _, entry in entries:
        if (place := entry["place"]) is not None:
            own = place["file"].endswith("kitchen-plotter.yaml")
            file = Path(place["file"]) if own else rulesets.folder() / place["file"].removeprefix("rules/")
            line = file.read_text(encoding="utf-8").splitlines()[place["line"] - 1]
            written = line[place["column"] - 1 :]
            if isinstance(entry["value"], float) and " um" not in written:
                assert float(written.split("#")[0].split()[0].rstrip(",}")) == entry["value"]


def test_two_sets_are_compared(run: Run) -> None:
    said = run("rules", "--compare", "polyester-75-knife", "polyester-100-knife", "--json", "-")
    assert said.status == 0
    made = json.loads(said.out)
    apart = {(one["part"], one["name"]): one for one in made["differences"]}
    assert apart["foil", "thickness"]["one"]["value"] == 0.075
    assert apart["web-width", "error below"]["other"]["value"] == 0.185
    assert "area-ratio" in made["alike"]
    assert not {one["part"] for one in made["differences"]} & set(made["alike"])


@pytest.mark.parametrize("name", rulesets.shipped())
def test_a_set_says_what_it_says_itself(run: Run, name: str) -> None:
    assert (
        run("rules", "--compare", name, name).out == f"rules/{name}.yaml and rules/{name}.yaml say the same\n"
    )


def test_a_check_that_only_one_of_them_has_is_a_difference_though_it_has_no_limits(run: Run) -> None:
    for name, rule in (("one", "corner-radius"), ("other", "deposit-volume")):
        Path(f"{name}.yaml").write_text(
            f"title: {name}\nfoil: {{name: a, material: b, thickness: 75 um}}\n"
            f"rules: {{area-ratio: {{warn-below: 0.6, source: s}}, {rule}: }}\n",
            encoding="utf-8",
        )
    said = run("rules", "--compare", "one.yaml", "other.yaml")
    assert "corner-radius\n  measured" in said.out
    assert "deposit-volume\n  transfer-efficiency" in said.out
    assert said.out.endswith("Alike in both: foil, outlines, area-ratio\n")


def test_the_schema_is_printed(run: Run) -> None:
    said = run("rules", "--schema")
    schema = json.loads(said.out)
    jsonschema.Draft202012Validator.check_schema(schema)
    assert list(schema["properties"]["rules"]["properties"]) == list(catalogue())


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["a", "--compare", "b", "c"], "a rule set to show and something else were asked for"),
        (["--schema", "--json", "x"], "--json says nothing about a schema"),
        (["--compare", "b"], "argument --compare: expected 2 arguments"),
        (["--compare", "a", "b", "--compare", "c", "d"], "--compare is given twice"),
        (["polyester-75-knive"], "no rule set is named 'polyester-75-knive'"),
    ],
)
def test_what_cannot_be_answered_is_refused(run: Run, arguments: list[str], says: str) -> None:
    said = run("rules", *arguments)
    assert (said.status, said.out) == (2, "")
    assert says in said.err


def test_a_set_is_not_overwritten_by_what_is_written_about_it(run: Run) -> None:
    text = "title: t\nextends: polyester-75-knife\n"
    Path("mine.yaml").write_text(text, encoding="utf-8")
    said = run("rules", "mine.yaml", "--json", "mine.yaml")
    assert said.status == 2
    assert "'mine.yaml' is read, and would be overwritten" in said.err
    assert Path("mine.yaml").read_text(encoding="utf-8") == text


def test_text_of_a_set_cannot_reach_a_terminal_as_it_is(run: Run) -> None:
    hostile = yaml.safe_dump({"title": "t\u202e", "extends": "polyester-75-knife"}, allow_unicode=True)
    Path("mine.yaml").write_text(hostile, encoding="utf-8")
    said = run("rules", "mine.yaml")
    assert said.status == 2
    assert "\u202e" not in said.out + said.err
