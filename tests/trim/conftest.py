"""Trimming in this process, through the command line."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from pastecheck.cli import main

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


class Said(NamedTuple):
    """What a command line came to."""

    status: int
    out: str
    err: str
    document: dict[str, Any]


Trim = Callable[..., Said]


@pytest.fixture
def trim(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Trim:
    """Run `pastecheck trim` in a folder of its own, with a JSON report."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")

    def run(*argv: str) -> Said:
        Path("done.json").unlink(missing_ok=True)
        status = main(["trim", *argv, "--json", "done.json"])
        out, err = capfd.readouterr()
        there = Path("done.json").exists()
        document = json.loads(Path("done.json").read_text(encoding="utf-8")) if there else {}
        return Said(status, out, err, document)

    return run
