"""The command `draw`: layers as a picture, 1 : 1 on paper."""

import argparse
from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final, NamedTuple

from pastecheck.cli.arguments import Once, Parser, parsed, quoted, usage
from pastecheck.cli.check import (
    add_how_to_read,
    add_layers,
    add_what_is_beside,
    add_what_to_judge_by,
    limits_of,
    rule_set_of,
)
from pastecheck.cli.console import put
from pastecheck.cli.status import JUDGED

if TYPE_CHECKING:
    from pastecheck.lands import Board
    from pastecheck.layers import Layer
    from pastecheck.openings import Openings
    from pastecheck.pictures import Paper, Picture
    from pastecheck.report import LayerReport
    from pastecheck.rulesets import RuleSet
    from pastecheck.source import Diagnostic

_USAGE: Final = "pastecheck draw LAYER... --out FILE.svg [--rules SET] [options]"
_STATUS: Final = "exit status: 0 drawn, whatever was found; 2 not drawn (standard error says why)"
_DPI: Final = 600
_ENDINGS: Final = (".svg", ".png")


class _Drawable(NamedTuple):
    """A layer, and what is known of it."""

    file: str
    side: str
    openings: "Openings | None"
    board: "Board"
    report: "LayerReport | None"
    diagnostics: "tuple[Diagnostic, ...]"


def draw(arguments: list[str]) -> int:
    """Run the command; the exit status."""
    if (options := parsed(_parser(), arguments)) is None:
        return JUDGED
    if not options.layers:
        raise usage("no layer was named", f"usage: {_USAGE}")
    ending, dpi = _ending(options), _dpi(options)
    found = _found(options)
    from pastecheck import pictures

    drawn = {one.file: picture for one in found if (picture := _picture(one, options)) is not None}
    paper = pictures.on_paper(tuple(drawn.values()), ", ".join(drawn))
    _write(options.out, paper, ending, dpi)
    put(_told(found, drawn, options.out))
    _refuse_empty(found)
    return JUDGED


def _parser() -> Parser:
    parser = Parser(
        _USAGE,
        "Draw what is to be cut, to scale: one layer, or both sides of a folder side by side. With a rule "
        "set what is wrong is marked: errors by diamonds, warnings by rings, narrow places by a line and its "
        "length. Printed at 100 % it is as large as the film. For example: pastecheck draw "
        "my-board-paste-top.gbr --rules polyester-75-knife --out my-board.svg",
        _STATUS,
    )
    add_layers(parser)
    parser.add_argument(
        "--out",
        action=Once,
        metavar="FILE",
        help="where the picture goes: its name ends in .svg, for any size and for the web, or in .png, in "
        "pixels; - is standard output, as .svg",
    )
    parser.add_argument("--side", choices=("top", "bottom"), help="of several layers the one of this side")
    parser.add_argument(
        "--as-drawn",
        action="store_true",
        help="bottom layers as the file has them, seen through the board; else as seen from below, as they "
        "are printed",
    )
    parser.add_argument(
        "--dpi",
        action=Once,
        metavar="NUMBER",
        help=f"of a .png, pixels to an inch on paper (default: {_DPI})",
    )
    add_what_to_judge_by(parser)
    add_what_is_beside(parser)
    add_how_to_read(parser)
    return parser


def _ending(options: argparse.Namespace) -> str:
    """The kind of file that is wanted."""
    if options.out is None:
        raise usage("no file was named to draw to", "add --out FILE.svg or --out FILE.png")
    ending = ".svg" if options.out == "-" else Path(options.out).suffix.lower()
    if ending not in _ENDINGS:
        hint = "a name that ends in .svg or in .png says how to draw"
        raise usage(f"--out {quoted(options.out)} does not say what kind of picture is wanted", hint)
    if options.dpi is not None and ending != ".png":
        raise usage("--dpi is for pictures in pixels", "leave it out, or name a file that ends in .png")
    return ending


def _dpi(options: argparse.Namespace) -> int:
    text = str(_DPI) if options.dpi is None else options.dpi
    if not (text.isascii() and text.isdecimal() and len(text) <= 6 and int(text)):
        raise usage(f"--dpi {quoted(text)} is no number of pixels", f"write it as --dpi {_DPI}")
    return int(text)


def _rule_set(options: argparse.Namespace) -> "RuleSet | None":
    """What the layers are held against; nothing without --rules."""
    if options.rules is not None:
        return rule_set_of(options)
    for option in ("thickness", "powder"):
        if getattr(options, option) is not None:
            raise usage(f"--{option} is given, and nothing to judge by", "add --rules SET, or leave it out")
    return None


def _found(options: argparse.Namespace) -> list[_Drawable]:
    """Layers read, and judged where there is a rule set, once it is sure that a picture may go there."""
    from pastecheck import board_files, layers, outputs, run

    rule_set = _rule_set(options)
    named = {option: getattr(options, option.value) for option in board_files.Option}
    beside = [path for paths_of_option in named.values() for path in paths_of_option]
    beside += [rule_set.file, *rule_set.extended] if rule_set else []
    outputs.refuse_unfit([options.out], [*options.layers, *beside])
    limits = limits_of(options.limit)
    every = layers.layers_of(options.layers, as_paste=options.as_paste, limits=limits)
    outputs.refuse_unfit([options.out], [layer.path for layer in every])
    found = _of_side(every, options.side)
    files = board_files.board_files_of(named, limits)
    everything = options.everything
    if rule_set is None:
        seen = run.seen(found, limits, board_files=files, everything=everything)
        drawn = [_Drawable(one.file, one.layer.side, *one.seen, None, one.diagnostics) for one in seen]
    else:
        report, of_each = run.seen_and_checked(
            found, rule_set, limits, board_files=files, everything=everything
        )
        both = zip(report.layers, of_each, strict=True)
        drawn = [_Drawable(layer.file, layer.side, *seen, layer, layer.diagnostics) for layer, seen in both]
    return sorted(drawn, key=lambda one: one.side != "top")


def _of_side(layers: "Sequence[Layer]", side: str | None) -> "Sequence[Layer]":
    if side is None:
        return layers
    if found := [layer for layer in layers if layer.side == side]:
        return found
    sides = ", ".join(f"{quoted(layer.path)} ({layer.side})" for layer in layers)
    raise usage(f"--side {side}: no layer is known to be of that side", f"there is {sides}; leave out --side")


def _picture(one: _Drawable, options: argparse.Namespace) -> "Picture | None":
    """None where there is nothing to cut."""
    from pastecheck.pictures import picture_of

    if one.openings is None:
        return None
    is_mirrored = one.side == "bottom" and not options.as_drawn
    return picture_of(one.openings, one.board, one.report, side=one.side, is_mirrored=is_mirrored)


def _write(path: str, paper: "Paper", ending: str, dpi: int) -> None:
    from pastecheck import outputs

    if path == outputs.STANDARD_OUTPUT:
        put([paper.text], verbatim=True)
        return
    content: Iterable[str | bytes] = [paper.text]
    if ending == ".png":
        from pastecheck.pictures.png import rendered

        content = [rendered(paper, dpi)]
    with outputs.in_place_at_the_end([outputs.Output(path, content)]):
        pass


def _told(found: Sequence[_Drawable], drawn: "Mapping[str, Picture]", path: str) -> Iterator[str]:
    """What was drawn, and what the reader said of the files."""
    from pastecheck.outputs import STANDARD_OUTPUT
    from pastecheck.pictures import described
    from pastecheck.reporters._harmless import harmless

    if path == STANDARD_OUTPUT:
        return
    for file, picture in drawn.items():
        yield f"{harmless(file)}: {described(picture)}\n"
    for one in found:
        for said in one.diagnostics:
            yield f"{harmless(str(said.span))}: {said.level}[{said.code}]: {harmless(said.text)}\n"
    yield f"{quoted(path)} is written\n"


def _refuse_empty(found: Sequence[_Drawable]) -> None:
    """What holds nothing to cut has no picture, though the other side of its board was drawn and told of."""
    from pastecheck.errors import NoOpeningsError
    from pastecheck.source import Span

    empty = [one.file for one in found if one.openings is None]
    if empty:
        others = ", ".join(one.file for one in found if one.openings is not None)
        hint = f"if it has no parts, name only what has: {others}"
        raise NoOpeningsError("the layer holds nothing to cut; the rest was drawn", Span(empty[0]), hint)
