"""A waiver as it is written -> which findings it is about, and how bad they may be."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase
from math import hypot
from typing import Final

from pastecheck.check import Check, Unit, Worse
from pastecheck.project.declarations import WAIVER, WORST
from pastecheck.report import Finding, LayerReport
from pastecheck.rulesets.codes import BAD_VALUE, MISSING_KEY, UNKNOWN_KEY
from pastecheck.rulesets.values import limit, read_keys, refuse_unknown, value
from pastecheck.rulesets.yamltree import Complaints, Section, nearest
from pastecheck.source import Span
from pastecheck.units import quoted, shown

_WHICH: Final = ("component", "at", "fingerprint")


@dataclass(frozen=True, slots=True)
class Waived:
    """Findings that are to stay."""

    checks: tuple[str, ...]
    """All that it is about; those of fingerprints, too."""
    components: tuple[str, ...]
    """Patterns; empty where it names none."""
    at_mm: tuple[float, float] | None
    within_mm: float
    fingerprints: frozenset[str]
    side: str
    """top or bottom; empty for both."""
    down_to: float | None
    up_to: float | None
    """In the unit of the one check that it then has."""
    unit: Unit
    """Of them."""
    reason: str
    until: dt.date | None
    span: Span

    @property
    def what(self) -> str:
        """The findings it is about, in words."""
        if self.fingerprints:
            return ", ".join(sorted(self.fingerprints))
        parts = [", ".join(self.checks)]
        if self.components:
            parts.append(f"of {', '.join(self.components)}")
        if self.at_mm is not None:
            x_mm, y_mm = self.at_mm
            parts.append(f"within {self.within_mm:.3f} mm of ({x_mm:.2f}, {y_mm:.2f}) mm")
        if self.side:
            parts.append(f"on the {self.side} side")
        return " ".join([*parts, *self._bounds])

    @property
    def _bounds(self) -> list[str]:
        bounds = {"down to": self.down_to, "up to": self.up_to}
        return [f"{name} {shown(one, self.unit)}" for name, one in bounds.items() if one is not None]

    def is_about(self, finding: Finding, layer: LayerReport) -> bool:
        """Whether a finding is one of those, however bad it is."""
        if self.side and layer.side != self.side:
            return False
        if self.fingerprints:
            return " ".join(finding.fingerprint.split()) in self.fingerprints
        if finding.check not in self.checks:
            return False
        if self.at_mm is not None:
            away_mm = hypot(finding.x_mm - self.at_mm[0], finding.y_mm - self.at_mm[1])
            if away_mm > self.within_mm:
                return False
        return not self.components or self._are_named(_components(finding, layer))

    def _are_named(self, labels: list[str]) -> bool:
        return all(
            label and any(fnmatchcase(label, pattern) for pattern in self.components) for label in labels
        )

    def allows(self, finding: Finding) -> bool:
        """Whether it is no worse than may be, to the digits that reports show."""
        reads = float(shown(finding.value, self.unit).split()[0])
        low, high = self.down_to, self.up_to
        return not (
            (low is not None and max(finding.value, reads) < low)
            or (high is not None and min(finding.value, reads) > high)
        )


def _components(finding: Finding, layer: LayerReport) -> list[str]:
    """Those of its openings."""
    table = layer.table
    rows = [row - 1 for row in (finding.opening, finding.other) if row is not None]
    return [table.labels[table.label[row]] for row in rows] or [finding.label]


# ------------------------------------------------------------------------------------------------- reading


def waiver_of(section: Section, checks: Mapping[str, Check], complaints: Complaints) -> Waived | None:
    """What a waiver says; None where something is wrong with it, which is complained about."""
    before = len(complaints.found)
    refuse_unknown(section, tuple(WAIVER), "a waiver", complaints)
    said = read_keys(section, WAIVER, complaints)
    _refuse_incomplete(section, checks, complaints)
    named = _checks(said, checks, complaints)
    bounds = _bounds(section, named, checks, complaints)
    if len(complaints.found) > before or complaints.are_enough:
        return None
    within, until, at = said.get("within"), said.get("until"), said.get("at")
    return Waived(
        checks=named,
        components=_texts(said, "component"),
        at_mm=(float(at[0]), float(at[1])) if isinstance(at, tuple) else None,
        within_mm=within if isinstance(within, float) else 0.0,
        fingerprints=frozenset(_texts(said, "fingerprint")),
        side=str(said.get("side") or ""),
        down_to=bounds.get("down-to"),
        up_to=bounds.get("up-to"),
        unit=checks[named[0]].unit,
        reason=str(said["reason"]),
        until=until if isinstance(until, dt.date) else None,
        span=section.span,
    )


def _texts(said: Mapping[str, object], name: str) -> tuple[str, ...]:
    found = said.get(name)
    return tuple(str(one) for one, _ in found) if isinstance(found, tuple) else ()


def _checks(
    said: Mapping[str, object], checks: Mapping[str, Check], complaints: Complaints
) -> tuple[str, ...]:
    """The checks that are named, by themselves or in fingerprints."""
    found: dict[str, None] = {}
    for name in ("check", "fingerprint"):
        each = said.get(name)
        for text, span in each if isinstance(each, tuple) else ():
            check = text.split()[0].partition("#")[0] if name == "fingerprint" else text
            if check not in checks and not complaints.are_enough:
                hint = "copy it from a report of --json" if name == "fingerprint" else nearest(check, checks)
                complaints.add(UNKNOWN_KEY, f"no check is named {quoted(check)}", span, hint)
            found[check] = None
    return tuple(found)


def _refuse_incomplete(section: Section, checks: Mapping[str, Check], complaints: Complaints) -> None:
    """Refuse what does not say which findings, or not why."""
    entries, span = section.entries, section.span
    if "reason" not in entries:
        complaints.add(MISSING_KEY, "the waiver has no reason", span, "add 'reason: ...', which reports show")
    for one, other, example in (("at", "within", "0.5 mm"), ("within", "at", "[47.42 mm, 32.00 mm]")):
        if one in entries and other not in entries:
            what = f"the waiver says {quoted(one)} and not {quoted(other)}"
            complaints.add(MISSING_KEY, what, entries[one].key, f"add '{other}: {example}'")
    if "fingerprint" in entries:
        for name in ("check", "component", "at"):
            if name in entries:
                what = f"a fingerprint and {quoted(name)} are given"
                hint = "a fingerprint says all: leave out the other"
                complaints.add(BAD_VALUE, what, entries[name].key, hint)
    elif "check" not in entries:
        hint = "add 'check: ...', with a component or place; or a fingerprint"
        complaints.add(MISSING_KEY, "the waiver names no check", span, hint)
    elif not any(name in entries for name in _WHICH) and not _is_of_layers(section, checks):
        hint = "add 'component: J2', or 'at: [47.42 mm, 32.00 mm]' and 'within: 0.5 mm'"
        complaints.add(MISSING_KEY, "the waiver names no component and no place", span, hint)


def _is_of_layers(section: Section, checks: Mapping[str, Check]) -> bool:
    """Whether all its checks are of a layer as a whole, which has no component; true of unknown ones."""
    found = WAIVER["check"].read(section.entries["check"].value, Complaints())
    named = [str(one) for one, _ in found] if isinstance(found, tuple) else []
    return all(name not in checks or checks[name].of_layer for name in named)


def _bounds(
    section: Section, named: tuple[str, ...], checks: Mapping[str, Check], complaints: Complaints
) -> dict[str, float]:
    """How bad a finding may be, by the names that say it."""
    found: dict[str, float] = {}
    if not all(name in checks for name in named):
        return found
    for name, way in WORST.items():
        if name not in section.entries or not named:
            continue
        key, node = section.entries[name]
        if len(named) != 1:
            what = f"{quoted(name)} is of one check, and the waiver has {len(named)}"
            complaints.add(BAD_VALUE, what, key, "write a waiver for each check")
            continue
        check = checks[named[0]]
        if check.worse not in {way, Worse.BOTH}:
            other = next(one for one in WORST if one != name)
            what = f"{quoted(named[0])} gets worse {check.worse} a limit, and takes no {quoted(name)}"
            complaints.add(UNKNOWN_KEY, what, key, f"write {quoted(other)}")
        elif (number := value(node, limit(check.unit), complaints)) is not None:
            found[name] = number
    return found
