"""The project file and the options of `check`, brought together: an option counts more than the file."""

import argparse
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pastecheck.cli.arguments import Once, Parser, quoted, usage

if TYPE_CHECKING:
    import datetime as dt

    from pastecheck.board_files import BoardFile
    from pastecheck.layers import Layer
    from pastecheck.limits import Limits
    from pastecheck.project import Project
    from pastecheck.report import Report

PROJECT_FILE: Final = "pastecheck.yaml"
"""What a project file is called, so that it is found in the current folder."""


def add_project(parser: Parser) -> None:
    """Options for the project file."""
    parser.add_argument(
        "--project",
        action=Once,
        metavar="FILE",
        help="project file to take from what no option says; without it and without LAYER: pastecheck.yaml "
        "in the current folder, which pastecheck start writes",
    )
    parser.add_argument(
        "--today",
        action=Once,
        metavar="DATE",
        help="day by which waivers of the project file expire, such as 2027-03-01 (default: today, UTC)",
    )


def project_of(options: argparse.Namespace) -> "Project | None":
    """The project that is to be judged; None where layers were named and no project."""
    path = options.project
    if path is None:
        if options.layers or not _is_there(PROJECT_FILE):
            return None
        path = PROJECT_FILE
    if not path:
        raise usage("the name after --project is empty", "name a project file")
    from pastecheck.project import read_project

    return read_project(path)


def or_project() -> str:
    """What else to do where options lack something, and there is a project file."""
    return f"; or add --project {PROJECT_FILE} for what that says" if _is_there(PROJECT_FILE) else ""


def _is_there(name: str) -> bool:
    path = Path(name)
    return path.exists() or path.is_symlink()


def with_project(
    options: argparse.Namespace, project: "Project", formats: Sequence[str]
) -> argparse.Namespace:
    """The options, with what the project says where none of them says it."""
    merged = argparse.Namespace(**vars(options))
    for option in formats:
        if not getattr(options, option) and option in project.reports:
            setattr(merged, option, [project.reports[option]])
    merged.known = project.known if options.known is None else options.known
    merged.fail_on = options.fail_on or project.fail_on
    merged.everything = options.everything or project.everything
    return merged


def layers_and_files(
    options: argparse.Namespace, project: "Project", limits: "Limits"
) -> tuple[tuple["Layer", ...], tuple["BoardFile", ...]]:
    """What is judged of a project, and what stands beside it; files of options are for all layers."""
    from pastecheck import board_files
    from pastecheck.project import board_files_in, layers_in

    named = {option: getattr(options, option.value) for option in board_files.Option}
    layers = layers_in(project, options.layers, as_paste=options.as_paste, limits=limits)
    without = [option for option, paths in named.items() if paths]
    own = board_files_in(project, options.layers, without, limits)
    return layers, (*own, *board_files.board_files_of(named, limits))


def with_waivers(report: "Report", project: "Project", options: argparse.Namespace) -> "Report":
    """The report with what the project says is to stay."""
    from pastecheck.project import waived

    return waived(report, project.waivers, _today(options.today), is_whole=not _is_changed(options))


def _is_changed(options: argparse.Namespace) -> bool:
    """Whether options let other things be judged than the project says, so that waivers may match nothing."""
    said = (options.layers, options.rules, options.thickness, options.powder, options.as_paste)
    return any(said) or any((options.land, options.mask, options.outline))


def refuse_bad_day(options: argparse.Namespace) -> None:
    """Refuse a day that is none before anything is judged."""
    if options.today is not None:
        _today(options.today)


def _today(text: str | None) -> "dt.date":
    """The day that it is; nothing else here reads the clock."""
    import datetime as dt

    from pastecheck.project.declarations import DAY

    if text is None:
        return dt.datetime.now(dt.UTC).date()
    try:
        return DAY.read(text)
    except ValueError as problem:
        raise usage(f"--today {quoted(text)}: {problem}", DAY.hint) from None
