"""A report, and what is to stay -> the report with those findings waived, and what became of each waiver."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace

from pastecheck.errors import EXPIRED_WAIVER, STALE_WAIVER
from pastecheck.project.waivers import Waived
from pastecheck.report import Finding, LayerReport, Report, RuleOutcome, Status, Waiver, WaiverState
from pastecheck.source import Diagnostic, DiagnosticLevel


class _Tally:
    """How many findings a waiver was about."""

    def __init__(self) -> None:
        self.waived = 0
        self.worse = 0


def waived(report: Report, waivers: Sequence[Waived], today: dt.date, *, is_whole: bool = True) -> Report:
    """
    The report with the findings waived that waivers are about, and are no worse than these allow.

    A finding has the first waiver that waives it. One that has expired, after its last day, waives nothing,
    and is told in a warning; so is one that matches nothing, if all it could be about was measured.

    Args:
        report: As it was judged; nothing is known of its findings yet.
        waivers: In the order they are written.
        today: The day by which they expire.
        is_whole: Whether all layers of the project are in the report.
    """
    if not waivers:
        return report
    tallies = [_Tally() for _ in waivers]
    layers = tuple(_layer(layer, waivers, tallies, today) for layer in report.layers)
    told = tuple(
        _told(one, tally, _state(one, tally, report, today, is_whole=is_whole))
        for one, tally in zip(waivers, tallies, strict=True)
    )
    said = tuple(_warning(one, waiver) for one, waiver in zip(told, waivers, strict=True) if _is_odd(one))
    first, *rest = layers
    first = replace(first, diagnostics=(*first.diagnostics, *said))
    return replace(report, layers=(first, *rest), waivers=told)


def _layer(
    layer: LayerReport, waivers: Sequence[Waived], tallies: Sequence[_Tally], today: dt.date
) -> LayerReport:
    outcomes = tuple(_outcome(one, layer, waivers, tallies, today) for one in layer.outcomes)
    return replace(layer, outcomes=outcomes)


def _outcome(
    outcome: RuleOutcome,
    layer: LayerReport,
    waivers: Sequence[Waived],
    tallies: Sequence[_Tally],
    today: dt.date,
) -> RuleOutcome:
    asked = [(row, one) for row, one in enumerate(waivers) if outcome.check in one.checks]
    if not asked or not outcome.findings:
        return outcome

    def settled(finding: Finding) -> Finding:
        number = None
        for row, one in asked:
            if not one.is_about(finding, layer):
                continue
            if not one.allows(finding):
                tallies[row].worse += 1
                continue
            tallies[row].waived += 1
            if number is None and not _has_expired(one, today):
                number = row + 1
        return finding if number is None else finding._replace(status=Status.WAIVED, waiver=number)

    return replace(outcome, findings=tuple(map(settled, outcome.findings)))


def _has_expired(one: Waived, today: dt.date) -> bool:
    return one.until is not None and today > one.until


def _state(one: Waived, tally: _Tally, report: Report, today: dt.date, *, is_whole: bool) -> WaiverState:
    if _has_expired(one, today):
        return WaiverState.EXPIRED
    if tally.waived or tally.worse:
        return WaiverState.IN_FORCE
    layers = [layer for layer in report.layers if one.side in {"", layer.side}]
    measured = {
        outcome.check
        for layer in layers
        for outcome in layer.outcomes
        if not outcome.missing and outcome.limits
    }
    is_asked = is_whole and (not layers or measured.issuperset(one.checks))
    return WaiverState.STALE if is_asked else WaiverState.NOT_ASKED


def _told(one: Waived, tally: _Tally, state: WaiverState) -> Waiver:
    return Waiver(
        what=one.what,
        reason=one.reason,
        until=one.until.isoformat() if one.until else "",
        file=one.span.path,
        line=one.span.line,
        state=state,
        waived=tally.waived,
        worse=tally.worse,
    )


def _is_odd(one: Waiver) -> bool:
    return one.state in {WaiverState.STALE, WaiverState.EXPIRED}


def _warning(told: Waiver, waiver: Waived) -> Diagnostic:
    if told.state is WaiverState.STALE:
        text = f"nothing is found any more that the waiver is about: {told.what}; remove it"
        return Diagnostic(STALE_WAIVER, DiagnosticLevel.WARNING, text, waiver.span)
    text = (
        f"the waiver ended with {told.until}, and counts no longer: {told.what}; mend it, or renew the waiver"
    )
    return Diagnostic(EXPIRED_WAIVER, DiagnosticLevel.WARNING, text, waiver.span)
