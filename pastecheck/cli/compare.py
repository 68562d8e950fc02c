"""The command `compare`: what has changed between two revisions."""

import argparse
from typing import TYPE_CHECKING, Final

from pastecheck.cli.arguments import Parser, parsed, usage
from pastecheck.cli.check import (
    add_how_to_end,
    add_how_to_read,
    add_what_to_judge_by,
    limits_of,
    rule_set_of,
    status_of,
)
from pastecheck.cli.console import tell
from pastecheck.cli.status import JUDGED

if TYPE_CHECKING:
    from pastecheck.revisions import Comparison, Revision

_USAGE: Final = "pastecheck compare OLD NEW --rules SET [options]"
_STATUS: Final = (
    "exit status: 0 judged, nothing new at or above --fail-on; 1 judged, something new is; 2 not judged "
    "(standard error says why)"
)


def compare(arguments: list[str]) -> int:
    """Run the command; the exit status."""
    if (options := parsed(_parser(), arguments)) is None:
        return JUDGED
    if len(options.revisions) != 2:
        raise usage("two revisions have to be named, the old one first", f"usage: {_USAGE}")
    comparison = _made(options)
    from pastecheck.revisions import jsondoc, terminal

    texts = [(path, jsondoc.chunks(comparison)) for path in options.json]
    tell(texts, terminal.rendered, comparison, options)
    _refuse_emptied(comparison)
    return status_of(comparison.verdict, options.fail_on)


def _made(options: argparse.Namespace) -> "Comparison":
    from pastecheck import outputs, revisions

    rule_set = rule_set_of(options)
    outputs.refuse_unfit(options.json, [*options.revisions, rule_set.file, *rule_set.extended])
    limits = limits_of(options.limit)

    def judged(argument: str) -> "Revision":
        from pastecheck import layers, run

        found = layers.layers_of([argument], as_paste=options.as_paste, limits=limits)
        outputs.refuse_unfit(options.json, [layer.path for layer in found])
        return revisions.Revision(
            *run.cut_and_checked(found, rule_set, limits, everything=options.everything)
        )

    old, new = map(judged, options.revisions)
    return revisions.compared(old, new)


def _refuse_emptied(comparison: "Comparison") -> None:
    """A side that has lost all that was to be cut is no pass; one that was empty before is unchanged."""
    from pastecheck.errors import NoOpeningsError
    from pastecheck.source import Span

    for layer in comparison.layers:
        if layer.new and not layer.new.openings and layer.old and layer.old.openings:
            text = "the layer holds nothing to cut any more; all was compared"
            raise NoOpeningsError(text, Span(layer.new.file), "check that it was exported as before")


def _parser() -> Parser:
    parser = Parser(
        _USAGE,
        "Compare two revisions of a board: which openings were added, removed, moved or resized, and which "
        "findings are gone or new. For example: pastecheck compare rev-a rev-b --rules polyester-75-knife",
        _STATUS,
    )
    parser.add_argument(
        "revisions",
        nargs="*",
        metavar="OLD NEW",
        help="each a Gerber file; or a folder or .zip, whose paste layers are found, and matched by side",
    )
    add_what_to_judge_by(parser)
    parser.add_argument(
        "--json",
        metavar="FILE",
        action="append",
        default=[],
        help="write the whole comparison, for scripts, to FILE; - is standard output, and then nothing else "
        "goes there",
    )
    add_how_to_end(parser)
    add_how_to_read(parser)
    return parser
