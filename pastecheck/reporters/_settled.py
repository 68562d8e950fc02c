"""What has become of known findings, in a few quiet lines."""

from collections.abc import Iterator
from typing import Final

from rich.console import RenderableType

from pastecheck.report import Finding, LayerReport, Level, Report, Status, WaiverState
from pastecheck.reporters._phrases import many, way
from pastecheck.reporters._styles import note

SEEN_MM: Final = 0.001
"""A layer that has moved by less has not moved: files round its places."""


def with_only_new(layer: LayerReport) -> LayerReport:
    """The layer without the findings that were dealt with before."""
    if all(found.status is Status.NEW for one in layer.outcomes for found in one.findings):
        return layer
    return layer.only(lambda found: found.status is Status.NEW)


def settled_told(layer: LayerReport, report: Report) -> Iterator[RenderableType]:
    """What is known or waived, a paragraph each."""
    for text in settled_texts(layer, report):
        yield ""
        yield note(text)


def settled_texts(layer: LayerReport, report: Report) -> list[str]:
    """The same as texts, in which nothing was escaped."""
    return [*_known(layer, report), *_waived(layer, report)]


def _known(layer: LayerReport, report: Report) -> Iterator[str]:
    """How much was known, how much of it is gone, and how far the layer has moved since."""
    told, known = layer.settled, report.known
    if told is None or known is None:
        return
    if not told.layer:
        yield f"known: {known.file} has no layer that this could be, so all that was found is new"
        return
    parts = [f"{counted(list(layer.findings(Status.KNOWN)))} as in {known.file}"]
    if told.file_warnings:
        parts[0] += f", with {many(told.file_warnings, 'warning')} about the file"
    if told.worse:
        parts.append(f"{many(told.worse, 'finding')} known before became worse, and count as new")
    if told.gone:
        parts.append(f"{many(told.gone, 'known finding')} {'is' if told.gone == 1 else 'are'} gone")
    if told.way_mm is None:
        parts.append("hardly anything of that layer was found again: is it the same board?")
    elif any(abs(one) > SEEN_MM for one in told.way_mm):
        parts.append(f"the origin has moved by {way(*told.way_mm)}")
    if known.rule_set != report.rule_set.name:
        parts.append(f"it was made with {known.rule_set}")
    yield f"known: {'; '.join(parts)}"


def _waived(layer: LayerReport, report: Report) -> Iterator[str]:
    """What was waived and why, and what is worse than its waiver allows."""
    numbers = [found.waiver for found in layer.findings(Status.WAIVED)]
    parts = [
        f"{many(numbers.count(number), 'finding')} by {one.file}:{one.line}, {one.reason}"
        for number, one in enumerate(report.waivers, 1)
        if number in numbers
    ]
    if parts:
        yield f"waived: {'; '.join(parts)}"


def dealt_with_told(layer: LayerReport) -> str:
    """How many findings are known, and how many waived."""
    counts = {state: sum(1 for _ in layer.findings(state)) for state in (Status.KNOWN, Status.WAIVED)}
    told = [f"{many(count, 'finding')} {state}" for state, count in counts.items() if count]
    return ", ".join(told)


def waivers_told(report: Report) -> Iterator[RenderableType]:
    """Waivers that findings went past, and those that were not asked."""
    texts = list(waivers_texts(report))
    yield from map(note, texts)
    if texts:
        yield ""


def waivers_texts(report: Report) -> Iterator[str]:
    """The same as texts, in which nothing was escaped."""
    for one in report.waivers:
        if one.worse:
            are = "is" if one.worse == 1 else "are"
            what = f"{many(one.worse, 'finding')} {are} worse than {one.file}:{one.line} allows"
            yield f"not waived: {what}: {one.what}"
    not_asked = [f"{one.file}:{one.line}" for one in report.waivers if one.state is WaiverState.NOT_ASKED]
    if not_asked:
        yield f"not asked this time, as not all was looked at: the waivers of {', '.join(not_asked)}"


def counted(findings: list[Finding]) -> str:
    """
    How many errors and warnings.

    Example:
        >>> counted([])
        'no finding'
    """
    levels = [finding.level for finding in findings]
    words = [many(levels.count(level), level.value) for level in Level if level in levels]
    return " and ".join(words) or "no finding"


def not_checked_told(report: Report) -> Iterator[RenderableType]:
    """Layers of which something is known, and that were not looked at."""
    for text in not_checked_texts(report):
        yield note(text)
        yield ""


def not_checked_texts(report: Report) -> Iterator[str]:
    """The same as texts, in which nothing was escaped."""
    if report.known and report.known.not_checked:
        layers = ", ".join(report.known.not_checked)
        yield f"known: {report.known.file} has findings of {layers}, which was not checked this time"
