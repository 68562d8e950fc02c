"""
Pages to read at a terminal: what a check measures, which rule sets there are, and what one of them says.

They are plain text. What they tell comes from checks and rule sets, of which nothing here knows; whoever asks
for a page hands over the data.
"""

import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._limits import limit_shown

_INDENT = "  "
_LIMITS: Mapping[str, str] = {
    "error_below": "error below",
    "warn_below": "warning below",
    "error_above": "error above",
    "warn_above": "warning above",
}
_UNITS: Mapping[str, str] = {"1": "none, it is a ratio"}


class Setting(NamedTuple):
    """A parameter of a check, or what a rule set gives it."""

    name: str
    value: str
    place: str = ""
    """`path:line:column` where it was set, or empty."""


class Limit(NamedTuple):
    """A limit in force."""

    name: str
    """Such as `error_below`."""
    value: float
    place: str
    """`path:line:column` where it was set."""


class Bound(NamedTuple):
    """A limit of what is read."""

    name: str
    most: int
    says: str
    """What it bounds."""


class Case(NamedTuple):
    """A layer small enough to work out by hand, and what the check reads from it."""

    says: str
    readings: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class CheckPage:
    """What there is to say of a check."""

    check: str
    quantity: str
    unit: str
    worse: str
    """below, above or both."""
    documentation: str
    """A title line and paragraphs."""
    definition: str
    error_bound: str
    settings: Sequence[Setting]
    examples: Sequence[Case]


@dataclass(frozen=True, slots=True)
class RulePage:
    """What there is to say of one rule of a set."""

    check: str
    unit: str
    limits: Sequence[Limit]
    settings: Sequence[Setting]
    source: str
    source_place: str


@dataclass(frozen=True, slots=True)
class RuleSetPage:
    """What there is to say of a rule set."""

    name: str
    title: str
    file: str
    foil: str
    cutter: str
    """Empty where the rule set does not say."""
    rules: Sequence[RulePage]
    not_run: Sequence[str]
    """Checks that exist and are not in it."""
    notices: Sequence[str] = ()


def of_check(page: CheckPage, width: int = 80) -> str:
    """All that is to be known of a check before one trusts it."""
    title, _, rest = page.documentation.strip().partition("\n\n")
    blocks = [f"{page.check} - {' '.join(title.split())}"]
    blocks += [_wrapped(paragraph, width) for paragraph in rest.split("\n\n") if paragraph.strip()]
    worse = {"both": "below and above its limits"}.get(page.worse, f"{page.worse} its limits")
    facts = [
        ("quantity", page.quantity),
        ("unit", _UNITS.get(page.unit, page.unit)),
        ("worse", worse),
        ("definition", page.definition),
        ("error bound", page.error_bound),
    ]
    blocks.append("\n".join(_fact(name, text, width) for name, text in facts))
    settings = [
        _fact(_hyphenated(one.name), f"{one.value} unless a rule set says otherwise", width)
        for one in page.settings
    ]
    blocks.append("\n".join(["Settings that a rule may give", *(settings or [f"{_INDENT}none"])]))
    cases = [_case(case, page.unit, width) for case in page.examples]
    blocks.append("\n".join(["Worked by hand, and tested", *cases]))
    return _page(blocks)


def of_code(code: str, means: str, do: str, bounds: Sequence[Bound] = (), width: int = 80) -> str:
    """What the code of an error or diagnostic means, what to do, and the limits that it is about."""
    facts = [("means", means), ("what to do", do)]
    blocks = ["\n".join([code, *(_fact(name, text, width) for name, text in facts)])]
    if bounds:
        rows = [_fact(f"{one.name} ({one.most})", one.says, width) for one in bounds]
        blocks.append("\n".join(["Limits, with the most that is read unless --limit says otherwise", *rows]))
    return _page(blocks)


def of_rule_set(page: RuleSetPage, width: int = 80) -> str:
    """A rule set in force: every limit and setting, where it was set, and where the limits come from."""
    facts = [("file", page.file), ("foil", page.foil), ("cutter", page.cutter or "not said")]
    head = [
        f"{harmless(page.name)}: {harmless(page.title)}",
        *(_fact(name, text, width) for name, text in facts),
    ]
    blocks = ["\n".join([*head, *(_fact("note", notice, width) for notice in page.notices)])]
    blocks += ["\n".join(_rule(rule, width)) for rule in page.rules]
    if page.not_run:
        blocks.append(_wrapped(f"Not in this rule set, so not checked: {', '.join(page.not_run)}", width))
    return _page(blocks)


def of_rule_sets(titles: Iterable[tuple[str, str]]) -> str:
    """Names and titles of rule sets, one a line."""
    rows = [(harmless(name), harmless(title)) for name, title in titles]
    column = max((len(name) for name, _ in rows), default=0)
    return "".join(f"{name:<{column}}  {title}\n" for name, title in rows)


def _rule(rule: RulePage, width: int) -> Iterator[str]:
    yield rule.check
    rows = [(f"{_LIMITS[one.name]} {limit_shown(one.value, rule.unit)}", one.place) for one in rule.limits]
    rows += [(f"{_hyphenated(one.name)} {harmless(one.value)}", one.place) for one in rule.settings]
    if not rule.limits:
        rows.insert(0, ("no limits: measured, not judged", ""))
    column = max(len(text) for text, _ in rows)
    for text, place in rows:
        yield f"{_INDENT}{text:<{column}}  {harmless(place)}".rstrip()
    if rule.source:
        yield _fact("source", f"{rule.source} ({rule.source_place})", width)


def _case(case: Case, unit: str, width: int) -> str:
    readings = [f"{reading:.6g}" + ("" if unit == "1" else f" {unit}") for reading in case.readings]
    return _wrapped(f"{case.says} - reads {', '.join(readings) or 'nothing'}", width, _INDENT)


def _fact(name: str, text: str, width: int) -> str:
    return _wrapped(f"{name}: {text}", width, _INDENT)


def _wrapped(text: str, width: int, first: str = "") -> str:
    """A paragraph; further lines are set in where the first is."""
    return textwrap.fill(
        harmless(" ".join(text.split())),
        max(width, 20),
        initial_indent=first,
        subsequent_indent=first * 2,
        break_on_hyphens=False,
    )


def _hyphenated(name: str) -> str:
    return name.replace("_", "-")


def _page(blocks: Iterable[str]) -> str:
    return "\n\n".join(blocks) + "\n"
