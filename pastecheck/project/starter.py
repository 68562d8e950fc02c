"""A folder -> a project file to begin with, which explains each line."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from pathlib import Path, PurePath
from typing import Final, NamedTuple

from pastecheck.board_files import Option, kind_of
from pastecheck.errors import InputError
from pastecheck.layer_evidence import HEAD_BYTES, Evidence, Source
from pastecheck.layer_files import files_of_folder, is_hidden
from pastecheck.layer_names import COPPER, MASK, OUTLINE, UNKNOWN, hint_of
from pastecheck.layers import Layer, layers_of
from pastecheck.limits import STANDARD, Limits
from pastecheck.source import Span
from pastecheck.units import quoted

RULES: Final = "polyester-75-knife"
"""What most people begin with; the file says how to find another."""
_KINDS: Final[Mapping[str, Option]] = {COPPER: Option.LAND, MASK: Option.MASK, OUTLINE: Option.OUTLINE}
_WHAT: Final[Mapping[Option, str]] = {
    Option.LAND: "copper of this side",
    Option.MASK: "solder mask of this side",
    Option.OUTLINE: "outline of the board",
}


class _Found(NamedTuple):
    """A file that might stand beside a paste layer."""

    path: str
    """Within the folder, with `/`."""
    option: Option
    side: str
    is_sure: bool
    """Whether the file says itself what it is."""


class Beside(NamedTuple):
    """A board file that it names, and for which layer; paths as reports show them."""

    option: Option
    path: str
    layer: str


class Starter(NamedTuple):
    """A project file to begin with."""

    path: str
    """Where it belongs."""
    text: str
    beside: tuple[Beside, ...]


def started(
    folder: str,
    name: str,
    without: Mapping[str, str] | None = None,
    empty: Collection[str] = (),
    limits: Limits = STANDARD,
) -> Starter:
    """
    The project file of a folder.

    Args:
        folder: Where layers are looked for.
        name: What the file is to be called there.
        without: Board files that turned out not to fit, and why; they stand there as comments.
        empty: Layers that hold nothing to cut, as far as is known.
        limits: How much is read at most.

    Raises:
        InputError: If it is no folder, has such a file already, or holds no paste layer.
    """
    root = Path(folder)
    shown = root.as_posix()
    if not root.is_dir():
        raise InputError("there is no such folder", Span(shown), "name the folder of the board", "no-file")
    path = root / name
    if path.exists() or path.is_symlink():
        text = "there is a project file already, and it stays as it is"
        raise InputError(text, Span(path.as_posix()), "edit it, or give it another name first", "project")
    layers = layers_of([folder], limits=limits)
    prefix = "" if shown == "." else f"{shown.rstrip('/')}/"
    named = {one.path: _within(one.path, prefix) for one in layers}
    candidates = tuple(_candidates(root, shown, prefix, limits))
    beside = {one.path: _beside(one, named[one.path], layers, candidates) for one in layers}
    dropped = {_within(path, prefix): why for path, why in (without or {}).items()}
    lines = [*_lines(layers, named, beside, dropped, empty), *_left_out(layers, shown), _TAIL.rstrip("\n")]
    taken = [
        Beside(one.option, f"{prefix}{one.path}", layer)
        for layer, files in beside.items()
        for one in _kept(files, dropped)
    ]
    return Starter(path.as_posix(), "\n".join(lines) + "\n", tuple(taken))


def _kept(files: Sequence[_Found], dropped: Mapping[str, str]) -> list[_Found]:
    """Those that are not dropped; a mask needs its copper."""
    kept = [one for one in files if one.path not in dropped]
    has_land = any(one.option is Option.LAND for one in kept)
    return [one for one in kept if has_land or one.option is not Option.MASK]


def in_quotes(text: str) -> str:
    r"""
    A text as YAML has it in double quotes, so that whatever is in it is only text.

    Raises:
        ValueError: If it holds bytes that are no text.

    Example:
        >>> print(in_quotes('a "b"\n'))
        "a \"b\"\x0a"
    """
    return f'"{"".join(map(_escaped, text))}"'


def _escaped(character: str) -> str:
    number = ord(character)
    if 0xD800 <= number < 0xE000:
        raise ValueError("a half of a character, which stands for a byte that is no text")
    if character in '"\\':
        return f"\\{character}"
    if character.isprintable() and number < 0xFFFE:
        return character
    width, letter = (2, "x") if number < 0x100 else (4, "u") if number < 0x10000 else (8, "U")
    return f"\\{letter}{number:0{width}x}"


def _within(path: str, prefix: str) -> str:
    """A path from the folder; refused where YAML cannot hold it."""
    within = path.removeprefix(prefix)
    try:
        in_quotes(within)
    except ValueError as problem:
        text = f"the name of {quoted(within)} cannot be written: it holds {problem}"
        raise InputError(text, Span(path), "give the file another name", "project") from None
    return within


def _candidates(root: Path, shown: str, prefix: str, limits: Limits) -> Iterator[_Found]:
    """Files that say, or whose names say, that they are copper, mask or outline."""
    for file in files_of_folder(root, shown, limits).files:
        within = file.path.removeprefix(prefix)
        if is_hidden(within) or any(0xD800 <= ord(one) < 0xE000 for one in within):
            continue
        try:
            kind, evidence = kind_of(file.read(HEAD_BYTES), file.path)
        except InputError:
            continue
        if _is_meant(kind, evidence, file.path):
            yield _Found(within, _KINDS[kind], evidence.side, evidence.source is Source.FUNCTION)


def _is_meant(kind: str, evidence: Evidence, path: str) -> bool:
    """Whether it is clear enough what a file is; what only its name tells has to look like a layer."""
    if kind not in _KINDS or evidence.contradiction:
        return False
    has_side = kind == OUTLINE or evidence.side in {"top", "bottom"}
    return has_side and (evidence.source is not Source.NAME or hint_of(PurePath(path).name).is_gerber)


def _beside(
    layer: Layer, within: str, layers: Sequence[Layer], candidates: Sequence[_Found]
) -> tuple[_Found, ...]:
    """The board files of a layer; none where it is not clear which is meant."""
    found: list[_Found] = []
    for option in Option:
        if option is Option.MASK and not found:
            continue
        fits = [
            one
            for one in candidates
            if one.option is option and (option is Option.OUTLINE or one.side == layer.side != UNKNOWN)
        ]
        near = [one for one in fits if PurePath(one.path).parent == PurePath(within).parent]
        for some in (near, fits):
            sure = [one for one in some if one.is_sure] or some
            if len(sure) == 1 and (some is near or len(layers) <= len({one.side for one in layers})):
                found += sure
                break
            if some:
                break
    return tuple(found)


# ------------------------------------------------------------------------------------------------- writing

_HEAD: Final = """\
# What pastecheck judges here. To do it:  pastecheck check
# All paths are taken from the folder of this file. Options on the command line win over what stands here.
# What may stand here:  pastecheck start --schema  prints a JSON Schema, with which editors help.

# The sheet and the cutter: the name of a rule set, or the path of your own.
#   pastecheck rules           lists those that ship
#   pastecheck films FOLDER    tells which of them suits this board
"""
_MIDDLE: Final = """\

# The film and the paste at hand, where they are others than the rule set has:
# thickness: 80 um
# powder: 4

# Limits of single checks that count instead of the rule set's, each with its source:
# limits:
#   web-width:
#     error-below: 0.16 mm
#     warn-below: 0.20 mm
#     source: trial cut of ours, and its date

# The paste layers. Copper and mask of a side together tell its lands: whether openings lie on them, and how
# much of each they cover (without the mask only flashed pads of the copper are lands). What lies beyond the
# outline is told. Where a side has no parts, 'may-be-empty: true' says that there may be nothing to cut.
layers:
"""
_TAIL: Final = """\

# Findings of an earlier report are known, and only new ones count. To write one:
#   pastecheck check --json known.json
# known: known.json

# Findings that are to stay, each with a reason. What is found no more, or is over, is told.
# waivers:
#   - check: web-width          # or a list: [web-width, web-slenderness]
#     component: J2             # or a place: at: [47.42 mm, 32.00 mm] and within: 0.5 mm
#     down-to: 0.14 mm          # what is narrower counts all the same; may be left out
#     reason: the connector has been printed so for years
#     until: 2030-12-31         # the last day it counts; may be left out

# Reports to write:
# reports:
#   json: paste-report.json     # for scripts, and for 'known' later
#   sarif: paste.sarif          # for code hosts
#   junit: paste-junit.xml      # for CI systems

# What makes the exit status 1: error, warning or never.
fail-on: error
"""


def _lines(
    layers: Sequence[Layer],
    named: Mapping[str, str],
    beside: Mapping[str, Sequence[_Found]],
    dropped: Mapping[str, str],
    empty: Collection[str],
) -> Iterator[str]:
    yield f"{_HEAD}rules: {RULES}"
    yield _MIDDLE.rstrip("\n")
    for layer in layers:
        side = f"{layer.side} side" if layer.side != UNKNOWN else "its side is not known: add 'side: top'"
        yield f"  - file: {in_quotes(named[layer.path])}  # {side}"
        kept = _kept(beside[layer.path], dropped)
        for one in beside[layer.path]:
            entry = f"{one.option.value}: {in_quotes(one.path)}"
            if one in kept:
                yield f"    {entry}  # {_WHAT[one.option]}"
            else:
                why = dropped.get(one.path, "it needs the copper")
                yield f"    # {entry}  # left out: {_in_a_line(why)}"
        it_is = "  # it holds nothing to cut; if that is right, say so" if layer.path in empty else ""
        yield f"    # may-be-empty: true{it_is}"


def _left_out(layers: Sequence[Layer], folder: str) -> Iterator[str]:
    """What might be paste as well, and was not taken."""
    for one in layers:
        for said in one.diagnostics:
            if said.span.path == folder:
                yield f"# {_in_a_line(said.text)}"


def _in_a_line(text: str) -> str:
    return "".join(one if one.isprintable() else " " for one in text)
