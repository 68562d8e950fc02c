"""The JSON Schema of rule sets: current, itself valid, and true to what the reader takes and refuses."""

from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from pastecheck import rulesets
from pastecheck.checks import catalogue
from pastecheck.project.schema import of_projects
from pastecheck.rulesets.schema import Document, of_rule_sets, section
from tests.rulesets.catalogue import CATALOGUE
from tests.rulesets.written import as_an_editor_reads

DOCUMENTS = [of_rule_sets(), of_projects()]
VALIDATOR = jsonschema.Draft202012Validator(of_rule_sets().schema)
FILES = sorted(rulesets.folder().rglob("*.yaml"))


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda document: document.name)
def test_the_schema_that_ships_is_what_the_declarations_say(
    document: Document, root: Path, *, update_golden: bool
) -> None:
    if update_golden:
        file = root / "pastecheck" / f"{document.name}.schema.json"
        file.write_text(document.text, encoding="utf-8")
    assert document.shipped == document.text, "write it anew with: pytest --update-golden"


@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda document: document.name)
def test_it_is_a_schema_by_the_metaschema(document: Document) -> None:
    jsonschema.Draft202012Validator.check_schema(document.schema)
    assert document.schema["$schema"] == jsonschema.Draft202012Validator.META_SCHEMA["$id"]


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_what_ships_is_valid(file: Path) -> None:
    VALIDATOR.validate(as_an_editor_reads(file.read_text(encoding="utf-8")))


def test_fixtures_are_valid_but_the_broken_one(fixtures: Path) -> None:
    for file in (fixtures / "rulesets").glob("*.yaml"):
        is_valid = VALIDATOR.is_valid(as_an_editor_reads(file.read_text(encoding="utf-8")))
        assert is_valid == (file.stem != "broken")


def test_every_check_and_every_setting_has_a_place_and_a_word() -> None:
    rules = VALIDATOR.schema["properties"]["rules"]["properties"]
    assert list(rules) == list(catalogue())
    for rule in rules.values():
        assert rule["description"]
        assert all(one["description"] for one in rule["properties"].values())


def test_a_setting_that_is_needed_says_so() -> None:
    rules: Any = of_rule_sets(CATALOGUE).schema["properties"]["rules"]
    settings = rules["properties"]["pitch-fraction"]["properties"]
    assert settings["gaps-below"]["description"] == "a setting of the check; needed"
    assert settings["share"]["description"] == "a setting of the check; 0.5 unless given"


def test_only_what_is_referred_to_is_defined() -> None:
    document = Document("other", "Other", "Another kind of file.", {"inner": section({}, "nothing")})
    assert document.schema["$defs"] == {}
    defined = set(of_rule_sets().schema["$defs"])
    assert {f'"#/$defs/{name}"' in of_rule_sets().text for name in defined} == {True}


def test_a_number_may_be_written_as_text_and_a_title_may_look_like_a_number() -> None:
    said = "title: 75\nrules: {area-ratio: {error-below: '0.60', source: 2024}}"
    VALIDATOR.validate(as_an_editor_reads(said))


def test_an_editor_reads_as_yaml_1_2_has_it() -> None:
    said = "{a: yes, b: 010, c: 2024-01-01, d: 1:30, e: true, f: 0.5, g: ~, h: 1e3, i: .inf}"
    assert as_an_editor_reads(said) == {
        "a": "yes",
        "b": 10,
        "c": "2024-01-01",
        "d": "1:30",
        "e": True,
        "f": 0.5,
        "g": None,
        "h": 1000.0,
        "i": float("inf"),
    }
    assert yaml.safe_load(said)["b"] == 8  # YAML 1.1
