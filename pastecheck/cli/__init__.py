"""Commands, exit status: with the modules beside it the only part that prints or reads the environment."""

import gc
import os
import sys
from collections.abc import Callable, Sequence
from importlib import import_module
from typing import Final

from pastecheck import __version__
from pastecheck.cli.arguments import near_option, nearest_of, quoted, usage
from pastecheck.cli.console import complain, open_what_is_closed, put
from pastecheck.cli.status import JUDGED, NOT_JUDGED
from pastecheck.errors import PastecheckError, UsageError
from pastecheck.source import Span

_HELP: Final = """\
pastecheck judges a solder-paste layer before a stencil is cut from film or foil: it measures every opening
and every web between openings, holds them against a rule set, and says what is wrong, where, and what to do.

Usage:
  pastecheck check LAYER... --rules SET   measure, judge, report
  pastecheck start [FOLDER]               write a project file, pastecheck.yaml, to begin with
  pastecheck check                        the same as check LAYER..., as pastecheck.yaml here says
  pastecheck films LAYER...               which film suits it, and how thick one may be
  pastecheck compare OLD NEW --rules SET  what has changed between two revisions: openings and findings
  pastecheck draw LAYER... --out FILE     a picture, 1 : 1 on paper, with what is wrong marked in it
  pastecheck trim LAYER --rules SET --out FILE
                                          write a corrected layer, and prove it
  pastecheck rules [SET]                  list the rule sets; or show one, each limit with its source
  pastecheck rules --compare A B          what two rule sets have apart
  pastecheck explain CHECK                what a check measures, why it matters, what it cannot see
  pastecheck explain CODE                 what an error or a remark on a file means, and what to do
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

_COMMANDS: Final = {
    "check": "check",
    "start": "start",
    "films": "films",
    "compare": "compare",
    "trim": "trim",
    "draw": "draw",
    "rules": "pages",
    "explain": "pages",
}
"""In which module of this package each is."""


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
    open_what_is_closed()
    try:
        return _run(list(sys.argv[1:] if argv is None else argv))
    except PastecheckError as error:
        complain(error)
    except KeyboardInterrupt:
        complain(UsageError("stopped before it was done", Span("pastecheck"), "run it again", "interrupted"))
    except Exception:  # noqa: BLE001 -- a defect of ours is shown as it is, but must not pass for "judged"
        sys.excepthook(*sys.exc_info())
    return NOT_JUDGED


def _run(arguments: list[str]) -> int:
    if not arguments:
        raise usage("no command was given", "start with: pastecheck --help")
    first, *rest = arguments
    if first in {"-h", "--help"}:
        put([_HELP])
        return JUDGED
    if first == "--version":
        put([f"pastecheck {__version__}\n"])
        return JUDGED
    gc.disable()  # what is loaded and made lives to the end; to look for garbage among it takes a tenth
    try:
        return _command(first, rest)
    finally:
        gc.enable()


def _command(name: str, arguments: list[str]) -> int:
    """Run a command; what it needs is imported only now."""
    if name not in _COMMANDS:
        raise _unknown(name)
    run: Callable[[list[str]], int] = getattr(import_module(f"pastecheck.cli.{_COMMANDS[name]}"), name)
    return run(arguments)


def _unknown(name: str) -> UsageError:
    known = (*_COMMANDS, "--help", "--version")
    if not name.startswith("-"):
        return usage(f"there is no command {quoted(name)}", nearest_of(name, known))
    hint = near_option(name, known, "options stand behind a command; see pastecheck check --help")
    return usage(f"there is no option {quoted(name)} without a command", hint)
