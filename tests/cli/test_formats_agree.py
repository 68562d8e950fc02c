"""One run, written in every format: what is counted is the same in all of them."""

import csv
import hashlib
import io
import json
import re
import tempfile
from collections import Counter
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any, NamedTuple
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.cli import main
from tests.cli import layers
from tests.strategies import Thing, layer
from tests.strategies import layers as drawn_layers

FORMATS = ("json", "csv", "sarif", "junit")


class Counts(NamedTuple):
    """What a format says of a layer."""

    errors: int
    warnings: int
    file_warnings: int
    known: int
    openings: int


class Written(NamedTuple):
    """A run in every format."""

    status: int
    terminal: str
    json: Any
    csv: list[dict[str, str]]
    sarif: Any
    """Its only run."""
    junit: ET.Element


def written(folder: Path, *arguments: str) -> Written:
    """Run a check, and read all that it wrote."""
    paths = {name: folder / f"out.{name}" for name in FORMATS}
    options = [word for name, path in paths.items() for word in (f"--{name}", str(path))]
    with redirect_stdout(io.StringIO()) as terminal:
        status = main(["check", *arguments, *options])
    text = {name: path.read_text(encoding="utf-8") for name, path in paths.items()}
    return Written(
        status,
        terminal.getvalue(),
        json.loads(text["json"]),
        list(csv.DictReader(io.StringIO(text["csv"]))),
        json.loads(text["sarif"])["runs"][0],
        ET.fromstring(text["junit"]),
    )


def of_json(one: Written) -> list[Counts]:
    counts = []
    for top in one.json["layers"]:
        found = Counter((each["level"], each["status"]) for rule in top["rules"] for each in rule["findings"])
        known = found["error", "known"] + found["warning", "known"]
        said = sum(each["level"] == "warning" for each in top["diagnostics"])
        said -= top["settled"]["file_warnings"] if top["settled"] else 0
        counts.append(Counts(found["error", "new"], found["warning", "new"], said, known, top["openings"]))
    return counts


def of_sarif(one: Written) -> list[Counts]:
    counts = []
    for told in one.sarif["properties"]["layers"]:
        found = Counter(
            (each["level"], each.get("baselineState", "new"))
            for each in one.sarif["results"]
            if each["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == told["uri"]
        )
        known = found["error", "unchanged"] + found["warning", "unchanged"]
        new = (found["error", "new"], found["warning", "new"])
        counts.append(Counts(*new, told["fileWarnings"], known, told["openings"]))
    return counts


def of_junit(one: Written) -> list[Counts]:
    counts = []
    for suite in one.junit.iter("testsuite"):
        whole = {each.get("name", ""): each.get("value", "") for each in suite.iter("property")}
        outputs = [(case.findtext("system-out") or "").splitlines() for case in suite.iter("testcase")]
        of_file, *of_rules = [dict(each.split("=") for each in lines[0].split(" ")) for lines in outputs]
        names = ("errors", "warnings", "known")
        errors, warnings, known = (sum(int(rule[name]) for rule in of_rules) for name in names)
        assert [errors, warnings, known] == [int(whole[name]) for name in names]
        counts.append(Counts(errors, warnings, int(of_file["warnings"]), known, int(whole["openings"])))
    return counts


def assert_alike(one: Written) -> None:
    """All formats say what the JSON report says, and fail where the status does."""
    counts = of_json(one)
    assert of_sarif(one) == counts
    assert of_junit(one) == counts
    heads = re.findall(r"^(?:do not cut|cut it|nothing new|nothing to cut).*", one.terminal, re.MULTILINE)
    said = [tuple(_number(line, word) for word in ("error", "warning", "finding")) for line in heads]
    assert said == [(told.errors, told.warnings + told.file_warnings, told.known) for told in counts]
    assert len(one.csv) == sum(told.openings for told in counts)
    if "new_findings" in one.csv[0]:
        assert _of_openings(one) == {
            status: sum(int(row[f"{status}_findings"]) for row in one.csv) for status in ("new", "known")
        }
    assert (one.junit.find(".//failure") is not None) == (one.status == 1)


def _of_openings(one: Written) -> dict[str, int]:
    """How often an opening is in a finding, both of a pair: what the table counts."""
    counted = {"new": 0, "known": 0}
    for top in one.json["layers"]:
        for found in (each for rule in top["rules"] for each in rule["findings"]):
            counted[found["status"]] += (found["opening"] is not None) + (found["other"] is not None)
    return counted


def _number(line: str, word: str) -> int:
    found = re.search(rf"(\d+) {word}", line)
    return int(found[1]) if found else 0


# ----------------------------------------------------------------------------------------------------- tests


BOARDS = ("greenhouse-logger-a", "greenhouse-logger-b")


@pytest.mark.parametrize("fail_on", ["error", "warning"])
@pytest.mark.parametrize("board", BOARDS)
def test_a_board_counts_alike_in_every_format(
    board: str, fail_on: str, fixtures: Path, tmp_path: Path
) -> None:
    folder = fixtures / "boards" / board
    assert_alike(written(tmp_path, str(folder), "--rules", layers.RULES, "--fail-on", fail_on))


def test_a_board_of_which_half_is_known_counts_alike_in_every_format(fixtures: Path, tmp_path: Path) -> None:
    check = (str(fixtures / "boards" / BOARDS[0]), "--rules", layers.RULES)
    accepted = written(tmp_path, *check).json
    for rule in (rule for top in accepted["layers"] for rule in top["rules"] if rule["check"] == "web-width"):
        rule["findings"] = []
    (tmp_path / "known.json").write_text(json.dumps(accepted), encoding="utf-8")
    one = written(tmp_path, *check, "--known", str(tmp_path / "known.json"))
    assert_alike(one)
    assert all(told.known and told.errors for told in of_json(one))


@pytest.mark.parametrize(
    "name", ["attributes", "labels", "macro-moire", "region-arc", "inch-old", "step-repeat-inches"]
)
@pytest.mark.parametrize("rules", ["polyester-75-knife", "stainless-125-laser"])
def test_a_layer_counts_alike_in_every_format(name: str, rules: str, fixtures: Path, tmp_path: Path) -> None:
    path = fixtures / "gerber" / f"{name}.gbr"
    assert_alike(written(tmp_path, str(path), "--rules", rules, "--as-paste", "--fail-on", "warning"))


@pytest.mark.slow
@given(drawn_layers(), st.integers(0, 12), st.sampled_from(("error", "warning")))
def test_any_layer_counts_alike_in_every_format(things: list[Thing], known: int, fail_on: str) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        paste = folder / "paste.gbr"
        check = [str(paste), "--rules", layers.RULES, "--fail-on", fail_on]
        options = [*check, "--as-paste", "--everything"]
        if known:
            paste.write_text(layer(things[:known]), encoding="utf-8")
            written(folder, *options)
            (folder / "out.json").rename(folder / "known.json")
            options += ["--known", str(folder / "known.json")]
        paste.write_text(layer(things), encoding="utf-8")
        assert_alike(written(folder, *options))


def test_hashes_are_those_of_the_files(fixtures: Path, tmp_path: Path) -> None:
    folder = fixtures / "boards" / BOARDS[0]
    run = written(tmp_path, str(folder), "--rules", layers.RULES).sarif
    assert {one["hashes"]["sha-256"] for one in run["artifacts"]} == {
        hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.glob("*paste*")
    }


def test_a_place_is_the_line_that_draws_the_opening(tmp_path: Path) -> None:
    (tmp_path / "paste.gbr").write_bytes(layers.BAD)
    made = written(tmp_path, str(tmp_path / "paste.gbr"), "--rules", layers.RULES)
    run = made.sarif
    lines = layers.BAD.decode().splitlines()
    places = {one["locations"][0]["physicalLocation"]["region"]["startLine"] for one in run["results"]}
    assert {lines[place - 1] for place in places} == {"X0Y0D03*"}


def test_lines_are_counted_by_the_line_ends_that_the_log_names(fixtures: Path, tmp_path: Path) -> None:
    # carriage returns alone: X0Y0D03* is the seventh line, and there would be only one without them
    path = fixtures / "gerber" / "carriage-returns.gbr"
    paste = tmp_path / "paste.gbr"
    paste.write_bytes(path.read_bytes().replace(b"C,1*", b"C,0.1*"))
    run = written(tmp_path, str(paste), "--rules", layers.RULES).sarif
    assert run["newlineSequences"] == ["\r\n", "\n", "\r"]
    lines = re.split("|".join(run["newlineSequences"]), paste.read_bytes().decode())
    places = {one["locations"][0]["physicalLocation"]["region"]["startLine"] for one in run["results"]}
    assert {lines[place - 1] for place in places} == {"X0Y0D03*"}


def test_the_documentation_of_every_check_of_a_rule_set_is_in_the_log(tmp_path: Path) -> None:
    (tmp_path / "paste.gbr").write_bytes(layers.GOOD)
    made = written(tmp_path, str(tmp_path / "paste.gbr"), "--rules", layers.RULES)
    run = made.sarif
    for rule in run["tool"]["driver"]["rules"]:
        for word in ("What", "Why", "Cannot see", "Definition", "Error bound", "Limits"):
            assert f"\n\n{word}: " in rule["help"]["text"], rule["id"]
            assert f"\n\n**{word}**: " in rule["help"]["markdown"], rule["id"]
        assert rule["shortDescription"]["text"].startswith(rule.get("name", rule["id"].capitalize()))
