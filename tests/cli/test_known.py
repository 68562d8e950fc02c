"""`check --known FILE`: what counts, what is said, and what is refused."""

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from pastecheck.reporters.jsondoc import schema
from tests.cli import layers
from tests.cli.conftest import Run

CHECK = ("check", "paste.gbr", "--rules", layers.RULES)
ONE_MORE = layers.layer("D12*", "X0Y0D03*", "D11*", "X5000000Y0D03*", "X9000000Y3000000D03*")
"""Beside the bad opening of `BAD` two that are narrow enough for a warning."""


def accepted(run: Run, layer: bytes = layers.BAD) -> dict[str, Any]:
    """A layer whose findings are written to known.json."""
    Path("paste.gbr").write_bytes(layer)
    run(*CHECK, "--json", "known.json")
    document: dict[str, Any] = json.loads(Path("known.json").read_text(encoding="utf-8"))
    return document


@pytest.mark.parametrize("how", [(), ("--quiet",), ("--json", "-"), ("--csv", "-")])
def test_what_is_known_does_not_fail_whatever_is_written(run: Run, how: tuple[str, ...]) -> None:
    assert accepted(run)["verdict"] == "fail"
    said = run(*CHECK, "--known", "known.json", "--fail-on", "warning", *how)
    assert (said.status, said.err) == (0, "")


@pytest.mark.parametrize(("fail_on", "status"), [("error", 0), ("warning", 1), ("never", 0)])
def test_what_is_new_counts_at_its_own_level(run: Run, fail_on: str, status: int) -> None:
    accepted(run)
    Path("paste.gbr").write_bytes(ONE_MORE)
    said = run(*CHECK, "--known", "known.json", "--fail-on", fail_on)
    assert said.status == status
    assert said.out.startswith("cut it with care (")


def test_the_terminal_tells_what_is_new_and_what_is_known_in_one_line(run: Run) -> None:
    rules = accepted(run)["layers"][0]["rules"]
    levels = [finding["level"] for rule in rules for finding in rule["findings"]]
    Path("paste.gbr").write_bytes(ONE_MORE)
    told = run(*CHECK, "--known", "known.json").out
    assert "2 openings, 0.20 x 1.50 mm" in told
    assert "0.10 x 1.00 mm" not in told.split("For the job")[0]
    (line,) = (line for line in told.splitlines() if line.startswith("  known: "))
    errors, warnings = levels.count("error"), levels.count("warning")
    assert line == f"  known: {errors} errors and {warnings} warnings as in known.json"


def test_what_is_gone_is_counted(run: Run) -> None:
    before = accepted(run, ONE_MORE)
    found = sum(len(rule["findings"]) for rule in before["layers"][0]["rules"])
    Path("paste.gbr").write_bytes(layers.GOOD)
    told = run(*CHECK, "--known", "known.json").out
    assert f"{found} known findings are gone" in " ".join(told.split())
    assert told.startswith("cut it: ")


def test_nothing_new_is_not_called_cut_it(run: Run) -> None:
    accepted(run)
    assert run(*CHECK, "--known", "known.json", "--quiet").out.startswith("nothing new (")


def test_json_has_a_status_for_every_finding_and_what_has_become_of_the_known_ones(run: Run) -> None:
    accepted(run)
    Path("paste.gbr").write_bytes(ONE_MORE)
    document = json.loads(run(*CHECK, "--known", "known.json", "--json", "-").out)
    jsonschema.Draft202012Validator(schema()).validate(document)
    (layer,) = document["layers"]
    findings = [finding for rule in layer["rules"] for finding in rule["findings"]]
    by_place = {(finding["at_mm"][0] > 2.0, finding["status"]) for finding in findings if finding["opening"]}
    assert by_place == {(False, "known"), (True, "new")}
    assert document["known"]["file"] == "known.json"
    assert layer["settled"]["known"] == sum(finding["status"] == "known" for finding in findings)
    assert (document["verdict"], layer["verdict"]) == ("care", "care")
    assert {
        (group["new"], sum(check["findings"] for check in group["checks"])) for group in layer["groups"]
    } == {
        (0, layer["settled"]["known"]),
        (len(findings) - layer["settled"]["known"],) * 2,
    }


def test_csv_counts_new_and_known_findings_of_each_opening(run: Run) -> None:
    accepted(run)
    Path("paste.gbr").write_bytes(ONE_MORE)
    header, *rows = (
        line.split(",") for line in run(*CHECK, "--known", "known.json", "--csv", "-").out.splitlines()
    )
    assert header[-2:] == ["new_findings", "known_findings"]
    assert [(row[-2] != "0", row[-1] != "0") for row in rows] == [(False, True), (True, False), (True, False)]


def test_a_side_with_nothing_to_cut_is_no_pass_though_it_was_known(run: Run) -> None:
    Path("board").mkdir()
    Path("board/top.gbr").write_bytes(layers.BAD)
    Path("board/bottom.gbr").write_bytes(layers.layer(function="Paste,Bot"))
    check = ("check", "board", "--rules", layers.RULES)
    run(*check, "--json", "known.json")
    said = run(*check, "--known", "known.json", "--json", "-")
    assert said.status == 2
    assert [layer["verdict"] for layer in json.loads(said.out)["layers"]] == ["care", "pass"]


def test_the_origin_may_move(run: Run) -> None:
    shapes = ["D12*", "X0Y0D03*", "D10*", "X5000000Y0D03*", "X7000000Y3000000D03*"]
    accepted(run, layers.layer(*shapes))
    moved = ["D12*", "X12700000Y0D03*", "D10*", "X17700000Y0D03*", "X19700000Y3000000D03*"]
    Path("paste.gbr").write_bytes(layers.layer(*moved))
    said = run(*CHECK, "--known", "known.json")
    assert said.status == 0
    assert "the origin has moved by (12.70, 0.00) mm" in " ".join(said.out.split())


def test_a_report_that_an_earlier_version_has_written_is_read(run: Run) -> None:
    document = accepted(run)
    del document["known"]
    for layer in document["layers"]:
        del layer["landmarks_mm"], layer["settled"]
        for rule in layer["rules"]:
            for finding in rule["findings"]:
                del finding["openings_mm"]
    Path("known.json").write_text(json.dumps(document), encoding="utf-8")
    assert run(*CHECK, "--known", "known.json", "--fail-on", "warning").status == 0


def test_the_known_report_is_not_written_over(run: Run) -> None:
    # Else the second run of a job would accept what the first one found.
    accepted(run)
    before = Path("known.json").read_bytes()
    said = run(*CHECK, "--known", "known.json", "--json", "./known.json")
    assert (said.status, said.out) == (2, "")
    assert "is read, and would be overwritten" in said.err
    assert Path("known.json").read_bytes() == before


# ------------------------------------------------------------------------------------------------- refused


def without(*path: str | int) -> Any:  # noqa: ANN401 -- a function of a document
    """Take a member out of a document."""

    def change(document: Any) -> None:  # noqa: ANN401 -- JSON
        for step in path[:-1]:
            document = document[step]
        del document[path[-1]]

    return change


def with_(value: object, *path: str | int) -> Any:  # noqa: ANN401 -- a function of a document
    """Put something else into a document."""

    def change(document: Any) -> None:  # noqa: ANN401 -- JSON
        for step in path[:-1]:
            document = document[step]
        document[path[-1]] = value

    return change


LAYER = ("layers", 0)
FINDING = (*LAYER, "rules", 0, "findings", 0)


DAMAGE = [
    (without("format"), "this is no report of pastecheck"),
    (with_("pastecheck comparison", "format"), "this is no report of pastecheck"),
    (with_(2, "format_version"), "this is a report of format version '2'; 1 is read here"),
    (with_(True, "format_version"), "this is a report of format version 'True'; 1 is read here"),
    (with_("1", "format_version"), "this is a report of format version \"'1'\"; 1 is read here"),
    (without("layers"), "layers is missing"),
    (with_({}, "layers"), "layers is no list"),
    (with_([1], "layers"), "layers[0] is no object"),
    (without("rule_set", "name"), "rule_set.name is missing"),
    (with_([], "rule_set"), "rule_set is no object"),
    (with_("left", *LAYER, "side"), "layers[0].side is 'left', and none of top, bottom, unknown"),
    (without(*LAYER, "rules"), "layers[0].rules is missing"),
    (with_(1.0, *LAYER, "slack_mm"), "layers[0].slack_mm is no slack of a report"),
    (with_(None, *LAYER, "diagnostics"), "layers[0].diagnostics is no list"),
    (with_([[1, 2, 3]], *LAYER, "landmarks_mm"), "layers[0].landmarks_mm has not 4 numbers"),
    (with_(5, *LAYER, "rules", 0, "check"), "layers[0].rules[0].check is no text"),
    (without(*FINDING, "fingerprint"), "layers[0].rules[0].findings[0].fingerprint is missing"),
    (with_("fatal", *FINDING, "level"), "layers[0].rules[0].findings[0].level is 'fatal', and none of"),
    (with_("old", *FINDING, "status"), "layers[0].rules[0].findings[0].status is 'old', and none of"),
    (with_("0.1", *FINDING, "value"), "layers[0].rules[0].findings[0].value is no number"),
    (with_(True, *FINDING, "value"), "layers[0].rules[0].findings[0].value is no number"),
    (with_(10**400, *FINDING, "limit"), "layers[0].rules[0].findings[0].limit is no number of a report"),
    (with_([0.0], *FINDING, "at_mm"), "layers[0].rules[0].findings[0].at_mm has not 2 numbers"),
    (with_([0.0, 1e300], *FINDING, "at_mm"), "at_mm is farther away than any board is large"),
    (with_([[0, 0]] * 3, *FINDING, "openings_mm"), "openings_mm is no list of places"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "told"), DAMAGE, ids=[str(row) for row, _ in enumerate(DAMAGE)])
def test_a_known_report_that_is_not_what_it_should_be_is_refused(run: Run, change: Any, told: str) -> None:  # noqa: ANN401
    document = accepted(run)
    layer = document["layers"][0]
    layer["rules"] = [rule for rule in layer["rules"] if rule["findings"]]
    change(document)
    Path("known.json").write_text(json.dumps(document), encoding="utf-8")
    said = run(*CHECK, "--known", "known.json", "--json", "out.json")
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith("known.json: error[known-report]: ")
    assert told in said.err
    assert said.err.count("\n") == 1
    assert not Path("out.json").exists()


@pytest.mark.parametrize(
    ("content", "start"),
    [
        (b"", "known.json:1:1: error[known-report]: this is no JSON: expecting value ("),
        (b'{\n "format": oops}', "known.json:2:12: error[known-report]: this is no JSON: expecting value ("),
        (b"\xff\xfe", "known.json:1:1: error[known-report]: this is no text in UTF-8 ("),
        (b'{"format":\n"\xff"}', "known.json:2:2: error[known-report]: this is no text in UTF-8 ("),
        (b"[" * 100_000, "known.json: error[known-report]: lists stand within lists more than any report"),
        (b'{"format_version": NaN}', "known.json: error[known-report]: NaN is no number of JSON ("),
        (b'{"format_version": ' + b"9" * 10_000 + b"}", "known.json: error[known-report]: a number in it"),
        (b"null", "known.json: error[known-report]: this is no report of pastecheck ("),
        (b"[]", "known.json: error[known-report]: this is no report of pastecheck ("),
        (layers.GOOD, "known.json:1:1: error[known-report]: this is no JSON: expecting value ("),
    ],
    ids=["empty", "broken", "utf16", "latin1", "deep", "nan", "long", "null", "list", "layer"],
)  # fmt: skip
def test_what_is_no_report_is_refused_with_its_place(run: Run, content: bytes, start: str) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    Path("known.json").write_bytes(content)
    said = run(*CHECK, "--known", "known.json")
    assert (said.status, said.out) == (2, "")
    assert said.err.startswith(start)
    assert said.err.count("\n") == 1


def test_a_known_report_that_is_not_there_is_told(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    said = run(*CHECK, "--known", "known.json")
    assert said.status == 2
    assert said.err.startswith("known.json: error[no-file]: there is no such file (")


def test_a_folder_is_no_known_report(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    Path("known.json").mkdir()
    said = run(*CHECK, "--known", "known.json")
    assert said.status == 2
    assert said.err.startswith("known.json: error[unreadable]: ")


def test_a_known_report_of_any_size_is_refused_before_it_is_read(run: Run) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    with Path("known.json").open("wb") as file:
        file.truncate(300 * 1024 * 1024)
    said = run(*CHECK, "--known", "known.json")
    assert said.status == 2
    assert said.err.startswith("known.json: error[too-large]: the file has more than the 128 MiB that are ")
    assert "--limit known-mib=300" in said.err


def test_known_may_be_given_once(run: Run) -> None:
    accepted(run)
    said = run(*CHECK, "--known", "known.json", "--known", "known.json")
    assert said.status == 2
    assert "--known is given twice" in said.err


def test_a_label_of_a_known_report_cannot_write_to_the_terminal(run: Run) -> None:
    document = accepted(run)
    document["layers"].append({**document["layers"][0], "file": "a\x1b[31m.gbr", "side": "bottom"})
    Path("known.json").write_text(json.dumps(document), encoding="utf-8")
    told = run(*CHECK, "--known", "known.json").out
    assert "\x1b" not in told
    assert r"a\x1b[31m.gbr, which was not checked" in " ".join(told.split())
