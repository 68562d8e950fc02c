"""
What was looked at: a table of the checks that found something, and in short what the others read.

Some thirty checks are more than a tired person reads, but what was not measured must not pass for good.
"""

from collections.abc import Iterable, Iterator, Sequence

from rich.columns import Columns
from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from pastecheck.report import LayerReport, RuleOutcome, RuleSetSummary, Status
from pastecheck.reporters._limits import limit_shown
from pastecheck.reporters._phrases import many
from pastecheck.reporters._styles import QUIET, STYLE_OF_LEVEL, note
from pastecheck.units import shown, shown_apart


def looked_at(layer: LayerReport, rule_set: RuleSetSummary) -> Iterator[RenderableType]:
    """What each check of the rule set looked at and found."""
    telling = [one for one in layer.outcomes if one.findings or one.close]
    rest = [one for one in layer.outcomes if not (one.findings or one.close)]
    clean = [one for one in rest if one.measured and one.limits]
    if telling:
        yield ""
        yield _table(telling)
    if any(one.close for one in telling):
        yield note(
            "close: at a limit, or nearer to it than can be told (error bound, or rounding of a file in "
            "inches); they pass that limit."
        )
    if clean:
        yield ""
        yield from _clean(clean)
    yield from _not_judged(rest, rule_set)


def _clean(outcomes: Sequence[RuleOutcome]) -> Iterator[RenderableType]:
    partly = any(one.not_applicable for one in outcomes)
    counted = "; how many were measured, where not all" if partly else ""
    yield Text(f"Nothing found by these checks (worst reading{counted})")
    yield Padding(
        Columns([_in_short(one) for one in outcomes], padding=(0, 3), column_first=True), (0, 0, 0, 2)
    )


def _in_short(outcome: RuleOutcome) -> Text:
    counted = f" ({outcome.measured})" if outcome.not_applicable else ""
    return Text(outcome.check, overflow="fold").append(f" {worst_shown(outcome)}{counted}", style=QUIET)


def _not_judged(outcomes: Sequence[RuleOutcome], rule_set: RuleSetSummary) -> Iterator[RenderableType]:
    """In a line each: what has no limits, found nothing to measure, lacks something, or is not asked for."""
    free = [one for one in outcomes if one.measured and not one.limits]
    if free:
        yield note(f"Measured without limits, for --csv FILE: {_names(free)}.")
    nothing = [one for one in outcomes if not one.measured and not one.missing]
    if nothing:
        they = "they say" if len(nothing) > 1 else "it says"
        yield note(f"Measured nothing here, so {they} nothing about this layer: {_names(nothing)}.")
    for missing in dict.fromkeys(one.missing for one in outcomes if one.missing):
        yield note(
            f"Not measured without {missing}: {_names(one for one in outcomes if one.missing == missing)}."
        )
    if rule_set.not_run:
        yield note(f"Not in this rule set: {', '.join(rule_set.not_run)}.")


def _names(outcomes: Iterable[RuleOutcome]) -> str:
    return ", ".join(outcome.check for outcome in outcomes)


def _table(outcomes: Iterable[RuleOutcome]) -> Table:
    table = Table(box=None, padding=(0, 2, 0, 0), pad_edge=False, header_style=QUIET, show_edge=False)
    for heading in ("check", "measured", "worst", "error if", "warning if", "found"):
        is_text = heading in ("check", "found")
        wraps = heading == "found"
        table.add_column(heading, justify="left" if is_text else "right", overflow="fold", no_wrap=not wraps)
    for outcome in outcomes:
        table.add_row(
            outcome.check,
            _measured(outcome),
            worst_shown(outcome),
            _limit(outcome, "error"),
            _limit(outcome, "warn"),
            _found(outcome),
        )
    return table


def _measured(outcome: RuleOutcome) -> str:
    every = outcome.measured + outcome.not_applicable
    return f"{outcome.measured} of {every}" if outcome.not_applicable else str(outcome.measured)


def worst_shown(outcome: RuleOutcome) -> str:
    """The worst reading; where there is none, nothing lay within reach, or nothing was missing."""
    if outcome.worst is None:
        return "none" if outcome.measured else "-"
    told = [finding.limit for finding in outcome.findings[:1]]  # one that passes may look like its limit
    apart = [shown_apart(outcome.worst, limit, outcome.unit)[0] for limit in told]
    return max(apart, key=len, default=shown(outcome.worst, outcome.unit))


def _limit(outcome: RuleOutcome, level: str) -> str:
    signs = {f"{level}_below": "<", f"{level}_above": ">"}
    texts = [
        f"{sign} {limit_shown(outcome.limits[name], outcome.unit)}"
        for name, sign in signs.items()
        if name in outcome.limits
    ]
    return " or ".join(texts) or "-"


def _found(outcome: RuleOutcome) -> Text:
    levels = [finding.level for finding in outcome.findings if finding.status is Status.NEW]
    texts = [
        Text(many(levels.count(level), level.value), style=style)
        for level, style in STYLE_OF_LEVEL.items()
        if level in levels
    ]
    states = [finding.status for finding in outcome.findings]
    texts += [
        Text(f"{states.count(state)} {state}", style=QUIET)
        for state in (Status.KNOWN, Status.WAIVED)
        if state in states
    ]
    if outcome.close:
        texts.append(Text(f"{outcome.close} close"))
    return Text(", ").join(texts)
