"""What the terminal tells of known findings: quietly, in a line or two."""

from dataclasses import replace

import pytest

from pastecheck.report import KnownReport, LayerReport, Report, Settled, Status
from pastecheck.reporters import terminal
from tests.reports import SHA256, a_bad_board

KNOWN = KnownReport("known.json", SHA256, "polyester-75-knife", ())
SETTLED = Settled("top.gbr", known=0, worse=0, gone=0, file_warnings=0, way_mm=(0.0, 0.0))


def held(settled: Settled, known: KnownReport = KNOWN, status: Status = Status.KNOWN) -> Report:
    """A bad board of which all was dealt with before."""
    board = a_bad_board()
    layers = tuple(replace(with_status(layer, status), settled=settled) for layer in board.layers)
    return replace(board, layers=layers, known=known)


def with_status(layer: LayerReport, status: Status) -> LayerReport:
    outcomes = (
        replace(one, findings=tuple(found._replace(status=status) for found in one.findings))
        for one in layer.outcomes
    )
    return replace(layer, outcomes=tuple(outcomes))


def told(report: Report) -> str:
    """The known part of the report, in one line."""
    paragraphs = terminal.rendered(report, width=200).split("\n")
    return " ".join(line.strip() for line in paragraphs if line.startswith("  known: "))


@pytest.mark.parametrize(
    ("settled", "says"),
    [
        (replace(SETTLED, gone=1), "1 known finding is gone"),
        (replace(SETTLED, gone=3), "3 known findings are gone"),
        (replace(SETTLED, worse=2), "2 findings known before became worse, and count as new"),
        (replace(SETTLED, way_mm=(12.7, -0.5)), "the origin has moved by (12.70, -0.50) mm"),
        (replace(SETTLED, way_mm=None), "hardly anything of that layer was found again: is"),
        (replace(SETTLED, file_warnings=1), "as in known.json, with 1 warning about the file"),
        (replace(SETTLED, layer=""), "known.json has no layer that this could be, so all"),
    ],
    ids=["gone", "more-gone", "worse", "moved", "other-board", "warnings", "no-layer"],
)  # fmt: skip
def test_what_has_become_of_known_findings_is_told_in_a_line(settled: Settled, says: str) -> None:
    assert says in told(held(settled))


def test_a_known_report_of_another_rule_set_and_layers_that_were_not_checked_are_told() -> None:
    known = replace(KNOWN, rule_set="stainless-125-laser", not_checked=("bottom.gbr",))
    said = told(held(SETTLED, known))
    assert "it was made with stainless-125-laser" in said
    assert "known.json has findings of bottom.gbr, which was not checked this time" in said


def test_of_known_findings_no_cause_is_shown_but_each_check_counts_them() -> None:
    text = terminal.rendered(held(SETTLED))
    assert "->" not in text
    assert text.startswith(("nothing new (", "cut it with care ("))
    assert "1 known" in text


@pytest.mark.parametrize("status", [Status.KNOWN, Status.WAIVED])
def test_what_was_dealt_with_does_not_count_for_the_verdict(status: Status) -> None:
    (layer,) = held(SETTLED, status=status).layers
    assert layer.verdict != "fail"
    assert a_bad_board().layers[0].verdict == "fail"
    assert "error" not in terminal.verdict(layer)


def test_without_a_known_report_nothing_is_said_of_it() -> None:
    assert not told(a_bad_board())
