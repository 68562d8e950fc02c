"""What was done and proved, for people and as JSON."""

import json
from collections.abc import Iterator
from typing import Any, Final, NamedTuple

from pastecheck import __version__
from pastecheck.rulesets import RuleSet
from pastecheck.source import Diagnostic
from pastecheck.trim.groups import Findings, Group
from pastecheck.trim.plan import Held, Why
from pastecheck.units import shown, shown_um

FORMAT: Final = "pastecheck trim"
FORMAT_VERSION: Final = 1

_DECIMALS: Final = 9


class Told(NamedTuple):
    """Everything there is to say of a layer that was trimmed."""

    file: str
    sha256: str
    out: str
    out_sha256: str
    is_written: bool
    rule_set: RuleSet
    openings: tuple[int, int]
    """Before and after."""
    volume_mm3: tuple[float, float]
    groups: tuple[Group, ...]
    findings: tuple[Findings, ...]
    difference_mm2: float
    bound_mm2: float
    was_trimmed: bool
    diagnostics: tuple[Diagnostic, ...]
    """Of the source."""
    verdict: str
    """Of the result: pass, care or fail."""


def document(told: Told) -> Iterator[str]:
    """The report as JSON, in ASCII, the same bytes for the same result."""
    yield json.dumps(_document(told), indent=1) + "\n"


def _document(told: Told) -> dict[str, Any]:
    return {
        "format": FORMAT,
        "format_version": FORMAT_VERSION,
        "version": __version__,
        "file": told.file,
        "sha256": told.sha256,
        "out": told.out,
        "out_sha256": told.out_sha256,
        "written": told.is_written,
        "rule_set": {
            "name": told.rule_set.name,
            "file": told.rule_set.file,
            "sha256": told.rule_set.sha256,
            "foil_thickness_mm": told.rule_set.foil.thickness_mm,
        },
        "verdict": told.verdict,
        "openings": _both(told.openings),
        "volume_mm3": _both(tuple(round(one, _DECIMALS) for one in told.volume_mm3)),
        "trimmed_before": told.was_trimmed,
        "groups": [_group(group) for group in told.groups],
        "findings": [_findings(one) for one in told.findings],
        "proof": {
            "difference_mm2": round(told.difference_mm2, _DECIMALS),
            "bound_mm2": round(told.bound_mm2, _DECIMALS),
        },
        "diagnostics": [
            {"code": one.code, "level": str(one.level), "text": one.text, "place": str(one.span)}
            for one in told.diagnostics
        ],
    }


def _both(values: tuple[Any, ...]) -> dict[str, Any]:
    before, after = values
    return {"before": before, "after": after}


def _size(sides_mm: tuple[float, float]) -> dict[str, float]:
    return {"width_mm": round(sides_mm[0], 6), "length_mm": round(sides_mm[1], 6)}


def _group(group: Group) -> dict[str, Any]:
    return {
        "why": group.why.name.lower(),
        "held": group.held.name.lower(),
        "openings": _both((len(group.rows), group.became)),
        "rows": (group.rows + 1).tolist(),
        "from": _size(group.from_mm),
        "to": _size(group.to_mm),
        "volume_mm3": _both(tuple(round(one, _DECIMALS) for one in group.volume_mm3)),
        "findings": [_findings(one) for one in group.findings],
        "says": group.says,
    }


def _findings(one: Findings) -> dict[str, Any]:
    return {"check": one.check, "errors": _both(one.errors), "warnings": _both(one.warnings)}


def text(told: Told) -> Iterator[str]:
    """Lines for people."""
    rule_set = told.rule_set
    verb = "->" if told.is_written else "would become"
    foil = f"{rule_set.foil.name} {shown_um(rule_set.foil.thickness_mm)}"
    yield f"{told.file} {verb} {told.out}: trimmed by {rule_set.name} ({foil})\n"
    for diagnostic in told.diagnostics:
        yield f"  {diagnostic.span}: {diagnostic.level}[{diagnostic.code}]: {diagnostic.text}\n"
    if told.was_trimmed:
        yield "  the file says that this was done before: chips, panes and selected openings are left alone\n"
    if not any(group.why is not Why.UNCHANGED for group in told.groups):
        yield "  nothing is to be changed\n"
    for group in told.groups:
        yield from _lines(group)
    for one in told.findings:
        yield f"  {one.check}: {_change(one)}\n"
    before, after = told.openings
    volumes = " -> ".join(shown(one, "mm3") for one in told.volume_mm3)
    yield f"  openings {before} -> {after}, volume {volumes}\n"
    yield (
        f"  proof: read back, {after} openings, off by {told.difference_mm2:.6f} mm2 "
        f"(at most {told.bound_mm2:.6f} mm2)\n"
    )


def _lines(group: Group) -> Iterator[str]:
    sizes = [f"{width:.3f} x {length:.3f} mm" for width, length in (group.from_mm, group.to_mm)]
    if group.why is Why.UNCHANGED:
        yield f"  {len(group.rows)} x {sizes[0]} unchanged\n"
    else:
        panes = f" ({group.became} panes)" if group.became > len(group.rows) else ""
        share = 100 * group.volume_mm3[1] / group.volume_mm3[0]
        yield (
            f"  {len(group.rows)} x {sizes[0]} -> {sizes[1]}{panes}: {group.why.name.lower()}, volume "
            f"{' -> '.join(shown(one, 'mm3') for one in group.volume_mm3)} ({share:.0f} %)\n"
        )
    gone = [f"{one.check} {_change(one)}" for one in group.findings]
    if gone:
        yield f"      {'; '.join(gone)}\n"
    if group.held is not Held.NOTHING:
        yield f"      {group.says}\n"


def _change(one: Findings) -> str:
    told = []
    for name, (before, after) in (("errors", one.errors), ("warnings", one.warnings)):
        if before or after:
            told.append(f"{before} {name} -> {after}" if before != after else f"{after} {name} remain")
    return ", ".join(told)
