"""
Pages about rule sets: which there are, what one of them says and where, and what two of them have apart.

For a terminal as plain text, and for scripts as JSON. What they tell is handed over; nothing here knows rule
sets.
"""

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final, NamedTuple

from rich.table import Table
from rich.text import Text

from pastecheck import __version__
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._json import dumps
from pastecheck.reporters._printing import printed
from pastecheck.source import Span

FORMAT_VERSION: Final = 1
_INDENT: Final = "  "


class Entry(NamedTuple):
    """Something that a rule set says, or what holds where it does not say."""

    name: str
    """Such as `error below`, or `thickness`."""
    text: str
    """Its value with its unit, for people."""
    value: object
    """Its value for scripts: a number, a text, a truth, or pairs of numbers."""
    unit: str
    """Of the value: `1` for ratios, empty where it has none."""
    place: Span | None
    """Where it was set; None where nothing says, so that it is as if unsaid."""


class Part(NamedTuple):
    """A section of a rule set (foil, cutter, sheet, cutting), or a check."""

    name: str
    entries: Sequence[Entry]
    is_check: bool = False
    is_judged: bool = False
    """Whether a check has limits."""
    source: str = ""
    """Where the limits come from."""
    source_place: Span | None = None


@dataclass(frozen=True, slots=True)
class RuleSetPage:
    """What a rule set says, with all that it extends."""

    name: str
    title: str
    file: str
    extended: Sequence[str]
    """Files that it extends, the first word first."""
    sha256: str
    parts: Sequence[Part]
    not_run: Sequence[str]
    """Checks that exist and are not in it."""
    notices: Sequence[str] = ()


class Listed(NamedTuple):
    """A rule set that ships, in a line."""

    name: str
    title: str
    material: str
    thickness: str
    thickness_mm: float
    cutter: str


class Difference(NamedTuple):
    """Something that two rule sets do not say alike; None where one of them does not say it at all."""

    part: str
    name: str
    one: Entry | None
    other: Entry | None


class Comparison(NamedTuple):
    """Two rule sets, what they have apart, and the parts that they have in common."""

    one: RuleSetPage
    other: RuleSetPage
    differences: Sequence[Difference]
    alike: Sequence[str]


# ------------------------------------------------------------------------------------------ for people


def of_rule_sets(listed: Sequence[Listed]) -> str:
    """Name, material, thickness and cutter of each rule set, one a line."""
    rows = [
        [harmless(text) for text in (one.name, one.material, one.thickness, one.cutter)] for one in listed
    ]
    columns = [max(map(len, column)) for column in zip(*rows, strict=True)] if rows else []
    return "".join(
        f"{name:<{columns[0]}}  {material:<{columns[1]}}  {thickness:>{columns[2]}}  {cutter}".rstrip() + "\n"
        for name, material, thickness, cutter in rows
    )


def of_rule_set(page: RuleSetPage, width: int = 80) -> str:
    """A rule set in force: each limit and setting, where it was set, and where the limits come from."""
    facts = [("file", page.file)]
    if page.extended:
        facts.append(("extends", ", ".join(page.extended)))
    facts += [("note", notice) for notice in page.notices]
    head = [f"{harmless(page.name)}: {harmless(page.title)}", *(_fact(*fact, width) for fact in facts)]
    blocks = ["\n".join(head), *("\n".join(_part(part, width)) for part in page.parts)]
    if page.not_run:
        blocks.append(_wrapped(f"Not in this rule set, so not checked: {', '.join(page.not_run)}", width))
    return "\n\n".join(blocks) + "\n"


def _part(part: Part, width: int) -> Iterator[str]:
    yield harmless(part.name)
    if part.is_check and not part.is_judged:
        yield f"{_INDENT}no limits: measured, not judged"
    rows = [(harmless(one.name), harmless(one.text), _place(one.place)) for one in part.entries]
    names = max((len(name) for name, _, _ in rows), default=0)
    texts = max((len(text) for _, text, _ in rows if len(text) <= width // 3), default=0)
    for name, text, place in rows:
        line = f"{_INDENT}{name:<{names}}  {text:<{texts}}  {place}".rstrip()
        yield line if len(text) <= texts else _long(name, names, text, place, width)
    if part.source:
        yield _fact("source", f"{part.source} ({part.source_place})", width)


def _long(name: str, names: int, text: str, place: str, width: int) -> str:
    """A text of several lines, and its place after it."""
    first = f"{_INDENT}{name:<{names}}  "
    return _filled(f"{text} ({place})", width, first, " " * len(first))


def _place(place: Span | None) -> str:
    return "default" if place is None else harmless(str(place))


def of_comparison(found: Comparison, width: int = 80) -> str:
    """
    What two rule sets have apart, side by side; then what they have in common.

    Sources are told where only they differ.
    """
    heads = (found.one.name, found.other.name)
    if heads[0] == heads[1]:
        heads = (found.one.file, found.other.file)
    if not found.differences:
        return f"{harmless(heads[0])} and {harmless(heads[1])} say the same\n"
    table = Table.grid(padding=(0, 2, 0, 0))
    table.add_column(no_wrap=True)
    table.add_column(overflow="fold")
    table.add_column(overflow="fold")
    table.add_row("", *(Text(harmless(head)) for head in heads))
    part = ""
    for one in _worth_a_row(found.differences):
        if one.part != part:
            part = one.part
            table.add_row("")
            table.add_row(Text(harmless(part)))
        sides = (_side(side) for side in (one.one, one.other))
        table.add_row(Text(f"{_INDENT}{harmless(one.name)}"), *sides)
    alike = f"Alike in both: {', '.join(found.alike) or 'nothing'}"
    return f"{printed([table], width)}\n{_wrapped(alike, width)}\n"


def _worth_a_row(differences: Sequence[Difference]) -> list[Difference]:
    """All but sources of limits that differ: other limits come from elsewhere."""
    with_others = {one.part for one in differences if one.name != "source"}
    return [one for one in differences if one.name != "source" or one.part not in with_others]


def _side(entry: Entry | None) -> Text:
    return Text("-" if entry is None else harmless(entry.text))


# ------------------------------------------------------------------------------------------ for scripts


def json_of_rule_sets(listed: Sequence[Listed]) -> str:
    """The rule sets that ship."""
    keys = ("name", "title", "material", "thickness_mm", "cutter")
    return _json(
        "pastecheck rule sets", {"rule_sets": [{key: getattr(one, key) for key in keys} for one in listed]}
    )


def json_of_rule_set(page: RuleSetPage) -> str:
    """A rule set in force, each value with its place."""
    parts = [
        {
            "name": part.name,
            "is_check": part.is_check,
            "entries": [_entry(one) for one in part.entries],
            "source": {"text": part.source, "place": _span(part.source_place)} if part.source else None,
        }
        for part in page.parts
    ]
    rest = {"parts": parts, "not_run": list(page.not_run), "notices": list(page.notices)}
    return _json("pastecheck rule set", _summary(page) | rest)


def json_of_comparison(found: Comparison) -> str:
    """What two rule sets have apart."""
    differences = [
        {"part": each.part, "name": each.name, "one": _entry(each.one), "other": _entry(each.other)}
        for each in found.differences
    ]
    sides = {"one": _summary(found.one), "other": _summary(found.other)}
    return _json(
        "pastecheck rule set comparison", sides | {"differences": differences, "alike": list(found.alike)}
    )


def _summary(page: RuleSetPage) -> dict[str, Any]:
    return {
        "name": page.name,
        "title": page.title,
        "file": page.file,
        "sha256": page.sha256,
        "extended": list(page.extended),
    }


def _entry(entry: Entry | None) -> dict[str, Any] | None:
    if entry is None:
        return None
    return {**entry._asdict(), "place": _span(entry.place)}


def _span(place: Span | None) -> dict[str, Any] | None:
    return None if place is None else {"file": place.path, "line": place.line, "column": place.column}


def _json(kind: str, rest: dict[str, Any]) -> str:
    head = {"format": kind, "format_version": FORMAT_VERSION}
    tool = {"tool": {"name": "pastecheck", "version": __version__}}
    return dumps(head | tool | rest, indent=1) + "\n"


# ------------------------------------------------------------------------------------------ lines


def _fact(name: str, text: str, width: int) -> str:
    return _filled(f"{name}: {text}", width, _INDENT, _INDENT * 2)


def _wrapped(text: str, width: int) -> str:
    return _filled(text, width, "", "")


def _filled(text: str, width: int, first: str, rest: str) -> str:
    return textwrap.fill(
        harmless(" ".join(text.split())),
        max(width, 20),
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
        break_long_words=False,
    )
