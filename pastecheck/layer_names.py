"""What names say of a layer: the name of its file, and the titles that the file gives itself."""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path, PurePosixPath
from types import MappingProxyType
from typing import Any, Final, NamedTuple

import yaml

PASTE: Final = "paste"
OUTLINE: Final = "outline"
COPPER: Final = "copper"
MASK: Final = "solder mask"
DRILL: Final = "drill"
DRAWING: Final = "drawing"
UNKNOWN: Final = "unknown"
INNER: Final = "inner"

_LOADER: type[yaml.SafeLoader] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_WORD = re.compile(r"[A-Z]?[a-z]+|[A-Z]+(?![a-z])")
_LONGEST = 255
"""Letters of a name that are looked at, from its end: what file systems take; archives may hold more."""
_SHORT = 2
"""Letters of a word that is a mark of its layer or number and tells nothing, as in L1 or rev. b."""


class NameHint(NamedTuple):
    """What a name says."""

    kind: str
    """paste, or another layer in plain words; empty where the name says nothing."""
    side: str
    """top, bottom, inner (of copper) or unknown."""
    reason: str
    """What in the name says so, such as `the extension .gtp`."""
    is_gerber: bool
    """Whether the extension is one of Gerber layers."""
    is_firm: bool = False
    """Whether the extension says so, or the words at the end: those in front may be the board's."""
    has_firm_side: bool = False
    """Whether the same is true of its side."""


class _Said(NamedTuple):
    """A word of a name that tells a layer."""

    kind: str
    word: str
    at: int
    before: tuple[str, ...]
    """What is joined to it in front: `top` in toppaste, `t` in tcream."""
    after: tuple[str, ...]


def hint_of(name: str) -> NameHint:
    """
    What a file name says: its extension before its words, and of its words the last that tells a layer.

    Names begin with a board and end with a layer, so a board called `paste-pump` does not make paste of its
    copper.

    Example:
        >>> hint_of("board-PasteTop.gbr")[:3]
        ('paste', 'top', "the word 'paste'")
        >>> hint_of("board.GTL")[:2], hint_of("paste-pump-F_Cu.gbr")[:2]
        (('copper', 'top'), ('copper', 'top'))
    """
    known, path = _known(), PurePosixPath(name[-_LONGEST:])
    extension = path.suffix[1:].lower()
    if hint := _hint_of_extension(extension):
        return hint
    is_gerber = extension in known["gerber"]
    words = _words_of(path.stem if is_gerber else path.name)
    said = _last_said(words)
    if said is None:
        return NameHint("", UNKNOWN, "", is_gerber)
    reason, is_last = f"the word '{said.word}'", all(map(_tells_nothing, words[said.at + 1 :]))
    own = _side(*_without_the_board(words, said))
    side = _side(words, said) if own == UNKNOWN else own
    return NameHint(said.kind, side, reason, is_gerber, is_last, has_firm_side=is_last and own != UNKNOWN)


def hint_of_title(title: str) -> NameHint:
    """
    What a title says that a file gives itself: only what it ends with, for the rest may be the board's.

    Example:
        >>> hint_of_title("Solderpaste Top")[:2], hint_of_title("board-F_Paste.gbr")[:2]
        (('paste', 'top'), ('paste', 'top'))
        >>> hint_of_title("paste pump")[:2]
        ('', 'unknown')
    """
    hint = hint_of(re.split(r"[/\\]", title.strip())[-1])
    return hint if hint.is_firm else NameHint("", UNKNOWN, "", hint.is_gerber)


def may_be_paste(name: str) -> bool:
    """Whether a file name is that of a paste layer, or of a Gerber layer of which it does not say which."""
    hint = hint_of(name)
    return hint.kind == PASTE or (hint.is_gerber and not hint.kind)


def is_all_known(text: str) -> bool:
    """Whether a text has no words but those that tell a layer, its side or what a file is."""
    return all(_said(word, 0) or _tells_nothing(word) for word in _words_of(text))


def _words_of(text: str) -> list[str]:
    """Words in lower case, split where capitals begin, accents left out."""
    bare = "".join(one for one in unicodedata.normalize("NFKD", text) if not unicodedata.combining(one))
    return [word.lower() for word in _WORD.findall(bare)]


def _hint_of_extension(extension: str) -> NameHint | None:
    known, reason = _known(), f"the extension .{extension}"
    for side, extensions in known[PASTE]["extensions"].items():
        if extension in extensions:
            return NameHint(PASTE, side, reason, is_gerber=True, is_firm=True, has_firm_side=True)
    for kind, other in known["others"].items():
        for side, extensions in other["extensions"].items():
            if extension in extensions:
                return NameHint(kind, side, reason, is_gerber=True, is_firm=True, has_firm_side=True)
    return None


def _tells_nothing(word: str) -> bool:
    known = _known()
    sides = {name for names in known["sides"].values() for name in names}
    return len(word) <= _SHORT or word in {*known["behind"], *known["joined"], *sides}


def _without_the_board(words: list[str], said: _Said) -> tuple[list[str], _Said]:
    """The words at the end, from the first that cannot be of the board's name."""
    begin = said.at
    while begin and _tells_nothing(words[begin - 1]):
        begin -= 1
    return words[begin:], said._replace(at=said.at - begin)


def _last_said(words: list[str]) -> _Said | None:
    """The last word that tells a layer; "mask" right after one for paste belongs to it."""
    last: _Said | None = None
    for at, text in enumerate(words):
        said = _said(text, at)
        belongs = last is not None and (last.kind, last.at) == (PASTE, at - 1)
        if said and not (belongs and said.word in _known()[PASTE]["belongs"]):
            last = said
    return last


def _said(text: str, at: int) -> _Said | None:
    """A word as one that tells a layer, paste before others: "pastemask" is paste."""
    for kind, pattern in _patterns().items():
        if found := pattern.fullmatch(text):
            return _Said(kind, found[2], at, tuple(_parts(found[1])), tuple(_parts(found[3])))
    return None


def _side(words: list[str], said: _Said) -> str:
    """The side that the words of a name tell; unknown where they tell none, or both."""
    direct = {*said.before, *(words[said.at - 1 : said.at] if not said.before else ())}
    whole = {word for word in (*words, *said.after) if len(word) > 1}
    sides = {side for side, names in _known()["sides"].items() if (direct | whole) & set(names)}
    return sides.pop() if len(sides) == 1 else UNKNOWN


@cache
def _known() -> dict[str, Any]:
    text = Path(__file__).with_name("layer_names.yaml").read_text(encoding="utf-8")
    known: dict[str, Any] = yaml.load(text, Loader=_LOADER)  # noqa: S506 -- a safe one
    return known


@cache
def _patterns() -> Mapping[str, re.Pattern[str]]:
    """
    By kind, the words that tell it, with what may be joined to them in front and behind.

    A single letter tells a side only in front; behind, an s is a plural and all else another word ("cuts").
    """
    known = _known()
    words = {PASTE: known[PASTE]["words"]} | {kind: other["words"] for kind, other in known["others"].items()}
    front, behind = _any_of(_joined()), _any_of(part for part in _joined() if len(part) > 1)
    return MappingProxyType(
        {
            kind: re.compile(f"((?:{front})*?)({_any_of(some)})((?:{behind})*)s?")
            for kind, some in words.items()
        }
    )


def _parts(text: str) -> Iterator[str]:
    return (found[0] for found in re.finditer(_any_of(_joined()), text))


def _joined() -> Iterator[str]:
    known = _known()
    yield from known["joined"]
    for names in known["sides"].values():
        yield from names


def _any_of(words: Iterable[str]) -> str:
    return "|".join(sorted(map(re.escape, words), key=len, reverse=True))
