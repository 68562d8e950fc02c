"""What waivers can never do, whatever they say."""

import datetime as dt
from dataclasses import replace
from functools import cache

from hypothesis import given
from hypothesis import strategies as st

from pastecheck.check import Unit
from pastecheck.project import waived
from pastecheck.project.waivers import Waived
from pastecheck.report import Report, Status, Verdict
from pastecheck.source import Span
from tests.reports import a_bad_board, a_busy_board

TODAY = dt.date(2026, 11, 26)


@cache
def boards() -> tuple[Report, ...]:
    return a_bad_board(), a_busy_board()


def _checks(report: Report) -> list[str]:
    return [one.check for layer in report.layers for one in layer.outcomes]


@st.composite
def waivers(draw: st.DrawFn, report: Report) -> Waived:
    """About anything, at any place, down to anything."""
    finds = [found for layer in report.layers for found in layer.findings(Status.NEW)]
    by_name = draw(st.booleans())
    near = draw(st.sampled_from(finds))
    check = near.check if by_name else draw(st.sampled_from(_checks(report)))
    at_mm = draw(st.none() | st.just((near.x_mm, near.y_mm)))
    return Waived(
        checks=(check,),
        components=draw(st.sampled_from([(), ("*",), ("U*",), ("R1", "U1")])),
        at_mm=at_mm,
        within_mm=draw(st.floats(0, 50)),
        fingerprints=frozenset({near.fingerprint}) if by_name else frozenset(),
        side=draw(st.sampled_from(["", "top", "bottom"])),
        down_to=draw(st.none() | st.floats(0, 1)),
        up_to=None,
        unit=Unit.MM,
        reason="because",
        until=draw(st.none() | st.dates(dt.date(2026, 1, 1), dt.date(2027, 12, 31))),
        span=Span("pastecheck.yaml", draw(st.integers(1, 99)), 5),
    )


@given(st.data())
def test_waivers_change_the_status_of_findings_and_nothing_else_and_never_twice(data: st.DataObject) -> None:
    report = data.draw(st.sampled_from(boards()))
    said = data.draw(st.lists(waivers(report), max_size=4))
    found = waived(report, said, TODAY)
    for before, after in zip(report.layers, found.layers, strict=True):
        for one, other in zip(before.outcomes, after.outcomes, strict=True):
            same = tuple(finding._replace(status=Status.NEW, waiver=None) for finding in other.findings)
            assert replace(other, findings=same) == one
        for finding in after.findings(Status.WAIVED):
            waiver = said[(finding.waiver or 0) - 1]
            assert waiver.is_about(finding, after)
            assert waiver.allows(finding)
            assert waiver.until is None or waiver.until >= TODAY
        for finding in after.findings(Status.NEW):
            assert finding.waiver is None
    assert len(found.waivers) == len(said)
    waived_in_all = sum(1 for layer in found.layers for _ in layer.findings(Status.WAIVED))
    in_force = [one.waived for one in found.waivers if one.state == "in force"]
    assert max(in_force, default=0) <= waived_in_all <= sum(in_force)


@given(st.data())
def test_more_waivers_never_let_more_findings_count(data: st.DataObject) -> None:
    report = data.draw(st.sampled_from(boards()))
    said = data.draw(st.lists(waivers(report), min_size=1, max_size=4))
    fewer, more = waived(report, said[1:], TODAY), waived(report, said, TODAY)
    for one, other in zip(fewer.layers, more.layers, strict=True):
        still = {finding.fingerprint for finding in other.findings(Status.NEW)}
        assert still <= {finding.fingerprint for finding in one.findings(Status.NEW)}
    errors = [Verdict.FAIL in {layer.verdict for layer in each.layers} for each in (fewer, more)]
    assert errors[0] >= errors[1]
