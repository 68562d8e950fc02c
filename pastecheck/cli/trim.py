"""The command `trim`: write a corrected layer, and prove it by reading it back and judging it."""

import argparse
from functools import partial
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Final

from pastecheck.cli.arguments import Once, Parser, parsed, quoted, usage
from pastecheck.cli.check import (
    add_how_to_end,
    add_how_to_read,
    add_what_is_beside,
    add_what_to_judge_by,
    limits_of,
    rule_set_of,
    status_of,
)
from pastecheck.cli.console import tell
from pastecheck.cli.status import JUDGED

if TYPE_CHECKING:
    from collections.abc import Iterator

    from pastecheck.correction import Corrected, Request
    from pastecheck.cuts import CutFile
    from pastecheck.rulesets import RuleSet

_USAGE: Final = "pastecheck trim LAYER --rules SET --out FILE [options]"
_STATUS: Final = (
    "exit status: of the result, as pastecheck check has it: 0 judged, nothing at or above --fail-on; 1 "
    "judged, something is; 2 nothing was written (standard error says why)"
)


def trim(arguments: list[str]) -> int:
    """Run the command; the exit status."""
    if (options := parsed(_parser(), arguments)) is None:
        return JUDGED
    if len(options.layers) != 1:
        raise usage("name one layer to trim", f"usage: {_USAGE}")
    if options.out is None and not options.dry_run:
        raise usage("no file was named to write", "add --out FILE, or --dry-run to see what would be done")
    if options.outlines is not None and options.dry_run:
        raise usage("--dry-run writes no outlines", "leave out one of the two")
    from pastecheck.correction import corrected

    request = _request(options)
    result = corrected(request)
    _write(request, result, options)
    return status_of(result.report.verdict, options.fail_on)


def _parser() -> Parser:
    parser = Parser(
        _USAGE,
        "Write a paste layer with the openings that a rule set asks for, read it back and judge it. For "
        "example: pastecheck trim paste-top.gbr --rules polyester-75-knife --out paste-top-trimmed.gbr",
        _STATUS,
    )
    parser.add_argument("layers", nargs="*", metavar="LAYER", help="a Gerber file; it is never changed")
    add_what_to_judge_by(parser)
    add_what_is_beside(parser)
    parser.add_argument("--out", action=Once, metavar="FILE", help="the corrected layer")
    parser.add_argument(
        "--grow",
        action="store_true",
        help="also enlarge openings with errors, as the remedies of check say; without it none grows",
    )
    parser.add_argument(
        "--also",
        metavar="ENTRY",
        action="append",
        default=[],
        help="also do what the rule set does only if it is asked, such as circles: those entries that "
        "pastecheck rules SET shows as only-if-asked. May be given again",
    )
    parser.add_argument(
        "--outlines",
        action=Once,
        metavar="FILE",
        help="also write what the cutter follows: the outlines of the corrected layer as SVG, 1 : 1 in mm",
    )
    parser.add_argument(
        "--page",
        action=Once,
        metavar="FILE",
        help="also write a page for the browser: the report on the corrected layer, and what was changed, "
        "drawn before and after",
    )
    parser.add_argument(
        "--force",
        action="store_true",
        help="write --out, --outlines and --page though there are such files already",
    )
    parser.add_argument("--dry-run", action="store_true", help="say what would be done, and write no layer")
    parser.add_argument(
        "--json",
        action=Once,
        metavar="FILE",
        help="write what was done as JSON; - is standard "
        "output, and a file that is there is replaced, as by check",
    )
    add_how_to_end(parser)
    add_how_to_read(parser)
    return parser


def _request(options: argparse.Namespace) -> "Request":
    """What is asked for and read, once it is sure that results may go where they are to."""
    from pastecheck import board_files, layers, outputs
    from pastecheck.correction import Request

    rule_set = rule_set_of(options)
    if options.grow:
        rule_set = rule_set.with_growth()
    rule_set = _asked(rule_set, options.also)
    if not rule_set.trim:
        hint = "add a section 'trim:', or extend a set that has one: extends: base/trim-75"
        raise usage(f"the rule set {quoted(rule_set.name)} says nothing of trimming", hint)
    named = {option: getattr(options, option.value) for option in board_files.Option}
    beside = [path for paths in named.values() for path in paths]
    limits = limits_of(options.limit)
    found = layers.layers_of(options.layers, as_paste=options.as_paste, limits=limits)
    if len(found) != 1:
        raise usage(
            f"{quoted(options.layers[0])} holds {len(found)} paste layers",
            "trim one at a time: " + ", ".join(layer.path for layer in found),
        )
    files = {"--out": options.out, "--outlines": options.outlines, "--page": options.page}
    paths = [path for path in (*files.values(), options.json) if path is not None]
    outputs.refuse_unfit(paths, [*options.layers, found[0].path, *beside, rule_set.file, *rule_set.extended])
    for option, path in files.items():
        if path == outputs.STANDARD_OUTPUT:
            raise usage(f"{option} names no file", "name a file: only reports go to standard output")
        is_written = not options.dry_run or option == "--page"
        if path and is_written and not options.force and Path(path).exists():
            raise usage(f"there is a file {quoted(path)} already", "name another, or add --force")
    return Request(
        layer=found[0],
        rule_set=rule_set,
        asked=tuple(options.also),
        grows=options.grow,
        board_files=board_files.board_files_of(named, limits),
        limits=limits,
        everything=options.everything,
        out=options.out or "",
        is_written=not options.dry_run,
        draws=options.page is not None,
    )


def _asked(rule_set: "RuleSet", names: list[str]) -> "RuleSet":
    """The rule set with what was asked for, and without what waits to be."""
    from dataclasses import replace

    from pastecheck.cli.arguments import nearest_of

    waiting = rule_set.trim.on_request
    for name in names:
        if name not in waiting:
            if name in rule_set.trim.entries:
                raise usage(f"--also {quoted(name)}: it counts without being asked for", "leave it out")
            hint = (
                nearest_of(name, waiting) if waiting else "the rule set has no entry that waits to be asked"
            )
            raise usage(f"--also {quoted(name)}: there is no such entry to ask for", hint)
    return replace(rule_set, trim=rule_set.trim.asked(names))


def _write(request: "Request", result: "Corrected", options: argparse.Namespace) -> None:
    """Files to their places, and what was done to where it was asked for."""
    from pastecheck import outputs
    from pastecheck.trim import jsondoc

    files = [] if options.dry_run else [outputs.Output(options.out, [result.content.decode("ascii")])]
    outlines = None if options.outlines is None else _outlines(request, result)
    if outlines is not None:
        files.append(outputs.Output(options.outlines, outlines.chunks()))
    if options.page is not None:
        files.append(outputs.Output(options.page, _page(request, result)))
    documents = [] if options.json is None else [(options.json, jsondoc.chunks(result.told))]
    with outputs.in_place_at_the_end(files):
        tell(documents, partial(_rendered, outlines=outlines, path=options.outlines), result, options)


def _outlines(request: "Request", result: "Corrected") -> "CutFile":
    """What the cutter follows, of the layer as it was read back."""
    from pastecheck.cuts import Job, cut_file
    from pastecheck.geometry.bounded import TooMuchError

    layer, rule_set = request.layer, request.rule_set
    job = Job(PurePath(layer.path).name, request.sha256, rule_set.title, rule_set.cutter)
    try:
        return cut_file(result.now, layer.side, rule_set.outlines, rule_set.cutting, job)
    except TooMuchError as found:
        raise found.in_file(layer.path) from None


def _page(request: "Request", result: "Corrected") -> "Iterator[str]":
    """The page; who wants none does not wait for what writes it, and for the layer as drawn to be judged."""
    from pastecheck.judge import Source, layer_report
    from pastecheck.trim.page import chunks

    source = Source(request.layer.path, request.sha256, request.layer.side)
    before = layer_report(result.drawn, request.rule_set, source)
    proof = result.proof
    return chunks(result.report, before, result.told, result.drawn.openings, proof.openings, proof.origin)


def _rendered(
    result: "Corrected", *, outlines: "CutFile | None", path: str, width: int, colour: bool, quiet: bool
) -> str:
    """What was done, then the report on the result, then what to know of the outlines."""
    from pastecheck.cuts import terminal as cuts
    from pastecheck.reporters import terminal
    from pastecheck.trim.terminal import rendered

    text = terminal.rendered(result.report, width=width, colour=colour, quiet=quiet)
    if quiet:
        return text
    text = rendered(result.told, width=width, colour=colour) + text
    if outlines is None:
        return text
    return f"{text}\n{cuts.rendered(outlines, path, width=width, colour=colour)}"
