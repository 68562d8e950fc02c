"""The command `check`: measure, judge, report."""

import argparse
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Final

from pastecheck.cli.arguments import Once, Parser, parsed, quoted, usage
from pastecheck.cli.console import tell
from pastecheck.cli.project import (
    add_project,
    layers_and_files,
    or_project,
    project_of,
    refuse_bad_day,
    with_project,
    with_waivers,
)
from pastecheck.cli.status import FOUND, JUDGED
from pastecheck.limits import NAMES, STANDARD, Limits

if TYPE_CHECKING:
    from pastecheck.project import Project
    from pastecheck.report import Report, Verdict
    from pastecheck.reporters import Reporter
    from pastecheck.rulesets import RuleSet

_STATUS: Final = (
    "exit status: 0 judged, nothing at or above --fail-on; 1 judged, something is; 2 not judged (standard "
    "error says why)"
)
_USAGE: Final = "pastecheck check LAYER... --rules SET [options]"


def check(arguments: list[str]) -> int:
    """Run the command; the exit status."""
    from pastecheck import reporters

    formats = reporters.catalogue()
    if (options := parsed(_parser(formats), arguments)) is None:
        return JUDGED
    refuse_bad_day(options)
    project = project_of(options)
    if project is not None:
        options = with_project(options, project, tuple(formats))
    elif not options.layers:
        hint = f"usage: {_USAGE}; or let pastecheck start write a project file here"
        raise usage("no layer was named", hint)
    options.fail_on = options.fail_on or "error"
    wanted = [(format_, path) for format_ in formats.values() for path in getattr(options, format_.option)]
    report = _judged(options, project, wanted)
    tell([(path, format_.chunks(report)) for format_, path in wanted], _rendered, report, options)
    _refuse_empty(report, project)
    return status_of(report.verdict, options.fail_on)


def _refuse_empty(report: "Report", project: "Project | None") -> None:
    """What holds nothing to cut is no pass, though the other side of its board was judged and told of."""
    from pastecheck.errors import NoOpeningsError
    from pastecheck.source import Span

    empty = [layer.file for layer in report.layers if layer.lacks_openings]
    if empty:
        others = ", ".join(layer.file for layer in report.layers if layer.openings)
        hint = f"if it has no parts, name only what has: {others}"
        if project is not None:
            hint = f"if it has no parts, say 'may-be-empty: true' of it in {project.file}"
        raise NoOpeningsError("the layer holds nothing to cut; the rest was judged", Span(empty[0]), hint)


def _judged(
    options: argparse.Namespace, project: "Project | None", wanted: Sequence[tuple["Reporter", str]]
) -> "Report":
    """The report, made once it is sure that reports may go to the paths wanted."""
    from dataclasses import replace

    from pastecheck import board_files, layers, outputs, run
    from pastecheck.report import Level

    paths = [path for _, path in wanted]
    rule_set = rule_set_of(options, project)
    named = {option: getattr(options, option.value) for option in board_files.Option}
    beside = [path for paths_of_option in named.values() for path in paths_of_option]
    beside += [options.known] if options.known else []
    beside += project.inputs if project else ()
    outputs.refuse_unfit(paths, [*options.layers, *beside, rule_set.file, *rule_set.extended])
    limits = limits_of(options.limit)
    if project is None:
        found = layers.layers_of(options.layers, as_paste=options.as_paste, limits=limits)
        files = board_files.board_files_of(named, limits)
    else:
        found, files = layers_and_files(options, project, limits)
    outputs.refuse_unfit(paths, [layer.path for layer in found])
    held_against_known = _known_in(options.known, limits)
    report = run.checked(
        found,
        rule_set,
        limits,
        board_files=files,
        everything=options.everything,
        draws=any(format_.draws for format_, _ in wanted),
    )
    if options.fail_on == "warning":
        report = replace(report, fails_at=Level.WARNING)
    if project is not None:
        report = with_waivers(report, project, options)
    return held_against_known(report)


def _known_in(path: str | None, limits: Limits) -> "Callable[[Report], Report]":
    """Marks in a report what an earlier one has; that is read now, before anything is judged."""
    if path is None:
        return lambda report: report
    from pastecheck import revisions

    known = revisions.known_in(path, limits)
    return lambda report: revisions.held_against(report, known)


def limits_of(raised: Sequence[str]) -> Limits:
    """The limits of reading, those of `--limit NAME=NUMBER` in place of ours."""
    limits = STANDARD
    for text in raised:
        name, _, number = text.partition("=")
        if not (number.isascii() and number.isdecimal()):
            raise usage(
                f"--limit {quoted(text)} gives no whole number", "write it as --limit objects=5000000"
            )
        try:
            limits = limits.raised(name, int(number[:18]))
        except ValueError as problem:
            raise usage(f"--limit: {problem}", f"limits are {', '.join(NAMES)}") from None
    return limits


def _parser(formats: Mapping[str, "Reporter"]) -> Parser:
    parser = Parser(
        _USAGE,
        "Measure every opening of paste layers, judge them by a rule set, and say what to do. For example: "
        "pastecheck check my-board-paste-top.gbr --rules polyester-75-knife. Without LAYER all is as "
        "pastecheck.yaml in the current folder says; options count more than it",
        _STATUS,
    )
    add_layers(parser)
    add_what_to_judge_by(parser)
    add_what_is_beside(parser)
    for option, format_ in formats.items():
        text = f"write {format_.says}, to FILE; - is standard output, and then nothing else goes there"
        parser.add_argument(f"--{option}", metavar="FILE", action="append", default=[], help=text)
    _add_what_is_known(parser)
    add_project(parser)
    add_how_to_end(parser)
    parser.set_defaults(fail_on=None)  # so that it is known whether it was given
    add_how_to_read(parser)
    return parser


def add_layers(parser: Parser) -> None:
    """What is read."""
    parser.add_argument(
        "layers",
        nargs="*",
        metavar="LAYER",
        help="a Gerber file; or a folder or .zip, whose paste layers are found by what the files or else "
        "their names say",
    )


def add_what_to_judge_by(parser: Parser) -> None:
    """Options for the rule set, the sheet and the paste."""
    parser.add_argument(
        "--rules",
        action=Once,
        metavar="SET",
        help="name of a rule set (pastecheck rules lists them), or path of your own .yaml file",
    )
    parser.add_argument(
        "--thickness",
        action=Once,
        metavar="LENGTH",
        help='film thickness instead of the rule set\'s, with its unit: "75 um", "3 mil", "0.1 mm"',
    )
    parser.add_argument(
        "--powder",
        action=Once,
        metavar="TYPE",
        help="powder type of the paste, 3 to 8, instead of the rule set's",
    )


def add_what_is_beside(parser: Parser) -> None:
    """Options for the other layers of the board."""
    for option, text in (
        ("land", "copper of the same side: what openings lie on, and how much of it they cover"),
        ("mask", "solder mask of the same side; without it only flashed pads of the copper are lands"),
        ("outline", "outline of the board: what lies beyond it"),
    ):
        again = "" if option == "outline" else "; may be given once for each side"
        parser.add_argument(f"--{option}", metavar="FILE", action="append", default=[], help=text + again)


def with_options(rule_set: "RuleSet", options: argparse.Namespace) -> "RuleSet":
    """A rule set with the sheet and the paste at hand in place of its own."""
    from pastecheck import rulesets
    from pastecheck.units import how_to_write

    if options.thickness is not None:
        try:
            rule_set = rule_set.with_thickness(rulesets.read_thickness(options.thickness))
        except ValueError as problem:
            raise usage(f"--thickness: {problem}", how_to_write("mm")) from None
    if options.powder is not None:
        if not rule_set.judges_powder:
            raise usage(
                "--powder: the rule set has no powder-fit to judge it by", "add the rule, or leave it out"
            )
        try:
            rule_set = rule_set.with_powder(options.powder)
        except ValueError as problem:
            raise usage(f"--powder: {problem}", "the type stands on the label of the paste") from None
    return rule_set


def add_how_to_end(parser: Parser) -> None:
    """Options for the exit status, and for what is shown."""
    parser.add_argument(
        "--fail-on",
        choices=("error", "warning", "never"),
        default="error",
        help="what makes the exit status 1 (default: error)",
    )
    parser.add_argument(
        "--color",
        choices=("auto", "always", "never"),
        default="auto",
        help="colour on the terminal (default: auto, and then NO_COLOR is honoured)",
    )
    parser.add_argument("--quiet", action="store_true", help="verdict lines only")


def _add_what_is_known(parser: Parser) -> None:
    parser.add_argument(
        "--known",
        action=Once,
        metavar="FILE",
        help="an earlier report of this board, as --json wrote it: its findings are known, and only what is "
        "new, or has become worse, counts",
    )


def add_how_to_read(parser: Parser) -> None:
    """Options for how layer files are taken."""
    parser.add_argument(
        "--as-paste",
        action="store_true",
        help="take the files named for paste layers, though they or their names say that they are others",
    )
    parser.add_argument(
        "--everything",
        action="store_true",
        help="judge all that is drawn as an opening, also the thin outlines, lettering and slivers that are "
        "otherwise left out and told",
    )
    parser.add_argument(
        "--limit",
        metavar="NAME=NUMBER",
        action="append",
        default=[],
        help="read more of a file than is read as a rule; the error that asks for it says what to write. "
        f"NAME is {', '.join(NAMES)}; pastecheck explain too-large tells what each bounds",
    )


def rule_set_of(options: argparse.Namespace, project: "Project | None" = None) -> "RuleSet":
    """The rule set that options name, with the sheet and the paste at hand in place of its own."""
    from pastecheck import rulesets

    if project is not None:
        from pastecheck.project import rule_set_of

        return with_options(rule_set_of(project, options.rules), options)
    if options.rules is None:
        names = ", ".join(rulesets.shipped())
        hint = f"add --rules with one of {names}, or with your own .yaml file"
        raise usage("no rule set was named", f"{hint}{or_project()}")
    return with_options(rulesets.load(options.rules), options)


def _rendered(report: "Report", *, width: int, colour: bool, quiet: bool) -> str:
    """The report for people; what that takes is not loaded for anybody else."""
    from pastecheck.reporters import terminal

    return terminal.rendered(report, width=width, colour=colour, quiet=quiet)


def status_of(verdict: "Verdict", fail_on: str) -> int:
    """What a verdict comes to."""
    from pastecheck.report import Verdict

    failing = {"error": {Verdict.FAIL}, "warning": {Verdict.FAIL, Verdict.CARE}, "never": set[Verdict]()}
    return FOUND if verdict in failing[fail_on] else JUDGED
