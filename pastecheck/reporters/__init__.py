"""The catalogue of report formats that go to files: one module each, found by walking this folder."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules
from types import MappingProxyType

from pastecheck.report import Report


@dataclass(frozen=True, slots=True)
class Reporter:
    """How a report is written in one format."""

    option: str
    """The option of `check` that asks for it, without its dashes."""
    says: str
    """What it is, for the help."""
    chunks: Callable[[Report], Iterator[str]]
    """The text in pieces, so that a very long one never stands in memory whole."""
    draws: bool = False
    """Whether it needs what layers are drawn from."""


@cache
def catalogue() -> Mapping[str, Reporter]:
    """
    Every file format by its option, in alphabetical order.

    A module of this folder without a `REPORTER` writes for a terminal and is called by name; one whose name
    begins with _ is a part of others.
    """
    every = (module.name for module in iter_modules([str(Path(__file__).parent)]))
    names = sorted(name for name in every if not name.startswith("_"))
    found = {one.option: one for name in names if (one := _reporter_in(name)) is not None}
    return MappingProxyType(dict(sorted(found.items())))


def _reporter_in(name: str) -> Reporter | None:
    reporter = getattr(import_module(f"{__name__}.{name}"), "REPORTER", None)
    if reporter is not None and not isinstance(reporter, Reporter):
        raise TypeError(f"REPORTER of {name} is no Reporter")
    return reporter
