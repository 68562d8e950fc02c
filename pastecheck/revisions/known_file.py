"""An earlier report of ours, read back: what is known. All that is no such report is refused."""

import hashlib
import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, NamedTuple, NoReturn

import numpy as np

from pastecheck.errors import InputError
from pastecheck.layer_files import MIB, file_at, unreadable
from pastecheck.layer_names import UNKNOWN
from pastecheck.limits import STANDARD, Limits, how_to_raise
from pastecheck.report import Level, Status
from pastecheck.reporters.jsondoc import FORMAT, FORMAT_VERSION
from pastecheck.revisions.found import Found, between, texts
from pastecheck.revisions.sides import Side
from pastecheck.revisions.ways import Placed, placed_at
from pastecheck.source import DiagnosticLevel, Documented, Span
from pastecheck.units import quoted

CODE: Final = "known-report"
_FARTHEST_MM: Final = 1e6
_MOST_SLACK_MM: Final = 0.01
"""More than any report gives lengths; what is within it passes."""
_NO_FILE: Final = "check its name and the folder you are in"
_MAKE_ANEW: Final = "name a file that pastecheck check --json has written"

ERRORS: Final = {
    CODE: Documented(
        "the file of --known is no report that pastecheck check --json has written, or is damaged",
        "write one from the revision that was accepted: pastecheck check LAYER --rules SET --json FILE",
    ),
}


class KnownLayer(NamedTuple):
    """A layer of an earlier report."""

    side: Side
    slack_mm: float
    landmarks: Placed
    """Some of its openings; none where the report is too old to have any."""
    found: Found
    """Its findings, less those that were waived: these are known only as long as they are waived."""
    warnings: tuple[tuple[str, str], ...] = ()
    """Code and text of warnings about its file."""
    has_middles: bool = True
    """Whether findings tell the middles of their openings; else only where they were measured."""


class Known(NamedTuple):
    """An earlier report."""

    file: str
    sha256: str
    rule_set: str
    layers: tuple[KnownLayer, ...]


def known_in(argument: str, limits: Limits = STANDARD) -> Known:
    """
    The report that a file holds.

    Args:
        argument: Its path.
        limits: How much is read at most.

    Raises:
        InputError: If it cannot be read, is too large, or is no report of a version that is known.
    """
    path = Path(argument)
    shown = path.as_posix()
    content = _content_of(path, shown, limits)
    read = _Reader(shown)
    document = _parsed(content, shown)
    if not isinstance(document, dict) or document.get("format") != FORMAT:
        read.refuse("this is no report of pastecheck", _MAKE_ANEW)
    version = document.get("format_version")
    if version != FORMAT_VERSION or isinstance(version, bool):
        text = f"this is a report of format version {quoted(repr(version))}; {FORMAT_VERSION} is read here"
        read.refuse(text, "write it anew with this version of pastecheck")
    rule_set = read.text(read.mapping(document, "rule_set", ""), "name", "rule_set")
    layers = tuple(_layer(read, one, where) for one, where in read.items(document, "layers", ""))
    return Known(shown, hashlib.sha256(content).hexdigest(), rule_set, layers)


def _content_of(path: Path, shown: str, limits: Limits) -> bytes:
    most = limits.known_mib * MIB
    try:
        file = file_at(path, shown)
        content = file.read(most + 1) if file.size <= most else b""
    except FileNotFoundError:
        raise InputError("there is no such file", Span(shown), _NO_FILE, "no-file") from None
    except (OSError, ValueError) as problem:
        raise unreadable(shown, problem) from None
    size = max(file.size, len(content))
    if size > most:
        text = f"the file has more than the {limits.known_mib} MiB that are read of a known report"
        raise InputError(text, Span(shown), how_to_raise("known-mib", -(-size // MIB)), "too-large")
    return content


def _parsed(content: bytes, shown: str) -> Any:  # noqa: ANN401 -- whatever JSON holds
    def refuse(name: str) -> NoReturn:
        raise InputError(f"{name} is no number of JSON", Span(shown), _MAKE_ANEW, CODE)

    try:
        return json.loads(content.decode("utf-8"), parse_constant=refuse)
    except json.JSONDecodeError as problem:
        text = f"this is no JSON: {problem.msg[:1].lower()}{problem.msg[1:]}"
        raise InputError(text, Span(shown, problem.lineno, problem.colno), _MAKE_ANEW, CODE) from None
    except UnicodeDecodeError as problem:
        line = content.count(b"\n", 0, problem.start) + 1
        column = problem.start - content.rfind(b"\n", 0, problem.start)
        raise InputError("this is no text in UTF-8", Span(shown, line, column), _MAKE_ANEW, CODE) from None
    except RecursionError:
        text = "lists stand within lists more than any report needs"
        raise InputError(text, Span(shown), _MAKE_ANEW, CODE) from None
    except ValueError as problem:  # a number of thousands of digits
        raise InputError(f"a number in it cannot be read: {problem}", Span(shown), _MAKE_ANEW, CODE) from None


class _Reader:
    """Members of a document, or what is wrong with them and where."""

    def __init__(self, shown: str) -> None:
        self._shown = shown

    def refuse(self, text: str, hint: str = _MAKE_ANEW) -> NoReturn:
        raise InputError(text, Span(self._shown), hint, CODE)

    def _member(self, of: Mapping[str, Any], name: str, where: str) -> Any:  # noqa: ANN401 -- as above
        if name not in of:
            self.refuse(f"{_at(where, name)} is missing")
        return of[name]

    def mapping(self, of: Mapping[str, Any], name: str, where: str) -> Mapping[str, Any]:
        value = self._member(of, name, where)
        if not isinstance(value, dict):
            self.refuse(f"{_at(where, name)} is no object")
        return value

    def items(self, of: Mapping[str, Any], name: str, where: str) -> list[tuple[Mapping[str, Any], str]]:
        """The objects of a list, each with the name of its place."""
        value = self._member(of, name, where)
        if not isinstance(value, list):
            self.refuse(f"{_at(where, name)} is no list")
        for row, one in enumerate(value):
            if not isinstance(one, dict):
                self.refuse(f"{_at(where, name)}[{row}] is no object")
        return [(one, f"{_at(where, name)}[{row}]") for row, one in enumerate(value)]

    def text(self, of: Mapping[str, Any], name: str, where: str) -> str:
        value = self._member(of, name, where)
        if not isinstance(value, str):
            self.refuse(f"{_at(where, name)} is no text")
        return value

    def one_of(self, of: Mapping[str, Any], name: str, where: str, choice: tuple[str, ...]) -> str:
        value = self.text(of, name, where)
        if value not in choice:
            self.refuse(f"{_at(where, name)} is {quoted(value)}, and none of {', '.join(choice)}")
        return value

    def number(self, of: Mapping[str, Any], name: str, where: str) -> float:
        return self._number(self._member(of, name, where), _at(where, name))

    def _number(self, value: object, where: str) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.refuse(f"{where} is no number")
        if isinstance(value, int) and abs(value) > 10**300:
            self.refuse(f"{where} is no number of a report")
        number = float(value)
        if not math.isfinite(number):
            self.refuse(f"{where} is no number of a report")
        return number

    def lengths_mm(self, value: object, where: str, count: int) -> list[float]:
        """So many coordinates or lengths, none farther away than any board is large."""
        if not isinstance(value, list) or len(value) != count:
            self.refuse(f"{where} has not {count} numbers")
        numbers = [self._number(one, where) for one in value]
        if any(abs(one) > _FARTHEST_MM for one in numbers):
            self.refuse(f"{where} is farther away than any board is large")
        return numbers

    def rows_mm(
        self, of: Mapping[str, Any], name: str, where: str, count: int, most: int | None = None
    ) -> list[list[float]]:
        """A list of lists of so many lengths; none where an older report has no such list."""
        value = of.get(name, [])
        if not isinstance(value, list) or (most is not None and len(value) > most):
            self.refuse(f"{_at(where, name)} is no list of places")
        return [self.lengths_mm(one, _at(where, name), count) for one in value]


def _at(where: str, name: str) -> str:
    return f"{where}.{name}" if where else name


def _layer(read: _Reader, layer: Mapping[str, Any], where: str) -> KnownLayer:
    side = Side(
        read.text(layer, "file", where), read.one_of(layer, "side", where, ("top", "bottom", UNKNOWN))
    )
    some_mm = np.array(read.rows_mm(layer, "landmarks_mm", where, 4), np.float64).reshape(-1, 4)
    findings = [
        _finding(read, finding, place, read.text(rule, "check", at), read.text(rule, "unit", at))
        for rule, at in read.items(layer, "rules", where)
        for finding, place in read.items(rule, "findings", at)
        if read.one_of(finding, "status", place, tuple(Status)) != Status.WAIVED
    ]
    slack_mm = read.number(layer, "slack_mm", where) if "slack_mm" in layer else 0.0
    if not 0 <= slack_mm <= _MOST_SLACK_MM:
        read.refuse(f"{where}.slack_mm is no slack of a report")
    warnings = tuple(
        (read.text(said, "code", at), read.text(said, "text", at))
        for said, at in read.items(layer, "diagnostics", where)
        if read.text(said, "level", at) == DiagnosticLevel.WARNING
    )
    found = _columns(findings)
    return KnownLayer(
        side, slack_mm, placed_at(some_mm), found, warnings, has_middles="landmarks_mm" in layer
    )


class _Finding(NamedTuple):
    check: str
    label: str
    fingerprint: str
    is_error: bool
    is_length: bool
    value: float
    limit: float
    one_mm: list[float]
    other_mm: list[float]


def _finding(read: _Reader, finding: Mapping[str, Any], where: str, check: str, unit: str) -> _Finding:
    at_mm = read.lengths_mm(finding.get("at_mm"), _at(where, "at_mm"), 2)
    middles = read.rows_mm(finding, "openings_mm", where, 2, most=2) or [at_mm]
    return _Finding(
        check,
        read.text(finding, "label", where),
        read.text(finding, "fingerprint", where),
        read.one_of(finding, "level", where, tuple(Level)) == Level.ERROR,
        unit == "mm",
        read.number(finding, "value", where),
        read.number(finding, "limit", where),
        middles[0],
        middles[-1],
    )


def _columns(findings: list[_Finding]) -> Found:
    one_mm = np.array([one.one_mm for one in findings], np.float64).reshape(-1, 2)
    other_mm = np.array([one.other_mm for one in findings], np.float64).reshape(-1, 2)
    place_nm, span_nm = between(one_mm, other_mm)
    return Found(
        texts(one.check for one in findings),
        texts(one.label for one in findings),
        texts(one.fingerprint for one in findings),
        np.array([one.is_error for one in findings], bool),
        np.array([one.is_length for one in findings], bool),
        np.array([one.value for one in findings], np.float64),
        np.array([one.limit for one in findings], np.float64),
        place_nm,
        span_nm,
    )
