"""
Which layer a file is: by what it says of itself, and only then by its name.

First comes the attribute made for it (.FileFunction); then attributes of apertures and objects that only one
kind of layer has; then titles, which are the names of image and layer, and comments that name a layer in
plain words; and last the name of the file. Where content and name contradict each other about paste, that is
told, and neither is believed.
"""

import re
from collections.abc import Iterator
from enum import StrEnum
from pathlib import PurePath
from typing import Final, NamedTuple

from pastecheck import gerber
from pastecheck.gerber.lexer import decoded
from pastecheck.layer_names import (
    COPPER,
    DRILL,
    OUTLINE,
    PASTE,
    UNKNOWN,
    NameHint,
    hint_of,
    hint_of_title,
    is_all_known,
)
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
    """paste, or another layer in plain words; empty where nothing tells, or things contradict each other."""
    side: str
    """top, bottom or unknown."""
    reason: str
    """What says so, such as `the image name 'Solderpaste Top'`."""
    source: Source
    contradiction: str = ""
    """In words, who says what, where one says paste and the other does not."""

    @property
    def is_paste(self) -> bool:
        """Whether it is a paste layer."""
        return self.kind == PASTE


_NOTHING: Final = Evidence("", UNKNOWN, "", Source.NOTHING)


def evidence_of(head: bytes, path: str) -> Evidence:
    """
    What kind of layer a file is.

    Args:
        head: The file, or its first `HEAD_BYTES`.
        path: Its path, with `/`.

    Example:
        >>> evidence_of(b"%FSLAX46Y46*%%INSolderpaste Top*%", "board.gbr")[:3]
        ('paste', 'top', "the image name 'Solderpaste Top'")
        >>> evidence_of(b"%FSLAX46Y46*%%INTop Copper*%", "board.gtp").contradiction
        "the image name 'Top Copper' says copper, but the extension .gtp says paste"
    """
    head, hint = head[:HEAD_BYTES], hint_of(PurePath(path).name)
    if functions := gerber.file_functions(head):
        return _by_function(functions[0], hint)
    content = _by_attributes(head) or _by_titles(head)
    if content is None:
        return _by_name(hint)
    paste = [content.is_paste, hint.kind == PASTE]
    if hint.is_firm and any(paste) and not all(paste):
        who = f"{content.reason} says {content.kind}, but {hint.reason} says {hint.kind}"
        return _NOTHING._replace(contradiction=who)
    return content._replace(side=_one_side(content.side, hint.side)) if all(paste) else content


def _by_function(function: str, hint: NameHint) -> Evidence:
    fields = [field.strip().lower() for field in function.split(",")]
    sides = [side for field, side in (("top", "top"), ("bot", "bottom")) if field in fields]
    side = sides[0] if sides else hint.side
    is_paste = fields[0] == PASTE
    return Evidence(PASTE if is_paste else quoted(function), side, ".FileFunction", Source.FUNCTION)


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
    What the titles of a file say, where they say one thing.

    An outline is often drawn on layers of other kinds, and is then named beside them: it counts only alone.
    """
    titles = [(reason, hint_of_title(title)) for reason, title in _titles_of(head)]
    kinds = {hint.kind for _, hint in titles}
    if kinds != {OUTLINE}:
        kinds -= {OUTLINE, ""}
    if len(kinds) != 1:
        return None
    said = [(reason, hint) for reason, hint in titles if hint.kind in kinds]
    sides = {hint.side for _, hint in said} - {UNKNOWN}
    side = sides.pop() if len(sides) == 1 else UNKNOWN
    return _content(said[0][1].kind, said[0][0], side)


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
