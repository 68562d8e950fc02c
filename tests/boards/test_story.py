"""
The story of a board in CI: what was accepted once does not fail again, and what is new does.

Revision A of the greenhouse logger fails. Its findings are accepted as known. Revision B has them still, seen
from another origin, and one fault more: it fails, on that alone. B mended passes.
"""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from pastecheck.cli import main

BOARDS = Path(__file__).resolve().parents[2] / "fixtures" / "boards"
SIDES = ("top", "bottom")
RULES = ("--rules", "polyester-75-knife")
WAY_NM = 12_700_000
FAULT = "%ADD999R,0.11X0.5*%\nD999*\nG04 a mark that the library drew on the paste layer too*\n"


def layer_of(revision: str, side: str) -> bytes:
    folder = BOARDS / f"greenhouse-logger-{revision}"
    return (folder / f"greenhouse-logger-paste-{side}.gbr").read_bytes()


def moved(text: str) -> str:
    """A layer with another origin; what stands in blocks counts from where these are flashed."""
    parts = re.split(r"(%ABD.*?%AB\*%)", text, flags=re.DOTALL)
    for number in range(0, len(parts), 2):
        parts[number] = re.sub(
            r"^(?:G0\d)?(?:[XY]-?\d+)+(?=[IJD*])",
            lambda place: re.sub(r"([XY])(-?\d+)", lambda one: f"{one[1]}{int(one[2]) + WAY_NM}", place[0]),
            parts[number],
            flags=re.MULTILINE,
        )
    return "".join(parts)


def board(name: str, revision: str, *, is_faulty: bool = False, is_moved: bool = False) -> str:
    """A folder with both paste layers of a revision."""
    Path(name).mkdir()
    for side in SIDES:
        text = layer_of(revision, side).decode()
        if is_faulty and side == "top":
            flash = f"%LPD*%\n{FAULT}%TO.C,X9*%\nX25000000Y35000000D03*\n%TD*%\nM02*"
            text = re.sub(r"M02\*", flash, text)
        Path(name, f"paste-{side}.gbr").write_text(moved(text) if is_moved else text, encoding="utf-8")
    return name


def check(capsys: pytest.CaptureFixture[str], name: str, *options: str) -> tuple[int, dict[str, Any]]:
    """Exit status and report of a check."""
    status = main(["check", name, *RULES, *options, "--json", "-"])
    out, err = capsys.readouterr()
    assert not err
    document: dict[str, Any] = json.loads(out)
    return status, document


def findings(document: dict[str, Any], status: str) -> list[dict[str, Any]]:
    every = (rule for layer in document["layers"] for rule in layer["rules"])
    return [found for rule in every for found in rule["findings"] if found["status"] == status]


def test_ci_fails_on_what_is_new_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    status, first = check(capsys, board("a", "a"))
    assert (status, first["verdict"]) == (1, "fail")
    accepted = findings(first, "new")
    Path("known.json").write_text(json.dumps(first), encoding="utf-8")

    status, again = check(capsys, "a", "--known", "known.json", "--fail-on", "warning")
    assert (status, again["verdict"]) == (0, "pass")

    status, second = check(capsys, board("b", "a", is_faulty=True, is_moved=True), "--known", "known.json")
    assert (status, second["verdict"]) == (1, "fail")
    # 25 + 12.7 and 35 + 12.7: where it was put, seen from the new origin
    assert {tuple(found["at_mm"]) for found in findings(second, "new") if found["label"] == "X9"} >= {
        (37.7, 47.7)
    }
    assert {found["label"] for found in findings(second, "new")} == {"X9"}
    assert len(findings(second, "known")) == len(accepted)
    assert {found["fingerprint"] for found in findings(second, "known")} == {
        found["fingerprint"] for found in accepted
    }

    status, third = check(capsys, board("c", "b"), "--known", "known.json", "--fail-on", "warning")
    assert (status, third["verdict"]) == (0, "pass")
    assert sum(layer["settled"]["gone"] for layer in third["layers"]) == len(accepted)
    assert not findings(third, "new")


def test_comparing_tells_the_same_story(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    a, b = board("a", "a"), board("b", "a", is_faulty=True, is_moved=True)
    assert main(["compare", a, board("again", "a", is_moved=True), *RULES, "--fail-on", "warning"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert told.count("the origin has moved by (12.70, 12.70) mm") == len(SIDES)
    assert "openings: 382 unchanged findings: 0 new, none gone" in told

    assert main(["compare", a, b, *RULES]) == 1
    told = " ".join(capsys.readouterr().out.split())
    assert "openings: 382 unchanged, 1 added" in told
    assert "added X9: 1 opening added, 0.11 x 0.50 mm" in told

    assert main(["compare", b, board("c", "b"), *RULES]) == 0
    capsys.readouterr()
