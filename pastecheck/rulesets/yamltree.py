"""
YAML that people write, as a tree in which every key and value knows its place.

Only what a settings file needs: names, texts, lists and sections. Scalars stay text, so that the reader of a
value decides what it may be. Anchors, aliases and tags are refused, for they can make a short file stand for
a huge or a dangerous one; so are doubled keys, of which YAML would keep the last without a word.
"""

import difflib
import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from types import MappingProxyType
from typing import NamedTuple, Protocol

import yaml

from pastecheck.errors import RuleSetError
from pastecheck.rulesets.codes import BAD_VALUE, DOUBLED_KEY, MISSING_KEY, NOT_YAML, REFUSED_YAML
from pastecheck.source import Span
from pastecheck.units import quoted

RULE_SET = ("title", "foil", "rules")
"""What a rule set has at least."""
MAX_KIB = 256
"""Largest file read. A rule set of all checks has some 10 KiB."""
MAX_DEPTH = 8
"""Deepest nesting read. Rule sets and project files have 4."""
MOST_TOLD = 20
"""Complaints that one reading ends with; a file that is something else altogether gets no longer list."""

_Loader: type[yaml.SafeLoader] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_UNFIT = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\ufeff\ufffe\uffff]")
_TAB = re.compile(r"^ *(\t)[\t ]*[^\s#]", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Text:
    """A scalar as written, less its quotes; empty where nothing (or null) stands."""

    text: str
    span: Span


@dataclass(frozen=True, slots=True)
class Items:
    """A list."""

    items: "tuple[Node, ...]"
    span: Span


class Entry(NamedTuple):
    """A key's place, and what it holds."""

    key: Span
    value: "Node"


@dataclass(frozen=True, slots=True)
class Section:
    """Keys and what they hold, in file order."""

    entries: Mapping[str, Entry]
    span: Span


Node = Text | Items | Section


@dataclass(slots=True)
class Complaints:
    """What is wrong with a file, collected so that it is mended once."""

    found: list[RuleSetError] = field(default_factory=list)

    @property
    def are_enough(self) -> bool:
        """Whether no more are told, so that nobody need look for them."""
        return len(self.found) > MOST_TOLD

    def add(self, code: str, text: str, span: Span, hint: str) -> None:
        """Note a complaint, to be raised later."""
        if not self.are_enough:
            self.found.append(RuleSetError(text, span, hint, code))

    def raise_if_any(self) -> None:
        """
        Raise all complaints as one.

        Raises:
            RuleSetError: The first by file and place, the rest as its `others`.
        """
        if self.found:
            files = list(dict.fromkeys(one.span.path for one in self.found))
            told = sorted(
                self.found, key=lambda one: (files.index(one.span.path), one.span.line, one.span.column)
            )
            if self.are_enough:
                what = f"there are more than {MOST_TOLD} complaints; the others are not told"
                told[MOST_TOLD:] = [RuleSetError(what, Span(files[0]), "mend these first")]
            first, *rest = told
            raise RuleSetError(first.text, first.span, first.hint, first.code, tuple(rest))


def is_file(path: Path) -> bool:
    """Whether there is a file; a path that no system could have is none."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def read_bytes(path: Path, shown: str) -> bytes:
    """
    All bytes of a file, called `shown` in complaints.

    Raises:
        RuleSetError: If it cannot be read, is no file, or is larger than MAX_KIB.
    """
    try:
        if path.is_dir():
            raise RuleSetError("this is a folder", Span(shown), "give a .yaml file")
        if path.exists() and not path.is_file():  # a pipe would be waited for
            raise RuleSetError("this is no ordinary file", Span(shown), "give a .yaml file")
        with path.open("rb") as file:
            data = file.read(MAX_KIB * 1024 + 1)
    except (OSError, ValueError) as problem:
        reason = (getattr(problem, "strerror", None) or str(problem)).lower()
        hint = "check the path, and that you may read the file"
        raise RuleSetError(f"the file cannot be read: {reason}", Span(shown), hint) from None
    if len(data) > MAX_KIB * 1024:
        raise RuleSetError(f"the file is larger than {MAX_KIB} KiB", Span(shown), "is it the right file?")
    return data


def read_section(data: bytes, shown: str, least: Sequence[str] = RULE_SET) -> Section:
    """
    The keys at the top of a YAML file.

    Args:
        data: Content of the file.
        shown: What complaints call the file.
        least: Names that a file has at least, the first of them first.

    Raises:
        RuleSetError: If it is not UTF-8, not one YAML document, or uses what is refused here.
    """
    text = _decoded(data, shown)
    complaints = Complaints()
    try:
        _guard(text, shown)
        root = yaml.compose(text, Loader=_Loader)
    except yaml.YAMLError as problem:
        raise _not_yaml(problem, text, shown) from None
    if root is None:
        hint = f"write at least {', '.join(least[:-1])} and {least[-1]}"
        raise RuleSetError("the file is empty", Span(shown), hint, MISSING_KEY)
    tree = _tree(root, shown, complaints)
    complaints.raise_if_any()
    if not isinstance(tree, Section):
        text = f"expected names with values, got {described(tree)}"
        raise RuleSetError(text, tree.span, f"begin with '{least[0]}: ...'", BAD_VALUE)
    return tree


def described(node: Node) -> str:
    """What a node is, for complaints."""
    if isinstance(node, Text):
        return quoted(node.text)
    return "a list" if isinstance(node, Items) else "a section of its own"


def nearest(name: str, known: Collection[str]) -> str:
    """A hint for somebody who wrote an unknown name."""
    near = difflib.get_close_matches(name[:60], known, n=1)
    return f"did you mean '{near[0]}'?" if near else f"known here: {', '.join(known)}"


def as_section(entry: Entry, wanted: str, complaints: Complaints) -> Section | None:
    """What stands at a name, as a section; empty where nothing stands, None where it is complained about."""
    node = entry.value
    if isinstance(node, Section):
        return node
    if isinstance(node, Text) and not node.text:
        return Section({}, node.span)
    what = f"expected {wanted}, got {described(node)}"
    complaints.add(BAD_VALUE, what, node.span, "indent them on the lines below")
    return None


def is_meant(name: str, others: Collection[str]) -> bool:
    """Whether a name is so like one of the others that the one was probably written for the other."""
    return bool(difflib.get_close_matches(name[:60], [one[:60] for one in islice(others, 100)], n=1))


def _decoded(data: bytes, shown: str) -> str:
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as problem:
        span = _after(data[: problem.start].decode("utf-8"), shown)
        what = f"byte 0x{data[problem.start]:02x} is not UTF-8"
        raise RuleSetError(what, span, "save the file as UTF-8", NOT_YAML) from None
    text = text.removeprefix("\ufeff")
    if unfit := _UNFIT.search(text):
        what = f"the character U+{ord(unfit[0]):04X} cannot stand here"
        raise RuleSetError(what, _after(text[: unfit.start()], shown), "remove it", NOT_YAML)
    if tab := _TAB.search(text):
        span = _after(text[: tab.start(1)], shown)
        raise RuleSetError("a tab stands in the indentation", span, "indent with spaces", NOT_YAML)
    return text


def _after(text: str, shown: str) -> Span:
    """The place right after a text."""
    return Span(shown, text.count("\n") + 1, len(text) - text.rfind("\n"))


class _Mark(Protocol):
    """A place as the library gives it, of either loader; counted from 0."""

    line: int
    column: int


def _place(mark: _Mark | None, shown: str) -> Span:
    return Span(shown, mark.line + 1, mark.column + 1) if mark else Span(shown)


def _guard(text: str, shown: str) -> None:
    """
    Look at a file piece by piece before anything is built from it.

    Raises:
        RuleSetError: At the first thing that is not read here: after it nothing means what it seems to.
    """
    depth = documents = 0
    for event in yaml.parse(text, Loader=_Loader):
        documents += isinstance(event, yaml.DocumentStartEvent)
        depth += isinstance(event, yaml.CollectionStartEvent)
        if found := _refused(event, depth, documents):
            what, hint = found
            raise RuleSetError(what, _place(event.start_mark, shown), hint, REFUSED_YAML)
        depth -= isinstance(event, yaml.CollectionEndEvent)


def _refused(event: yaml.Event, depth: int, documents: int) -> tuple[str, str] | None:
    """What is not read here, and what to do; None where there is nothing of the kind."""
    if isinstance(event, yaml.DocumentStartEvent) and documents == 2:
        return "a second document begins here", "keep one, without '---' between"
    if isinstance(event, yaml.NodeEvent) and event.anchor is not None:
        sign = "*" if isinstance(event, yaml.AliasEvent) else "&"
        what = f"anchors and aliases are not read here, got {quoted(sign + event.anchor)}"
        return what, "write the value out where it belongs"
    if isinstance(event, yaml.ScalarEvent | yaml.CollectionStartEvent) and event.tag is not None:
        return f"tags are not read here, got {quoted(event.tag)}", "remove it"
    if isinstance(event, yaml.CollectionStartEvent) and depth > MAX_DEPTH:
        return f"nested deeper than {MAX_DEPTH}", "4 is all that is needed"
    return None


def _not_yaml(problem: yaml.YAMLError, text: str, shown: str) -> RuleSetError:
    """In our own words, because the two loaders of the library use different ones."""
    mark: _Mark | None = getattr(problem, "problem_mark", None)
    began: _Mark | None = getattr(problem, "context_mark", None)
    if str(getattr(problem, "problem", "")).startswith("mapping values are not allowed"):
        hint = "put a text that holds it in quotes, and a space after the ':' of a name"
        return RuleSetError("a second ':' in one line", _place(mark, shown), hint, NOT_YAML)
    if str(getattr(problem, "problem", "")).startswith("could not find expected ':'"):
        return RuleSetError("a name without ':'", _place(began, shown), "write 'name: value'", NOT_YAML)
    if "cannot start any token" in str(getattr(problem, "problem", "")):
        what = "a text cannot begin with this sign"
        return RuleSetError(what, _place(mark, shown), "put it in quotes", NOT_YAML)
    if mark and began and mark.line > text.rstrip().count("\n"):
        mark = began  # something that never ended
    hint = "look here and just above for an open quote or bracket, a missing colon, or odd indentation"
    return RuleSetError("cannot be read as YAML from here on", _place(mark, shown), hint, NOT_YAML)


def _tree(node: yaml.Node, shown: str, complaints: Complaints) -> Node:
    """Called for trees no deeper than MAX_DEPTH."""
    span = _place(node.start_mark, shown)
    if isinstance(node, yaml.MappingNode):
        return _section(node, shown, complaints)
    if isinstance(node, yaml.SequenceNode):
        return Items(tuple(_tree(item, shown, complaints) for item in node.value), span)
    return Text("" if node.tag == "tag:yaml.org,2002:null" else node.value, span)


def _section(node: yaml.MappingNode, shown: str, complaints: Complaints) -> Section:
    entries: dict[str, Entry] = {}
    for key_node, value_node in node.value:
        key = _tree(key_node, shown, complaints)
        if not isinstance(key, Text) or not key.text:
            what = f"expected a name, got {described(key)}"
            complaints.add(BAD_VALUE, what, key.span, "write 'name: value'")
        elif key.text == "<<":
            hint = "write the values out; what several rule sets share goes into a file that they extend"
            complaints.add(REFUSED_YAML, "merge keys are not read here, got '<<'", key.span, hint)
        elif key.text in entries:
            first = entries[key.text].key.line
            text = f"{quoted(key.text)} stands here a second time"
            complaints.add(DOUBLED_KEY, text, key.span, f"the first is in line {first}; keep one of them")
        else:
            entries[key.text] = Entry(key.span, _tree(value_node, shown, complaints))
    return Section(MappingProxyType(entries), _place(node.start_mark, shown))
