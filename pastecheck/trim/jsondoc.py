"""What trimming did as JSON, for scripts; `trim.schema.json` in the package describes it."""

from collections.abc import Iterator
from typing import Any, Final

from pastecheck.reporters._json import PLACE_DECIMALS, diagnostic, dumps, plain, rounded, schema_of
from pastecheck.trim.outcome import Change, Findings, Group, Size, Trimming
from pastecheck.trim.plan import Held

FORMAT: Final = "pastecheck trim"
FORMAT_VERSION: Final = 1


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of it."""
    return schema_of("trim")


def chunks(done: Trimming) -> Iterator[str]:
    """
    All of it: in ASCII, deterministic, a group a piece.

    Raises:
        ValueError: If a number is not finite, for JSON has no word for it.
    """
    yield dumps(plain(_head(done)), indent=1).removesuffix("\n}") + ',\n"groups": ['
    for number, group in enumerate(done.groups):
        yield (",\n" if number else "\n") + dumps(plain(_group(group)))
    yield "\n]}\n"


def _head(done: Trimming) -> dict[str, Any]:
    rule_set, foil = done.rule_set, done.rule_set.foil
    return {
        "format": FORMAT,
        "format_version": FORMAT_VERSION,
        "tool": {"name": "pastecheck", "version": done.tool_version},
        "file": done.file,
        "sha256": done.sha256,
        "out": done.out or None,
        "out_sha256": done.out_sha256,
        "written": done.is_written,
        "rule_set": {
            "name": rule_set.name,
            "title": rule_set.title,
            "file": rule_set.file,
            "sha256": rule_set.sha256,
            "foil": {"name": foil.name, "material": foil.material, "thickness_mm": foil.thickness_mm},
        },
        "asked": done.asked,
        "grow": done.grows,
        "verdict": done.verdict,
        "trimmed_before": done.was_trimmed,
        "openings": _both(*done.openings),
        "volume_mm3": done.volume_mm3._asdict(),
        "findings": [_findings(one) for one in done.findings],
        "proof": {"difference_mm2": done.difference_mm2, "bound_mm2": done.bound_mm2},
        "notes": list(done.notes),
        "diagnostics": [diagnostic(one) for one in done.diagnostics],
    }


def _both(before: float, after: float) -> dict[str, float]:
    return Change(before, after)._asdict()


def _group(group: Group) -> dict[str, Any]:
    return {
        "why": group.why.name.lower(),
        "held": None if group.held is Held.NOTHING else group.held.name.lower(),
        "says": group.says,
        "openings": _both(len(group.rows), group.became),
        "components": group.components,
        "from": _size(group.drawn),
        "to": _size(group.trimmed),
        "volume_mm3": group.volume_mm3._asdict(),
        "reference_share": None if group.reference_share is None else group.reference_share._asdict(),
        "findings": [_findings(one) for one in group.findings],
        "rows": (group.rows + 1).tolist(),
    }


def _size(one: Size) -> dict[str, Any]:
    width_mm, length_mm = (rounded(side_mm, PLACE_DECIMALS) for side_mm in (one.width_mm, one.length_mm))
    return {"width_mm": width_mm, "length_mm": length_mm, "round": one.is_round}


def _findings(one: Findings) -> dict[str, Any]:
    return {"check": one.check, "errors": _both(*one.errors), "warnings": _both(*one.warnings)}
