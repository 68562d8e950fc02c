"""The command `trim`: write a corrected layer, and prove it by reading it back and judging it."""

import argparse
from functools import partial
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Final, NamedTuple

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

    from pastecheck.board_files import BoardFile
    from pastecheck.cuts import CutFile
    from pastecheck.layers import Layer
    from pastecheck.limits import Limits
    from pastecheck.measurements import Measurements
    from pastecheck.openings import Openings
    from pastecheck.report import Report
    from pastecheck.rulesets import RuleSet
    from pastecheck.trim.outcome import Trimming
    from pastecheck.trim.proof import Proof

_USAGE: Final = "pastecheck trim LAYER --rules SET --out FILE [options]"
_STATUS: Final = (
    "exit status: of the result, as pastecheck check has it: 0 judged, nothing at or above --fail-on; 1 "
    "judged, something is; 2 nothing was written (standard error says why)"
)


_NOT_NAMED: Final = "the trimmed layer"
"""What a layer is called that goes nowhere."""


class _Inputs(NamedTuple):
    """All that is read."""

    layer: "Layer"
    rule_set: "RuleSet"
    files: "tuple[BoardFile, ...]"
    limits: "Limits"
    everything: bool

    @property
    def sha256(self) -> str:
        """Of the layer file."""
        import hashlib

        return hashlib.sha256(self.layer.content).hexdigest()


class _Result(NamedTuple):
    """What comes of it."""

    content: bytes
    """The corrected layer."""
    told: "Trimming"
    report: "Report"
    outlines: "CutFile | None"
    """None where they were not asked for."""
    page: "Iterator[str] | None"
    """As well."""


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
    result = _trimmed(_inputs(options), options)
    _write(result, options)
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


def _inputs(options: argparse.Namespace) -> _Inputs:
    """What is read, once it is sure that results may go where they are to."""
    from pastecheck import board_files, layers, outputs

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
    beside_it = board_files.board_files_of(named, limits)
    return _Inputs(found[0], rule_set, beside_it, limits, options.everything)


def _asked(rule_set: "RuleSet", names: list[str]) -> "RuleSet":
    """The rule set with what was asked for, and without what waits to be."""
    from dataclasses import replace

    from pastecheck.cli.arguments import nearest_of

    waiting = rule_set.trim.on_request
    for name in names:
        if name not in waiting:
            hint = (
                nearest_of(name, waiting) if waiting else "the rule set has no entry that waits to be asked"
            )
            raise usage(f"--also {quoted(name)}: there is no such entry to ask for", hint)
    return replace(rule_set, trim=rule_set.trim.asked(names))


def _trimmed(inputs: _Inputs, options: argparse.Namespace) -> _Result:
    """The corrected layer, what there is to say of it, and the report on it."""
    import hashlib

    from pastecheck import __version__, gerber, layers, run
    from pastecheck.openings import cut_from
    from pastecheck.trim import trimmed
    from pastecheck.trim.errors_of import found_in
    from pastecheck.trim.groups import ReadBack, findings_of_all, groups_of
    from pastecheck.trim.marks import marks_in, marks_of
    from pastecheck.trim.notes import notes_of
    from pastecheck.trim.outcome import Change, Trimming
    from pastecheck.trim.proof import proved

    layer, rule_set, limits = inputs.layer, inputs.rule_set, inputs.limits
    drawing = gerber.read(layer.content, layer.path, limits)
    said = (*layer.diagnostics, *layers.doubts(layer, drawing), *drawing.diagnostics)
    openings = cut_from(drawing, limits, everything=inputs.everything)
    m = _measured(inputs, openings)
    marks = marks_in(layer.content)
    done = trimmed(m, rule_set, marks or (), layer.path)
    was_trimmed = marks is not None and marks.issuperset(marks_of(rule_set.trim).values())
    nothing_to_do = was_trimmed and not done.why.any() and layer.content.isascii()
    content = layer.content if nothing_to_do else _written(inputs, drawing.function, done.openings)
    out = options.out or _NOT_NAMED
    proof = proved(content, layer.path, done.openings, openings, limits, everything=inputs.everything)
    now = _measured(inputs, proof.openings)
    back = ReadBack(now, proof.origin, found_in(now, rule_set, proof.origin))
    result = layer._replace(path=out, content=content, diagnostics=(), found_in="")
    draws, everything = options.page is not None, inputs.everything
    report = run.checked(
        [result], rule_set, limits, board_files=inputs.files, everything=everything, draws=draws
    )
    thickness_mm = rule_set.foil.thickness_mm
    told = Trimming(
        tool_version=__version__,
        file=layer.path,
        sha256=inputs.sha256,
        out=options.out or "",
        out_sha256=hashlib.sha256(content).hexdigest(),
        is_written=not options.dry_run,
        rule_set=rule_set,
        asked=tuple(options.also),
        grows=options.grow,
        openings=(len(openings), len(proof.openings)),
        volume_mm3=Change(*(float(each.area_mm2.sum() * thickness_mm) for each in (m, now))),
        groups=groups_of(m, done, back, rule_set),
        findings=findings_of_all(done.before, back.found, rule_set),
        difference_mm2=proof.difference_mm2,
        bound_mm2=proof.bound_mm2,
        was_trimmed=was_trimmed,
        notes=notes_of(m, done, back.found, rule_set, marks or frozenset()),
        diagnostics=(*said, *openings.diagnostics),
        verdict=report.verdict.value,
    )
    outlines = None if options.outlines is None else _outlines(inputs, now)
    page = None if options.page is None else _page(report, told, openings, proof)
    return _Result(content, told, report, outlines, page)


def _page(report: "Report", told: "Trimming", drawn: "Openings", proof: "Proof") -> "Iterator[str]":
    """The page; who wants none does not wait for what writes it."""
    from pastecheck.trim.page import chunks

    return chunks(report, told, drawn, proof.openings, proof.origin)


def _outlines(inputs: _Inputs, m: "Measurements") -> "CutFile":
    """What the cutter follows, of the layer as it was read back."""
    from pastecheck.cuts import Job, cut_file

    layer, rule_set = inputs.layer, inputs.rule_set
    job = Job(PurePath(layer.path).name, inputs.sha256, rule_set.title, rule_set.cutter)
    return cut_file(m, layer.side, rule_set.outlines, rule_set.cutting, job)


def _measured(inputs: _Inputs, openings: "Openings") -> "Measurements":
    """Openings in the foil of the rule set, on the board that was named."""
    from pastecheck.board_files import beside, known_of
    from pastecheck.measurements import Measurements

    (files,) = beside([inputs.layer], inputs.files)
    board = known_of(files, openings, inputs.limits).board
    rule_set = inputs.rule_set
    return Measurements(openings, rule_set.foil, inputs.limits, sheet=rule_set.sheet, board=board)


def _written(inputs: _Inputs, function: str, openings: "Openings") -> bytes:
    """The layer file, with what it says of itself."""
    from pastecheck.trim.kept import kept_attributes
    from pastecheck.trim.marks import marks_in, marks_of
    from pastecheck.trim.writing import Header, written
    from pastecheck.units import shown_um

    layer, rule_set = inputs.layer, inputs.rule_set
    says = function or {"top": "Paste,Top", "bottom": "Paste,Bot"}.get(layer.side, "")
    foil = f"{rule_set.foil.name}, {shown_um(rule_set.foil.thickness_mm)}"
    comments = (
        f"Openings trimmed for {foil}, by the rule set {rule_set.name}, sha256 {rule_set.sha256}",
        f"from {PurePath(layer.path).name}, sha256 {inputs.sha256}",
    )
    marks = {*(marks_in(layer.content) or ()), *marks_of(rule_set.trim).values()}
    kept = kept_attributes(layer.content)
    return written(openings, Header(says, comments, kept, sorted(marks)))


def _write(result: _Result, options: argparse.Namespace) -> None:
    """Files to their places, and what was done to where it was asked for."""
    from pastecheck import outputs
    from pastecheck.trim import jsondoc

    layer = [] if options.dry_run else [outputs.Output(options.out, [result.content.decode("ascii")])]
    if result.outlines is not None:
        layer.append(outputs.Output(options.outlines, result.outlines.chunks()))
    if result.page is not None:
        layer.append(outputs.Output(options.page, result.page))
    documents = [] if options.json is None else [(options.json, jsondoc.chunks(result.told))]
    with outputs.in_place_at_the_end(layer):
        tell(documents, partial(_rendered, outlines=options.outlines), result, options)


def _rendered(result: _Result, *, outlines: str, width: int, colour: bool, quiet: bool) -> str:
    """What was done, then the report on the result, then what to know of the outlines."""
    from pastecheck.cuts import terminal as cuts
    from pastecheck.reporters import terminal
    from pastecheck.trim.terminal import rendered

    text = terminal.rendered(result.report, width=width, colour=colour, quiet=quiet)
    if quiet:
        return text
    text = rendered(result.told, width=width, colour=colour) + text
    if result.outlines is None:
        return text
    return f"{text}\n{cuts.rendered(result.outlines, outlines, width=width, colour=colour)}"
