"""What the page tells, in the words of the terminal report; the template only sets it."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import takewhile
from typing import Final, NamedTuple

from markupsafe import Markup

from pastecheck.prospects import MOST_OPENINGS, MOST_TABLES
from pastecheck.report import LayerReport, Level, Report, RuleOutcome, Status, Verdict
from pastecheck.reporters._limits import WORDS, limit_shown
from pastecheck.reporters._looked_at import worst_shown
from pastecheck.reporters._one_finding import why_not_judged
from pastecheck.reporters._page.changed import Changed
from pastecheck.reporters._page.groups import Group, groups_of
from pastecheck.reporters._page.job_sheet import JobSheet, job_sheet_of
from pastecheck.reporters._page.numbers import numbers_of
from pastecheck.reporters._page.picture import DRAWN_UP_TO, Picture, picture_of
from pastecheck.reporters._page.scatter import scatter_of
from pastecheck.reporters._phrases import foil_word, many, side_of_board
from pastecheck.reporters._settled import (
    dealt_with_told,
    not_checked_texts,
    settled_texts,
    waivers_texts,
    with_only_new,
)
from pastecheck.reporters.terminal import REMEDIES_SHOWN, verdict
from pastecheck.source import DiagnosticLevel
from pastecheck.units import UM_PER_MM, shown_um

_ANSWERS: Final = {Verdict.PASS: "yes", Verdict.CARE: "with care", Verdict.FAIL: "no"}


@dataclass(frozen=True, slots=True)
class Looked:
    """A check, and what came of it."""

    check: str
    title: str
    about: str
    measured: str
    worst: str
    limits: str
    found: str
    source: str
    rank: int
    """What found something first, what measured nothing last."""


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer."""

    number: int
    file: str
    name: str
    """Of the file, from the folder on that holds all that are told of."""
    tab: str
    """What it is told apart by from the others."""
    verdict: str
    answer: str
    told: str
    facts: Sequence[tuple[str, str]]
    next_steps: Sequence[str]
    groups: Sequence[Group]
    groups_left: str
    checks: Sequence[tuple[str, str, int]]
    """Id, title and number of groups of each check that found something."""
    is_empty: bool
    """Whether there is nothing to cut."""
    has_components: bool
    """Whether the file names any, so that they can be looked for."""
    settled: str
    """How many findings were known, and how many are waived; empty where none is."""
    settled_said: Sequence[str]
    """By what, why, and what has become of the rest."""
    settled_groups: Sequence[Group]
    settled_left: str
    """What is not among them, in words; else empty."""
    has_files_beside: bool
    """Whether files beside the layer were read, of which something may be said as well."""
    files_said: Sequence[tuple[str, str]]
    file_warns: bool
    """Whether there is a warning among what is said of the files."""
    looked_at: Sequence[Looked]
    picture: Picture | None
    scatter: Markup | None
    job: JobSheet | None
    numbers: str
    """For the script, as JSON; empty where the layer is too large for it."""
    changed: Changed | None
    """What was done to it before it was judged; None where it is as the file has it."""
    too_large: str
    """Why the drawing is still, or there is none; else empty."""
    rejudged: str
    thickness_um: float


@dataclass(frozen=True, slots=True)
class Page:
    """The whole."""

    title: str
    verdict: str
    answer: str
    tool: str
    rule_set: str
    word: str
    """What the foil is called: film, or foil where it is no polymer."""
    foil: str
    """Its name and thickness."""
    notices: Sequence[str]
    not_run: str
    layers: Sequence[Layer]


def page_of(report: Report, changed: Changed | None = None) -> Page:
    """All that is told of a report, and of what was done to its one layer."""
    rules = report.rule_set
    word = foil_word(rules.foil_name, rules.foil_material)
    called = _called(report.layers)
    return Page(
        title=", ".join(one.name for one in called),
        verdict=report.verdict.value,
        answer=_ANSWERS[report.verdict],
        tool=report.tool_version,
        rule_set=rules.name,
        word=word,
        foil=f"{rules.foil_name}, {shown_um(rules.foil_thickness_mm)}",
        notices=[*rules.notices, *not_checked_texts(report), *waivers_texts(report)],
        not_run=", ".join(rules.not_run),
        layers=[
            _layer(report, layer, its, word, changed)
            for layer, its in zip(report.layers, called, strict=True)
        ],
    )


class _Called(NamedTuple):
    """How a layer is called on the page."""

    number: int
    name: str
    tab: str


def _called(layers: Sequence[LayerReport]) -> list[_Called]:
    """By their sides, unless two are of one: then by their files as well."""
    names = _names([layer.file for layer in layers])
    of_side = Counter(layer.side for layer in layers)
    called = []
    for number, (layer, name) in enumerate(zip(layers, names, strict=True), 1):
        side = [] if layer.side == "unknown" else [layer.side]
        file = [name] if not side or of_side[layer.side] > 1 else []
        called.append(_Called(number, name, ", ".join([*side, *file])))
    return called


def _names(files: Sequence[str]) -> list[str]:
    """
    Of files, their paths from the folder on that holds them all.

    Example:
        >>> _names(["a/top.gbr"]), _names(["boards/a/top.gbr", "boards/b/top.gbr"])
        (['top.gbr'], ['a/top.gbr', 'b/top.gbr'])
    """
    parts = [file.split("/") for file in files]
    folders = zip(*(path[:-1] for path in parts), strict=False)
    shared = sum(1 for _ in takewhile(lambda at: len(set(at)) == 1, folders))
    return ["/".join(path[shared:]) for path in parts]


def _layer(report: Report, layer: LayerReport, called: _Called, word: str, changed: Changed | None) -> Layer:
    groups, left, numbers = groups_of(with_only_new(layer))
    settled = groups_of(layer.only(lambda found: found.status is not Status.NEW))
    prospects = layer.drawn.prospects if layer.drawn else None
    answer, _, told = verdict(layer).partition(" (")
    return Layer(
        number=called.number,
        file=layer.file,
        name=called.name,
        tab=called.tab,
        verdict=layer.verdict.value,
        answer=answer[:1].upper() + answer[1:],
        told=told.removesuffix(")"),
        facts=list(_facts(layer)),
        next_steps=_next_steps(groups),
        groups=groups,
        groups_left=left,
        checks=_checks(layer, groups),
        is_empty=not layer.openings,
        has_components=any(layer.table.labels),
        settled=dealt_with_told(layer),
        settled_said=settled_texts(layer, report),
        settled_groups=settled.groups,
        settled_left=settled.left,
        has_files_beside=bool(layer.beside),
        files_said=_files_said(layer),
        file_warns=any(one.level is DiagnosticLevel.WARNING for one in layer.diagnostics),
        looked_at=sorted((_looked(report, one) for one in layer.outcomes), key=lambda one: one.rank),
        picture=picture_of(layer, called.number, word, numbers, changed, is_still=prospects is None),
        scatter=scatter_of(layer, report.rule_set.foil_thickness_mm) if layer.openings else None,
        job=job_sheet_of(layer, report.rule_set, called.number),
        numbers=numbers_of(layer, report.rule_set, changed) if prospects else "",
        changed=changed,
        too_large="" if prospects or not layer.openings else _too_large(layer, word),
        rejudged=", ".join(prospects.rejudged) if prospects else "",
        thickness_um=round(report.rule_set.foil_thickness_mm * UM_PER_MM, 3),
    )


def _too_large(layer: LayerReport, word: str) -> str:
    kept = f"up to {MOST_OPENINGS} openings and {MOST_TABLES} outlines that are no plain shapes"
    drawn = "the drawing stands still" if layer.openings <= DRAWN_UP_TO else "nothing is drawn"
    return f"{drawn}, and no other {word} is tried: this page does that {kept}"


def _facts(layer: LayerReport) -> Iterator[tuple[str, str]]:
    low_x, low_y, high_x, high_y = layer.bounds_mm
    yield "openings", str(layer.openings)
    if layer.openings:
        yield "open area", f"{layer.open_area_mm2:.1f} mm2"
        yield "extent", f"{high_x - low_x:.2f} x {high_y - low_y:.2f} mm"
    yield "side", side_of_board(layer.side)
    if layer.in_inches:
        yield "lengths", f"the file is in inches; slack of {shown_um(layer.slack_mm)}"
    words = {"land": "copper", "mask": "solder mask", "outline": "outline"}
    for one in layer.beside:
        yield words[one.option], one.file.rsplit("/", 1)[-1]


# ------------------------------------------------------------------------------------------------- findings


def _next_steps(groups: Sequence[Group]) -> list[str]:
    """The remedies of the worst groups, each once: what to do first."""
    of_errors = [group for group in groups if group.level == Level.ERROR.value] or groups
    told = dict.fromkeys(f"{group.of}{remedy}" for group in of_errors for remedy in group.remedies[:1])
    return list(told)[:REMEDIES_SHOWN]


def _checks(layer: LayerReport, groups: Sequence[Group]) -> list[tuple[str, str, int]]:
    count = Counter(check for group in groups for check in dict.fromkeys(group.checks.split()))
    return [(one.check, one.title, count[one.check]) for one in layer.outcomes if count[one.check]]


# ------------------------------------------------------------------------------------- checks, and the files


def _looked(report: Report, one: RuleOutcome) -> Looked:
    every = one.measured + one.not_applicable
    levels = Counter(found.level.value for found in one.findings if found.status is Status.NEW)
    states = Counter(found.status.value for found in one.findings if found.status is not Status.NEW)
    found = [many(levels[level.value], level.value) for level in Level if levels[level.value]]
    found += [f"{count} {state}" for state, count in states.items()]
    found += [f"{one.close} close to a limit"] if one.close else []
    limits = [
        f"{WORDS[name]} {limit_shown(one.limits[name], one.unit)}" for name in WORDS if name in one.limits
    ]
    return Looked(
        check=one.check,
        title=one.title,
        about=report.rule_set.documentation.get(one.check, "").partition("\n\n")[0].replace("\n", " "),
        measured=f"{one.measured} of {every}" if one.not_applicable else str(one.measured),
        worst=worst_shown(one),
        limits="; ".join(limits) or "none",
        found=", ".join(found) or why_not_judged(one) or "nothing",
        source=one.source,
        rank=0 if one.findings else 1 if one.close else 2 if one.measured else 3,
    )


def _files_said(layer: LayerReport) -> list[tuple[str, str]]:
    warnings_first = sorted(layer.diagnostics, key=lambda one: one.level is not DiagnosticLevel.WARNING)
    return [
        (
            one.level.value,
            (
                f"{'' if one.span.path == layer.file else one.span.path + ': '}"
                f"{f'line {one.span.line}: ' if one.span.line else ''}{one.text} [{one.code}]"
            ),
        )
        for one in warnings_first
    ]
