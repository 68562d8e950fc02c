"""
A comparison as JSON, for scripts; `comparison.schema.json` in the package describes it.

In order, one change and one finding a line, in ASCII, so that equal comparisons are equal bytes.
"""

from collections.abc import Iterable, Iterator
from typing import Any, Final

import numpy as np

from pastecheck.report import Finding, LayerReport, OpeningTable, Status
from pastecheck.reporters._json import PLACE_DECIMALS, dumps, places, rounded, schema_of
from pastecheck.reporters._told import Size
from pastecheck.reporters.jsondoc import rule_set_members
from pastecheck.revisions.comparison import KINDS, Comparison, Kind, LayerComparison
from pastecheck.revisions.groups import Group, groups
from pastecheck.source import Diagnostic

FORMAT: Final = "pastecheck comparison"
FORMAT_VERSION: Final = 1


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of the comparison."""
    return schema_of("comparison")


def chunks(comparison: Comparison) -> Iterator[str]:
    """The comparison in pieces."""
    head = {
        "format": FORMAT,
        "format_version": FORMAT_VERSION,
        "tool": {"name": "pastecheck", "version": comparison.new.tool_version},
        "verdict": comparison.verdict.value,
        "rule_set": rule_set_members(comparison.new.rule_set),
    }
    yield "{" + ",\n".join(f'"{key}": {dumps(value)}' for key, value in head.items())
    yield ',\n"layers": ['
    for number, layer in enumerate(comparison.layers):
        yield ",\n" if number else "\n"
        yield from _layer(layer)
    yield "\n]}\n"


def _layer(layer: LayerComparison) -> Iterator[str]:
    told = layer.new.settled if layer.new else None
    new = list(layer.new.findings(Status.NEW)) if layer.new else []
    head = {
        "side": layer.side,
        "old": _revision(layer.old),
        "new": _revision(layer.new),
        "way_mm": None if layer.way_mm is None else places(layer.way_mm),
        "is_mirrored": layer.is_mirrored,
        "within_mm": rounded(layer.within_mm),
        "openings": {
            "unchanged": layer.unchanged,
            **{kind.value: layer.changes.count(kind) for kind in Kind},
        },
        "findings": {
            "new": len(new),
            "known": told.known if told else 0,
            "worse": told.worse if told else 0,
            "gone": len(layer.gone),
        },
    }
    yield dumps(head).removesuffix("}")
    for name, rows in (
        ("groups", map(_group, groups(layer))),
        ("changes", _changes(layer)),
        ("new_findings", map(_finding, new)),
        ("gone_findings", map(_finding, layer.gone)),
        ("new_warnings", map(_warning, layer.warnings)),
    ):
        yield f', "{name}": ['
        yield from _a_line_each(rows)
        yield "]"
    yield "}"


def _a_line_each(rows: Iterable[dict[str, Any]]) -> Iterator[str]:
    end = ""
    for number, row in enumerate(rows):
        yield f"{',' if number else ''}\n{dumps(row)}"
        end = "\n"
    yield end


def _revision(layer: LayerReport | None) -> dict[str, Any] | None:
    if layer is None:
        return None
    return {
        "file": layer.file,
        "sha256": layer.sha256,
        "openings": layer.openings,
        "verdict": layer.verdict.value,
    }


def _group(group: Group) -> dict[str, Any]:
    return {
        "kind": group.kind.value,
        "count": group.count,
        "among": group.among,
        "components": list(group.components),
        "old_mm": _size(group.old),
        "new_mm": _size(group.new),
        "moved_mm": places(group.moved_mm),
        "within_mm": places(group.within_mm),
    }


def _size(size: Size | None) -> list[float] | None:
    return None if size is None else places([size.width_mm, size.length_mm])


def _changes(layer: LayerComparison) -> Iterator[dict[str, Any]]:
    """Each change, with what the opening was and is."""
    changes = layer.changes
    old = _openings(layer.old.table if layer.old else None, changes.old.tolist())
    new = _openings(layer.new.table if layer.new else None, changes.new.tolist())
    moved = (np.round(changes.moved_mm, PLACE_DECIMALS) + 0.0).tolist()
    for kind, before, now, way in zip(changes.kind.tolist(), old, new, moved, strict=True):
        yield {"kind": KINDS[kind].value, "old": before, "new": now, "moved_mm": way}


def _openings(table: OpeningTable | None, rows: list[int]) -> Iterator[dict[str, Any] | None]:
    """An opening of one revision; None where it has none."""
    if table is None:
        yield from (None for _ in rows)
        return
    columns = (table.x_mm, table.y_mm, table.width_mm, table.length_mm, table.area_mm2)
    numbers = [(np.round(column, PLACE_DECIMALS) + 0.0).tolist() for column in columns]
    x, y, width, length, area = numbers
    for row in rows:
        yield (
            None
            if row < 0
            else {
                "opening": row + 1,
                "label": table.labels[table.label[row]],
                "at_mm": [x[row], y[row]],
                "width_mm": width[row],
                "length_mm": length[row],
                "area_mm2": area[row],
            }
        )


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "check": finding.check,
        "level": finding.level.value,
        "value": rounded(finding.value),
        "limit": rounded(finding.limit),
        "at_mm": places([finding.x_mm, finding.y_mm]),
        "opening": finding.opening,
        "other": finding.other,
        "label": finding.label,
        "line": finding.line,
        "fingerprint": finding.fingerprint,
        "text": finding.text,
        "remedy": finding.remedy,
    }


def _warning(said: Diagnostic) -> dict[str, Any]:
    return {
        "code": said.code,
        "text": said.text,
        "file": said.span.path,
        "line": said.span.line,
        "column": said.span.column,
    }
