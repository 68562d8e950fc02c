"""Pages about rule sets, for people and for scripts."""

import json
from dataclasses import replace

from pastecheck.reporters.rule_set_pages import (
    Comparison,
    Difference,
    Entry,
    Listed,
    Part,
    RuleSetPage,
    json_of_comparison,
    json_of_rule_set,
    json_of_rule_sets,
    of_comparison,
    of_rule_set,
    of_rule_sets,
)
from pastecheck.source import Span

THICKNESS = Entry("thickness", "75 um", 0.075, "mm", Span("mine.yaml", 4, 14))
ERROR = Entry("error below", "0.170 mm", 0.17, "mm", Span("mine.yaml", 9, 5))
PAGE = RuleSetPage(
    name="mine",
    title="My film",
    file="mine.yaml",
    extended=["base.yaml"],
    sha256="5e" * 32,
    parts=[
        Part("foil", [Entry("name", "polyester film", "polyester film", "", None), THICKNESS]),
        Part("cutting", [Entry("notes", "a long note about the blade", ["a"], "", Span("mine.yaml", 7, 3))]),
        Part(
            "web-width",
            [
                ERROR,
                Entry("warning below", "0.2032 mm", 0.2032, "mm", Span("base.yaml", 12, 5)),
                Entry("overcut", "0 mm", 0.0, "mm", None),
            ],
            is_check=True,
            is_judged=True,
            source="common practice, no source",
            source_place=Span("mine.yaml", 10, 5),
        ),
        Part("corner-radius", [], is_check=True),
    ],
    not_run=["neck-width"],
    notices=["another sheet"],
)
LISTED = [
    Listed("a-75-knife", "A 75", "a", "75 um", 0.075, "knife"),
    Listed("b\x1b[2J-100", "B", "bronze", "100 um", 0.1, ""),
]
FINER = Entry("error below", "0.150 mm", 0.15, "mm", Span("other.yaml", 3, 5))
COMPARISON = Comparison(
    PAGE,
    replace(PAGE, name="other"),
    [
        Difference("web-width", "error below", ERROR, FINER),
        Difference("web-width", "source", None, None),
        Difference("foil", "name", PAGE.parts[0].entries[0], None),
        Difference("neck-width", "source", Entry("source", "a", "a", "", None), None),
    ],
    ["corner-radius"],
)


def test_a_page_names_the_place_and_the_source_of_each_limit() -> None:
    assert of_rule_set(PAGE, width=60) == (
        "mine: My film\n"
        "  file: mine.yaml\n"
        "  extends: base.yaml\n"
        "  note: another sheet\n"
        "\n"
        "foil\n"
        "  name       polyester film  default\n"
        "  thickness  75 um           mine.yaml:4:14\n"
        "\n"
        "cutting\n"
        "  notes  a long note about the blade (mine.yaml:7:3)\n"
        "\n"
        "web-width\n"
        "  error below    0.170 mm   mine.yaml:9:5\n"
        "  warning below  0.2032 mm  base.yaml:12:5\n"
        "  overcut        0 mm       default\n"
        "  source: common practice, no source (mine.yaml:10:5)\n"
        "\n"
        "corner-radius\n"
        "  no limits: measured, not judged\n"
        "\n"
        "Not in this rule set, so not checked: neck-width\n"
    )


def test_rule_sets_are_listed_a_line_each() -> None:
    assert of_rule_sets(LISTED) == ("a-75-knife    a        75 um  knife\nb\\x1b[2J-100  bronze  100 um\n")
    assert of_rule_sets([]) == ""


def test_what_two_have_apart_stands_side_by_side_and_sources_only_where_they_alone_differ() -> None:
    assert of_comparison(COMPARISON, width=60) == (
        "               mine            other\n"
        "\n"
        "web-width\n"
        "  error below  0.170 mm        0.150 mm\n"
        "\n"
        "foil\n"
        "  name         polyester film  -\n"
        "\n"
        "neck-width\n"
        "  source       a               -\n"
        "\n"
        "Alike in both: corner-radius\n"
    )


def test_two_that_say_the_same_are_told_by_their_files_where_the_names_are_the_same() -> None:
    same = Comparison(PAGE, replace(PAGE, file="old/mine.yaml"), [], ["foil"])
    assert of_comparison(same) == "mine.yaml and old/mine.yaml say the same\n"


def test_nothing_in_common_is_said() -> None:
    assert of_comparison(COMPARISON._replace(alike=[])).endswith("Alike in both: nothing\n")


def test_scripts_get_the_value_the_unit_and_the_place() -> None:
    made = json.loads(json_of_rule_set(PAGE))
    assert (made["format"], made["format_version"]) == ("pastecheck rule set", 1)
    assert made["parts"][0]["entries"][1] == {
        "name": "thickness",
        "text": "75 um",
        "value": 0.075,
        "unit": "mm",
        "place": {"file": "mine.yaml", "line": 4, "column": 14},
    }
    assert made["parts"][2]["source"]["text"] == "common practice, no source"
    assert made["parts"][3]["source"] is None
    assert (made["not_run"], made["extended"]) == (["neck-width"], ["base.yaml"])


def test_scripts_get_the_list_and_the_comparison() -> None:
    assert json.loads(json_of_rule_sets(LISTED))["rule_sets"][0] == {
        "name": "a-75-knife",
        "title": "A 75",
        "material": "a",
        "thickness_mm": 0.075,
        "cutter": "knife",
    }
    made = json.loads(json_of_comparison(COMPARISON))
    assert (made["one"]["name"], made["other"]["name"]) == ("mine", "other")
    first, _, third, _ = made["differences"]
    assert (first["part"], first["name"], first["other"]["value"]) == ("web-width", "error below", 0.15)
    assert third["other"] is None
    assert made["alike"] == ["corner-radius"]
