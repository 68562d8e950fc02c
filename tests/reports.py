"""Small reports made by hand, for tests of what prints them."""

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from pastecheck.bench import CuttingTime, Job, SheetNeeded, SmallOpenings, Squeegee, Totals
from pastecheck.report import (
    BesideFile,
    Finding,
    LayerReport,
    Level,
    OpeningTable,
    Report,
    RuleOutcome,
    RuleSetSummary,
)
from pastecheck.source import Diagnostic, DiagnosticLevel, Span
from pastecheck.units import shown_apart, slack_told

SHA256 = "5e" * 32


TOTALS = Totals(
    outlines=5,
    cut_length_mm=1230.0,
    opening_volume_mm3=0.05,
    deposit_volume_mm3=0.05,
    has_efficiency=False,
    paste_mg=0.207,  # 0.05 x 4.14
    paste_g_cm3=4.14,
)
JOB = Job(
    cutter="drag knife",
    time=CuttingTime(speed_mm_s=20.0, passes=2, lifts=10, seconds=126.0),
    squeegee=Squeegee(direction_deg=90.0, webs=2, prevails=True),
    smallest=(
        SmallOpenings(
            0.1, 0.14, is_round=False, count=1, components=("R9",), within_mm=(7, 5, 7, 5), opening=5
        ),
    ),
    sheet=SheetNeeded(
        short_mm=30.0,
        long_mm=40.0,
        margin_mm=10.0,
        unusable_mm=0.0,
        spare_mm=None,
        is_turned=False,
    ),
    is_mirrored=False,
)


class Slot(NamedTuple):
    """An opening for `table`: a rectangle, or a circle where width and length are equal and it is round."""

    x_mm: float
    y_mm: float
    width_mm: float
    length_mm: float
    label: str = ""
    round: bool = False
    row: int = -1
    pitch_mm: float = float("nan")


def table(slots: Sequence[Slot], thickness_mm: float = 0.075) -> OpeningTable:
    """The table of measurements of some openings; no webs."""
    width, length = np.array([slot.width_mm for slot in slots]), np.array([slot.length_mm for slot in slots])
    is_round = np.array([slot.round for slot in slots], bool)
    area = np.where(is_round, np.pi / 4 * width**2, width * length)
    perimeter = np.where(is_round, np.pi * width, 2 * (width + length))
    labels = ("", *sorted({slot.label for slot in slots} - {""}))
    sizes = sorted({(*slot[2:4], slot.round) for slot in slots})
    return OpeningTable(
        x_mm=np.array([slot.x_mm for slot in slots]),
        y_mm=np.array([slot.y_mm for slot in slots]),
        width_mm=width,
        length_mm=length,
        area_mm2=area,
        perimeter_mm=perimeter,
        area_ratio=area / (perimeter * thickness_mm),
        aspect_ratio=width / thickness_mm,
        web_mm=np.full(len(slots), np.nan),
        shape=np.array([sizes.index((*slot[2:4], slot.round)) for slot in slots], np.int64),
        label=np.array([labels.index(slot.label) for slot in slots], np.int64),
        labels=labels,
        line=np.arange(12, 12 + len(slots), dtype=np.int64),
        row=np.array([slot.row for slot in slots], np.int64),
        pitch_mm=np.array([slot.pitch_mm for slot in slots]),
        in_grid=np.zeros(len(slots), bool),
    )


def finding(
    openings: OpeningTable,
    check: str,
    value: float,
    limit: float,
    opening: int | None,
    *,
    other: int | None = None,
    level: Level = Level.ERROR,
    remedy: str = "",
) -> Finding:
    """A finding about a row of the table, counted from 1; about no opening, it is at the first one."""
    row = opening - 1 if opening else 0
    labels = {openings.labels[openings.label[each - 1]] for each in (opening, other) if each is not None}
    return Finding(
        level=level,
        check=check,
        value=value,
        limit=limit,
        x_mm=float(openings.x_mm[row]),
        y_mm=float(openings.y_mm[row]),
        opening=opening,
        other=other,
        label="+".join(sorted(labels - {""})),
        line=int(openings.line[row]) if opening else 0,
        fingerprint=f"{check} {opening} {other}",
        text=_text(check, value, limit),
        remedy=remedy,
    )


def _text(check: str, value: float, limit: float) -> str:
    read, wanted = shown_apart(value, limit, "1" if check.endswith("ratio") else "mm")
    return f"{check.replace('-', ' ')} {read} is {'below' if value < limit else 'above'} {wanted}"


def outcome(
    check: str,
    findings: Sequence[Finding] = (),
    *,
    unit: str = "mm",
    limits: dict[str, float] | None = None,
    measured: int = 4,
    not_applicable: int = 0,
    close: int = 0,
    worst: float | None = None,
    missing: str = "",
) -> RuleOutcome:
    """A judged check; the worst reading is that of the first finding unless another is given."""
    name = check.replace("-", " ")
    return RuleOutcome(
        check=check,
        title=name.capitalize(),
        quantity=name,
        unit=unit,
        limits={"error_below": 0.17, "warn_below": 0.215} if limits is None else limits,
        source="common practice, no source",
        measured=measured,
        not_applicable=not_applicable,
        close=close,
        worst=findings[0].value if findings and worst is None else worst,
        findings=tuple(findings),
        missing=missing,
    )


def layer(
    openings: OpeningTable,
    outcomes: Sequence[RuleOutcome],
    *,
    file: str = "boards/paste-top.gbr",
    diagnostics: Sequence[Diagnostic] = (),
) -> LayerReport:
    """A judged layer of these openings."""
    return LayerReport(
        file=file,
        sha256=SHA256,
        side="top",
        in_inches=False,
        bounds_mm=(0.0, 0.0, 20.0, 10.0),
        openings=len(openings),
        open_area_mm2=float(openings.area_mm2.sum()),
        diagnostics=tuple(diagnostics),
        outcomes=tuple(outcomes),
        table=openings,
        totals=TOTALS,
        job=JOB,
    )


def report(*layers: LayerReport) -> Report:
    """A report of these layers."""
    summary = RuleSetSummary(
        name="polyester-75-knife",
        title="Polyester film 75 um, drag knife",
        file="rules/polyester-75-knife.yaml",
        sha256=SHA256,
        foil_name="polyester film",
        foil_material="polyester",
        foil_thickness_mm=0.075,
        not_run=("neck-width",),
    )
    return Report("0.1.0", summary, layers)


def a_bad_board() -> Report:
    """A row of U1 too narrow for the blade, with webs too thin; a round opening that only warns; a note."""
    row = [Slot(1.0 + 0.3 * k, 2.0, 0.15, 1.5, "U1") for k in range(3)]
    openings = table([*row, Slot(5.0, 5.0, 0.2, 0.2, round=True), Slot(7.0, 5.0, 0.1, 0.14, "R9")])
    instead = "use laser-cut film or steel foil, or paste this part by hand"
    widths = [
        finding(openings, "opening-width", 0.1, 0.17, 5, remedy="widen to 0.215 x 0.215 mm"),
        *(
            finding(
                openings,
                "opening-width",
                0.15,
                0.17,
                k,
                remedy=f"no change of this opening would do here: {instead}",
            )
            for k in (1, 2, 3)
        ),
        finding(
            openings, "opening-width", 0.2, 0.215, 4, level=Level.WARNING, remedy="enlarge to 0.215 mm across"
        ),
    ]
    aspect = finding(
        openings, "aspect-ratio", 1.3333, 1.5, 5, level=Level.WARNING, remedy="widen to 0.215 x 0.215 mm"
    )
    webs = [
        finding(
            openings,
            "web-width",
            0.15,
            0.17,
            k,
            other=k + 1,
            remedy=f"neither opening can give way enough: {instead}",
        )
        for k in (1, 2)
    ]
    said = [
        Diagnostic(code, level, text, Span("boards/paste-top.gbr", line, 1))
        for code, level, text, line in (
            ("units-twice", DiagnosticLevel.NOTE, "the units are given twice, and are the same", 4),
            ("missing-end", DiagnosticLevel.WARNING, "the file does not end with M02", 99),
        )
    ]
    aspect_limits = {"error_below": 1.3, "warn_below": 1.5}
    outcomes = [
        outcome("aspect-ratio", [aspect], unit="1", limits=aspect_limits, measured=5, close=1),
        outcome("opening-width", widths, measured=5),
        outcome("web-width", webs, limits={"error_below": 0.17, "warn_below": 0.225}, measured=5),
    ]
    return report(layer(openings, outcomes, diagnostics=said))


def a_clean_board() -> Report:
    """One large opening; nothing to say."""
    openings = table([Slot(1.0, 2.0, 1.0, 1.5, "C1")])
    outcomes = [
        outcome("opening-width", measured=1, worst=1.0),
        outcome("web-width", measured=0, not_applicable=1),
    ]
    return report(layer(openings, outcomes))


def a_busy_board() -> Report:
    """Rows, many components, unlike pairs, bare lands, a shifted layer, and rules of all kinds, in inches."""
    leads = [
        Slot(10.0 + 0.5 * k, 20.0 + 5.0 * side, 0.3, 1.5, "U1", row=side, pitch_mm=0.5)
        for side in range(2)
        for k in range(12)
    ]
    chips = [Slot(2.0 * k, 1.0 + x, 0.2, 0.4, f"C{k + 1}") for k in range(9) for x in (0.0, 0.6)]
    openings = table([*leads, *chips, Slot(12.75, 22.5, 3.1, 3.1, "U1"), Slot(30.0, 30.0, 0.9, 0.9)])
    slack_mm = 0.001
    outcomes = [
        replace(
            one, findings=tuple(each._replace(text=each.text + slack_told(slack_mm)) for each in one.findings)
        )
        if one.unit == "mm"
        else one
        for one in (*_busy_layers(openings), *_busy_chips(openings), *_busy_rows(openings), *_quiet())
    ]
    beside = (
        BesideFile("land", "boards/copper-top.gbr", SHA256),
        BesideFile("mask", "boards/mask-top.gbr", SHA256),
    )
    made = report(replace(layer(openings, outcomes), in_inches=True, slack_mm=slack_mm, beside=beside))
    return replace(made, rule_set=replace(made.rule_set, not_run=()))


def _busy_layers(openings: OpeningTable) -> list[RuleOutcome]:
    """A shifted layer, and two bare lands."""
    off = "the openings lie (0.060, 0.000) mm off their lands: export paste, copper and mask again"
    shift = finding(openings, "registration", 0.06, 0.055, None, level=Level.WARNING, remedy=off)
    bare = finding(openings, "missing-opening", 1.0, 0.0, None, remedy="add an opening")
    return [
        outcome("registration", [shift]),
        outcome("missing-opening", [bare] * 2, unit="1", limits={"error_above": 0.0}, measured=40),
    ]


def _busy_chips(openings: OpeningTable) -> list[RuleOutcome]:
    """All chips are too narrow, and those of C1 and C2 for the powder too."""
    wider = "widen to 0.215 x 0.400 mm"
    widths = [
        finding(openings, "opening-width", 0.2, 0.215, k, level=Level.WARNING, remedy=wider)
        for k in range(25, 43)
    ]
    powder = [one._replace(check="powder-fit", text="powder fit 0.95 is below 1.00") for one in widths[:4]]
    return [
        outcome("powder-fit", powder, unit="1", limits={"error_below": 0.7, "warn_below": 1.0}, measured=44),
        outcome("opening-width", widths, measured=44, close=2),
    ]


def _busy_rows(openings: OpeningTable) -> list[RuleOutcome]:
    """Two rows of leads too wide for their pitch, two of them near the large opening between the rows."""
    remedy = "make the 12 openings of this row 0.250 mm wide: gap from 0.200 mm to 0.250 mm"
    warns = Level.WARNING
    pairs = [(k, k + 1) for row in (range(1, 13), range(13, 25)) for k in row[:-1]]
    webs = [
        finding(openings, "web-width", 0.2, 0.225, a, other=b, level=warns, remedy=remedy) for a, b in pairs
    ]
    near = [finding(openings, "web-width", 0.14, 0.17, k, other=43) for k in (3, 4)]
    fractions = [
        finding(openings, "pitch-fraction", 0.6, 0.57, k, level=warns, remedy=remedy) for k in range(1, 19)
    ]
    told = [one._replace(text="pitch fraction 0.60 is above 0.57") for one in fractions]
    return [
        outcome(
            "pitch-fraction", told, unit="1", limits={"warn_above": 0.57}, measured=24, not_applicable=20
        ),
        outcome("web-width", [*near, *webs], limits={"error_below": 0.17, "warn_below": 0.225}, measured=44),
    ]


def _quiet() -> list[RuleOutcome]:
    """Checks that found nothing, judge nothing, have nothing to measure, or lack something."""
    clean = [outcome(check, measured=44, worst=0.5) for check in ("opening-span", "side-length", "off-land")]
    nothing = [outcome(check, measured=0, not_applicable=44) for check in ("film-island", "film-tongue")]
    sheet = "a sheet in the rule set"
    return [
        outcome("corner-radius", limits={}, measured=44, worst=0.0),
        outcome("deposit-volume", unit="mm3", limits={}, measured=44),
        outcome("neck-width", measured=2, not_applicable=42, worst=0.31),
        outcome("land-clearance", measured=44),
        *clean,
        *nothing,
        *(outcome(check, measured=0, missing=sheet) for check in ("sheet-fit", "edge-margin")),
    ]


def renamed(one: Report, label: str) -> Report:
    """The same report with another text for the component U1 and the file."""
    layers = [
        replace(
            each,
            file=label,
            table=replace(each.table, labels=tuple(text.replace("U1", label) for text in each.table.labels)),
            outcomes=tuple(_relabelled(outcome, label) for outcome in each.outcomes),
        )
        for each in one.layers
    ]
    return replace(one, layers=tuple(layers))


def _relabelled(one: RuleOutcome, label: str) -> RuleOutcome:
    found = [each._replace(label=each.label.replace("U1", label)) for each in one.findings]
    return replace(one, findings=tuple(found))
