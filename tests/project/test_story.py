"""A board through its revisions, as CI sees it: one project file, one command, and only what is new fails."""

import json
import shutil
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from pastecheck.reporters.jsondoc import schema
from tests.cli.conftest import Run, run

__all__ = ["run"]

TODAY = "2026-11-26"
WAIVER = """
waivers:
  - check: [opening-width, powder-fit, side-length, off-land]
    component: SJ1
    reason: the solder jumper is bridged by hand
    until: 2027-03-01
"""


class Board:
    """A checkout of the greenhouse moisture logger, of which revisions come and go."""

    def __init__(self, run: Run, fixtures: Path) -> None:
        self._run, self._boards = run, fixtures / "boards"

    def has(self, revision: str) -> None:
        """Layers of a revision take the place of those before."""
        for layer in (self._boards / f"greenhouse-logger-{revision}").glob("*.gbr"):
            shutil.copy(layer, layer.name)

    def ci(self, *more: str) -> int:
        """The status of what CI runs."""
        self.said = self._run("check", "--json", "report.json", "--today", TODAY, *more)
        assert not self.said.err
        self.report: dict[str, Any] = json.loads(Path("report.json").read_text(encoding="utf-8"))
        jsonschema.Draft202012Validator(schema()).validate(self.report)
        return self.said.status

    def found(self, status: str) -> list[dict[str, Any]]:
        """Findings with that status."""
        return [
            finding | {"check": rule["check"]}
            for layer in self.report["layers"]
            for rule in layer["rules"]
            for finding in rule["findings"]
            if finding["status"] == status
        ]

    @property
    def warned(self) -> list[str]:
        """Codes of warnings about the files."""
        said = (one for layer in self.report["layers"] for one in layer["diagnostics"])
        return [one["code"] for one in said if one["level"] == "warning"]


@pytest.fixture
def board(run: Run, fixtures: Path) -> Board:
    board = Board(run, fixtures)
    board.has("a")
    assert run("start").status == 0
    return board


def say(text: str) -> None:
    """Add to the project file."""
    with Path("pastecheck.yaml").open("a", encoding="utf-8") as stream:
        stream.write(text)


def accept(board: Board) -> None:
    """One fault is waived, the others are accepted as they are."""
    say(WAIVER)
    assert board.ci() == 1
    Path("report.json").rename("accepted.json")
    say("known: accepted.json\n")


def break_a_pin() -> None:
    """Pin 2 of U1 is moved by 0.1 mm towards pin 1: of 0.5 mm pitch and 0.25 mm openings 0.15 mm are left."""
    top = Path("greenhouse-logger-paste-top.gbr")
    text = top.read_text(encoding="utf-8")
    assert text.count("X17750000Y22250000D03*") == 1
    top.write_text(text.replace("X17750000Y22250000D03*", "X17750000Y22350000D03*"), encoding="utf-8")


@pytest.mark.slow
def test_ci_holds_every_revision_to_what_is_new(board: Board) -> None:
    # revision A fails
    assert board.ci() == 1
    assert len(board.found("new")) > 100
    assert not board.found("known")

    # its findings are accepted
    accept(board)
    assert board.ci() == 0
    assert not board.found("new")
    assert {one["label"] for one in board.found("waived")} == {"SJ1"}
    assert board.found("known")
    assert "stale-waiver" not in board.warned
    assert "waived: 4 findings by pastecheck.yaml:" in board.said.out
    assert "the solder jumper is bridged by hand" in board.said.out

    # revision B mends all of that, and has one new fault
    board.has("b")
    break_a_pin()
    assert board.ci() == 1
    new = board.found("new")
    errors = [one for one in new if one["level"] == "error"]
    assert [(one["check"], one["label"], one["value"]) for one in errors] == [("web-width", "U1", 0.15)]
    assert {one["label"] for one in new} == {"U1"}
    assert all(abs(one["at_mm"][1] - 22.4) < 0.3 for one in new)  # pins 1 and 2 lie at 22.75 and 22.35 mm
    assert not board.found("known")

    # a waiver that nothing needs any more is told, and fails nobody who did not ask for it
    assert board.warned == ["stale-waiver"]
    board.has("b")
    assert board.ci() == 0
    assert "nothing is found any more that the waiver is about" in " ".join(board.said.out.split())
    assert board.ci("--fail-on", "warning") == 1

    # without it revision B passes
    project = Path("pastecheck.yaml")
    project.write_text(project.read_text(encoding="utf-8").replace(WAIVER, "\n"), encoding="utf-8")
    assert board.ci("--fail-on", "warning") == 0
    assert not board.warned
