"""What the name of a layer file says of it, for files that do not say it themselves."""

import re
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path, PurePosixPath
from typing import Any, Final, NamedTuple

import yaml

PASTE: Final = "paste"
UNKNOWN: Final = "unknown"

_LOADER: type[yaml.SafeLoader] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_WORD = re.compile(r"[A-Z]?[a-z]+|[A-Z]+(?![a-z])")


class NameHint(NamedTuple):
    """What a name says."""

    kind: str
    """paste, or another layer in plain words; empty where the name says nothing."""
    side: str
    """top, bottom or unknown."""
    reason: str
    """What in the name says so, such as `the extension .gtp`."""
    is_gerber: bool
    """Whether the extension is one of Gerber layers."""


def hint_of(name: str) -> NameHint:
    """
    What a file name says: its extension before its words, and words for paste before other words.

    Example:
        >>> hint_of("board-PasteTop.gbr")[:3]
        ('paste', 'top', "the word 'paste'")
        >>> hint_of("board.GTL")[:2]
        ('copper', 'unknown')
    """
    known, path = _known(), PurePosixPath(name)
    extension = path.suffix[1:].lower()
    words = [word.lower() for word in _WORD.findall(path.stem)]
    for side, extensions in known[PASTE]["extensions"].items():
        if extension in extensions:
            return NameHint(PASTE, side, f"the extension .{extension}", is_gerber=True)
    for kind, other in known["others"].items():
        if extension in other["extensions"]:
            return NameHint(kind, UNKNOWN, f"the extension .{extension}", is_gerber=True)
    is_gerber = extension in known["gerber"]
    if word := _first_in(words, known[PASTE]["words"]):
        return NameHint(PASTE, _side(words, word), f"the word '{word}'", is_gerber)
    for kind, other in known["others"].items():
        if word := _first_in(words, other["words"]):
            return NameHint(kind, UNKNOWN, f"the word '{word}'", is_gerber)
    return NameHint("", UNKNOWN, "", is_gerber)


def _first_in(words: Iterable[str], wanted: Iterable[str]) -> str:
    joined = list(words)
    return next((one for one in wanted if any(one in word for word in joined)), "")


def _side(words: list[str], paste: str) -> str:
    """The side that the words of a name tell; unknown where they tell none, or both."""
    before = set(_before(words, paste))
    said = {
        side
        for side, names in _known()["sides"].items()
        if any(name in before if len(name) == 1 else name in {*words, *before} for name in names)
    }
    return said.pop() if len(said) == 1 else UNKNOWN


def _before(words: list[str], paste: str) -> Iterator[str]:
    """What stands directly before or after the word for paste: `f` in f_paste, `top` in toppaste."""
    for previous, word in zip(["", *words], words, strict=False):
        if paste in word:
            start, _, end = word.partition(paste)
            yield start or previous
            if len(end) > 1:
                yield end


@cache
def _known() -> dict[str, Any]:
    text = Path(__file__).with_name("layer_names.yaml").read_text(encoding="utf-8")
    known: dict[str, Any] = yaml.load(text, Loader=_LOADER)  # noqa: S506 -- a safe one
    return known
