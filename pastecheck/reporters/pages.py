"""
Pages to read at a terminal: what a check measures, and what a code means.

They are plain text. What they tell comes from checks and codes, of which nothing here knows; whoever asks for
a page hands over the data.
"""

import textwrap
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from pastecheck.reporters._harmless import harmless

_INDENT = "  "
_UNITS: Mapping[str, str] = {"1": "none, it is a ratio"}


class Setting(NamedTuple):
    """A parameter of a check, and what it is unless a rule set says otherwise."""

    name: str
    value: str


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


class Told(NamedTuple):
    """An entry of a section, what it is for, and what each of its values is."""

    name: str
    says: str
    values: Mapping[str, str]


def of_section(title: str, paragraphs: Sequence[str], entries: Sequence[Told], width: int = 80) -> str:
    """A section of a rule set: what its entries do, and what may stand in them."""
    blocks = [title, *(_wrapped(paragraph, width) for paragraph in paragraphs)]
    for entry in entries:
        values = [_fact(name, says, width) for name, says in entry.values.items()]
        blocks.append("\n".join([_wrapped(f"{entry.name} - {entry.says}", width), *values]))
    return _page(blocks)


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
