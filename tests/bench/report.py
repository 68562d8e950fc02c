"""
Prints how fast pastecheck is: `python -m tests.bench.report [--all]`.

Ratios first, for they hold on any machine: both sides of each were taken in this run. Then seconds and memory
of whole processes, beside what section 12 of the design demands of a machine of 2 cores that does nothing
else. `--all` adds the layers that take longer.
"""

import math
import os
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable, Sequence
from pathlib import Path
from statistics import median
from typing import Final, NamedTuple

from gerbonara import GerberFile

from pastecheck import gerber, rulesets
from pastecheck.checks import catalogue
from pastecheck.judge.readings import judged_rules
from pastecheck.measurements import Measurements
from pastecheck.openings import Openings, cut_from
from tests.bench.make_layers import beside_land, framed, odd, overlapping, own_sizes, panel, unequal, waved

ROOT: Final = Path(__file__).resolve().parents[2]
RUNS: Final = 5
NOT_JUDGED: Final = 2
FIRST_CHECKS: Final = ("area-ratio", "aspect-ratio", "opening-width", "web-width")
FIRST_ONLY: Final = """\
title: the four first checks
foil: {name: polyester film, material: polyester, thickness: 75 um}
rules:
  area-ratio: {error-below: 0.60, warn-below: 0.66, source: those of polyester-75-knife}
  aspect-ratio: {error-below: 1.3, warn-below: 1.5, source: those of polyester-75-knife}
  opening-width: {error-below: 0.167 mm, warn-below: 0.215 mm, source: those of polyester-75-knife}
  web-width: {error-below: 0.167 mm, warn-below: 0.208 mm, source: those of polyester-75-knife}
"""


class Must(NamedTuple):
    """What a whole check of a layer may take at most."""

    title: str
    make: Callable[[int], bytes]
    openings: int
    seconds: float
    megabytes: float = math.inf


class Taken(NamedTuple):
    """What some runs of a process took."""

    seconds: float
    """Median."""
    least_seconds: float
    """Of the run that others on the machine disturbed least; differences of medians are mostly noise."""
    megabytes: float
    """The most that any of them held."""


class Run(NamedTuple):
    """What one process took."""

    seconds: float
    megabytes: float


USUAL: Final = (
    Must("200 openings", panel, 200, 0.40),
    Must("10,000", panel, 10_000, 0.8, 120),
    Must("100,000, a panel", panel, 100_000, 2, 300),
)
LONGER: Final = (
    Must("100,000, 30 % own sizes", own_sizes, 100_000, 6, 400),
    Must("100,000, all sizes and angles odd", odd, 100_000, 30, 600),
    Must("1,000,000, a panel", panel, 1_000_000, 15, 1_200),
    Must("1,000,000, a tenth overlapping", overlapping, 1_000_000, 22.5),
)
GROWING: Final = tuple(
    Must(f"{count:,}, {what}", make, count, math.inf)
    for what, make in (
        ("in a frame", framed),
        ("in a frame of 100,000 vertices", waved),
        ("beside a land as large", beside_land),
        ("of very unequal sizes", unequal),
    )
    for count in (10_000, 1_000_000)
)
"""Two of each, for its growth."""


def main(arguments: Sequence[str]) -> int:
    """Measure and print; 0 if everything holds, else 1."""
    wanted = USUAL + (LONGER + GROWING if "--all" in arguments else ())
    print(f"load {os.getloadavg()[0]:.2f} on {os.cpu_count()} cores before the first run\n", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        checks = [_check(must, Path(folder)) for must in wanted]
        *most, first = _taken([*checks, _check(USUAL[2], Path(folder), _first_only(Path(folder)))])
        taken = dict(zip(wanted, most, strict=True))
        ratios = _ratios(taken, first, _layer(USUAL[2], Path(folder)))
    holds = [_printed(*row) for row in ratios]
    print()
    options = ("--version", "--help")
    start_up = _taken([[sys.executable, "-m", "pastecheck", option] for option in options])
    for option, run in zip(options, start_up, strict=True):
        holds.append(_printed(option, run.seconds, "s", 0.10))
    for must, run in taken.items():
        holds.append(_printed(must.title, run.seconds, "s", must.seconds))
        holds.append(_printed("  most memory", run.megabytes, "MB", must.megabytes))
    return 0 if all(holds) else 1


def _ratios(taken: dict[Must, Taken], first_only: Taken, layer: Path) -> list[tuple[str, float, str, float]]:
    """Title, value, unit and upper limit of each ratio."""
    small, middle, large = (taken[must].least_seconds for must in USUAL)
    (imports,) = _taken([[sys.executable, "-c", "import numpy, shapely"]])
    ours, theirs = _reading_seconds(layer)
    openings = cut_from(gerber.read(layer.read_bytes(), layer.name))
    every, first = _checking_seconds(openings, tuple(catalogue())), _checking_seconds(openings, FIRST_CHECKS)
    rows = [
        (
            "check of 200 openings / import of numpy and shapely",
            taken[USUAL[0]].seconds / imports.seconds,
            "x",
            math.inf,
        ),
        ("growth from 10,000 to 100,000: exponent", _exponent(small, middle, large, 10), "", 1.10),
        ("reading to openings / gerbonara parsing, 100,000", ours / theirs, "x", 1 / 3),
        ("check / check with the four first checks only, 100,000", large / first_only.least_seconds, "x", 3),
        ("measuring for all checks / reading to openings, 100,000", every / ours, "x", 1.5),
        ("measuring for all checks / for the four first, 100,000", every / first, "x", math.inf),
    ]
    if LONGER[-1] in taken:
        plain, drawn_twice = (taken[must].least_seconds for must in LONGER[-2:])
        rows += [
            ("growth from 10,000 to 1,000,000: exponent", _exponent(small, middle, plain, 100), "", 1.15),
            ("1,000,000: a tenth overlapping / none", drawn_twice / plain, "x", 1.5),
        ]
        for few, many in zip(GROWING[::2], GROWING[1::2], strict=True):
            before, after = taken[few].least_seconds, taken[many].least_seconds
            title = f"growth to {many.title}: exponent"
            rows.append((title, _exponent(small, before, after, 100), "", 1.15))
    return rows


def _exponent(start_up: float, before: float, after: float, times: float) -> float:
    """Power of the number of openings with which time grows, what 200 openings take left out."""
    return math.log((after - start_up) / (before - start_up)) / math.log(times)


def _reading_seconds(layer: Path) -> tuple[float, float]:
    """Ours from bytes to openings (median of 5), and a general-purpose library's only to objects (once)."""
    data = layer.read_bytes()
    ours = median(_seconds(lambda: cut_from(gerber.read(data, layer.name))) for _ in range(RUNS))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        theirs = _seconds(lambda: GerberFile.open(layer))
    return ours, theirs


def _checking_seconds(openings: Openings, checks: Sequence[str]) -> float:
    """Readings of some checks held against their limits, columns of the layer computed anew each time."""
    rule_set = rulesets.load("polyester-75-knife")
    rules = [rule for rule in rule_set.rules if rule.check in checks]

    def check() -> object:
        m = Measurements(openings, rule_set.foil, sheet=rule_set.sheet)
        return judged_rules(m, rules, catalogue())

    return min(_seconds(check) for _ in range(RUNS))


def _seconds(work: Callable[[], object]) -> float:
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


# ---------------------------------------------------------------------------------------------- processes


def _layer(must: Must, folder: Path) -> Path:
    path = folder / f"{must.make.__name__}-{must.openings}.gbr"
    if not path.exists():
        path.write_bytes(must.make(must.openings))
    return path


def _first_only(folder: Path) -> str:
    """A rule set with the four first checks."""
    path = folder / "first-only.yaml"
    path.write_text(FIRST_ONLY, "utf-8")
    return str(path)


def _check(must: Must, folder: Path, rule_set: str = "polyester-75-knife") -> list[str]:
    """A whole check, as people run it, with JSON of all findings and CSV of all openings."""
    layer = _layer(must, folder)
    told = ["--json", str(folder / "report.json"), "--csv", str(folder / "openings.csv")]
    rules = ["--rules", rule_set]
    return [sys.executable, "-m", "pastecheck", "check", str(layer), *rules, *told]


def _taken(commands: Sequence[list[str]]) -> list[Taken]:
    """Commands in turns, so that what else the machine does meets all alike; a first turn is not counted."""
    turns = [[_run(command) for command in commands] for _ in range(RUNS + 1)][1:]
    return [
        Taken(
            median(run.seconds for run in runs),
            min(run.seconds for run in runs),
            max(run.megabytes for run in runs),
        )
        for runs in zip(*turns, strict=True)
    ]


def _run(command: list[str]) -> Run:
    """
    One process, alone.

    Raises:
        RuntimeError: If it did not come to a verdict.
    """
    begin = time.perf_counter()
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL) as process:
        _, status, usage = os.wait4(process.pid, 0)
        seconds = time.perf_counter() - begin
        process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode not in range(NOT_JUDGED):
        raise RuntimeError(f"exit status {process.returncode}: {' '.join(command)}")
    per_megabyte = 1e6 if sys.platform == "darwin" else 1e3  # bytes there, kilobytes elsewhere
    return Run(seconds, usage.ru_maxrss / per_megabyte)


def _printed(title: str, value: float, unit: str, at_most: float) -> bool:
    holds = value <= at_most
    limit = "" if math.isinf(at_most) else f"  must {at_most:8.2f}  {'holds' if holds else 'MISSED'}"
    print(f"{title:54}{value:10.3f} {unit:2}{limit}", flush=True)
    return holds


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
