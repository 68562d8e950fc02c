"""Command lines run in this process, and what they said."""

from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from pastecheck.cli import main


class Said(NamedTuple):
    """What a command line came to."""

    status: int
    out: str
    err: str


Run = Callable[..., Said]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfdbinary: pytest.CaptureFixture[bytes]) -> Run:
    """Run a command line in a folder of its own; files are made from bytes given by name."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.delenv("NO_COLOR", raising=False)

    def run(*argv: str) -> Said:
        status = main(argv)
        out, err = capfdbinary.readouterr()
        return Said(status, out.decode(), err.decode())

    return run
