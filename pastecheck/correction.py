"""
The flow of a trim, one step a line: a layer is corrected, written, read back, held against the plan, judged.

What is judged and told is what was read from the very bytes that are to be written.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import PurePath
from typing import Final, NamedTuple

from pastecheck import __version__, gerber, run
from pastecheck.board_files import BoardFile, beside, known_of
from pastecheck.drawing import Drawing
from pastecheck.geometry.bounded import TooMuchError
from pastecheck.layers import Layer, doubts
from pastecheck.limits import Limits
from pastecheck.measurements import Measurements
from pastecheck.openings import Openings, cut_from
from pastecheck.openings.telling import SHARED_OPENING
from pastecheck.report import Report
from pastecheck.rulesets import RuleSet
from pastecheck.source import Diagnostic
from pastecheck.trim import Trimmed, trimmed
from pastecheck.trim.errors_of import found_in
from pastecheck.trim.groups import ReadBack, findings_of_all, groups_of
from pastecheck.trim.kept import kept_attributes
from pastecheck.trim.marks import marks_in, marks_of
from pastecheck.trim.notes import notes_of
from pastecheck.trim.outcome import Change, Trimming
from pastecheck.trim.proof import Proof, draws_each_once, proved
from pastecheck.trim.writing import Header, refuse_too_many, written
from pastecheck.units import shown_um

_NOT_NAMED: Final = "the trimmed layer"
"""What a layer is called that goes nowhere."""


@dataclass(frozen=True)
class Request:
    """A layer, and what it is to be corrected for."""

    layer: Layer
    rule_set: RuleSet
    """With growth, and with what waits to be asked for, where these were."""
    asked: tuple[str, ...]
    """Names of what was asked for."""
    grows: bool
    board_files: tuple[BoardFile, ...]
    limits: Limits
    everything: bool
    """Whether thin line work and slivers are openings too."""
    out: str
    """Where the result is to go, or ""."""
    is_written: bool
    """Whether it goes there, or this is a trial."""
    draws: bool
    """Whether a page is asked for, which draws the layers."""

    @cached_property
    def sha256(self) -> str:
        """Of the layer file."""
        return hashlib.sha256(self.layer.content).hexdigest()

    @cached_property
    def marks(self) -> frozenset[str] | None:
        """What the layer says was done to it before; None where it says nothing."""
        return marks_in(self.layer.content)

    @cached_property
    def was_done(self) -> bool:
        """Whether the layer says that the same was done to it before."""
        return self.marks is not None and self.marks.issuperset(marks_of(self.rule_set.trim).values())

    def measured(self, openings: Openings) -> Measurements:
        """Openings in the foil of the rule set, on the board that was named."""
        (files,) = beside([self.layer], self.board_files)
        board = known_of(files, openings, self.limits).board
        return Measurements(openings, self.rule_set.foil, self.limits, sheet=self.rule_set.sheet, board=board)


class Corrected(NamedTuple):
    """What came of it."""

    content: bytes
    """The corrected layer."""
    told: Trimming
    report: Report
    """On the corrected layer."""
    proof: Proof
    drawn: Measurements
    """Of the layer as it was."""
    now: Measurements
    """Of the corrected layer, read back."""


def corrected(request: Request) -> Corrected:
    """
    A layer with the openings that a rule set asks for, and proof of it.

    Raises:
        PastecheckError: If the layer cannot be read or measured honestly, or if what was written would not be
            what was meant.
        UsageError: If it is not clear to which layer a board file belongs.
    """
    try:
        return _corrected(request)
    except TooMuchError as found:
        raise found.in_file(request.layer.path) from None


def _corrected(request: Request) -> Corrected:
    layer, rule_set, limits, everything = request.layer, request.rule_set, request.limits, request.everything
    drawing = gerber.read(layer.content, layer.path, limits)
    said = (*layer.diagnostics, *doubts(layer, drawing), *drawing.diagnostics)
    drawn = cut_from(drawing, limits, everything=everything)
    m = request.measured(drawn)
    done = trimmed(m, rule_set, request.marks or (), layer.path)
    content = _content(request, drawing, drawn, done)
    proof = proved(content, layer.path, done.openings, drawn, limits, everything=everything)
    now = request.measured(proof.openings)
    back = ReadBack(now, proof.origin, found_in(now, rule_set, proof.origin))
    report = _judged(request, content, drawn.diagnostics)
    told = Trimming(
        tool_version=__version__,
        file=layer.path,
        sha256=request.sha256,
        out=request.out,
        out_sha256=hashlib.sha256(content).hexdigest(),
        is_written=request.is_written,
        rule_set=rule_set,
        asked=request.asked,
        grows=request.grows,
        openings=(len(drawn), len(proof.openings)),
        volume_mm3=Change(*(float(each.area_mm2.sum() * m.foil.thickness_mm) for each in (m, now))),
        groups=groups_of(m, done, back, rule_set),
        findings=findings_of_all(done.before, back.found, rule_set),
        difference_mm2=proof.difference_mm2,
        bound_mm2=proof.bound_mm2,
        was_trimmed=request.was_done,
        notes=notes_of(m, done, back.found, rule_set, request.marks or frozenset()),
        diagnostics=(*said, *drawn.diagnostics),
        verdict=report.verdict.value,
    )
    return Corrected(content, told, report, proof, m, now)


def _content(request: Request, drawing: Drawing, drawn: Openings, done: Trimmed) -> bytes:
    """What is to be written; of a layer that was trimmed so before, and needs nothing, its own bytes."""
    layer = request.layer
    is_as_written = layer.content.isascii() and draws_each_once(drawing, drawn)
    if request.was_done and is_as_written and not done.why.any():
        return layer.content
    refuse_too_many(done.openings, request.limits, layer.path)
    return written(done.openings, _header(request, drawing.function))


def _header(request: Request, function: str) -> Header:
    """What the layer is to say of itself."""
    layer, rule_set = request.layer, request.rule_set
    says = function or {"top": "Paste,Top", "bottom": "Paste,Bot"}.get(layer.side, "")
    foil = f"{rule_set.foil.name}, {shown_um(rule_set.foil.thickness_mm)}"
    comments = (
        f"Openings trimmed for {foil}, by the rule set {rule_set.name}, sha256 {rule_set.sha256}",
        f"from {PurePath(layer.path).name}, sha256 {request.sha256}",
    )
    marks = {*(request.marks or ()), *marks_of(rule_set.trim).values()}
    return Header(says, comments, kept_attributes(layer.content), sorted(marks))


def _judged(request: Request, content: bytes, of_drawn: Sequence[Diagnostic]) -> Report:
    """
    The report on the layer that was written, as a check would give it.

    With what is as true of it as of the drawn one, though each opening is drawn in one piece now.
    """
    still = tuple(one for one in of_drawn if one.code == SHARED_OPENING)
    path = request.out or _NOT_NAMED
    result = request.layer._replace(path=path, content=content, diagnostics=still, found_in="")
    return run.checked(
        [result],
        request.rule_set,
        request.limits,
        board_files=request.board_files,
        everything=request.everything,
        draws=request.draws,
    )
