"""Revisions of small layers, judged and compared."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import NamedTuple

from pastecheck import rulesets
from pastecheck.layer_evidence import Source
from pastecheck.layers import Layer
from pastecheck.report import LayerReport, Report, Status
from pastecheck.reporters import jsondoc
from pastecheck.revisions import Comparison, Known, Revision, compared, known_in
from pastecheck.revisions.comparison import Kind, LayerComparison
from pastecheck.rulesets import RuleSet
from pastecheck.run import cut_and_checked


class Slot(NamedTuple):
    """An opening about its middle, in mm."""

    x: float
    y: float
    across: float
    along: float
    label: str = ""

    def moved(self, dx: float, dy: float) -> "Slot":
        return self._replace(x=self.x + dx, y=self.y + dy)


@cache
def rules() -> RuleSet:
    """polyester-75-knife, with a few of its checks: of single openings, of pairs and of the whole layer."""
    shipped = rulesets.load("polyester-75-knife")
    few = ("area-ratio", "opening-width", "web-width", "pair-balance", "scale-reach")
    return replace(shipped, rules=tuple(rule for rule in shipped.rules if rule.check in few))


def text_of(slots: Sequence[Slot], dx: float = 0.0, dy: float = 0.0) -> str:
    """A layer of rectangles in mm, format 4.6, each with an aperture of its own."""
    lines = ["%FSLAX46Y46*%", "%MOMM*%"]
    for number, slot in enumerate(slots):
        lines += [f"%ADD{10 + number}R,{slot.across:.6f}X{slot.along:.6f}*%", f"D{10 + number}*"]
        lines += [f"%TO.C,{slot.label}*%"] if slot.label else []
        lines += [f"X{round((slot.x + dx) * 1e6)}Y{round((slot.y + dy) * 1e6)}D03*", "%TD*%"]
    return "\n".join([*lines, "M02*", ""])


def revision(*texts: str, sides: Sequence[str] = ("top", "bottom"), name: str = "board") -> Revision:
    """Layers judged by `rules`, the first of them the top."""
    layers = [
        Layer(f"{name}/{side}.gbr", text.encode(), side, (), Source.USER)
        for side, text in zip(sides, texts, strict=False)
    ]
    return Revision(*cut_and_checked(layers, rules()))


def report(*texts: str) -> Report:
    return revision(*texts).report


def known(of: Report) -> Known:
    """What is known of a report, written and read back."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "known.json"
        path.write_text("".join(jsondoc.chunks(of)), encoding="utf-8")
        return known_in(str(path))


def compared_texts(old: str, new: str) -> Comparison:
    return compared(revision(old, name="old"), revision(new, name="new"))


def only(comparison: Comparison) -> LayerComparison:
    (layer,) = comparison.layers
    return layer


def counts(layer: LayerComparison) -> dict[str, int]:
    """How many openings have changed, by kind; kinds that do not occur are left out."""
    return {kind.value: count for kind in Kind if (count := layer.changes.count(kind))}


def states(layer: LayerReport | None) -> dict[str, int]:
    """How many findings are new, and how many known."""
    assert layer is not None
    found = [finding.status for outcome in layer.outcomes for finding in outcome.findings]
    return {status.value: found.count(status) for status in Status if status in found}


def fingerprints(layer: LayerReport | None) -> set[str]:
    assert layer is not None
    return {finding.fingerprint for outcome in layer.outcomes for finding in outcome.findings}
