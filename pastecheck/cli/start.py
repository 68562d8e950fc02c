"""The command `start`: a project file to begin with."""

import argparse
from typing import TYPE_CHECKING, Final

from pastecheck.cli.arguments import Parser, parsed, quoted, usage
from pastecheck.cli.console import put
from pastecheck.cli.project import PROJECT_FILE
from pastecheck.cli.status import JUDGED

if TYPE_CHECKING:
    from pastecheck.project import Starter

_USAGE: Final = "pastecheck start [FOLDER | --schema]"


def start(arguments: list[str]) -> int:
    """Write a project file beside the layers of a board."""
    if (options := parsed(_parser(), arguments)) is None:
        return JUDGED
    if options.schema:
        return _schema(options)
    folder = "." if options.folder is None else options.folder
    if not folder:
        raise usage("the name of the folder is empty", f"usage: {_USAGE}")
    starter = _that_can_be_judged(folder)
    _write(starter)
    path = quoted(starter.path)
    put([f"{path} is written; look through it, then judge the board: {_what_next(starter.path)}\n"])
    return JUDGED


def _parser() -> Parser:
    parser = Parser(
        _USAGE,
        "Find the paste layers of a folder, and write a project file pastecheck.yaml there, which explains "
        "each line; then pastecheck check does the rest. It asks nothing, and writes over nothing.",
    )
    parser.add_argument(
        "folder", nargs="?", metavar="FOLDER", help="the folder of the board (default: the current one)"
    )
    parser.add_argument(
        "--schema",
        action="store_true",
        help="print the JSON Schema of project files instead, with which editors complete and check them",
    )
    return parser


def _schema(options: argparse.Namespace) -> int:
    from pastecheck.project.schema import of_projects

    if options.folder is not None:
        raise usage("a folder and --schema were given", "ask for one thing at a time")
    put([of_projects().text])
    return JUDGED


def _what_next(path: str) -> str:
    from pathlib import Path

    return "pastecheck check" if Path(path).parent == Path() else f"pastecheck check --project {quoted(path)}"


def _that_can_be_judged(folder: str) -> "Starter":
    """A project file without those board files that turn out to be of another board or layer."""
    from pastecheck import board_files, layers, project, rulesets, run
    from pastecheck.errors import PastecheckError

    without: dict[str, str] = {}
    rule_set = rulesets.load(project.RULES)
    while True:
        starter = project.started(folder, PROJECT_FILE, without)
        try:
            files = [
                one._replace(named_for=entry.layer)
                for entry in starter.beside
                for one in board_files.board_files_of({entry.option: [entry.path]})
            ]
            report = run.checked(layers.layers_of([folder]), rule_set, board_files=files)
        except PastecheckError as problem:
            path = problem.span.path
            if path in {entry.path for entry in starter.beside}:
                without[path] = problem.text
                continue
            return starter
        empty = [layer.file for layer in report.layers if not layer.openings]
        return project.started(folder, PROJECT_FILE, without, empty)


def _write(starter: "Starter") -> None:
    """To a file that must not be there."""
    from pathlib import Path

    from pastecheck.errors import PastecheckError
    from pastecheck.source import Span

    try:
        with Path(starter.path).open("x", encoding="utf-8", newline="\n") as stream:
            stream.write(starter.text)
    except OSError as problem:
        text = f"cannot be written: {problem.strerror or problem}"
        hint = "name a folder where you may write"
        raise PastecheckError(text, Span(starter.path), hint, "output") from None
