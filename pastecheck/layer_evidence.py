"""
Which layer a file is: by what it says of itself, and only then by its name.

First comes the attribute made for it (.FileFunction); then attributes of apertures and objects that only one
kind of layer has; then titles, which are the names of image and layer, and comments that name a layer in
plain words; and last the name of the file. Where these contradict each other about paste, that is told: the
attribute is believed all the same, and else none of them.
"""

import re
from collections.abc import Iterable, Iterator
from enum import StrEnum
from pathlib import PurePath
from typing import Final, NamedTuple

from pastecheck import gerber
from pastecheck.gerber.attributes import fields_of
from pastecheck.gerber.lexer import decoded
from pastecheck.layer_names import (
    COPPER,
    DRAWING,
    DRILL,
    INNER,
    MASK,
    OUTLINE,
    PASTE,
    UNKNOWN,
    NameHint,
    hint_of,
    hint_of_title,
    is_all_known,
)
from pastecheck.source import Diagnostic, DiagnosticLevel, Documented, Span
from pastecheck.units import quoted

HEAD_BYTES: Final = 64 * 1024
"""Bytes at the start of a file in which it has to say what it is."""

_TITLE_LETTERS: Final = 200
"""Letters after which a title is a text."""
_STATEMENT: Final = re.compile(rb"(?:^|[*%])[ \t\r]*(IN|LN|G0?4)([^*%]*)\*", re.MULTILINE)
_LABEL: Final = re.compile(
    r"\s*(?:layer|film|image|plot|file|title)(?:[ _]?(?:name|title))?\s*:(.*)", re.IGNORECASE | re.DOTALL
)
_ATTRIBUTE: Final = re.compile(rb"(TA\s*\.AperFunction|TO\s*\.N)\s*,\s*([^,*]*)")
_TITLES: Final = {"IN": "the image name", "LN": "the layer name"}
_SIDES: Final = {"top": "top", "bot": "bottom", "inr": INNER}
_KINDS: Final = {"copper": COPPER, "soldermask": MASK, "profile": OUTLINE, "paste": PASTE}
_COPPER_ONLY: Final = frozenset({"conductor", "viapad"})
"""What only apertures of copper are for. Those of pads should be its own too, but may be met in paste."""


class Source(StrEnum):
    """What tells which layer a file is, the surest first."""

    USER = "user"
    FUNCTION = "function"
    CONTENT = "content"
    NAME = "name"
    NOTHING = "nothing"


class Evidence(NamedTuple):
    """What kind of layer a file is, and how that is known."""

    kind: str
    """paste, or another layer in plain words; empty where nothing tells it, or nothing that is believed."""
    side: str
    """top, bottom, inner (of copper) or unknown."""
    reason: str
    """What says so, such as `the image name 'Solderpaste Top'`."""
    source: Source
    contradiction: str = ""
    """In words, who says what, where one says paste and another does not, or they say other sides of it."""

    @property
    def is_paste(self) -> bool:
        """Whether it is a paste layer."""
        return self.kind == PASTE


_NOTHING: Final = Evidence("", UNKNOWN, "", Source.NOTHING)


def evidence_of(content: bytes, path: str) -> Evidence:
    """
    What kind of layer a file is.

    Args:
        content: The file, or its first `HEAD_BYTES`. Of a whole file .FileFunction is looked for everywhere.
        path: Its path, with `/`.

    Example:
        >>> evidence_of(b"%FSLAX46Y46*%%INSolderpaste Top*%", "board.gbr")[:3]
        ('paste', 'top', "the image name 'Solderpaste Top'")
        >>> evidence_of(b"%FSLAX46Y46*%%INTop Copper*%", "board.gtp").contradiction
        "the image name 'Top Copper' says copper, but the extension .gtp in its name says paste"
    """
    head, hint = content[:HEAD_BYTES], hint_of(PurePath(path).name)
    titles = _by_titles(head)
    said = [one for one in (_by_attributes(head), titles) if one]
    name = _by_name(hint)
    firm = [name] if hint.is_firm else []
    if functions := gerber.file_functions(content):
        own = _by_function(list(functions), hint)
        others = [*(one for one in said if one.kind != OUTLINE), *firm]
        return own._replace(contradiction=_contradiction(own, others) or _other_side(own, titles, hint))
    if not said:
        return name
    if who := _contradiction(said[0], [*said[1:], *firm]):
        return _NOTHING._replace(contradiction=who)
    same = said[0].kind == name.kind
    return said[0]._replace(side=_one_side(said[0].side, hint.side)) if same else said[0]


def told_of(evidence: Evidence, path: str) -> tuple[Diagnostic, ...]:
    """What a file was taken for paste by, if not by the attribute made for it; and what contradicts that."""
    span, note = Span(path), DiagnosticLevel.NOTE
    if evidence.contradiction:
        text = f"{evidence.contradiction}; check that it is the right layer and side, or add --as-paste"
        return (Diagnostic("doubtful-paste", DiagnosticLevel.WARNING, text, span),)
    if evidence.source is Source.CONTENT:
        text = f"taken for a paste layer by {evidence.reason}; the file has no attribute .FileFunction"
        return (Diagnostic("paste-by-content", note, text, span),)
    if evidence.source is Source.NAME:
        text = f"taken for a paste layer by {evidence.reason}; the file itself does not tell"
        return (Diagnostic("paste-by-name", note, text, span),)
    if evidence.source is Source.NOTHING:
        text = "taken for a paste layer as it was named; neither the file nor its name tells what layer it is"
        return (Diagnostic("paste-as-named", note, text, span),)
    return ()


def _contradiction(first: Evidence, others: Iterable[Evidence]) -> str:
    """Who says what, where one says paste and the other does not; "" where all agree about that."""
    for one in (first, *others):
        if one.contradiction:
            return one.contradiction
        if one.is_paste is not first.is_paste:
            return f"{first.reason} says {first.kind}, but {one.reason} says {one.kind}"
    return ""


def _other_side(own: Evidence, titles: Evidence | None, hint: NameHint) -> str:
    """Who says another side of a paste layer than its attribute does; "" where nothing does."""
    told = [(titles.reason, titles.side)] if titles else []
    told += [(f"{hint.reason} in its name", hint.side)] if hint.has_firm_side else []
    for reason, side in told:
        if own.is_paste and UNKNOWN not in (side, own.side) and side != own.side:
            return f"{own.reason} says the {own.side} side, but {reason} goes with the {side} side"
    return ""


def _by_function(functions: list[str], hint: NameHint) -> Evidence:
    """What the attribute says; where it says two things, the reader refuses what is taken for paste."""
    function = next((one for one in functions if fields_of(one)[0] == PASTE), functions[0])
    kind, *fields = fields_of(function)
    sides = [side for field, side in _SIDES.items() if field in fields]
    side = sides[0] if sides else hint.side
    reason = "the attribute .FileFunction"
    return Evidence(PASTE if kind == PASTE else quoted(function), side, reason, Source.FUNCTION)


def kind_of_function(function: str) -> str:
    """
    What kind of layer a value of .FileFunction is, in plain words; empty for those that matter nowhere.

    Example:
        >>> kind_of_function("Copper,L1,Top"), kind_of_function("Soldermask,Bot"), kind_of_function("Other,x")
        ('copper', 'solder mask', '')
    """
    return _KINDS.get(fields_of(function)[0], "")


def _by_name(hint: NameHint) -> Evidence:
    if not hint.kind:
        return _NOTHING
    return Evidence(hint.kind, hint.side, f"{hint.reason} in its name", Source.NAME)


def _one_side(one: str, other: str) -> str:
    """The side that both tell, or the one that tells it; unknown where they differ."""
    sides = {one, other} - {UNKNOWN}
    return sides.pop() if len(sides) == 1 else UNKNOWN


def _by_attributes(head: bytes) -> Evidence | None:
    """Attributes that only copper or drill has, or only an outline: paste may hold one beside openings."""
    found = [(name, decoded(value).strip()) for name, value in _ATTRIBUTE.findall(head)]
    functions = {value.lower(): value for name, value in found if name.startswith(b"TA")}
    kinds = {_kind_of_function(function): value for function, value in functions.items()}
    for kind in (COPPER, DRILL):
        if kind in kinds:
            return _content(kind, f"the aperture attribute {quoted(kinds[kind])}")
    if any(name.startswith(b"TO") and value for name, value in found):
        return _content(COPPER, "the net attribute .N")
    return _content(OUTLINE, "the aperture attribute 'Profile'") if set(kinds) == {OUTLINE} else None


def _kind_of_function(function: str) -> str:
    if function in _COPPER_ONLY:
        return COPPER
    if function.endswith(DRILL):
        return DRILL
    return OUTLINE if function == "profile" else ""


def _by_titles(head: bytes) -> Evidence | None:
    """
    What the titles of a file say.

    Outlines and drawings are often drawn on layers of other kinds, and then named beside them: an outline
    counts only alone, a drawing only beside it. Paste and another kind are a contradiction.
    """
    titles = [(reason, hint_of_title(title)) for reason, title in _titles_of(head)]
    kinds = {hint.kind for _, hint in titles}
    if kinds != {OUTLINE}:
        kinds -= {OUTLINE, ""}
    said = [(reason, hint) for reason, hint in titles if hint.kind in (kinds - {DRAWING} or kinds)]
    if not said:
        return None
    sides = {hint.side for _, hint in said} - {UNKNOWN}
    side = sides.pop() if len(sides) == 1 else UNKNOWN
    first, *others = (_content(hint.kind, reason, side) for reason, hint in said)
    who = _contradiction(first, others)
    return _NOTHING._replace(contradiction=who) if who else first


def _titles_of(head: bytes) -> Iterator[tuple[str, str]]:
    """Titles with where they stand, in words: names of image and layer, and comments that are titles."""
    for code, raw in _STATEMENT.findall(head):
        text = decoded(raw).strip()
        if not text or len(text) > _TITLE_LETTERS:
            continue
        if title := _TITLES.get(code.decode()):
            yield f"{title} {quoted(text)}", text
        elif label := _LABEL.fullmatch(text):
            yield f"the comment {quoted(text)}", label[1]
        elif is_all_known(text):
            yield f"the comment {quoted(text)}", text


def _content(kind: str, reason: str, side: str = UNKNOWN) -> Evidence:
    return Evidence(kind, side, reason, Source.CONTENT)


DIAGNOSTICS: Final[dict[str, Documented]] = {
    "paste-by-content": Documented(
        "the file was taken for paste by a title in it: a name of the image or layer, or a comment",
        "nothing, if it is the paste layer; many CAD programs can write the attribute .FileFunction",
    ),
    "paste-by-name": Documented(
        "the file was taken for paste by its name, as it does not tell what layer it is",
        "nothing, if it is the paste layer",
    ),
    "paste-as-named": Documented(
        "neither the file nor its name tells what layer it is; it was taken for paste because it was named",
        "check that it is the paste layer",
    ),
    "doubtful-paste": Documented(
        "the attribute .FileFunction says paste, but a title in the file, another attribute or its name goes "
        "with another layer or side",
        "check that it is the paste layer of the side that you want; --as-paste says that it is",
    ),
}
"""Told: `doubtful-paste` is a warning, the others are notes."""
