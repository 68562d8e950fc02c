"""The command `films`: which film suits a layer, and how thick one may be."""

import argparse
from typing import TYPE_CHECKING, Final

from pastecheck.cli.arguments import Once, Parser, parsed, quoted, usage
from pastecheck.cli.check import (
    add_how_to_end,
    add_how_to_read,
    add_layers,
    add_what_is_beside,
    limits_of,
    status_of,
    with_options,
)
from pastecheck.cli.console import tell
from pastecheck.cli.status import FOUND, JUDGED

if TYPE_CHECKING:
    from pastecheck.films import Films
    from pastecheck.rulesets import RuleSet

_USAGE: Final = "pastecheck films LAYER... [--rules SET]... [options]"
_STATUS: Final = (
    "exit status: 0 judged, and of each layer at least one rule set finds nothing at or above --fail-on; "
    "1 judged, and of some layer none does; 2 not judged (standard error says why)"
)


def films(arguments: list[str]) -> int:
    """Run the command; the exit status."""
    if (options := parsed(_parser(), arguments)) is None:
        return JUDGED
    if not options.layers:
        raise usage("no layer was named", f"usage: {_USAGE}")
    found = _made(options)
    from pastecheck.films import jsondoc, terminal

    texts = [(path, jsondoc.chunks(found)) for path in options.json]
    tell(texts, terminal.rendered, found, options)
    _refuse_empty(found)
    return _status(found, options.fail_on)


def _made(options: argparse.Namespace) -> "Films":
    """What the rule sets say, once it is sure that reports may go to the paths."""
    from pastecheck import board_files, layers, outputs, run

    rule_sets = _rule_sets(options)
    named = {option: getattr(options, option.value) for option in board_files.Option}
    beside = [path for paths_of_option in named.values() for path in paths_of_option]
    read = [path for one in rule_sets for path in (one.file, *one.extended)]
    outputs.refuse_unfit(options.json, [*options.layers, *beside, *read])
    limits = limits_of(options.limit)
    found = layers.layers_of(options.layers, as_paste=options.as_paste, limits=limits)
    outputs.refuse_unfit(options.json, [layer.path for layer in found])
    files = board_files.board_files_of(named, limits)
    return run.films_for(found, rule_sets, limits, board_files=files, everything=options.everything)


def _rule_sets(options: argparse.Namespace) -> list["RuleSet"]:
    """Those named, or all that ship, in the order of their foils; with the sheet and the paste at hand."""
    from pastecheck import rulesets

    found: dict[str, RuleSet] = {}
    for name in options.rules or rulesets.shipped():
        rule_set = rulesets.load(name)
        if rule_set.file in found:
            raise usage(f"--rules {quoted(name)} is given twice", "name each rule set once")
        found[rule_set.file] = rule_set
    every = list(found.values())
    if not options.rules:
        every.sort(key=lambda one: (one.cutter, one.foil.name, one.foil.thickness_mm))
    without = argparse.Namespace(**{**vars(options), "powder": None})
    any_does = any(one.judges_powder for one in every)  # where none does, the first says so
    return [with_options(one, options if one.judges_powder or not any_does else without) for one in every]


def _refuse_empty(found: "Films") -> None:
    """What holds nothing to cut suits no film, though the other side of its board was judged and told of."""
    from pastecheck.errors import NoOpeningsError
    from pastecheck.source import Span

    empty = [layer.file for layer in found.layers if not layer.openings]
    if empty:
        others = ", ".join(layer.file for layer in found.layers if layer.openings)
        hint = f"if it has no parts, name only what has: {others}"
        raise NoOpeningsError("the layer holds nothing to cut; the rest was judged", Span(empty[0]), hint)


def _status(found: "Films", fail_on: str) -> int:
    """Of each layer the best counts."""
    best = [min(status_of(one.verdict, fail_on) for one in layer.held) for layer in found.layers]
    return FOUND if FOUND in best else JUDGED


def _parser() -> Parser:
    parser = Parser(
        _USAGE,
        "Hold paste layers against all rule sets that ship, or those named: which film suits, what hinders "
        "the others, and between which thicknesses one would do. For example: pastecheck films "
        "my-board-paste-top.gbr",
        _STATUS,
    )
    add_layers(parser)
    parser.add_argument(
        "--rules",
        action="append",
        default=[],
        metavar="SET",
        help="name of a rule set (pastecheck rules lists them), or path of your own .yaml file; again for "
        "each. Without it, all that ship",
    )
    parser.add_argument(
        "--thickness",
        action=Once,
        metavar="LENGTH",
        help='film thickness instead of that of all the rule sets, with its unit: "75 um", "3 mil", "0.1 mm"',
    )
    parser.add_argument(
        "--powder",
        action=Once,
        metavar="TYPE",
        help="powder type of the paste, 3 to 8, instead of that of the rule sets that judge by one",
    )
    add_what_is_beside(parser)
    parser.add_argument(
        "--json",
        metavar="FILE",
        action="append",
        default=[],
        help="write all of it, for scripts, to FILE; - is standard output, and then nothing else goes there",
    )
    add_how_to_end(parser)
    add_how_to_read(parser)
    return parser
