"""Arguments, files and exit status: the only module that prints or reads the environment."""

import argparse
import os
import sys
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from io import TextIOWrapper
from pathlib import Path
from typing import TYPE_CHECKING, Final, NoReturn

from pastecheck import __version__
from pastecheck.errors import PastecheckError, UsageError
from pastecheck.source import Span

if TYPE_CHECKING:
    from pastecheck.report import Report
    from pastecheck.reporters import Reporter
    from pastecheck.rulesets import RuleSet

JUDGED: Final = 0
FOUND: Final = 1
NOT_JUDGED: Final = 2

_HELP = """\
pastecheck judges a solder-paste layer before a stencil is cut from film or foil: it measures every opening
and every web between openings, holds them against a rule set, and says what is wrong, where, and what to do.

Usage:
  pastecheck check LAYER... --rules SET   measure, judge, report
  pastecheck rules [SET]                  list the rule sets; or show one, each limit with its source
  pastecheck explain CHECK                what a check measures, why it matters, what it cannot see
  pastecheck --version                    the version
  pastecheck COMMAND --help               all options of a command

A first example. You have exported my-board-paste-top.gbr and want to cut it from polyester film of 75 um with
a knife plotter. Find the rule set for your sheet and cutter, then check:
  pastecheck rules
  pastecheck check my-board-paste-top.gbr --rules polyester-75-knife
The first line says: cut it, cut it with care, or do not cut this. Then come the findings, the worst first.

Exit status:
  0  judged, and nothing found at the level of --fail-on (error, unless told otherwise) or above
  1  judged, and something was found
  2  not judged: the arguments, the file or the rule set; standard error says what, where and what to do
"""
_STATUS = (
    "exit status: 0 judged, nothing at or above --fail-on; 1 judged, something is; 2 not judged (standard "
    "error says why)"
)
_USAGE_OF_CHECK = "pastecheck check LAYER... --rules SET [options]"


def main(argv: Sequence[str] | None = None) -> int:
    """
    Run a command line.

    Args:
        argv: Arguments without the program's name; those of the process unless given.

    Returns:
        The exit status: 0 judged and nothing found, 1 judged and something found, 2 not judged.
    """
    # before numpy: its threads cost start-up and help nobody
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _open_what_is_closed()
    try:
        return _run(list(sys.argv[1:] if argv is None else argv))
    except PastecheckError as error:
        _complain(error)
    except KeyboardInterrupt:
        _complain(UsageError("stopped before it was done", Span("pastecheck"), "run it again", "interrupted"))
    except Exception:  # noqa: BLE001 -- a defect of ours is shown as it is, but must not pass for "judged"
        sys.excepthook(*sys.exc_info())
    return NOT_JUDGED


def _run(arguments: list[str]) -> int:
    if not arguments:
        raise _usage("no command was given", "start with: pastecheck --help")
    commands = {"check": _check, "rules": _rules, "explain": _explain}
    first, *rest = arguments
    if first in {"-h", "--help"}:
        return _say(_HELP)
    if first == "--version":
        return _say(f"pastecheck {__version__}\n")
    if first not in commands:
        raise _unknown(first, [*commands, "--help", "--version"])
    return commands[first](rest)


def _unknown(first: str, known: Sequence[str]) -> UsageError:
    if not first.startswith("-"):
        return _usage(f"there is no command {_quoted(first)}", _nearest(first, known))
    hint = _near_option(first, known, "options stand behind a command; see pastecheck check --help")
    return _usage(f"there is no option {_quoted(first)} without a command", hint)


# ----------------------------------------------------------------------------------------------- arguments


class _Parser(argparse.ArgumentParser):
    """Raises what is wrong with the arguments, where argparse would print it and leave."""

    def error(self, message: str) -> NoReturn:
        raise _usage(" ".join(message.split()), f"usage: {self.usage}")


class _Once(argparse.Action):
    """Takes a value, and refuses another: one of the two would be dropped in silence."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: object,
        option_string: str | None = None,
    ) -> None:
        if getattr(namespace, self.dest) is not None:
            parser.error(f"{option_string} is given twice")
        setattr(namespace, self.dest, values)


def _parser(usage: str, description: str, epilog: str | None = None) -> _Parser:
    return _Parser(usage=usage, description=description, epilog=epilog, allow_abbrev=False)


def _parsed(parser: _Parser, arguments: list[str]) -> argparse.Namespace | None:
    """The arguments, read; None where help was asked for, and was given."""
    arguments = _without_dashes(arguments)
    if any(one in {"-h", "--help"} for one in arguments):
        _say(parser.format_help())
        return None
    options, unknown = parser.parse_known_intermixed_args(arguments)
    if unknown:
        name = unknown[0].split("=")[0]
        known = [option for action in parser._actions for option in action.option_strings]  # noqa: SLF001
        if not name.startswith("-"):
            raise _usage(f"{_quoted(name)} is one argument too many", f"usage: {parser.usage}")
        hint = _near_option(name, known, f"usage: {parser.usage}")
        raise _usage(f"there is no option {_quoted(name)}", hint)
    return options


def _without_dashes(arguments: list[str]) -> list[str]:
    """The arguments without `--`; what follows it is no option, though it may begin like one."""
    at = arguments.index("--") if "--" in arguments else len(arguments)
    names = [f"./{one}" if one.startswith("-") else one for one in arguments[at + 1 :]]
    return [*arguments[:at], *names]


def _usage(text: str, hint: str) -> UsageError:
    return UsageError(text, Span("pastecheck"), hint)


def _quoted(text: str) -> str:
    from pastecheck.units import quoted

    return quoted(text)


def _nearest(name: str, known: Sequence[str]) -> str:
    from pastecheck.rulesets.yamltree import nearest

    return nearest(name, known)


def _near_option(name: str, known: Sequence[str], otherwise: str) -> str:
    """A hint for a misspelt option; another where it is like none, but for the dashes that all have."""
    from difflib import get_close_matches

    bare = {option.lstrip("-"): option for option in known}
    near = get_close_matches(name.lstrip("-")[:60], bare, n=1, cutoff=0.7)
    return f"did you mean '{bare[near[0]]}'?" if near else otherwise


# --------------------------------------------------------------------------------------------------- check


def _check(arguments: list[str]) -> int:
    import gc

    gc.disable()  # what is loaded and made here lives to the end; to look for garbage among it takes a tenth
    try:
        return _checked(arguments)
    finally:
        gc.enable()


def _checked(arguments: list[str]) -> int:
    from pastecheck import reporters

    formats = reporters.catalogue()
    if (options := _parsed(_parser_of_check(formats), arguments)) is None:
        return JUDGED
    if not options.layers:
        raise _usage("no layer was named", f"usage: {_USAGE_OF_CHECK}")
    wanted = [(format_, path) for format_ in formats.values() for path in getattr(options, format_.option)]
    report = _judged(options, [path for _, path in wanted])
    _tell(report, [(path, format_.chunks(report)) for format_, path in wanted], options)
    return _status(report, options.fail_on)


def _judged(options: argparse.Namespace, paths: Sequence[str]) -> "Report":
    """The report, made once it is sure that reports may go to the paths."""
    from pastecheck import layers, outputs, run

    rule_set = _rule_set_of(options)
    outputs.refuse_unfit(paths, [*options.layers, rule_set.file, *rule_set.extended])
    found = layers.layers_of(options.layers, as_paste=options.as_paste)
    outputs.refuse_unfit(paths, [layer.path for layer in found])
    return run.checked(found, rule_set)


def _tell(report: "Report", texts: Sequence[tuple[str, Iterable[str]]], options: argparse.Namespace) -> None:
    """Reports to their files; to standard output the one asked for there, or else that for people."""
    from pastecheck import outputs

    every = [outputs.Output(*each) for each in texts]
    with outputs.in_place_at_the_end(one for one in every if one.path != outputs.STANDARD_OUTPUT):
        for_machines = [one for one in every if one.path == outputs.STANDARD_OUTPUT]
        for one in for_machines:
            _print(one.chunks, verbatim=True)
        if not for_machines:
            _print([_for_people(report, options)])


def _parser_of_check(formats: Mapping[str, "Reporter"]) -> _Parser:
    parser = _parser(
        _USAGE_OF_CHECK,
        "Measure every opening of paste layers, judge them by a rule set, and say what to do. For example: "
        "pastecheck check my-board-paste-top.gbr --rules polyester-75-knife",
        _STATUS,
    )
    parser.add_argument(
        "layers",
        nargs="*",
        metavar="LAYER",
        help="a Gerber file; or a folder or .zip, whose paste layers are found by what the files or else "
        "their names say",
    )
    parser.add_argument(
        "--rules",
        action=_Once,
        metavar="SET",
        help="name of a rule set (pastecheck rules lists them), or path of your own .yaml file",
    )
    parser.add_argument(
        "--thickness",
        action=_Once,
        metavar="LENGTH",
        help='film thickness instead of the rule set\'s, with its unit: "75 um", "3 mil", "0.1 mm"',
    )
    for option, format_ in formats.items():
        text = f"write {format_.says}, to FILE; - is standard output, and then nothing else goes there"
        parser.add_argument(f"--{option}", metavar="FILE", action="append", default=[], help=text)
    parser.add_argument(
        "--fail-on",
        choices=("error", "warning", "never"),
        default="error",
        help="what makes the exit status 1 (default: error)",
    )
    parser.add_argument(
        "--as-paste",
        action="store_true",
        help="take the files named for paste layers, though they or their names say that they are others",
    )
    parser.add_argument(
        "--color",
        choices=("auto", "always", "never"),
        default="auto",
        help="colour on the terminal (default: auto, and then NO_COLOR is honoured)",
    )
    parser.add_argument("--quiet", action="store_true", help="verdict lines only")
    return parser


def _rule_set_of(options: argparse.Namespace) -> "RuleSet":
    from pastecheck import rulesets
    from pastecheck.units import how_to_write

    if options.rules is None:
        names = ", ".join(rulesets.shipped())
        raise _usage("no rule set was named", f"add --rules with one of {names}, or with your own .yaml file")
    thickness_mm = None
    if options.thickness is not None:
        try:
            thickness_mm = rulesets.read_thickness(options.thickness)
        except ValueError as problem:
            raise _usage(f"--thickness: {problem}", how_to_write("mm")) from None
    rule_set = rulesets.load(options.rules)
    return rule_set if thickness_mm is None else rule_set.with_thickness(thickness_mm)


def _for_people(report: "Report", options: argparse.Namespace) -> str:
    from shutil import get_terminal_size

    from pastecheck.reporters.terminal import rendered

    width = max(get_terminal_size((100, 24)).columns, 40)
    return rendered(report, width=width, colour=_is_coloured(options.color), quiet=options.quiet)


def _is_coloured(wish: str) -> bool:
    if wish != "auto":
        return wish == "always"
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def _status(report: "Report", fail_on: str) -> int:
    from pastecheck.report import Verdict

    failing = {"error": {Verdict.FAIL}, "warning": {Verdict.FAIL, Verdict.CARE}, "never": set[Verdict]()}
    return FOUND if report.verdict in failing[fail_on] else JUDGED


# --------------------------------------------------------------------------------------- rules and explain


def _rules(arguments: list[str]) -> int:
    parser = _parser("pastecheck rules [SET]", "List the rule sets; or show one, each limit with its source.")
    parser.add_argument("set", nargs="?", metavar="SET", help="name of a rule set, or path of a .yaml file")
    if (options := _parsed(parser, arguments)) is None:
        return JUDGED
    from pastecheck import handbook

    return _say(handbook.of_rule_sets() if options.set is None else handbook.of_rule_set(options.set))


def _explain(arguments: list[str]) -> int:
    parser = _parser(
        "pastecheck explain CHECK",
        "What a check measures, why it matters, its error bound and sources.",
    )
    parser.add_argument("check", nargs="?", metavar="CHECK", help="name of a check, such as web-width")
    if (options := _parsed(parser, arguments)) is None:
        return JUDGED
    from pastecheck import handbook

    known = handbook.checks()
    if options.check is None:
        raise _usage("no check was named", f"name one of {', '.join(known)}")
    if options.check not in known:
        raise _usage(f"there is no check {_quoted(options.check)}", _nearest(options.check, known))
    return _say(handbook.of_check(options.check))


# -------------------------------------------------------------------------------------------------- output


def _say(text: str) -> int:
    _print([text])
    return JUDGED


def _print(chunks: Iterable[str], *, verbatim: bool = False) -> None:
    """Texts to standard output; those for machines in UTF-8 with the line ends they have."""
    if isinstance(sys.stdout, TextIOWrapper):
        if verbatim:
            sys.stdout.reconfigure(encoding="utf-8", errors="backslashreplace", newline="")
        else:
            sys.stdout.reconfigure(errors="backslashreplace")
    try:
        sys.stdout.writelines(chunks)
        sys.stdout.flush()
    except BrokenPipeError:  # whoever read has gone, and knows it
        _let_go_of_output()
    except OSError as problem:
        _let_go_of_output()
        text = f"cannot be written: {problem.strerror or problem}"
        hint = "no report was written; make room for it"
        raise PastecheckError(text, Span("standard output"), hint, "output") from None


def _open_what_is_closed() -> None:
    """Give a process that was started without standard output or standard error ones that lead nowhere."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            nowhere = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 -- open to the end
            setattr(sys, name, nowhere)


def _let_go_of_output() -> None:
    """Point standard output to nowhere, so that Python does not complain about it when it ends."""
    with suppress(OSError, ValueError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def _complain(error: PastecheckError) -> None:
    """An error and those that came with it, a line each, with nothing in it that a terminal would obey."""
    from pastecheck.reporters._harmless import harmless

    every = (error, *getattr(error, "others", ()))
    lines = "".join(f"{harmless(PastecheckError.__str__(one))}\n" for one in every)
    encoding = sys.stderr.encoding or "ascii"
    sys.stderr.write(lines.encode(encoding, "backslashreplace").decode(encoding))
